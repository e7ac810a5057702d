"""The question paper: pages as lists of placed items, and the sheet map that goes with them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from millimark.drawing.canvas import Pen
from millimark.drawing.lettering import type_size
from millimark.drawing.look import BODY, INK, LABEL, RULE, SLATE, SMALL, THIN
from millimark.drawing.svg import SvgCanvas
from millimark.paper.access import Access
from millimark.paper.aids import draw_aids
from millimark.paper.alt import describe_question
from millimark.paper.answer_lines import AnswerLine, answer_lines, draw_answer_lines
from millimark.paper.figure_drawing import draw_frame, draw_given
from millimark.paper.formats import SIDE, Box, PageFormat, page_format
from millimark.paper.frame_dots import frame_dots
from millimark.paper.furniture import (
    FRAME_DOT_COLOUR,
    draw_border,
    draw_code,
    draw_dots,
    page_codes,
    page_dots,
    page_marks,
    rectangle,
)
from millimark.paper.ink import FrameInk, all_curves, frame_ink
from millimark.paper.items import picture, text_line, unbroken
from millimark.paper.labels import Label, place_labels, sampled, sampled_crosses
from millimark.paper.map_marks import MapMarks, map_marks
from millimark.paper.placing import Placed, place
from millimark.paper.question import Paper, Question
from millimark.paper.reading import Choices
from millimark.paper.typeface import unprintable
from millimark.paper.typesetting import measured, typeset
from millimark.plane.curves import Segment
from millimark.plane.point import Point
from millimark.sheet.code import encode, sheet_code
from millimark.sheet.layout import CodeBox, Dot, PageMap, QuestionPlace, SheetMap

TEMPLATE = "question-paper"
_FRAME_MARGIN = 0.5  # mm that a frame's picture reaches past the frame, for its line


@dataclass(frozen=True)
class Drawn:
    """A placed question with all that its frame shows, worked out once for every sheet."""

    placed: Placed
    ink: FrameInk
    labels: tuple[Label, ...]
    marks: MapMarks
    dots: tuple[Dot, ...]
    access: Access
    lines: tuple[AnswerLine, ...] = ()

    @property
    def question(self) -> Question:
        return self.placed.question

    @property
    def picture_box(self) -> Box:
        """The box of the frame's picture on the page."""
        x0, y0, x1, y1 = self.placed.frame_mm
        m = _FRAME_MARGIN
        return (x0 - m, y0 - m, x1 + m, y1 + m)


@dataclass(frozen=True)
class PaperPlan:
    """Everything that sheets with the same values share.

    ``choices`` are those values by question number; ``key`` tells the plans of one paper
    apart in the names of their pictures.
    """

    paper: Paper
    paper_id: str
    format: PageFormat
    drawn: tuple[Drawn, ...]
    choices: Choices = field(default_factory=dict)
    key: int = 1

    @property
    def page_count(self) -> int:
        """Pages of one sheet."""
        return self.drawn[-1].placed.page

    def on_page(self, page: int) -> list[Drawn]:
        """The questions of a page, from the top."""
        return [d for d in self.drawn if d.placed.page == page]


Heights = Mapping[tuple[str, ...], float]
"""Heights in mm of printed words, by ``words_key``."""


def plan_paper(
    paper: Paper,
    paper_id: str,
    choices: Choices | None = None,
    key: int = 1,
    heights: Heights | None = None,
) -> PaperPlan:
    """Place and draw all questions. FitError says what does not fit and what would help.

    ``heights`` saves asking the typesetter again for words it has set already.
    """
    known = word_heights(paper) if heights is None else heights
    by_number = {q.number: known[words_key(paper, q)] for q in paper.questions}
    drawn = tuple(_drawn(p, paper.access) for p in place(paper, by_number))
    return PaperPlan(paper, paper_id, page_format(paper.page), drawn, choices or {}, key)


