"""What is shown beside the sentences: the answer, the working act by act, or the whole page as
it will print; or what is wrong, at the word."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import repeat
from typing import Any

from markupsafe import Markup

from millimark.desk.faults import Fault, fault_of
from millimark.desk.page_pictures import Shelf, page_picture
from millimark.desk.paper_text import Data, data_of, question_at
from millimark.drawing.svg import SvgCanvas
from millimark.errors import MillimarkError
from millimark.paper.fields import Field
from millimark.paper.figure_drawing import draw_frame, draw_given, draw_working
from millimark.paper.question import Criterion, Paper, Question
from millimark.paper.question_pages import Drawn, plan_paper, question_sheets, typeset_sheets
from millimark.paper.question_reading import QuestionSource
from millimark.paper.reading import PaperSource
from millimark.plane.boxes import box_of
from millimark.showing.director import direct
from millimark.showing.stage import stage_of
from millimark.showing.steps import ActTold, acts_told, stepped_figure
from millimark.words.reading import understand
from millimark.working.budget import Fairness, fairness

VIEWS = {"answer": "Answer", "steps": "Step by step", "page": "Page"}
"""What can be shown beside the sentences, by name."""
PAPER_ROUND, LEAST_ACROSS = 14.0, 100.0
"""mm of paper that are seen round the ink, and across at least."""
CODE = "PROOF1"
"""The paper's code on a page that is only looked at."""


@dataclass(frozen=True)
class Preview:
    """A question that works: how it was read, its marks, where it stands, how fair it is.

    ``picture`` is the model answer, or in the steps' view the working with ``acts``; in the
    page's view it is empty and ``sheet`` says what to show."""

    picture: Markup
    said: tuple[str, ...]
    read_as: tuple[str, ...]
    notes: tuple[str, ...]
    marks: tuple[Criterion, ...]
    frame_mm: tuple[int, int]
    page: str
    fairness: Fairness
    acts: tuple[ActTold, ...] = ()
    sheet: SheetShown | None = None

    @property
    def in_hundred(self) -> int:
        """Careful hands in a hundred that land inside the tolerance."""
        return round(100 * self.fairness.chance)


@dataclass(frozen=True)
class SheetShown:
    """A page as it will print: its picture's name on the shelf, its number, of how many."""

    name: str
    page: int
    pages: int
    width_mm: float
    height_mm: float


def preview(data: Data, place: int, view: str = "answer", shelf: Shelf | None = None) -> Any:
    """A `Preview` of the question at ``place`` (from 1), or a `Fault`. ``shelf`` takes the
    picture of the page's view."""
    try:
        return _shown(data, place, view, shelf)
    except MillimarkError as error:
        return fault_of(error)


def whole_paper(data: Data) -> Paper | Fault:
    """The whole paper, or what is wrong with the first question that is not right."""
    try:
        return paper_of(data, range(1, len(data["questions"]) + 1))
    except MillimarkError as trouble:
        for place in range(1, len(data["questions"]) + 1):
            try:
                paper_of(data, [place])
            except MillimarkError as error:
                return fault_of(error, place)
        return fault_of(trouble)


def paper_of(data: Data, places: Iterable[int]) -> Paper:
    """A paper of these questions, numbered and turned as in the whole one."""
    keys = [_keys(data, place) for place in places]
    return _paper(keys[0][0], [entry for _, entry, _ in keys], [place for *_, place in keys])


def _paper(head: str, entries: Sequence[str], places: Sequence[int]) -> Paper:
    source = _head(head)
    questions = tuple(map(_question, repeat(head), entries, places))
    return Paper(
        source.title,
        source.page,
        source.setting.instruments,
        source.setting.arcs_required,
        questions,
        {**source.data, "questions": [json.loads(entry) for entry in entries]},
        source.access,
        source.profile,
    )


@lru_cache(maxsize=16)
def _head(head: str) -> PaperSource:
    """What a paper says for all of its questions; the one here only stands for them."""
    any_question = {"given": ["A and B are 8 cm apart."], "ask": ["Draw the line AB."]}
    data: Mapping[str, Any] = {**json.loads(head), "questions": [any_question]}
    return PaperSource(Field(data, "the paper"))


@lru_cache(maxsize=120)
def _question(head: str, entry: str, place: int) -> Question:
    field = Field(json.loads(entry), f"question {place}")
    return QuestionSource(field, place, _head(head).setting).first()


