"""Feed back: what went wrong in the class, with pictures; a sheet to teach it again; files for
pupils, for the mark book and for the roster."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from millimark.bank import reteach
from millimark.bank.reteach import Seen, Suggestion
from millimark.desk.answers import Picture, answer_picture
from millimark.desk.rendering import Form, goto, page
from millimark.desk.setting import desk_of, who_is
from millimark.errors import RecordsError
from millimark.marking.mistake_words import MISTAKES
from millimark.marking.summary import ADVICE, OfFault, by_fault, by_question
from millimark.records import exports, marks, papers, scripts
from millimark.records.models import Page, Script
from millimark.records.printings import printing_of
from millimark.records.scripts import Marked

Export = Callable[[Session, int], bytes]
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
_PDF = "application/pdf"
ROSTER = "oneroster.zip"
EXPORTS: dict[str, tuple[Export, str, str]] = {
    "feedback.pdf": (exports.as_feedback, _PDF, "Feedback sheets, one for each pupil (PDF)"),
    "annotated.pdf": (exports.as_annotated, _PDF, "Marked scripts (PDF)"),
    "class-sheet.pdf": (exports.as_class_sheet, _PDF, "Class sheet (PDF)"),
    "marks.csv": (exports.as_csv, "text/csv", "Table of marks (CSV)"),
    "marks.xlsx": (exports.as_workbook, _XLSX, "Workbook (XLSX)"),
    ROSTER: (exports.as_oneroster, "application/zip", "OneRoster results (ZIP)"),
    "marks.json": (exports.as_json, "application/json", "Everything measured (JSON)"),
}
"""By file name: who writes it, its media type, what it is called."""
MOST_FAULTS = 8


@dataclass(frozen=True)
class Shown:
    """A fault of the class with its clearest example; no picture where its page is gone."""

    fault: OfFault
    question: str
    text: str
    picture: Picture | None


def feedback(request: Request) -> Response:
    """The commonest faults with pictures, the questions, and what can be taken away."""
    run_id = request.path_params["run"]
    with desk_of(request).store.reading() as session:
        found = scripts.marked(session, run_id, pictures=False)
        faults = by_fault(found.scripts)
        return page(
            request,
            "feedback.html",
            run=printing_of(session, run_id),
            scripts=len(found.scripts),
            questions=by_question(found.scripts),
            faults=[_shown(session, run_id, found, f) for f in faults[:MOST_FAULTS]],
            more=max(0, len(faults) - MOST_FAULTS),
            waiting=marks.waiting(session, run_id),
            exports=[(name, what) for name, (_, _, what) in EXPORTS.items() if name != ROSTER],
            roster=_from_roster(session, run_id),
        )


def _from_roster(session: Session, run_id: int) -> bool:
    """Whether the run was printed for a class that came from a roster."""
    owner = printing_of(session, run_id).teaching_class
    return owner is not None and owner.sourced_id is not None


def _shown(session: Session, run_id: int, found: Marked, fault: OfFault) -> Shown:
    sheet, question, example = fault.example
    kept = session.scalar(
        select(Page.id)
        .join(Script, Page.script_id == Script.id)
        .where(
            Script.printing_id == run_id,
            Script.sheet == sheet,
            Page.page == question.page,
            Page.state == "read",
        )
    )
    picture = None
    if kept is not None:
        whole = scripts.page_of(session, kept)
        picture = answer_picture(found.layout, whole, question.question)
    return Shown(fault, question.question, example.text, picture)


def export(request: Request) -> Response:
    """One of the files that marks are handed on as."""
    found = EXPORTS.get(request.path_params["name"])
    if found is None:
        return PlainTextResponse("Marks are not handed on as that.", 404)
    write, kind, _ = found
    run_id, period = request.path_params["run"], request.query_params.get("period", "")
    with desk_of(request).store.reading() as session:
        if write is exports.as_oneroster:
            content = exports.as_oneroster(session, run_id, period.strip()[:255])
        else:
            content = write(session, run_id)
    return _taken(content, kind, request.path_params["name"])


def pupils_sheet(request: Request) -> Response:
    """The feedback sheet of one script."""
    with desk_of(request).store.reading() as session:
        script = scripts.script_of(session, request.path_params["script"])
        content = exports.as_feedback(session, script.printing_id, script.sheet)
        name = f"feedback-{script.sheet}.pdf"
    return _taken(content, _PDF, name)


def _taken(content: bytes, kind: str, name: str) -> Response:
    said = f'attachment; filename="{name}"'
    return Response(content, media_type=kind, headers={"content-disposition": said})


# --- teaching it again ------------------------------------------------------------------
def plan(request: Request) -> Response:
    """Questions of the bank for what went wrong, to choose from."""
    run_id = request.path_params["run"]
    with desk_of(request).store.reading() as session:
        found = scripts.marked(session, run_id, pictures=False)
        return page(
            request,
            "reteach.html",
            run=printing_of(session, run_id),
            title=f"{found.paper.title}: once more"[:200],
            suggestions=[(s, *_words(s.fault)) for s in suggested(found)],
        )


def suggested(found: Marked) -> tuple[Suggestion, ...]:
    """What the bank has for the faults of these scripts. An answer that has all its marks, by
    measuring or by a person's decision, shows none."""
    counts: dict[tuple[str, str], int] = {}
    for script in found.scripts:
        for answer in (q for q in script.questions if q.awarded < q.out_of):
            for code in {f.fault for f in answer.faults}:
                counts[code, answer.question] = counts.get((code, answer.question), 0) + 1
    asked = {q.number: q for q in found.paper.questions}
    seen = [
        Seen(code, answers, asked[number].given, asked[number].ask)
        for (code, number), answers in counts.items()
        if number in asked
    ]
    return reteach.suggest(seen)


def _words(fault: str) -> tuple[str, str]:
    """What a fault is called for the class, and a reminder that speaks to pupils; "" for none."""
    title, advice = ADVICE.get(fault, (fault.replace("-", " ").capitalize(), ""))
    return title, MISTAKES[fault].practice if fault in MISTAKES else advice


def make(request: Request, form: Form) -> Response:
    """A new paper of the questions that were chosen."""
    run_id = request.path_params["run"]
    with desk_of(request).store.reading() as session:
        found = scripts.marked(session, run_id, pictures=False)
    chosen = [s for s in suggested(found) if form.get(s.question.id) == "yes"]
    if not chosen:
        raise RecordsError("No question was chosen.", "Tick at least one.")
    advised = [(s.question, _words(s.fault)[1]) for s in chosen]
    title = " ".join(form.get("title", "").split())[:200] or "Once more"
    text = reteach.paper(title, advised, found.paper.page)
    with desk_of(request).store.writing() as session:
        made = papers.make_paper(session, text, who_is(request)).id
    said = "The sheet is a paper like any other: change it, then print it."
    return goto(request, f"/papers/{made}/questions/1", said)
