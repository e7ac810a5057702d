"""Classes and pupils; the class grid and what it is handed on as; deleting a pupil."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO

from sqlalchemy.orm import Session
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from millimark.desk.rendering import Form, goto, page, texts
from millimark.desk.setting import desk_of
from millimark.errors import SourceError
from millimark.records import classes, deleting, exports, marks, scripts
from millimark.records.class_lists import Listed, read_class_list
from millimark.records.oneroster import read_roster

Export = Callable[[Session, int], bytes]
_ZIP = b"PK\x03\x04"
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
EXPORTS: dict[str, tuple[Export, str, str]] = {
    "marks.csv": (exports.as_csv, "text/csv", "Table (CSV)"),
    "marks.xlsx": (exports.as_workbook, _XLSX, "Workbook (XLSX)"),
    "oneroster.zip": (exports.as_oneroster, "application/zip", "OneRoster results (ZIP)"),
    "marks.json": (exports.as_json, "application/json", "Everything measured (JSON)"),
    "annotated.pdf": (exports.as_annotated, "application/pdf", "Marked scripts (PDF)"),
    "class-sheet.pdf": (exports.as_class_sheet, "application/pdf", "Class sheet (PDF)"),
}
"""By file name: who writes it, its media type, what it is called."""


def grid(request: Request) -> Response:
    """The class at a glance."""
    run_id = request.path_params["run"]
    with desk_of(request).store.reading() as session:
        return page(
            request,
            "grid.html",
            run_id=run_id,
            grid=scripts.grid(session, run_id),
            waiting=marks.waiting(session, run_id),
            exports=[(name, what) for name, (_, _, what) in EXPORTS.items()],
        )


def export(request: Request) -> Response:
    """One of the files that marks are handed on as."""
    found = EXPORTS.get(request.path_params["name"])
    if found is None:
        return PlainTextResponse("Marks are not handed on as that.", 404)
    write, kind, _ = found
    with desk_of(request).store.reading() as session:
        content = write(session, request.path_params["run"])
    name = f"attachment; filename={request.path_params['name']}"
    return Response(content, media_type=kind, headers={"content-disposition": name})


def all_classes(request: Request) -> Response:
    """The classes, and the form for one more."""
    with desk_of(request).store.reading() as session:
        found = [(c.id, c.name, len(c.pupils)) for c in classes.all_classes(session)]
        return page(request, "classes.html", classes=found)


async def take_list(request: Request) -> Response:
    """A new class from a CSV file or from typed lines."""
    async with request.form(max_files=1, max_fields=10) as form:
        fields, sent = texts(form), form.get("list")
        data = await sent.read() if isinstance(sent, UploadFile) else b""
    return await run_in_threadpool(_make, request, fields, data)


def _make(request: Request, fields: Form, data: bytes) -> Response:
    if data.startswith(_ZIP):
        return _from_roster(request, data)
    listed = read_class_list(data) if data else _typed(fields.get("pupils", ""))
    if not listed:
        raise SourceError("The class has no pupils.", "Choose a CSV file, or write one a line.")
    with desk_of(request).store.writing() as session:
        made = classes.make_class(session, fields.get("name", ""), listed).id
    return goto(request, f"/classes/{made}", f"{len(listed)} pupils taken in.")


def _from_roster(request: Request, data: bytes) -> Response:
    """The classes of a OneRoster zip that have pupils, under the roster's own names."""
    found = [c for c in read_roster(BytesIO(data)) if c.pupils]
    if not found:
        raise SourceError("No class of the roster has pupils.", "Export the roster again.")
    with desk_of(request).store.writing() as session:
        for each in found:
            classes.make_class(session, each.title, each.pupils, each.sourced_id)
    names = ", ".join(each.title for each in found)
    return goto(request, "/classes", f"Taken in from the roster: {names}.")


def _typed(text: str) -> list[Listed]:
    names = [line.strip() for line in text.splitlines() if line.strip()]
    return [Listed(str(i), name) for i, name in enumerate(names, 1)]


def one_class(request: Request) -> Response:
    """A class's pupils."""
    with desk_of(request).store.reading() as session:
        found = classes.class_of(session, request.path_params["owner"])
        return page(request, "class.html", owner=found, pupils=list(found.pupils))


def pupil(request: Request) -> Response:
    """What deleting a pupil takes away, before it is done."""
    with desk_of(request).store.reading() as session:
        found = classes.pupil_of(session, request.path_params["pupil"])
        return page(request, "pupil.html", pupil=found, owner=found.teaching_class)


def delete_pupil(request: Request, form: Form) -> Response:
    """Delete a pupil and everything of theirs, once the form says that it is meant."""
    store, pupil_id = desk_of(request).store, request.path_params["pupil"]
    if form.get("sure") != "yes":
        return goto(request, f"/pupils/{pupil_id}", "Nothing was deleted: tick the box first.")
    with store.reading() as session:
        owner = classes.pupil_of(session, pupil_id).class_id
    gone = deleting.delete_pupil(store, pupil_id)
    said = (
        f"The pupil is deleted, with {gone.scripts} scripts, {gone.pages} pages and "
        f"{gone.files} files of scans. Exports and backups made before are yours to delete."
    )
    return goto(request, f"/classes/{owner}", said)
