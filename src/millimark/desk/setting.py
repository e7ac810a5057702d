"""What the pages of one running desk share."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from starlette.requests import Request

from millimark.desk.hands import Hands
from millimark.desk.password import Door
from millimark.records.store import Store

LOCAL_NAMES = ("127.0.0.1", "localhost", "[::1]")
"""What a browser may call a desk that listens on the loopback address."""


@dataclass(frozen=True, eq=False)
class Desk:
    """A running desk: its records, its worker, and its door (None: no password is asked)."""

    store: Store
    hands: Hands
    door: Door | None = None
    hosts: tuple[str, ...] = LOCAL_NAMES
    """Names it answers to, without the port; empty: any (only with a password)."""


def desk_of(request: Request) -> Desk:
    """The desk that serves this request."""
    return cast(Desk, request.app.state.desk)


def who_is(request: Request) -> str:
    """The name under which changes of this browser are kept."""
    return str(request.session.get("who") or "teacher")
