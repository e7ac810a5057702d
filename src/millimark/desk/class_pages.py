"""Classes and pupils: lists taken in, names changed or left out, a pupil's history, everything of
theirs handed over or deleted."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import Response

from millimark.desk.rendering import Form, goto, page, texts
from millimark.desk.setting import desk_of
from millimark.errors import SourceError
from millimark.records import classes, deleting, handing_over, histories
from millimark.records.class_lists import Listed, read_class_list
from millimark.records.oneroster import read_roster

_ZIP = b"PK\x03\x04"


def all_classes(request: Request) -> Response:
    """The classes, and the form for one more."""
    with desk_of(request).store.reading() as session:
        found = [(c.id, c.name, len(c.pupils)) for c in classes.all_classes(session)]
        return page(request, "classes.html", classes=found)


# --- lists ------------------------------------------------------------------------------
async def take_list(request: Request) -> Response:
    """A new class from a CSV file, a roster, or typed lines."""
    return await _with_list(request, None)


async def add_list(request: Request) -> Response:
    """More pupils, or other names, for a class that is there."""
    return await _with_list(request, request.path_params["owner"])


async def _with_list(request: Request, owner: int | None) -> Response:
    async with request.form(max_files=1, max_fields=10) as form:
        fields, sent = texts(form), form.get("list")
        data = await sent.read() if isinstance(sent, UploadFile) else b""
    return await run_in_threadpool(_take, request, fields, data, owner)


def _take(request: Request, fields: Form, data: bytes, owner: int | None) -> Response:
    names = fields.get("names") != "no"
    if data.startswith(_ZIP):
        if owner is not None:
            raise SourceError(
                "A roster holds whole classes.", "Take it in on the page of all classes."
            )
        return _from_roster(request, data, names)
    listed = read_class_list(data) if data else _typed(fields.get("pupils", ""))
    if not listed:
        raise SourceError("The class has no pupils.", "Choose a CSV file, or write one a line.")
    listed = listed if names else [Listed(p.number, None) for p in listed]
    with desk_of(request).store.writing() as session:
        if owner is None:
            made = classes.make_class(session, fields.get("name", ""), listed).id
            return goto(request, f"/classes/{made}", f"{len(listed)} pupils taken in.")
        taken = classes.take_list(session, owner, listed)
    said = (
        f"{taken.added} pupils added, {taken.renamed} renamed. "
        f"{taken.missing} of the class are not on this list and were left as they are."
    )
    return goto(request, f"/classes/{owner}", said)


def _from_roster(request: Request, data: bytes, names: bool) -> Response:
    """The classes of a OneRoster zip that have pupils, under the roster's own names; a class that
    came from the roster before takes what is new."""
    found = [c for c in read_roster(BytesIO(data), names) if c.pupils]
    if not found:
        raise SourceError("No class of the roster has pupils.", "Export the roster again.")
    with desk_of(request).store.writing() as session:
        known = {c.sourced_id: c.id for c in classes.all_classes(session) if c.sourced_id}
        for each in found:
            if each.sourced_id in known:
                classes.take_list(session, known[each.sourced_id], each.pupils)
            else:
                classes.make_class(session, each.title, each.pupils, each.sourced_id)
    told = ", ".join(each.title for each in found)
    return goto(request, "/classes", f"Taken in from the roster: {told}.")


def _typed(text: str) -> list[Listed]:
    names = [line.strip() for line in text.splitlines() if line.strip()]
    return [Listed(str(i), name) for i, name in enumerate(names, 1)]


# --- a class ----------------------------------------------------------------------------
def one_class(request: Request) -> Response:
    """A class's pupils."""
    with desk_of(request).store.reading() as session:
        found = classes.class_of(session, request.path_params["owner"])
        return page(request, "class.html", owner=found, pupils=list(found.pupils))


def rename_class(request: Request, form: Form) -> Response:
    """Give a class another name."""
    owner = request.path_params["owner"]
    with desk_of(request).store.writing() as session:
        classes.rename_class(session, owner, form.get("name", ""))
    return goto(request, f"/classes/{owner}", "The class has its new name.")


def delete_class(request: Request, form: Form) -> Response:
    """Delete a class with all its pupils, once the form says that it is meant."""
    owner = request.path_params["owner"]
    if form.get("sure") != "yes":
        return goto(request, f"/classes/{owner}", "Nothing was deleted: tick the box first.")
    gone = deleting.delete_class(desk_of(request).store, owner)
    said = (
        f"The class is deleted: {gone.pupils} pupils, {gone.scripts} scripts and "
        f"{gone.files} files of scans. Exports and backups made before are yours to delete."
    )
    return goto(request, "/classes", said)


# --- a pupil ----------------------------------------------------------------------------
def pupil(request: Request) -> Response:
    """A pupil's history."""
    with desk_of(request).store.reading() as session:
        found = classes.pupil_of(session, request.path_params["pupil"])
        return page(
            request,
            "pupil.html",
            pupil=found,
            owner=found.teaching_class,
            history=histories.history(session, found.id),
        )


def rename_pupil(request: Request, form: Form) -> Response:
    """Another name, or none: the number then stands for the pupil."""
    pupil_id = request.path_params["pupil"]
    with desk_of(request).store.writing() as session:
        found = classes.rename_pupil(session, pupil_id, form.get("name", ""))
        said = "The name is changed." if found.name else "No name is kept: the number stands."
    return goto(request, f"/pupils/{pupil_id}", said)


def take_away(request: Request) -> Response:
    """Everything of one pupil as a zip."""
    pupil_id = request.path_params["pupil"]
    with TemporaryDirectory(prefix="millimark-") as folder:
        made = Path(folder) / "pupil.zip"
        handing_over.export_pupil(desk_of(request).store, pupil_id, made)
        content = made.read_bytes()
    said = {"content-disposition": f'attachment; filename="pupil-{pupil_id}.zip"'}
    return Response(content, media_type="application/zip", headers=said)


def ask_to_delete(request: Request) -> Response:
    """What deleting a pupil takes away, before it is done."""
    with desk_of(request).store.reading() as session:
        found = classes.pupil_of(session, request.path_params["pupil"])
        return page(request, "pupil_delete.html", pupil=found, owner=found.teaching_class)


def delete_pupil(request: Request, form: Form) -> Response:
    """Delete a pupil and everything of theirs, once the form says that it is meant."""
    store, pupil_id = desk_of(request).store, request.path_params["pupil"]
    if form.get("sure") != "yes":
        return goto(
            request, f"/pupils/{pupil_id}/delete", "Nothing was deleted: tick the box first."
        )
    with store.reading() as session:
        owner = classes.pupil_of(session, pupil_id).class_id
    gone = deleting.delete_pupil(store, pupil_id)
    said = (
        f"The pupil is deleted, with {gone.scripts} scripts, {gone.pages} pages and "
        f"{gone.files} files of scans. Exports and backups made before are yours to delete."
    )
    return goto(request, f"/classes/{owner}", said)
