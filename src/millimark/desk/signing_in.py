"""Signing in at a desk that has a password."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from millimark.desk.rendering import Form, goto, page
from millimark.desk.setting import desk_of


def ask(request: Request) -> Response:
    """The form; a desk without a password has none."""
    if desk_of(request).door is None:
        return goto(request, "/")
    return page(request, "sign_in.html", wrong="", signs="")


def sign_in(request: Request, form: Form) -> Response:
    """Let in who knows the password, in a fresh session."""
    door = desk_of(request).door
    if door is None:
        return goto(request, "/")
    name = " ".join(form.get("name", "").split())[:120]
    if door.wait_seconds > 0:
        wrong = f"Too many wrong passwords: try again in {door.wait_seconds:.0f} seconds."
        return page(request, "sign_in.html", 429, wrong=wrong, signs=name)
    if not name or not door.opens(form.get("password", "")):
        wrong = "That is not the desk's password." if name else "Say who you are."
        return page(request, "sign_in.html", 403, wrong=wrong, signs=name)
    request.session.clear()
    request.session.update(badge=door.badge, who=name)
    return goto(request, "/")


def sign_out(request: Request, form: Form) -> Response:
    """End the session."""
    request.session.clear()
    return goto(request, "/sign-in")
