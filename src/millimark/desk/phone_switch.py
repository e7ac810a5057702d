"""Switching phones on and off for a print run, at the desk: a code, and which phones may send."""

from __future__ import annotations

import io
import socket
from typing import Any
from urllib.parse import urlsplit

import segno
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from millimark.desk.guards import name_of
from millimark.desk.phones import MINUTES, MOST_PHONES
from millimark.desk.rendering import Form, goto, number, page
from millimark.desk.setting import LOCAL_NAMES, desk_of
from millimark.errors import MillimarkError, RecordsError
from millimark.records import printings

_TEST_NET = "192.0.2.1"
"""An address for documentation (RFC 5737); nothing is sent to it."""


def show(request: Request) -> Response:
    """Where phones are switched on, and which may send."""
    run_id = request.path_params["run"]
    with desk_of(request).store.reading() as session:
        run = printings.printing_of(session, run_id)
        return page(
            request,
            "phone_desk.html",
            run=run,
            why_not=_why_not(request),
            **_state(request, run_id),
        )


def state(request: Request) -> Response:
    """The part of the page that follows what phones do."""
    return page(request, "phone_desk_state.html", **_state(request, request.path_params["run"]))


def invite(request: Request, form: Form) -> Response:
    """Switch on: a code for one phone."""
    run_id = request.path_params["run"]
    desk = desk_of(request)
    why_not = _why_not(request)
    if why_not:
        raise MillimarkError(*why_not)
    with desk.store.reading() as session:
        printings.printing_of(session, run_id)
    if len(desk.phones.of_run(run_id)) >= MOST_PHONES:
        raise MillimarkError(
            f"{MOST_PHONES} phones may send for this print run already.",
            "Switch one of them off first.",
        )
    minutes = number(form, "minutes")
    if minutes not in MINUTES:
        raise RecordsError(f"A phone cannot be switched on for {minutes} minutes.", _choices())
    desk.phones.invite(run_id, _base(request), minutes)
    return goto(request, f"/printings/{run_id}/phone")


def end(request: Request, form: Form) -> Response:
    """Switch off one phone, or all of them with the code."""
    run_id = request.path_params["run"]
    which = number(form, "phone") if form.get("phone") else None
    desk_of(request).phones.end(run_id, which)
    said = f"Phone {which} is switched off." if which else "Phones are switched off."
    return goto(request, f"/printings/{run_id}/phone", said)


def _why_not(request: Request) -> tuple[str, str] | None:
    """Why no phone can reach this desk, and what to do; None if one can."""
    desk = desk_of(request)
    if desk.beyond and desk.door is not None:
        return None
    if desk.door is None:
        steps = "End it, and start it with: millimark desk --set-password --host 0.0.0.0"
    else:
        steps = "End it, and start it with: millimark desk --host 0.0.0.0"
    return "This desk answers only the machine that it runs on, so no phone can reach it.", steps


def _state(request: Request, run_id: int) -> dict[str, Any]:
    phones = desk_of(request).phones
    waits = phones.invitation(run_id)
    return {
        "run_id": run_id,
        "choices": MINUTES,
        "invitation": waits,
        "code": _drawn(waits.address) if waits else "",
        "left": phones.minutes_left(waits.until) if waits else 0,
        "phones": [
            (p.number, len(p.uploads), phones.minutes_left(p.until)) for p in phones.of_run(run_id)
        ],
    }


def _choices() -> str:
    return f"Choose one of {', '.join(str(m) for m in MINUTES)}."


def _drawn(address: str) -> Markup:
    """The code as an SVG picture, black on white whatever the page's colours are."""
    out = io.BytesIO()
    segno.make(address, micro=False, error="m").save(
        out, kind="svg", xmldecl=False, svgclass=None, lineclass=None, omitsize=True,
        border=4, light="#fff", dark="#000",
    )  # fmt: skip
    return Markup(out.getvalue().decode("utf-8"))


def _base(request: Request) -> str:
    """The address under which a phone finds this desk: the one that the teacher's browser uses,
    unless that is the machine's own loopback address."""
    origin = urlsplit(request.headers["origin"])
    if name_of(origin.netloc) not in LOCAL_NAMES:
        return f"{origin.scheme}://{origin.netloc}"
    port = f":{origin.port}" if origin.port else ""
    return f"{origin.scheme}://{_network_address()}{port}"


def _network_address() -> str:
    """This machine's address in its network; MillimarkError where it has none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect((_TEST_NET, 9))
            found = str(probe.getsockname()[0])
        except OSError:
            found = "0.0.0.0"
    if found == "0.0.0.0" or found.startswith("127."):
        raise MillimarkError(
            "This machine is in no network, so no phone can reach it.",
            "Join the network that the phone is in, then switch on again.",
        )
    return found
