"""A phone on the same network, pointed at pages: what the phone itself sees.

Its pages need no session, look at no record, and add photographs to one print run (`phones`).
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from millimark.desk.phones import (
    A_MINUTE,
    MOST_BYTES,
    MOST_PHOTOGRAPHS,
    PHOTOGRAPH_BYTES,
    Phone,
)
from millimark.desk.rendering import Form, templates
from millimark.desk.setting import desk_of
from millimark.errors import MillimarkError, SourceError
from millimark.records import uploads
from millimark.records.models import Page, Upload

PASS = "millimark-phone"
"""The cookie that a phone carries."""
_ENDED = "This code was used, was switched off, or its time is over. Ask at the desk for a new one."
_PICTURES = (b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n")
"""How JPEG and PNG files begin."""


def arrive(request: Request) -> Response:
    """What the code leads to. Looking uses nothing up: programs that preview links look too."""
    waits = desk_of(request).phones.invited(request.path_params["token"])
    if waits is None:
        return _told(_ENDED, 410)
    return _page("phone_arrive.html", token=waits.token, minutes=waits.minutes)


def enter(request: Request, form: Form) -> Response:
    """Use the code up, and let this phone in."""
    phones = desk_of(request).phones
    carried = phones.enter(request.path_params["token"])
    phone = phones.with_pass(carried) if carried else None
    if carried is None or phone is None:
        return _told(_ENDED, 410)
    answer = RedirectResponse("/phone/page", 303)
    seconds = 60 * phones.minutes_left(phone.until)
    answer.set_cookie(
        PASS, carried, max_age=seconds, path="/phone/", httponly=True, samesite="strict"
    )
    return answer


def camera(request: Request) -> Response:
    """The phone's page: two large buttons."""
    phone = _phone(request)
    if phone is None:
        return _told(_ENDED, 403)
    left = desk_of(request).phones.minutes_left(phone.until)
    return _page("phone_camera.html", left=left, megabytes=PHOTOGRAPH_BYTES // 1_000_000, told="")


async def add(request: Request) -> Response:
    """Take photographs in from a phone. Nothing of a request without a pass is read."""
    phone = _phone(request)
    if phone is None:
        return _answered(request, _ENDED, 403)
    wait = desk_of(request).phones.wait_seconds(phone)
    if wait > 0:
        said = f"More than {A_MINUTE} photographs in a minute: go on in {max(1.0, wait):.0f} s."
        return _answered(request, said, 429)
    async with request.form(max_files=20, max_fields=4) as form:
        sent = [f for f in form.getlist("photographs") if isinstance(f, UploadFile) and f.filename]
        try:
            if not sent:
                raise SourceError("No photograph was chosen.", "Take or choose one.")
            for each in sent:
                await run_in_threadpool(_take_in, request, phone, each)
        except MillimarkError as error:
            return _answered(request, str(error), 400)
    desk_of(request).hands.call()
    return _answered(request, "Sent.", 200)


def sent(request: Request) -> Response:
    """How far the photographs of this phone are; nothing about anybody else's."""
    phone = _phone(request)
    if phone is None:
        return JSONResponse({"told": _ENDED, "photographs": []}, 403)
    with desk_of(request).store.reading() as session:
        found = _standings(session, phone.uploads)
    left = desk_of(request).phones.minutes_left(phone.until)
    return JSONResponse({"told": f"{left} min left", "photographs": found})


def leave(request: Request, form: Form) -> Response:
    """The phone ends its own pass."""
    phone = _phone(request)
    if phone is not None:
        desk_of(request).phones.end(phone.run_id, phone.number)
    answer = _told("This phone can send no more photographs. You may close the page.", 200)
    answer.delete_cookie(PASS, path="/phone/")
    return answer


def _phone(request: Request) -> Phone | None:
    desk = desk_of(request)
    return desk.phones.with_pass(request.cookies.get(PASS, "")) if desk.beyond else None


def _take_in(request: Request, phone: Phone, sent: UploadFile) -> None:
    """One photograph into the queue; a phone sends pictures, no other files."""
    if len(phone.uploads) >= MOST_PHOTOGRAPHS or phone.sent_bytes >= MOST_BYTES:
        raise SourceError(
            f"This phone has sent {len(phone.uploads)} photographs of "
            f"{phone.sent_bytes // 1_000_000} MB: all that one phone may send.",
            "Ask at the desk for a new code.",
        )
    if not sent.file.read(8).startswith(_PICTURES):
        raise SourceError("That is no photograph (JPEG or PNG).", "Take it with the camera.")
    sent.file.seek(0)
    name = f"Phone {phone.number}, photograph {len(phone.uploads) + 1}"
    chunks = iter(lambda: sent.file.read(uploads.CHUNK), b"")
    store = desk_of(request).store
    kept = uploads.accept(store, phone.run_id, name, chunks, most=PHOTOGRAPH_BYTES)
    phone.sent_bytes += kept.size
    if kept.upload_id not in phone.uploads:
        phone.uploads.append(kept.upload_id)


def _standings(session: Session, upload_ids: list[int]) -> list[dict[str, Any]]:
    """Each photograph's state in words for the phone, in the order in which they were sent."""
    rows = session.execute(
        select(Upload.id, Upload.state, Upload.reason, Page.state, Page.reason)
        .outerjoin(Page)
        .where(Upload.id.in_(upload_ids))
    )
    known = {row[0]: _in_words(*row[1:]) for row in rows}
    return [
        {"number": place, **known.get(each, {"state": "gone", "said": "deleted at the desk"})}
        for place, each in enumerate(upload_ids, 1)
    ]


def _in_words(
    upload: str, upload_reason: str | None, page_state: str | None, page_reason: str | None
) -> dict[str, str]:
    if upload == "failed" or page_state == "unread":
        return {"state": "unread", "said": f"take it again: {page_reason or upload_reason}"}
    if page_state is None:
        return {"state": "waits", "said": "sent, waits to be read"}
    return {"state": "read", "said": "read" if page_state == "read" else "read, sent twice"}


def _answered(request: Request, said: str, status: int) -> Response:
    """For the page's script as JSON, for a phone without script as a page."""
    if "application/json" in request.headers.get("accept", ""):
        return JSONResponse({"told": said}, status)
    if status == 200:
        return RedirectResponse("/phone/page", 303)
    return _told(said, status)


def _told(said: str, status: int) -> Response:
    return _page("phone_told.html", status, said=said, back=status in (400, 429))


def _page(name: str, status: int = 200, **values: Any) -> Response:
    """A phone's page: nothing of a session is looked at."""
    return HTMLResponse(templates().get_template(name).render(**values), status)