@lru_cache(maxsize=60)
def _worked(head: str, entry: str, place: int) -> tuple[Drawn, Fairness]:
    """A question drawn, and its odds."""
    paper = _paper(head, [entry], [place])
    (drawn,) = plan_paper(paper, "").drawn
    return drawn, _odds(drawn)


def _keys(data: Data, place: int) -> tuple[str, str, int]:
    """What a question depends on: the rest of the paper, itself, its number."""
    head = json.dumps({key: value for key, value in data.items() if key != "questions"})
    return head, json.dumps(question_at(data, place)), place


def _shown(data: Data, place: int, view: str, shelf: Shelf | None) -> Preview | Fault:
    sheet = None
    if view == "page" and shelf is not None:
        whole = whole_paper(data)
        if isinstance(whole, Fault):
            return whole
        sheet = _sheet(whole, place, shelf)
    keys = _keys(data, place)
    source = _head(keys[0])
    drawn, odds = _worked(*keys)
    question = drawn.question
    understood = understand(question.given, question.ask)
    working = drawn.placed.working
    acts: tuple[ActTold, ...] = ()
    drawing = Markup()
    if view == "steps":
        stage = stage_of(drawn, source.title, source.setting.instruments)
        score = direct(stage)
        acts, drawing = acts_told(stage, score), Markup(stepped_figure(stage, score))
    elif sheet is None:
        drawing = picture(drawn)
    x0, y0, x1, y1 = drawn.placed.frame_mm
    return Preview(
        drawing,
        (*question.given, *question.ask),
        (*understood.canonical_given, *understood.canonical_ask),
        tuple(dict.fromkeys((*understood.notes, *working.notes))),
        question.scheme,
        (round(x1 - x0), round(y1 - y0)),
        source.page,
        odds,
        acts,
        sheet,
    )


def _odds(drawn: Drawn) -> Fairness:
    question = drawn.question
    return fairness(
        question.figure,
        question.answers,
        drawn.placed.working,
        question.tolerance.length_mm,
        angles=question.angle_limits,
    )


def _sheet(paper: Paper, place: int, shelf: Shelf) -> SheetShown:
    """The page with a question, typeset as it will be printed."""
    plan = plan_paper(paper, CODE)
    sheets = question_sheets([plan], [None])
    pdf = typeset_sheets([plan], sheets)
    page = plan.drawn[place - 1].placed.page
    size = plan.format
    return SheetShown(shelf.put(pdf, page), page, plan.page_count, size.width, size.height)


@lru_cache(maxsize=64)
def front_page(text: str) -> bytes | None:
    """A paper's first page as it will print, a PNG; None while the paper is not right."""
    found = whole_paper(data_of(text))
    if isinstance(found, Fault):
        return None
    plan = plan_paper(found, CODE)
    return page_picture(typeset_sheets([plan], question_sheets([plan], [None])), 1)


def picture(drawn: Drawn) -> Markup:
    """Figure, construction and answer as SVG: of the answer frame, what has ink, with paper
    round it."""
    canvas = SvgCanvas(_seen(drawn))
    draw_frame(canvas, drawn.placed.frame_mm)
    draw_working(canvas, drawn.ink)
    draw_given(canvas, drawn.ink, drawn.labels, drawn.marks, drawn.access)
    words = label(drawn.question)
    svg = canvas.svg().replace("<svg ", Markup('<svg role="img" aria-label="{}" ').format(words), 1)
    return Markup(svg)  # written by the canvas, which escapes what it letters


def _seen(drawn: Drawn) -> tuple[float, float, float, float]:
    """The part of a frame's picture that has ink."""
    ink = drawn.ink
    shaded = [curve for loops in ink.regions for loop in loops for curve in loop]
    curves = [*ink.given, *ink.construction, *ink.answer, *shaded, *drawn.marks.outlines]
    box = box_of(curves, [at for _, at in ink.points])
    a, b, c, d = drawn.picture_box
    if box is None:
        return a, b, c, d
    x0, y0, x1, y1 = box.grown(max(PAPER_ROUND, (LEAST_ACROSS - box.width) / 2))
    return max(x0, a), max(y0, b), min(x1, c), min(y1, d)


def label(question: Question) -> str:
    """The picture in words."""
    elements = [e.name for answer in question.answers for e in answer.elements]
    return f"Model answer: {', '.join(elements)}" if elements else "Model answer"
