"""Records: what is kept and how long, backups and their check, restoring, handing over."""

from __future__ import annotations

import secrets
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import IO, cast

from starlette.background import BackgroundTask
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import FileResponse, Response

from millimark.desk.rendering import Form, goto, number, page, texts
from millimark.desk.setting import desk_of
from millimark.desk.sweeping import Sweeper
from millimark.errors import RecordsError, SourceError
from millimark.records import backups, deleting, handing_over, settings
from millimark.records.base import now
from millimark.records.store import Store

_CHUNK = 1 << 20
TABLES = (
    ("classes", "class", "classes"), ("pupils", "pupil", "pupils"),
    ("papers", "paper", "papers"), ("printings", "print run", "print runs"),
    ("scripts", "sheet", "sheets"), ("uploads", "file of scans", "files of scans"),
    ("pages", "page", "pages"), ("marks", "mark", "marks"),
    ("mark_changes", "change of a mark", "changes of marks"),
    ("second_opinions", "blind decision", "blind decisions"),
)  # fmt: skip
"""What a person wants to know of the records, by table, in this order."""


def records(request: Request) -> Response:
    """What is kept, how long, and what can be done with all of it."""
    return _shown(request)


def _shown(request: Request, checked: backups.Contents | None = None, name: str = "") -> Response:
    store = desk_of(request).store
    with store.reading() as session:
        days = settings.get(session, settings.RETENTION_DAYS)
        counts = backups.counts(session)
        due = deleting.falls_due(session, days)
    sweeper = cast(Sweeper, request.app.state.sweeper)
    return page(
        request,
        "records.html",
        days=days,
        due=due[:12],
        more=max(0, len(due) - 12),
        now=now(),
        swept=sweeper.last,
        counts=[(one, many, counts[table]) for table, one, many in TABLES],
        empty=backups.is_empty(counts),
        checked=checked,
        checked_counts=_told(checked),
        checked_name=name,
    )


def _told(checked: backups.Contents | None) -> list[tuple[str, str, int]]:
    if checked is None:
        return []
    return [(one, many, checked.rows[t]) for t, one, many in TABLES if t in checked.rows]


def keep_for(request: Request, form: Form) -> Response:
    """Set the retention time: days, or 0 for until deleted by hand."""
    days = number(form, "days") if form.get("days", "").strip() else 0
    with desk_of(request).store.writing() as session:
        settings.put(session, settings.RETENTION_DAYS, days)
    said = f"Kept for {days} days after the last scan." if days else "Kept until deleted by hand."
    return goto(request, "/records", said)


# --- taking away ------------------------------------------------------------------------
def back_up(request: Request, form: Form) -> Response:
    """A backup of everything, checked, to be kept somewhere else."""
    return _download(request, "backup", lambda store, made: backups.back_up(store, made))


def hand_over(request: Request, form: Form) -> Response:
    """Everything of all pupils as a zip of JSON and pictures that any program can read."""
    return _download(request, "everything", handing_over.export_all)


def _download(request: Request, what: str, make: Callable[[Store, Path], object]) -> Response:
    """What ``make`` writes, streamed from the folder of half-received files and then removed."""
    store = desk_of(request).store
    made = store.incoming / f"{secrets.token_hex(12)}.zip"
    try:
        make(store, made)
    except OSError as error:
        made.unlink(missing_ok=True)
        raise RecordsError(
            f"The file cannot be written: {error.strerror}.", "Make room on the disk."
        ) from error
    except BaseException:
        made.unlink(missing_ok=True)
        raise
    return FileResponse(
        made,
        media_type="application/zip",
        filename=f"millimark-{what}-{now():%Y-%m-%d}.zip",
        background=BackgroundTask(made.unlink, missing_ok=True),
    )


# --- bringing back ----------------------------------------------------------------------
async def take_backup(request: Request) -> Response:
    """Check a backup, or restore it into records that are still empty."""
    store = desk_of(request).store
    place = store.incoming / f"{secrets.token_hex(12)}.zip"
    try:
        async with request.form(max_files=1, max_fields=10) as form:
            fields, sent = texts(form), form.get("backup")
            if not isinstance(sent, UploadFile) or not sent.filename:
                raise SourceError("No backup was chosen.", "Choose the zip that was downloaded.")
            name = sent.filename
            await run_in_threadpool(_received, sent.file, place)
        if fields.get("act") == "restore":
            return await run_in_threadpool(_restore, request, place, fields)
        return await run_in_threadpool(_check, request, place, name)
    finally:
        place.unlink(missing_ok=True)


def _received(sent: IO[bytes], place: Path) -> None:
    """Write out what was sent; RecordsError if there is no room for it."""
    try:
        with place.open("xb") as out:
            shutil.copyfileobj(sent, out, _CHUNK)
    except OSError as error:
        raise RecordsError(
            f"The backup cannot be taken in: {error.strerror}.", "Make room on the disk."
        ) from error


def _check(request: Request, place: Path, name: str) -> Response:
    return _shown(request, backups.check(place), name[:120])


def _restore(request: Request, place: Path, fields: Form) -> Response:
    if fields.get("sure") != "yes":
        raise RecordsError("Nothing was restored.", "Tick the box first.")
    done = backups.restore_into(desk_of(request).store, place)
    desk_of(request).hands.call()
    said = f"Restored and checked: {done.rows['marks']} marks of {done.rows['scripts']} sheets."
    return goto(request, "/records", said)
