"""What the teacher gets: model answers, overlays with the tolerance band, the mark scheme."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from millimark.drawing.canvas import Pen
from millimark.drawing.lettering import type_size
from millimark.drawing.look import BODY, FINE, INK, LABEL, PLUM, RULE, SLATE, SMALL
from millimark.drawing.svg import SvgCanvas
from millimark.loci.pointed import is_of_points, points_name
from millimark.paper.alt import describe_question
from millimark.paper.answer_lines import draw_answer_lines
from millimark.paper.figure_drawing import (
    draw_band,
    draw_frame,
    draw_given,
    draw_working,
    shade_region,
)
from millimark.paper.formats import SIDE
from millimark.paper.furniture import draw_check_rule, rectangle
from millimark.paper.items import picture, text_line, unbroken
from millimark.paper.question import Criterion, Paper, Question
from millimark.paper.question_pages import TEMPLATE, Drawn, PaperPlan, document, words
from millimark.paper.typesetting import typeset
from millimark.plane.curves import Segment
from millimark.plane.point import Point
from millimark.sheet.border import border_marks
from millimark.sheet.layout import SheetMap


def typeset_model_answers(plans: Sequence[PaperPlan], sheets: Sequence[SheetMap]) -> bytes:
    """The PDF of model answers: answer bold, construction fine, the steps in words.

    Sheets that have the same question share its answer; who has which is said.
    """
    files: dict[str, str] = {}
    answers = []
    for drawn, owners in distinct_questions(plans, sheets):
        name = f"answer-{len(files)}.svg"
        files[name] = _answer_svg(drawn)
        answers.append({**_model_answer(drawn), "file": name, "sheets": for_sheets(owners, sheets)})
    data = {**flow(plans[0], "Model answers"), "questions": answers}
    return typeset("model-answers", data, files)


def typeset_overlays(plans: Sequence[PaperPlan], sheets: Sequence[SheetMap]) -> bytes:
    """The PDF of overlays: the question paper's pages with the tolerance bands alone.

    Pages that are the same for several sheets are printed once.
    """
    format_ = plans[0].format
    files = {"edges.svg": _edges_svg(plans[0])}
    owners: dict[tuple[str, ...], list[str]] = {}
    pages: dict[tuple[str, ...], tuple[PaperPlan, int]] = {}
    for plan, sheet in zip(plans, sheets, strict=True):
        for page in range(1, plan.page_count + 1):
            key = tuple(_band_svg(d) for d in plan.on_page(page))
            owners.setdefault(key, []).append(sheet.sheet)
            pages.setdefault(key, (plan, page))
    made: list[Any] = []
    for bands, (plan, page) in pages.items():
        items = [picture("artifact", "edges.svg", (0, 0, format_.width, format_.height))]
        items += _overlay_head(plan, page, for_sheets(owners[bands], sheets), heading=not made)
        for drawn, band in zip(plan.on_page(page), bands, strict=True):
            name = f"band-{len(files)}.svg"
            files[name] = band
            figure = picture("figure", name, drawn.picture_box)
            items.append({**figure, "alt": _band_alt(drawn.question)})
            items.append(_overlay_caption(drawn))
        made.append(items)
    data = document(plans[0].paper, made, [])
    return typeset(TEMPLATE, {**data, "title": f"Overlays: {plans[0].paper.title}"}, files)


def typeset_mark_scheme(plans: Sequence[PaperPlan], sheets: Sequence[SheetMap]) -> bytes:
    """The PDF of the mark scheme: every criterion with its tolerance."""
    plan = plans[0]
    varied = any(p.key != plan.key for p in plans)
    data = {
        **flow(plan, "Mark scheme"),
        "intro": _scheme_intro(plan.paper),
        "code": f"Paper {plan.paper_id}",
        "questions": [
            _scheme_table(drawn.question, for_sheets(owners, sheets), with_given=not varied)
            for drawn, owners in _distinct_schemes(plans, sheets)
        ],
    }
    return typeset("mark-scheme", data, {})


def distinct_questions(
    plans: Sequence[PaperPlan], sheets: Sequence[SheetMap]
) -> list[tuple[Drawn, list[str]]]:
    """Each different question once, with the sheets that have it, by number, then by sheet."""
    found: dict[tuple[int, str], tuple[Drawn, list[str]]] = {}
    for plan, sheet in zip(plans, sheets, strict=True):
        for i, drawn in enumerate(plan.drawn):
            values = plan.choices.get(drawn.question.number, {})
            key = (i, repr(sorted(values.items())))
            found.setdefault(key, (drawn, []))[1].append(sheet.sheet)
    return [found[key] for key in sorted(found, key=lambda k: k[0])]


def _distinct_schemes(
    plans: Sequence[PaperPlan], sheets: Sequence[SheetMap]
) -> list[tuple[Drawn, list[str]]]:
    """Questions whose criteria differ, once each: sheets that differ in their givens alone
    share a table."""
    found: dict[tuple[str, ...], tuple[Drawn, list[str]]] = {}
    for drawn, owners in distinct_questions(plans, sheets):
        question = drawn.question
        key = (question.number, *(c.text for c in question.scheme))
        found.setdefault(key, (drawn, []))[1].extend(owners)
    return list(found.values())


def for_sheets(owners: Sequence[str], sheets: Sequence[SheetMap]) -> str:
    """Whose question this is, or "" where every sheet has it."""
    if len(owners) == len(sheets):
        return ""
    return f"Sheet{'s' if len(owners) > 1 else ''} {', '.join(owners)}"


def flow(plan: PaperPlan, kind: str) -> dict[str, Any]:
    """The data that all flowing documents share; ``kind`` is their heading."""
    return {
        "title": f"{kind}: {plan.paper.title}",
        "heading": kind,
        "running": kind,
        "paper": plan.paper.title,
        "lang": "en",
        "width": plan.format.width,
        "height": plan.format.height,
        "side": SIDE - 0.5,
        "size": round(type_size(BODY), 4),
        "small": round(type_size(SMALL), 4),
        "large": round(type_size(LABEL), 4),
        "ink": INK,
        "slate": SLATE,
        "rule": RULE,
        "plum": PLUM,
    }


# --- model answers ----------------------------------------------------------------------
def _model_answer(drawn: Drawn) -> dict[str, Any]:
    x0, y0, x1, y1 = drawn.picture_box
    question = drawn.question
    return {
        **words(question),
        "width": x1 - x0,
        "height": y1 - y0,
        "alt": _answer_alt(drawn),
        "notes": [unbroken(n) for n in question.notes],
        "steps": [
            {
                "title": _capital(step.element),
                "acts": [unbroken(a.caption) for a in step.acts if a.caption],
            }
            for step in drawn.placed.working.steps
        ],
    }


def _answer_alt(drawn: Drawn) -> str:
    names = ", ".join(step.element for step in drawn.placed.working.steps)
    read = "".join(f" {_capital(r.name)}: {r.told}." for r in drawn.question.readings)
    if not names:
        return f"Model answer to question {drawn.question.number}.{read}"
    shaded = " The region asked for is hatched." if drawn.ink.regions else ""
    return (
        f"Model answer to question {drawn.question.number}. {describe_question(drawn.question)} "
        f"Drawn: {names}, with construction arcs.{shaded}{read}"
    )


def _answer_svg(drawn: Drawn) -> str:
    canvas = SvgCanvas(drawn.picture_box)
    draw_frame(canvas, drawn.placed.frame_mm)
    draw_working(canvas, drawn.ink)
    draw_given(canvas, drawn.ink, drawn.labels, drawn.marks, drawn.access)
    draw_answer_lines(canvas, drawn.lines, drawn.placed.frame_mm, drawn.access, filled=True)
    return canvas.svg()


# --- overlays ---------------------------------------------------------------------------
def _band_svg(drawn: Drawn) -> str:
    canvas = SvgCanvas(drawn.picture_box)
    shade_region(canvas, drawn.ink)
    curves = [c for _, curves in drawn.ink.loci for c in curves]
    curves += [Segment(p, Point(p.x + 1e-3, p.y)) for p in drawn.ink.asked]
    draw_band(canvas, curves, drawn.question.tolerance.length_mm)
    draw_frame(canvas, drawn.placed.frame_mm)
    draw_given(canvas, drawn.ink, drawn.labels, drawn.marks, drawn.access)
    return canvas.svg()


def _band_alt(question: Question) -> str:
    names = ", ".join(
        name
        for a in question.answers
        for name in ([points_name(a)] if is_of_points(a) else [e.name for e in a.elements])
    )
    if not names:
        return f"Overlay for question {question.number}: nothing is to be drawn."
    return (
        f"Overlay for question {question.number}: the band within "
        f"{question.tolerance.length_mm:g} mm of the {names}."
    )


def _overlay_head(plan: PaperPlan, page: int, owners: str, heading: bool) -> list[dict[str, Any]]:
    title = f"Overlay, page {page} of {plan.page_count}"
    whose = f"{plan.paper.title}. {owners}".rstrip(". ") if owners else plan.paper.title
    middle = plan.format.width / 2
    return [
        text_line(
            title, SIDE, 15.5, middle - 6 - SIDE, LABEL, INK, weight="bold",
            level=int(heading),
        ),
        text_line(whose, middle + 8, 15.5, middle - 8 - SIDE, BODY, INK),
        text_line(
            "Copy onto a transparency at 100 % and lay the printed figure on the pupil's.",
            SIDE, 22.5, plan.format.width - 2 * SIDE, BODY, SLATE,
        ),
    ]  # fmt: skip


def _overlay_caption(drawn: Drawn) -> dict[str, Any]:
    question = drawn.question
    near = f"within {question.tolerance.length_mm:g} mm"
    if not (drawn.ink.loci or drawn.ink.regions or drawn.ink.asked):
        near = "nothing is to be drawn"
    text = f"{question.number}   {near}"
    return text_line(text, SIDE, drawn.placed.frame_mm[1] - 2.0, 100, BODY, INK, weight="bold")


def _edges_svg(plan: PaperPlan) -> str:
    """Outlines where the page's marks stand, to lay the transparency by, and the check rule."""
    format_ = plan.format
    canvas = SvgCanvas((0.0, 0.0, format_.width, format_.height))
    for mark in border_marks(format_.width, format_.height):
        half = mark.side / 2
        square = rectangle(mark.x - half, mark.y - half, mark.x + half, mark.y + half)
        canvas.stroke(square, Pen(FINE, RULE))
    draw_check_rule(canvas, format_.check_rule)
    return canvas.svg()


