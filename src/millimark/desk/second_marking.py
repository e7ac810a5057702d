"""Second marking: a round of sheets that others mark blind, and what comes of comparing them."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import lru_cache
from typing import cast
from urllib.parse import quote

from markupsafe import Markup
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from millimark.desk.answers import Picture, answer_picture
from millimark.desk.rendering import Form, goto, number, page
from millimark.desk.reviewing import WORDS
from millimark.desk.setting import desk_of, who_is
from millimark.drawing.svg import SvgCanvas
from millimark.errors import MillimarkError, RecordsError
from millimark.paper.editions import plans_of_sheets
from millimark.paper.figure_drawing import draw_band
from millimark.records import blind, marks, rounds, scripts
from millimark.records.models import Page
from millimark.records.printings import layout_of, printing_of
from millimark.sheet.layout import Layout, SheetMap, as_json, from_json
from millimark.showing.stage import inner

TRUE_SIZE = 0.005
"""An overlay fits a page printed within this share of its true size: 0.5 mm in 100."""
MOST_SHOWN = 10
"""Differences on one page; those still to be settled come first."""


def overview(request: Request) -> Response:
    """The rounds of a print run, how far they are, and the form for one more."""
    run_id = request.path_params["run"]
    with desk_of(request).store.reading() as session:
        found = scripts.grid(session, run_id)
        return page(
            request,
            "second.html",
            run=printing_of(session, run_id),
            rounds=rounds.rounds_of(session, run_id),
            sheets=sum(bool(row.cells) for row in found.rows),
        )


def begin(request: Request, form: Form) -> Response:
    """Begin a round of all sheets, or of some drawn at random."""
    run_id = request.path_params["run"]
    most = number(form, "sheets") if form.get("which") == "some" else None
    with desk_of(request).store.writing() as session:
        made = rounds.begin(session, run_id, who_is(request), most)
        count = len(made.sheets)
    said = f"A round of {count} sheet{'' if count == 1 else 's'} is open."
    return goto(request, f"/printings/{run_id}/second", said)


# --- marking blind ----------------------------------------------------------------------
def mark(request: Request) -> Response:
    """One mark for a blind marker: what it is for and the pupil's drawing, nothing else."""
    run_id, round_id = request.path_params["run"], request.path_params["round"]
    with desk_of(request).store.reading() as session:
        rounds.round_of(session, run_id, round_id)
        queue = blind.to_decide(session, round_id, who_is(request))
        if not queue:
            raise RecordsError("No sheet of this round is left.", "Begin another round.")
        at = _at(queue, request.query_params.get("mark", ""))
        layout = layout_of(session, run_id)
        found = scripts.page_of(session, queue[at].page_id)
        return page(
            request,
            "second_mark.html",
            run=printing_of(session, run_id),
            round_id=round_id,
            seen=queue[at],
            place=at + 1,
            count=len(queue),
            done=sum(m.mine is not None for m in queue),
            before=queue[at - 1].mark_id if at else None,
            after=queue[at + 1].mark_id if at + 1 < len(queue) else None,
            picture=answer_picture(layout, found, queue[at].question),
            band=_band(layout, found, queue[at].question),
            words=WORDS,
        )


def _at(queue: list[blind.BlindMark], wanted: str) -> int:
    """The place of the wanted mark, else of the first that is undecided, else the first."""
    ids = [str(m.mark_id) for m in queue]
    if wanted in ids:
        return ids.index(wanted)
    return next((k for k, m in enumerate(queue) if m.mine is None), 0)


def decide(request: Request, form: Form) -> Response:
    """Keep a blind decision; on to the next mark that this marker has not decided."""
    run_id, round_id = request.path_params["run"], request.path_params["round"]
    mark_id = number(form, "mark")
    to = cast(blind.Opinion, form.get("to", ""))
    who = request.session["who"] = marks.check_marker(form.get("who", "") or who_is(request))
    place = f"/printings/{run_id}/second/{round_id}"
    with desk_of(request).store.writing() as session:
        rounds.round_of(session, run_id, round_id)
        ids = [m.mark_id for m in blind.to_decide(session, round_id, who)]
        if mark_id not in ids:
            raise RecordsError(f"There is no mark {mark_id} in this round.", "Choose another.")
        blind.decide(session, mark_id, who, to, form.get("why", ""))
        queue = blind.to_decide(session, round_id, who)
    open_ = {m.mark_id for m in queue if m.mine is None}
    at = ids.index(mark_id)
    following = next((i for i in [*ids[at:], *ids[:at]] if i in open_), None)
    if following is None:
        said = f"{who} has decided every mark of this round."
        return goto(request, f"/printings/{run_id}/second", said)
    return goto(request, f"{place}/mark?mark={following}", f"{WORDS[to]}. Kept.")


