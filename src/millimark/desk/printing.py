"""Print: a class or a number of sheets, typeset by the press; the PDFs to look at and take away."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from millimark.desk import page_pictures
from millimark.desk.faults import Fault
from millimark.desk.mending_pages import to_mend
from millimark.desk.paper_fields import PAPER_FIELDS, shown_in
from millimark.desk.paper_text import data_of
from millimark.desk.press import Report
from millimark.desk.preview import whole_paper
from millimark.desk.rendering import Form, goto, number, page
from millimark.desk.setting import desk_of
from millimark.errors import RecordsError
from millimark.paper.printing import FOR_THE_TEACHER, QUESTION_PAPER
from millimark.records import classes, deleting, marks, papers, printings, queue, uploads
from millimark.records.store import Store

NAMES = {
    QUESTION_PAPER: "Question paper, a sheet for each pupil",
    "model-answers.pdf": "Model answers",
    "overlays.pdf": "Overlays for a transparency",
    "mark-scheme.pdf": "Mark scheme",
    "step-booklet.pdf": "Step booklet",
    "register.pdf": "Register of the sheets",
}
_ACCESS = {field.name: field for field in PAPER_FIELDS if field.path[0] == "access"}


def ask(request: Request) -> Response:
    """For whom a paper is printed, how, and what besides the question paper."""
    paper_id = request.path_params["paper"]
    with desk_of(request).store.reading() as session:
        version = papers.version_of(session, paper_id)
        data = data_of(version.text)
        found = whole_paper(data)
        return page(
            request,
            "print.html",
            paper_id=paper_id,
            title=version.paper.title,
            count=len(data["questions"]),
            fault=found if isinstance(found, Fault) else None,
            access=_ACCESS,
            usual=shown_in(tuple(_ACCESS.values()), data),
            names={kind: NAMES[f"{kind}.pdf"] for kind in FOR_THE_TEACHER},
            classes=[(c.id, c.name, len(c.pupils)) for c in classes.all_classes(session)],
        )


def pupils_of_class(request: Request) -> Response:
    """The pupils of the class that is chosen, each with how their own sheet is set: as at the
    last print run of the class. A fragment of the page."""
    chosen = request.query_params.get("class", "")
    if not (chosen.isascii() and chosen.isdigit() and len(chosen) <= 9):
        return page(request, "print_pupils.html", pupils=[], access=_ACCESS, looks={})
    with desk_of(request).store.reading() as session:
        owner = classes.class_of(session, int(chosen))
        return page(
            request,
            "print_pupils.html",
            pupils=[(p.id, p.label) for p in owner.pupils],
            access=_ACCESS,
            looks=printings.looks_of_class(session, owner.id),
        )


def print_it(request: Request, form: Form) -> Response:
    """Order the version in force from the press."""
    desk, paper_id = desk_of(request), request.path_params["paper"]
    with desk.store.reading() as session:
        version = papers.version_of(session, paper_id)
        version_id, title = version.id, version.paper.title or "the paper"
        version_text = version.text
        pupils: list[int] = []
        if form.get("class"):
            pupils = [p.id for p in classes.class_of(session, number(form, "class")).pupils]
    looks = _looks(version_text, form, pupils)
    job = desk.press.order(
        f"Printing {title}",
        f"/papers/{paper_id}/print",
        typeset_run,
        desk.store.folder,
        desk.store.url,
        version_id,
        number(form, "class") if form.get("class") else None,
        number(form, "sheets") if form.get("sheets") else 0,
        _access(version_text, form),
        looks,
        [kind for kind in FOR_THE_TEACHER if form.get(f"with-{kind}")],
        arrive=lambda run: f"/printings/{run}",
    )
    return goto(request, f"/jobs/{job.id}")


def _access(text: str, form: Form) -> dict[str, str] | None:
    """How a print run is set otherwise than its paper says; None where it is not."""
    usual = shown_in(tuple(_ACCESS.values()), data_of(text))
    asked = {
        name: form.get(name) or usual[name] or field.options[0] for name, field in _ACCESS.items()
    }
    same = all(asked[name] == (usual[name] or field.options[0]) for name, field in _ACCESS.items())
    return None if same else asked


def _looks(text: str, form: Form, pupils: list[int]) -> dict[int, dict[str, str]]:
    """By pupil how their own sheet is set; what a row leaves open is as for the others."""
    usual = _access(text, form) or {
        name: shown or _ACCESS[name].options[0]
        for name, shown in shown_in(tuple(_ACCESS.values()), data_of(text)).items()
    }
    found = {}
    for pupil in pupils:
        own = {name: form.get(f"{name}-{pupil}") or usual[name] for name in _ACCESS}
        if own != usual:
            found[pupil] = own
    return found


def typeset_run(
    report: Report,
    folder: Path,
    url: str | None,
    version: int,
    owner: int | None,
    sheets: int,
    access: dict[str, Any] | None,
    looks: dict[int, dict[str, str]],
    wanted: list[str],
) -> int:
    """The press's work: typeset a print run; its id comes back."""
    store = Store.open(folder, url)
    try:
        return printings.print_for(store, version, owner, sheets, access, report, wanted, looks)
    finally:
        store.close()


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
            files=[(name, NAMES[name]) for name in NAMES if name in files],
            **standing(session, run_id),
        )


