"""Review: the marks that wait for a person first, each with the pupil's page and what was
measured; accept, change, comment. Every change is kept with who, when and why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast, get_args

from markupsafe import Markup
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from millimark.desk.rendering import Form, goto, number, page
from millimark.desk.setting import desk_of, who_is
from millimark.errors import RecordsError
from millimark.records import marks, scripts
from millimark.records.mark_tables import Decision, Mark
from millimark.records.models import Page
from millimark.records.printings import layout_of, printing_of
from millimark.showing.stage import inner

Box = tuple[float, float, float, float]
WORDS = {"awarded": "Awarded", "withheld": "Withheld", "teacher": "For you to decide"}
_MARGIN = 4.0  # mm of page that are seen round the answer frame


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
        answer = seen.mark.answer
        found = scripts.page_of(session, answer.page_id)
        return page(
            request,
            "review.html",
            409 if conflict else 200,
            run=run,
            seen=seen,
            waiting=marks.waiting(session, run_id),
            pupil=answer.script.pupil.label if answer.script.pupil else None,
            sheet=answer.script.sheet,
            question=answer.question,
            siblings=answer.marks,
            faults=_faults(found, answer.question),
            history=marks.history(session, seen.mark.id),
            picture=_picture(session, run_id, answer.script.sheet, found, answer.question),
            conflict=conflict,
            why=why,
            words=WORDS,
        )


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


@dataclass(frozen=True)
class Picture:
    """The page's picture below the SVG that was drawn over it: page mm."""

    page_id: int
    width: float
    height: float
    frame: Box
    overlay: Markup


def _picture(session: Session, run_id: int, sheet: str, found: Page, question: str) -> Picture:
    layout = layout_of(session, run_id)
    width, height, frame = 210.0, 297.0, (0.0, 0.0, 210.0, 297.0)
    for each in (p for s in layout.sheets if s.sheet == sheet for p in s.pages):
        if each.page == found.page:
            width, height = each.width_mm, each.height_mm
            frame = next(
                (q.frame_mm for q in each.questions if q.question == question),
                (0.0, 0.0, width, height),
            )
    x0, y0, x1, y1 = frame
    box = (x0 - _MARGIN, y0 - _MARGIN, x1 - x0 + 2 * _MARGIN, y1 - y0 + 2 * _MARGIN)
    # Marking wrote the overlay on its canvas, which escapes what it letters.
    drawn = Markup(inner(found.overlay)) if found.overlay else Markup()
    return Picture(found.id, width, height, box, drawn)


def picture(request: Request) -> Response:
    """A page's straightened picture."""
    with desk_of(request).store.reading() as session:
        found = scripts.page_of(session, request.path_params["page"]).picture
    if found is None:
        return PlainTextResponse("This page has no picture.", 404)
    return Response(found, media_type="image/jpeg")


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
