"""Print: a class or a number of sheets, and the PDFs to look at and take away."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from threading import Lock
from typing import Any

from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from millimark.desk.paper_text import data_of
from millimark.desk.rendering import Form, goto, number, page
from millimark.desk.setting import desk_of
from millimark.records import classes, deleting, marks, papers, printings, queue, uploads

NAMES = {
    "question-paper.pdf": "Question paper, a sheet for each pupil",
    "model-answers.pdf": "Model answers",
    "overlays.pdf": "Overlays for a transparency",
    "mark-scheme.pdf": "Mark scheme",
    "register.pdf": "Register of the sheets",
    "step-booklet.pdf": "Step booklet",
}
_PX_PER_MM = 2.0
_ONE_AT_A_TIME = Lock()
"""PDFium may not be called from two threads at once."""


def ask(request: Request) -> Response:
    """For whom a paper is printed."""
    paper_id = request.path_params["paper"]
    with desk_of(request).store.reading() as session:
        version = papers.version_of(session, paper_id)
        return page(
            request,
            "print.html",
            paper_id=paper_id,
            title=version.paper.title,
            count=len(data_of(version.text)["questions"]),
            classes=[(c.id, c.name, len(c.pupils)) for c in classes.all_classes(session)],
        )


def print_it(request: Request, form: Form) -> Response:
    """Typeset the version in force."""
    store = desk_of(request).store
    with store.reading() as session:
        version = papers.version_of(session, request.path_params["paper"]).id
    owner = number(form, "class") if form.get("class") else None
    sheets = number(form, "sheets") if form.get("sheets") else 0
    run = printings.print_for(store, version, owner, sheets)
    return goto(request, f"/printings/{run}", "Printed. The files are below.")


def runs(request: Request) -> Response:
    """Every print run and what waits in it."""
    with desk_of(request).store.reading() as session:
        found = [
            (run, marks.waiting(session, run.id), queue.busy(session, run.id))
            for run in printings.all_printings(session)
        ]
        return page(request, "printings.html", runs=found)


def run(request: Request) -> Response:
    """One print run: its files, its scans, its marks."""
    run_id = request.path_params["run"]
    store = desk_of(request).store
    with store.reading() as session:
        found = printings.printing_of(session, run_id)
        files = printings.files_of(store, session, run_id)
        return page(
            request,
            "printing.html",
            run=found,
            files=[(name, NAMES.get(name, name)) for name in NAMES if name in files],
            **standing(session, run_id),
        )


def standing(session: Session, run_id: int) -> dict[str, Any]:
    """How far the scans of a print run are."""
    return {
        "run_id": run_id,
        "standings": uploads.standings(session, run_id),
        "unread": uploads.unread_pages(session, run_id),
        "busy": queue.busy(session, run_id),
        "waiting": marks.waiting(session, run_id),
    }


def file(request: Request) -> Response:
    """A PDF of a print run, by one of the names that there are."""
    place = _file(request, request.path_params["name"])
    if place is None:
        return PlainTextResponse("There is no such file in this print run.", 404)
    shown = {"content-disposition": f'inline; filename="{place.name}"'}
    return Response(place.read_bytes(), media_type="application/pdf", headers=shown)


def first_page(request: Request) -> Response:
    """The first page of such a PDF as a picture."""
    place = _file(request, f"{request.path_params['name']}.pdf")
    if place is None:
        return PlainTextResponse("There is no such file in this print run.", 404)
    return Response(_picture(place, place.stat().st_mtime_ns), media_type="image/png")


def _file(request: Request, name: str) -> Path | None:
    """The name is looked up among the files that exist, never joined to a path."""
    store = desk_of(request).store
    with store.reading() as session:
        return printings.files_of(store, session, request.path_params["run"]).get(name)


@lru_cache(maxsize=32)
def _picture(place: Path, changed: int) -> bytes:
    import cv2

    from millimark.paper.raster import pdf_page

    with _ONE_AT_A_TIME:
        grey = pdf_page(place, 1, _PX_PER_MM)
    return bytes(cv2.imencode(".png", grey)[1])


def delete(request: Request, form: Form) -> Response:
    """Delete a print run with its scans and marks, if the form says so twice."""
    run_id = request.path_params["run"]
    if form.get("sure") != "yes":
        return goto(request, f"/printings/{run_id}", "Nothing was deleted: tick the box first.")
    gone = deleting.delete_printing(desk_of(request).store, run_id)
    said = f"Deleted: the print run, {gone.scripts} scripts and {gone.files} files of scans."
    return goto(request, "/printings", said)