def _drawn(placed: Placed, access: Access) -> Drawn:
    ink = frame_ink(placed)
    curves = all_curves(ink)
    marks = map_marks(placed.question, placed.frame_mm, sampled(curves), access.left_handed)
    labels = place_labels(ink.points, [*curves, *marks.outlines], placed.frame_mm, access.label)
    lines = answer_lines(placed.question.readings, placed.frame_mm)
    boxes = [side for label in labels for side in rectangle(*label.box)]
    boxes += [side for line in lines for side in rectangle(*_row(line, placed.frame_mm))]
    printed = sampled([*ink.given, *boxes, *marks.outlines])
    on_print = np.vstack((printed, sampled_crosses([p for _, p in ink.points])))
    on_answer = sampled([*ink.answer, *ink.construction, *(c for _, cs in ink.loci for c in cs)])
    dots = frame_dots(placed.frame_mm, on_print, on_answer)
    return Drawn(placed, ink, labels, marks, dots, access, lines)


def _row(line: AnswerLine, frame: Box) -> Box:
    """The whole width of an answer line's row: where no dot is printed."""
    return (frame[0], line.box[1], frame[2], line.box[3])


def text_heights(paper: Paper) -> dict[str, float]:
    """Height in mm of each question's printed words by number."""
    heights = word_heights(paper)
    return {q.number: heights[words_key(paper, q)] for q in paper.questions}


def word_heights(*papers: Paper) -> dict[tuple[str, ...], float]:
    """Heights of the printed words of papers of one page and look, as the typesetter sets them."""
    wanted = {words_key(p, q): _set_words(p, q) for p in papers for q in p.questions}
    data = document(papers[0], [], list(wanted.values()))
    heights = measured(TEMPLATE, data, "heights")
    return {key: float(h) for key, h in zip(wanted, heights, strict=True)}


def words_key(paper: Paper, question: Question) -> tuple[str, ...]:
    """What the height of a question's words depends on."""
    look = paper.access.text, paper.access.left_handed
    return tuple(str(value) for value in (*look, *_set_words(paper, question).values()))


def question_sheets(
    plans: Sequence[PaperPlan], pupils: Sequence[str | None]
) -> tuple[SheetMap, ...]:
    """The sheet maps of all pupils, in order; ``plans`` has one for each."""
    sheets = []
    pdf_page = 0
    for i, (plan, pupil) in enumerate(zip(plans, pupils, strict=True)):
        code = sheet_code(i + 1)
        pages = tuple(
            page_map(plan, code, page, pdf_page + page) for page in range(1, plan.page_count + 1)
        )
        pdf_page += plan.page_count
        sheets.append(SheetMap(code, pupil, pages, plan.choices))
    return tuple(sheets)


def page_map(plan: PaperPlan, sheet: str, page: int, pdf_page: int) -> PageMap:
    """What stands where on one page."""
    format_ = plan.format
    drawn = plan.on_page(page)
    return PageMap(
        page=page,
        pdf_page=pdf_page,
        width_mm=format_.width,
        height_mm=format_.height,
        questions=tuple(_question_place(d) for d in drawn),
        marks=page_marks(format_),
        dots=(*page_dots(format_), *(dot for d in drawn for dot in d.dots)),
        codes=page_codes(format_, encode(plan.paper_id, sheet, page)),
        check_rule=format_.check_rule,
    )


def _question_place(drawn: Drawn) -> QuestionPlace:
    placed = drawn.placed
    return QuestionPlace(
        question=placed.question.number,
        frame_mm=_rounded(placed.frame_mm),
        mm_per_cm=10.0,
        points={name: (round(p.x, 6), round(p.y, 6)) for name, p in drawn.ink.points},
        origin_mm=(placed.origin_mm.x, placed.origin_mm.y),
        answer_lines=tuple(_rounded(line.box) for line in drawn.lines),
    )


