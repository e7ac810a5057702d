"""Mark: scans are taken in, durable before the answer goes out, and followed page by page."""

from __future__ import annotations

from collections.abc import Iterator
from typing import IO

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import Response

from millimark.desk.printing import standing
from millimark.desk.rendering import Form, goto, page, texts
from millimark.desk.setting import desk_of
from millimark.errors import MillimarkError, SourceError
from millimark.records import queue, uploads
from millimark.records.store import Store

MOST_FILES = 200
LEAST_SCALE, MOST_SCALE = 0.85, 1.15


async def send(request: Request) -> Response:
    """Take in files of scans; each counts once it is written out and recorded."""
    run_id = request.path_params["run"]
    async with request.form(max_files=MOST_FILES, max_fields=20) as form:
        files = [f for f in form.getlist("scans") if isinstance(f, UploadFile) and f.filename]
        scale = _scale(texts(form))
        store = desk_of(request).store
        kept, refused = await run_in_threadpool(_take_in, store, run_id, files, scale)
    if kept:
        desk_of(request).hands.call()
    if not files:
        refused = ["No file was chosen."]
    said = f"{kept} file{'' if kept == 1 else 's'} taken in. " if kept else ""
    return goto(request, f"/printings/{run_id}", said + " ".join(refused))


def _take_in(
    store: Store, run_id: int, files: list[UploadFile], scale: float | None
) -> tuple[int, list[str]]:
    """How many were accepted, and why the others were not."""
    kept, refused = 0, []
    for file in files:
        try:
            name = file.filename or "scan"
            uploads.accept(store, run_id, name, _chunks(file.file), scale)
            kept += 1
        except SourceError as error:
            refused.append(str(error))
    return kept, refused


def _chunks(file: IO[bytes]) -> Iterator[bytes]:
    while chunk := file.read(uploads.CHUNK):
        yield chunk


def _scale(form: Form) -> float | None:
    """What the check rule measures over 100 mm, None where it was not measured."""
    text = form.get("rule", "").strip().replace(",", ".")
    if not text:
        return None
    try:
        scale = float(text) / 100
    except ValueError:
        scale = 0.0
    if not LEAST_SCALE <= scale <= MOST_SCALE:
        raise MillimarkError(
            f"The check rule cannot measure '{text[:20]}' mm.",
            f"It measures {100 * LEAST_SCALE:g} to {100 * MOST_SCALE:g} mm; leave it out if "
            "unsure.",
        )
    return scale


def progress(request: Request) -> Response:
    """How far marking is; the fragment asks for itself again while there is work."""
    with desk_of(request).store.reading() as session:
        return page(request, "progress.html", **standing(session, request.path_params["run"]))


def again(request: Request, form: Form) -> Response:
    """Try an upload's unread pages once more."""
    run_id, upload = request.path_params["run"], request.path_params["upload"]
    with desk_of(request).store.writing() as session:
        if uploads.upload_of(session, upload).printing_id == run_id:
            queue.mark_again(session, upload)
    desk_of(request).hands.call()
    return goto(request, f"/printings/{run_id}")