# --- mark scheme ------------------------------------------------------------------------
def _scheme_intro(paper: Paper) -> list[str]:
    profile = (
        "Construction arcs are required where a criterion says so."
        if paper.arcs_required
        else "Any method earns the marks; construction arcs are not required."
    )
    total = sum(q.marks for q in paper.questions)
    return [
        f"Total: {total} marks. Profile: {paper.profile}. {profile}",
        "M: method. A: accuracy, only with the method mark it depends on. B: independent. "
        "Lengths are judged on the paper as printed, in millimetres of a real ruler; what lies "
        "within its own measuring uncertainty of a limit is for the teacher to decide.",
    ]


def _scheme_table(question: Question, owners: str, with_given: bool) -> dict[str, Any]:
    """The table of one question. Givens that differ from sheet to sheet are left out."""
    said = (*question.given, *question.ask) if with_given else question.ask
    total = "1 mark" if question.marks == 1 else f"{question.marks} marks"
    return {
        "title": f"Question {question.number}" + (f" ({owners})" if owners else ""),
        "words": unbroken(" ".join(said)),
        "total": total,
        "rows": [
            {
                "code": c.code,
                "text": unbroken(c.text),
                "tolerance": _tolerance(question, c),
                "needs": _needs(question.scheme, c),
            }
            for c in question.scheme
        ],
    }


def _tolerance(question: Question, criterion: Criterion) -> str:
    if criterion.kind == "region":
        return "right side of the pupil's own lines"
    if criterion.kind == "reading":
        return next((r.band for r in question.readings if r.name == criterion.subject), "")
    if criterion.kind == "evidence":
        return "centres and radii 2 mm"
    limit = f"{question.tolerance.length_mm:g} mm"
    return f"{limit}, {question.tolerance.angle_deg:g}°" if criterion.angle else limit


def _needs(scheme: tuple[Criterion, ...], criterion: Criterion) -> str:
    if not criterion.needs:
        return "–"
    marks = [f"{scheme[n].code} ({n + 1})" for n in criterion.needs]
    joiner = " or " if criterion.kind == "region" else " and "
    return joiner.join(marks)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