def typeset_sheets(plans: Sequence[PaperPlan], sheets: Sequence[SheetMap]) -> bytes:
    """The PDF of these sheets; ``plans`` has one for each."""
    files = {"border.svg": _border_svg(plans[0].format)}
    for plan in {p.key: p for p in plans}.values():
        for drawn in plan.drawn:
            files[f"frame-{plan.key}-{drawn.question.number}.svg"] = _frame_svg(drawn)
    pages: list[Any] = []
    for plan, sheet in zip(plans, sheets, strict=True):
        for page in sheet.pages:
            name = f"code-{sheet.sheet}-{page.page}.svg"
            files[name] = _code_svg(page.codes[0])
            pages.append(_page_items(plan, sheet, page, name, first=not pages))
    data = document(plans[0].paper, pages, [])
    if any(plan.paper.access != plans[0].paper.access for plan in plans):
        owners = [plan for plan, sheet in zip(plans, sheets, strict=True) for _ in sheet.pages]
        data["looks"] = [_look(plan.paper) for plan in owners]
    return typeset(TEMPLATE, data, files)


def document(
    paper: Paper, pages: Sequence[Any], measure: Sequence[Mapping[str, Any]]
) -> dict[str, Any]:
    """The template's data: pages of items, and words whose heights are wanted."""
    format_ = page_format(paper.page)
    return {
        "title": paper.title,
        "lang": "en",
        "width": format_.width,
        "height": format_.height,
        **_look(paper),
        "ink": INK,
        "words-width": format_.width - 2 * SIDE,
        "pages": list(pages),
        "measure": list(measure),
    }


def _look(paper: Paper) -> dict[str, Any]:
    """What pages look like for their readers."""
    return {
        "size": round(type_size(paper.access.body), 4),
        "ground": paper.access.ground_colour,
        "left": paper.access.left_handed,
    }


def words(question: Question) -> dict[str, Any]:
    """The printed words of a question."""
    tally = f"[{question.marks} mark]" if question.marks == 1 else f"[{question.marks} marks]"
    return {
        "number": question.number,
        "story": None if question.story is None else unbroken(question.story),
        "given": unbroken(" ".join(question.given)),
        "ask": unbroken(" ".join(question.ask)),
        "marks": "" if "stretch" in question.aids else tally,
    }


def _set_words(paper: Paper, question: Question) -> dict[str, Any]:
    """The words of a question; in large print the first carries what the head has no room for."""
    first = paper.access.large and question.number == paper.questions[0].number
    return {**words(question), "intro": _needed(paper) if first else None}


def _page_items(
    plan: PaperPlan, sheet: SheetMap, page: PageMap, code_file: str, first: bool
) -> list[dict[str, Any]]:
    """The items of a page in reading order."""
    format_ = plan.format
    items = [picture("artifact", "border.svg", (0, 0, format_.width, format_.height))]
    items += [picture("artifact", code_file, code.box) for code in page.codes]
    items += _head(plan, sheet, page, heading=first or page.page == 1)
    for drawn in plan.on_page(page.page):
        placed = drawn.placed
        items.append(
            {
                "kind": "words",
                "x": SIDE,
                "y": placed.top_mm,
                "width": format_.width - 2 * SIDE,
                **_set_words(plan.paper, placed.question),
            }
        )
        frame = picture(
            "figure", f"frame-{plan.key}-{drawn.question.number}.svg", drawn.picture_box
        )
        alt = f"Answer frame for question {drawn.question.number}. "
        items.append({**frame, "alt": alt + describe_question(drawn.question)})
    return items + _foot(plan, sheet, page)


