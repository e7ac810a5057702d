"""Signing in at a desk that has a password."""

from __future__ import annotations

import secrets

from itsdangerous import BadSignature, TimestampSigner
from starlette.requests import Request
from starlette.responses import Response

from millimark.desk.password import signing_key
from millimark.desk.rendering import Form, goto, page
from millimark.desk.setting import Desk, desk_of
from millimark.desk.waiting import Caller, caller_at

KNOWN = "millimark-known"
"""The cookie of a browser that signed in here before. It lets nobody in: it only waits apart."""
_KNOWN_SECONDS = 365 * 86_400


def ask(request: Request) -> Response:
    """The form; a desk without a password has none."""
    if desk_of(request).door is None:
        return goto(request, "/")
    return page(request, "sign_in.html", wrong="", signs="")


def sign_in(request: Request, form: Form) -> Response:
    """Let in who knows the password, in a fresh session."""
    desk = desk_of(request)
    if desk.door is None:
        return goto(request, "/")
    name = " ".join(form.get("name", "").split())[:120]
    caller = _caller(request, desk)
    wait = desk.door.waits.seconds(caller)
    if wait > 0:
        wrong = f"Too many wrong passwords: try again in {max(1.0, wait):.0f} seconds."
        return page(request, "sign_in.html", 429, wrong=wrong, signs=name)
    if not name or not desk.door.opens(form.get("password", ""), caller):
        wrong = "That is not the desk's password." if name else "Say who you are."
        return page(request, "sign_in.html", 403, wrong=wrong, signs=name)
    request.session.clear()
    request.session.update(badge=desk.door.badge, who=name)
    answer = goto(request, "/")
    answer.set_cookie(
        KNOWN,
        _signer(desk).sign(secrets.token_urlsafe(12)).decode("ascii"),
        max_age=_KNOWN_SECONDS,
        path="/sign-in",
        httponly=True,
        samesite="strict",
    )
    return answer


def sign_out(request: Request, form: Form) -> Response:
    """End the session."""
    request.session.clear()
    return goto(request, "/sign-in")


def _caller(request: Request, desk: Desk) -> Caller:
    """Who tries: a browser that signed in before by its cookie, else an address."""
    try:
        name = _signer(desk).unsign(request.cookies.get(KNOWN, ""), max_age=_KNOWN_SECONDS)
    except BadSignature:
        return caller_at(request.client.host if request.client else None)
    return Caller(f"browser {name.decode('ascii')}", known=True)


def _signer(desk: Desk) -> TimestampSigner:
    return TimestampSigner(signing_key(desk.store.folder), salt=KNOWN)