def standing(session: Session, run_id: int) -> dict[str, Any]:
    """How far the scans of a print run are."""
    return {
        "run_id": run_id,
        "standings": uploads.standings(session, run_id),
        **to_mend(session, run_id),
        "busy": queue.busy(session, run_id),
        "waiting": marks.waiting(session, run_id),
    }


def file(request: Request) -> Response:
    """A PDF of a print run, by one of the names that there are."""
    place = _file(request)
    if place is None:
        return _no_file()
    how = "attachment" if "save" in request.query_params else "inline"
    shown = {"content-disposition": f'{how}; filename="{place.name}"'}
    return Response(place.read_bytes(), media_type="application/pdf", headers=shown)


def look(request: Request) -> Response:
    """Every page of such a PDF to look at."""
    place = _file(request)
    if place is None:
        raise RecordsError("There is no such file in this print run.", "Choose one that there is.")
    run_id = request.path_params["run"]
    with desk_of(request).store.reading() as session:
        title = printings.printing_of(session, run_id).title
    pages = page_pictures.pages_of(place, place.stat().st_mtime_ns)
    return page(
        request,
        "look.html",
        run_id=run_id,
        title=title,
        file=place.name,
        what=NAMES.get(place.name, place.name),
        pages=pages,
    )


def page_picture(request: Request) -> Response:
    """A page of such a PDF as a picture."""
    place = _file(request)
    if place is None:
        return _no_file()
    picture = page_pictures.page_of(place, place.stat().st_mtime_ns, request.path_params["page"])
    if picture is None:
        return PlainTextResponse("The file has no such page.", 404)
    return Response(picture, media_type="image/png")


def _no_file() -> Response:
    return PlainTextResponse("There is no such file in this print run.", 404)


def _file(request: Request) -> Path | None:
    """The name is looked up among the files that exist, never joined to a path."""
    store = desk_of(request).store
    name = request.path_params["name"]
    with store.reading() as session:
        return printings.files_of(store, session, request.path_params["run"]).get(name)


def delete(request: Request, form: Form) -> Response:
    """Delete a print run with its scans and marks, if the form says so twice."""
    run_id = request.path_params["run"]
    if form.get("sure") != "yes":
        return goto(request, f"/printings/{run_id}", "Nothing was deleted: tick the box first.")
    gone = deleting.delete_printing(desk_of(request).store, run_id)
    said = f"Deleted: the print run, {gone.scripts} scripts and {gone.files} files of scans."
    return goto(request, "/printings", said)