def _head(plan: PaperPlan, sheet: SheetMap, page: PageMap, heading: bool) -> list[dict[str, Any]]:
    """Title, what is needed, and a place for the name."""
    format_ = plan.format
    middle, code = format_.width / 2, format_.code_boxes[0]
    left = middle - 6 - SIDE
    name, name_ink = _name(sheet)
    needed = (
        []
        if plan.paper.access.large
        else [text_line(_needed(plan.paper), SIDE, 22.5, middle + 45 - SIDE, BODY, SLATE)]
    )
    return [
        text_line(
            plan.paper.title, SIDE, 15.5, left, LABEL, INK, weight="bold", level=int(heading)
        ),
        *needed,
        text_line(name, middle + 8, 15.5, code[0] - middle - 10, BODY, name_ink),
        text_line(page.codes[0].text, code[2] - 40, 24.0, 40, SMALL, SLATE, align="right"),
    ]


def _name(sheet: SheetMap) -> tuple[str, str]:
    """What stands on the name line, and its colour: a name that the typeface cannot show
    is left for the pupil to write, beside the sheet's code."""
    if sheet.pupil is None or not sheet.pupil.strip():
        return "Name", SLATE
    name = " ".join(sheet.pupil.split())
    if unprintable(name) is not None:
        return f"Name ({sheet.sheet})", SLATE
    return name, INK


def _needed(paper: Paper) -> str:
    total = sum(q.marks for q in paper.questions)
    tools = ["compasses"]
    if paper.instruments.protractor:
        tools.append("protractor")
    arcs = "Leave all construction arcs." if paper.arcs_required else "Any method."
    marks = "1 mark" if total == 1 else f"{total} marks"
    return f"Ruler, {', '.join(tools)}. {arcs} {marks} in all."


def _foot(plan: PaperPlan, sheet: SheetMap, page: PageMap) -> list[dict[str, Any]]:
    format_ = plan.format
    middle, code = format_.width / 2, format_.code_boxes[1]
    y = format_.height - 12.2
    count = f"Page {page.page} of {plan.page_count}"
    return [
        text_line(page.codes[0].text, code[2] + 1, format_.height - 9.0, 40, SMALL, SLATE),
        text_line(
            "Print at 100 %: rule 100 mm, square 10 mm.",
            code[2] + 1, y - 0.6, middle - 6 - code[2] - 1, SMALL, SLATE,
        ),
        text_line("The pale dots are for the scanner.", middle + 6, y - 0.6, 50, SMALL, SLATE),
        text_line(
            count, format_.width - SIDE - 40, format_.height - 9.0, 40, SMALL, SLATE, align="right"
        ),
    ]  # fmt: skip


def _border_svg(format_: PageFormat) -> str:
    """Marks, border dots and check rule, with the line for the name: alike on every page."""
    canvas = SvgCanvas((0.0, 0.0, format_.width, format_.height))
    draw_border(canvas, page_marks(format_), page_dots(format_), format_)
    middle, code = format_.width / 2, format_.code_boxes[0]
    line = Segment(Point(middle + 8, 17.0), Point(code[0] - 2, 17.0))
    canvas.stroke([line], Pen(THIN, RULE))
    return canvas.svg()


def _code_svg(code: CodeBox) -> str:
    x0, y0, x1, y1 = code.box
    canvas = SvgCanvas((0.0, 0.0, x1 - x0, y1 - y0))
    draw_code(canvas, CodeBox(code.text, (0.0, 0.0, x1 - x0, y1 - y0)))
    return canvas.svg()


def _frame_svg(drawn: Drawn) -> str:
    canvas = SvgCanvas(drawn.picture_box)
    draw_aids(canvas, drawn.placed)
    draw_frame(canvas, drawn.placed.frame_mm)
    draw_dots(canvas, drawn.dots, FRAME_DOT_COLOUR)
    draw_given(canvas, drawn.ink, drawn.labels, drawn.marks, drawn.access)
    draw_answer_lines(canvas, drawn.lines, drawn.placed.frame_mm, drawn.access)
    return canvas.svg()


def _rounded(box: Box) -> Box:
    x0, y0, x1, y1 = (round(v, 6) for v in box)
    return (x0, y0, x1, y1)
