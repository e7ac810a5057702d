"""What the pages of one running desk share."""

from __future__ import annotations

import socket
from dataclasses import dataclass, field
from tempfile import TemporaryDirectory
from typing import cast

from starlette.requests import Request

from millimark.desk.hands import Hands
from millimark.desk.page_pictures import Shelf
from millimark.desk.password import Door
from millimark.desk.phones import Phones
from millimark.desk.press import Press
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
    """Names that it answers to, without the port."""
    beyond: bool = False
    """It listens beyond the loopback address: it answers to network addresses too."""
    phones: Phones = field(default_factory=Phones)
    shelf: Shelf = field(default_factory=Shelf)
    press: Press = field(default_factory=Press)
    """Typesets print runs."""
    studio: Press = field(default_factory=Press)
    """Makes films; so long that no print run should wait for one."""
    films: TemporaryDirectory[str] = field(
        default_factory=lambda: TemporaryDirectory(prefix="millimark-films-")
    )
    """Where films lie until the desk ends."""


def names_beyond(extra: tuple[str, ...] = ()) -> tuple[str, ...]:
    """What a browser of the network may call this machine, besides its addresses."""
    own = socket.gethostname().lower()
    return (*LOCAL_NAMES, own, f"{own.partition('.')[0]}.local", *(n.lower() for n in extra))


def desk_of(request: Request) -> Desk:
    """The desk that serves this request."""
    return cast(Desk, request.app.state.desk)


def who_is(request: Request) -> str:
    """The name under which changes of this browser are kept."""
    return str(request.session.get("who") or "teacher")
