"""Review: the marks that wait for a person first, each with the pupil's page and what was
measured; accept, change, comment. Every change is kept with who, when and why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, cast, get_args

from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from millimark.desk.answers import answer_picture
from millimark.desk.deviation import Profile, profiles
from millimark.desk.rendering import Form, goto, number, page
from millimark.desk.setting import desk_of, who_is
from millimark.errors import RecordsError
from millimark.paper.reading import paper_for_sheet, paper_from_data
from millimark.records import marks, scripts
from millimark.records.mark_tables import Decision, Mark
from millimark.records.models import Page
from millimark.records.printings import layout_of, printing_of
from millimark.sheet.layout import Layout

WORDS = {"awarded": "Awarded", "withheld": "Withheld", "teacher": "For you to decide"}


@dataclass(frozen=True)
class Seen:
    """One mark of the queue and its neighbours: ids, and its place from 1 of ``count``."""

    mark: Mark
    place: int
    count: int
    before: int | None
    after: int | None


def review(request: Request) -> Response:
    """One mark, the first that waits unless another is asked for."""
    wanted = request.query_params.get("mark", "")
    given = wanted.isascii() and wanted.isdigit() and len(wanted) <= 9
    return _shown(request, int(wanted) if given else None)


def _shown(
    request: Request,
    mark_id: int | None,
    conflict: marks.Conflict | None = None,
    why: str = "",
) -> Response:
    run_id = request.path_params["run"]
    with desk_of(request).store.reading() as session:
        run = printing_of(session, run_id)
        queue = marks.review_queue(session, run_id)
        if not queue:
            return page(request, "review_empty.html", run=run)
        seen = _seen(list(queue), mark_id)
        return page(
            request,
            "review.html",
            409 if conflict else 200,
            run=run,
            seen=seen,
            waiting=marks.waiting(session, run_id),
            conflict=conflict,
            why=why,
            words=WORDS,
            **_answer(session, run_id, seen.mark),
        )


def _answer(session: Session, run_id: int, mark: Mark) -> dict[str, Any]:
    """What is known of the answer that a mark is for."""
    answer = mark.answer
    found = scripts.page_of(session, answer.page_id)
    layout = layout_of(session, run_id)
    return {
        "pupil": answer.script.pupil,
        "sheet": answer.script.sheet,
        "question": answer.question,
        "siblings": answer.marks,
        "faults": _faults(found, answer.question),
        "profiles": _profiles(layout, found, answer.question),
        "history": marks.history(session, mark.id),
        "picture": answer_picture(layout, found, answer.question),
    }


def _seen(queue: list[Mark], mark_id: int | None) -> Seen:
    """The wanted mark in the queue; RecordsError if it is not of this print run."""
    ids = [mark.id for mark in queue]
    if mark_id is not None and mark_id not in ids:
        raise RecordsError(f"There is no mark {mark_id} in this print run.", "Choose another.")
    at = 0 if mark_id is None else ids.index(mark_id)
    return Seen(
        queue[at],
        at + 1,
        len(ids),
        ids[at - 1] if at else None,
        ids[at + 1] if at + 1 < len(ids) else None,
    )


def _faults(found: Page, question: str) -> list[str]:
    """Likely causes that measuring offers for the question."""
    return [
        fault["text"]
        for each in found.questions
        if each["question"] == question
        for fault in each["faults"]
    ]


def _profiles(layout: Layout, found: Page, question: str) -> tuple[Profile, ...]:
    """The deviation along each line of the answer, against the tolerance of its question."""
    kept = next((q for q in found.questions if q["question"] == question), None)
    sheet = next((s for s in layout.sheets if s.sheet == found.sheet), None)
    if kept is None or sheet is None:
        return ()
    paper = paper_for_sheet(paper_from_data(layout.paper), sheet)
    asked = next((q for q in paper.questions if q.number == question), None)
    return () if asked is None else profiles(kept, asked.tolerance.length_mm)


def decide(request: Request, form: Form) -> Response:
    """Change a mark or comment on it; on to the next one that waits."""
    run_id, mark_id = request.path_params["run"], number(form, "mark")
    to, why = form.get("to", ""), form.get("why", "").strip()
    if to not in get_args(Decision):
        raise RecordsError("No decision was made.", "Award the mark, or withhold it.")
    request.session["who"] = marks.check_marker(form.get("who", "") or who_is(request))
    with desk_of(request).store.writing() as session:
        before = [mark.id for mark in marks.review_queue(session, run_id)]
        if mark_id not in before:
            raise RecordsError(f"There is no mark {mark_id} in this print run.")
        done = marks.change(
            session, mark_id, cast(Decision, to), who_is(request), why, number(form, "seen")
        )
        left = [mark.id for mark in marks.borderline(session, run_id) if mark.id != mark_id]
        rest = before[before.index(mark_id) :]
        following = next((i for i in [*rest, *left] if i in left), None)
    if isinstance(done, marks.Conflict):
        return _shown(request, mark_id, done, why)
    place = f"/printings/{run_id}/review"
    said = f"{WORDS[done.decision]}, kept as version {done.version}."
    if following is None:
        return goto(request, f"{place}?mark={mark_id}", f"{said} Nothing waits any more.")
    return goto(request, f"{place}?mark={following}", said)
