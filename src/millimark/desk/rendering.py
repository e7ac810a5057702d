"""Pages from templates; every value that is filled in is escaped."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from millimark.desk.setting import desk_of, who_is
from millimark.errors import MillimarkError, RecordsError

Form = dict[str, str]
MOST_FIELDS = 500


@cache
def templates() -> Environment:
    """The desk's templates."""
    return Environment(
        loader=PackageLoader("millimark.desk"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def page(request: Request, name: str, status: int = 200, **values: Any) -> Response:
    """A page (or a fragment of one) with these values."""
    text = (
        templates()
        .get_template(name)
        .render(
            here=request.url.path,
            who=who_is(request),
            guarded=desk_of(request).door is not None,
            said=request.session.pop("said", None),
            **values,
        )
    )
    return HTMLResponse(text, status)


def goto(request: Request, path: str, said: str = "") -> Response:
    """On to another page, which says ``said`` once."""
    if said:
        request.session["said"] = said[:300]
    return RedirectResponse(path, 303)


def trouble(request: Request, error: Exception) -> Response:
    """A page that says what was wrong and what to do."""
    if not isinstance(error, MillimarkError):
        raise error
    missing = isinstance(error, RecordsError) and error.message.startswith("There is no")
    return page(request, "trouble.html", 404 if missing else 400, error=error)


Posted = Callable[[Request, Form], Response]


def posted(work: Posted) -> Callable[[Request], Awaitable[Response]]:
    """An endpoint that reads a form and works on it off the event loop."""

    async def endpoint(request: Request) -> Response:
        async with request.form(max_files=0, max_fields=MOST_FIELDS) as form:
            return await run_in_threadpool(work, request, texts(form))

    return endpoint


def texts(form: FormData) -> Form:
    """The text fields of a form; of several of one name the last. NUL, which not every
    database can keep, is left out."""
    found = {key: value for key, value in form.multi_items() if isinstance(value, str)}
    return {key: value.replace("\0", "") for key, value in found.items()}


def number(form: Form, name: str) -> int:
    """A whole number from a form's field; RecordsError if it is none."""
    text = form.get(name, "").strip()
    if not text.isascii() or not text.isdigit() or len(text) > 9:
        raise RecordsError(f"'{text[:20]}' is no number for '{name}'.", "Give a whole number.")
    return int(text)