def _band(layout: Layout, found: Page, question: str) -> Markup | None:
    """The overlay with the tolerance band for one question, as the transparency has it; None
    where the page was not printed at true size, or the paper cannot be planned any more."""
    sheet = next((s for s in layout.sheets if s.sheet == found.sheet), None)
    if sheet is None or abs((found.print_scale or 1.0) - 1.0) > TRUE_SIZE:
        return None
    alone = as_json(Layout(layout.paper, layout.paper_id, (sheet,)))
    drawn = _bands(json.dumps(alone, sort_keys=True)).get(question)
    return None if drawn is None else Markup(inner(drawn))


@lru_cache(maxsize=64)
def _bands(layout_json: str) -> dict[str, str]:
    """The bands of one sheet by question, as SVG in page mm."""
    layout = from_json(json.loads(layout_json))
    sheets: list[SheetMap] = list(layout.sheets)
    try:
        (plan,) = plans_of_sheets(layout.paper, layout.paper_id, sheets)
    except MillimarkError:
        return {}
    found = {}
    for drawn in plan.drawn:
        canvas = SvgCanvas(drawn.picture_box)
        curves = [c for _, loci in drawn.ink.loci for c in loci]
        draw_band(canvas, curves, drawn.question.tolerance.length_mm)
        found[drawn.question.number] = canvas.svg()
    return found


# --- comparing --------------------------------------------------------------------------
@dataclass(frozen=True)
class Shown:
    """A difference with the answer that it is about."""

    differing: blind.Differing
    sheet: str
    question: str
    picture: Picture
    last: str


def compare(request: Request) -> Response:
    """Two markers side by side, or one beside the marks as they stood."""
    return _compared(request, *_pair(request.query_params.get("pair", "")))


def _pair(text: str) -> tuple[str | None, str | None]:
    """(first, second) from 'first|second'; first None for the marks as they stood."""
    first, _, second = text.partition("|")
    return first or None, second or None


def _compared(
    request: Request,
    first: str | None,
    second: str | None,
    conflict: marks.Conflict | None = None,
) -> Response:
    run_id, round_id = request.path_params["run"], request.path_params["round"]
    with desk_of(request).store.reading() as session:
        round_ = rounds.round_of(session, run_id, round_id)
        stands = rounds.standing(session, round_)
        names = list(stands.markers)
        if not names:
            raise RecordsError("Nobody has marked in this round yet.", "Mark first.")
        second = second if second in names else names[0]
        first = first if first in names and first != second else None
        found = blind.compare(session, round_id, first, second)
        ordered = sorted(found.differing, key=lambda d: d.settled)
        return page(
            request,
            "second_compare.html",
            409 if conflict else 200,
            run=printing_of(session, run_id),
            round_id=round_id,
            stands=stands,
            first=first,
            second=second,
            pairs=_pairs(names),
            found=found,
            unsettled=sum(not d.settled for d in found.differing),
            shown=[_shown(session, run_id, d) for d in ordered[:MOST_SHOWN]],
            conflict=conflict,
            words=WORDS,
        )


def _pairs(names: list[str]) -> list[tuple[str, str]]:
    """Every comparison that can be asked for: its value and what it is called."""
    alone = [(f"|{n}", f"{n} with the marks as they stood") for n in names]
    both = [(f"{a}|{b}", f"{a} with {b}") for k, a in enumerate(names) for b in names[k + 1 :]]
    return alone + both


def _shown(session: Session, run_id: int, differing: blind.Differing) -> Shown:
    answer = differing.mark.answer
    found = scripts.page_of(session, answer.page_id)
    history = marks.history(session, differing.mark.id)
    last = f"{history[-1].who}: {history[-1].why}" if history else ""
    picture = answer_picture(layout_of(session, run_id), found, answer.question)
    return Shown(differing, answer.script.sheet, answer.question, picture, last)


def settle(request: Request, form: Form) -> Response:
    """Put what was agreed into the mark itself."""
    run_id, round_id = request.path_params["run"], request.path_params["round"]
    first, second = _pair(form.get("pair", ""))
    to, why = cast(blind.Opinion, form.get("to", "")), form.get("why", "").strip()
    if not why:
        raise RecordsError("A settled mark needs a reason.", "Say in a few words what was agreed.")
    request.session["who"] = marks.check_marker(form.get("who", "") or who_is(request))
    mark_id = number(form, "mark")
    with desk_of(request).store.writing() as session:
        rounds.round_of(session, run_id, round_id)
        if mark_id not in {m.mark_id for m in blind.to_decide(session, round_id, "settling")}:
            raise RecordsError(f"There is no mark {mark_id} in this round.", "Choose another.")
        done = blind.settle(session, mark_id, to, who_is(request), why, number(form, "seen"))
    if isinstance(done, marks.Conflict):
        return _compared(request, first, second, done)
    place = f"/printings/{run_id}/second/{round_id}/compare"
    said = f"{WORDS[done.decision]}, kept as version {done.version}."
    return goto(request, f"{place}?pair={quote(form.get('pair', ''))}", said)
