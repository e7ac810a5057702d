"""Pages that could not be read: looked at, named, photographed again, or set aside."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from sqlalchemy import select
from sqlalchemy.orm import Session, joinedload
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from millimark.desk.rendering import Form, goto, number, page
from millimark.desk.setting import desk_of, who_is
from millimark.errors import RecordsError, SourceError
from millimark.records import mending, printings, uploads
from millimark.records.mend_tables import PageStep
from millimark.records.mending import WHOLE_FILE, Mended
from millimark.records.models import Page, Script, Upload
from millimark.scan.locating import NO_CODE

WORDS = {"turned": "turned", "aside": "set aside", "back": "taken back", "retaken": "taken anew"}
_CLOCKWISE = {90: cv2.ROTATE_90_CLOCKWISE, 180: cv2.ROTATE_180, 270: cv2.ROTATE_90_COUNTERCLOCKWISE}


@dataclass(frozen=True)
class Place:
    """A page that the print run expects: whose it is, and whether it was read already."""

    sheet: str
    page: int
    pupil: str | None
    there: bool


def to_mend(session: Session, run_id: int) -> dict[str, Any]:
    """What a print run's page lists: pages to mend, those set aside, those named by hand, and
    files that did not open."""
    done = mending.mended(session, run_id)
    unread = uploads.unread_pages(session, run_id)
    pages = [(p, done.get((p.upload_id, p.source_page), Mended())) for p in unread]
    failed = session.scalars(
        select(Upload)
        .where(Upload.printing_id == run_id, Upload.state == "failed")
        .order_by(Upload.id)
    )
    files = [(u, done.get((u.id, WHOLE_FILE), Mended())) for u in failed]
    return {
        "unread": [p for p, each in pages if not each.aside],
        "aside": [(p, each) for p, each in pages if each.aside],
        "files_to_mend": [u for u, each in files if not each.aside],
        "files_aside": [(u, each) for u, each in files if each.aside],
        "named": _read_as_named(session, run_id, done),
    }


def _read_as_named(
    session: Session, run_id: int, done: dict[tuple[int, int], Mended]
) -> list[Page]:
    named = {place for place, each in done.items() if each.named is not None}
    if not named:
        return []
    read = session.scalars(
        select(Page)
        .join(Upload)
        .where(Upload.printing_id == run_id, Page.state == "read")
        .options(joinedload(Page.upload))
        .order_by(Page.id)
    )
    return [p for p in read if (p.upload_id, p.source_page) in named]


def look(request: Request) -> Response:
    """One page: its picture, why it could not be read, and what can be done."""
    run_id = request.path_params["run"]
    with desk_of(request).store.reading() as session:
        found = mending.page_to_mend(session, run_id, request.path_params["page"])
        stands = mending.mended(session, run_id).get((found.upload_id, found.source_page), Mended())
        steps = mending.steps_of(session, found.upload_id, found.source_page)
        others = [p for p in to_mend(session, run_id)["unread"] if p.state == "unread"]
        later = [p.id for p in others if p.id > found.id] or [
            p.id for p in others if p.id != found.id
        ]
        return page(
            request,
            "mend.html",
            run=printings.printing_of(session, run_id),
            page=found,
            stands=stands,
            pictured=bool(found.picture),
            no_code=(found.reason or "").startswith(NO_CODE),
            places=_places(session, run_id),
            steps=[_in_words(step) for step in steps],
            following=later[0] if later else None,
            left=len(others),
        )


def _places(session: Session, run_id: int) -> list[Place]:
    """Every page of the print run, those that are not there yet first."""
    scripts = session.scalars(
        select(Script).where(Script.printing_id == run_id).options(joinedload(Script.pupil))
    )
    called = {s.sheet: s.pupil.label if s.pupil else None for s in scripts}
    read = select(Page.sheet, Page.page).join(Upload).where(Upload.printing_id == run_id)
    rows = session.execute(read.where(Page.state == "read"))
    there = {(sheet, number) for sheet, number in rows}
    layout = printings.layout_of(session, run_id)
    found = [
        Place(s.sheet, p.page, called[s.sheet], (s.sheet, p.page) in there)
        for s in layout.sheets
        if s.sheet in called
        for p in s.pages
    ]
    return sorted(found, key=lambda each: each.there)


def _in_words(step: PageStep) -> tuple[str, str, str]:
    """When and by whom, what was done, and what stood before."""
    what = WORDS.get(step.act, "")
    if step.act == "named":
        what = f"named page {step.page} of sheet {step.sheet}"
    elif step.act == "turned":
        what = f"turned by {step.turn} degrees"
    elif step.why:
        what = f"{what}: {step.why}"
    told = "" if step.act in ("turned", "back") else step.told or ""
    return f"{step.at.strftime('%-d %b %Y, %H:%M')} UTC, {step.who}", what, told


def picture(request: Request) -> Response:
    """The page as it was scanned, turned as people turned it. It was made by a worker."""
    run_id = request.path_params["run"]
    with desk_of(request).store.reading() as session:
        found = mending.page_to_mend(session, run_id, request.path_params["page"])
        stands = mending.mended(session, run_id).get((found.upload_id, found.source_page), Mended())
        content = found.picture
    if not content:
        return PlainTextResponse("This page has no picture.", 404)
    if stands.turn:
        grey = cv2.imdecode(np.frombuffer(content, np.uint8), cv2.IMREAD_GRAYSCALE)
        if grey is not None:
            content = bytes(cv2.imencode(".jpg", cv2.rotate(grey, _CLOCKWISE[stands.turn]))[1])
    return Response(content, media_type="image/jpeg")


def mend(request: Request, form: Form) -> Response:
    """Turn, name, set aside or take back, as the form says."""
    run_id, page_id = request.path_params["run"], request.path_params["page"]
    who, act = who_is(request), form.get("act", "")
    here = f"/printings/{run_id}/mend/{page_id}"
    with desk_of(request).store.writing() as session:
        found = mending.page_to_mend(session, run_id, page_id)
        if act == "turn":
            mending.turn(session, found, number(form, "degrees"), who)
            return goto(request, here)
        if act == "back":
            mending.take_back(session, found, who)
            return goto(request, here, "Back among the pages to mend.")
        if act == "aside":
            mending.set_aside(session, found, form.get("why", ""), who)
            return goto(request, f"/printings/{run_id}", "The page is set aside.")
        if act != "name":
            raise RecordsError(
                f"{act[:20]!r} is no way to mend a page.", "Choose one that is shown."
            )
        sheet, _, last = form.get("as", "").partition("/")
        mending.name(session, found, sheet, number({"page": last}, "page"), who)
    desk_of(request).hands.call()
    return goto(request, f"/printings/{run_id}", f"Read again as page {last} of sheet {sheet}.")


async def retake(request: Request) -> Response:
    """A new photograph in place of the page."""
    run_id, page_id = request.path_params["run"], request.path_params["page"]
    store, who = desk_of(request).store, who_is(request)
    async with request.form(max_files=1, max_fields=4) as form:
        sent = form.get("scans")
        if not isinstance(sent, UploadFile) or not sent.filename:
            raise SourceError("No file was chosen.", "Choose the new scan or photograph.")
        chunks = iter(lambda: sent.file.read(uploads.CHUNK), b"")
        await run_in_threadpool(
            mending.take_anew, store, page_id, run_id, sent.filename, chunks, who
        )
    desk_of(request).hands.call()
    return goto(request, f"/printings/{run_id}", "Taken in; the old page is set aside.")


def file_aside(request: Request, form: Form) -> Response:
    """Set a file aside of which no page could be opened."""
    run_id = request.path_params["run"]
    with desk_of(request).store.writing() as session:
        upload = uploads.upload_of(session, request.path_params["upload"])
        if upload.printing_id != run_id:
            raise RecordsError("There is no such upload in this print run.")
        mending.set_file_aside(session, upload, form.get("why", ""), who_is(request))
    return goto(request, f"/printings/{run_id}", "The file is set aside.")
