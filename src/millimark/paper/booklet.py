"""The step booklet: every act of every working as a small picture with its caption."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from millimark.drawing.canvas import Pen
from millimark.drawing.look import MEDIUM, PLUM, SLATE
from millimark.drawing.svg import SvgCanvas
from millimark.paper.alt import describe_question
from millimark.paper.answer_pages import distinct_questions, flow
from millimark.paper.figure_drawing import cross_at, draw_frame, draw_given
from millimark.paper.items import unbroken
from millimark.paper.question_pages import Drawn, PaperPlan, words
from millimark.paper.typesetting import typeset
from millimark.plane.curves import Curve
from millimark.sheet.layout import SheetMap
from millimark.working.acts import AlignProtractor, MarkPoint, RuleLine, StrikeArc

PANEL_WIDTH = 84.0  # mm: two to a row on A4
_BEFORE = Pen(MEDIUM, SLATE)
_NOW = Pen(1.0, PLUM)


def typeset_booklet(plans: Sequence[PaperPlan], sheets: Sequence[SheetMap]) -> bytes:
    """The PDF of the step booklet. Pictures are reduced: nothing is measured on them.

    Where a question varies from sheet to sheet, the steps are those of the first sheet.
    """

    def whose(drawn: Drawn) -> str:
        return f"sheet {sheets[0].sheet}" if drawn.question.number in plans[0].choices else ""

    files: dict[str, str] = {}
    questions = []
    for drawn, _ in distinct_questions(plans[:1], sheets[:1]):
        panels = []
        for number, (svg, caption) in enumerate(_panels(drawn), start=1):
            name = f"step-{len(files)}.svg"
            files[name] = svg
            panels.append(
                {"file": name, "caption": f"{number}. {caption}", "alt": _alt(drawn, caption)}
            )
        questions.append({**words(drawn.question), "sheets": whose(drawn), "panels": panels})
    data: dict[str, Any] = {
        **flow(plans[0], "Step by step"),
        "questions": questions,
        "panel": PANEL_WIDTH,
    }
    return typeset("booklet", data, files)


def _panels(drawn: Drawn) -> list[tuple[str, str]]:
    """The figure alone, then with each act that leaves a mark: picture and caption."""
    panels: list[tuple[str, str]] = []
    done: list[Curve] = []
    waiting: list[str] = []
    for step in drawn.placed.working.steps:
        for act in step.acts:
            if act.caption:
                waiting.append(unbroken(act.caption))
            if isinstance(act, MarkPoint | AlignProtractor):
                new: list[Curve] = list(cross_at(drawn.placed.to_page(act.at)))
                shown = isinstance(act, AlignProtractor)
            elif isinstance(act, StrikeArc | RuleLine):
                new = [c.transformed(drawn.placed.to_page) for c in act.ink]
                shown = True
            else:
                continue
            if shown and waiting:
                panels.append((_picture(drawn, done, new), " ".join(waiting)))
                waiting = []
            if shown:
                done += new
    return panels


def _picture(drawn: Drawn, done: Sequence[Curve], new: Sequence[Curve]) -> str:
    canvas = SvgCanvas(drawn.picture_box)
    draw_frame(canvas, drawn.placed.frame_mm)
    canvas.stroke(done, _BEFORE)
    canvas.stroke(new, _NOW)
    draw_given(canvas, drawn.ink, drawn.labels, drawn.marks, drawn.access)
    return canvas.svg()


def _alt(drawn: Drawn, caption: str) -> str:
    return f"{describe_question(drawn.question)} In this step: {caption}"
