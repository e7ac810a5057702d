"""From questions to pages: how many to a page, how large each frame, where the figure goes.

Frames are as generous as the page allows: each question first says the least height that
holds figure, answer and working; pages are filled in order; what is left over is shared
out among the frames of the page.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from millimark.errors import FitError, MillimarkError, PlanError
from millimark.paper.formats import PAGE_NAMES, Box, PageFormat, page_format
from millimark.paper.map_marks import strip_of
from millimark.paper.question import Paper, Question
from millimark.paper.room import CLEAR, room_cm
from millimark.plane.boxes import Box as FigureBox
from millimark.plane.boxes import box_of
from millimark.plane.point import Point
from millimark.plane.similarity import Similarity, page_frame
from millimark.working.acts import Working
from millimark.working.bounds import extent
from millimark.working.instruments import Instruments
from millimark.working.plan import plan

GAP_TEXT = 3.0  # mm between a question's text and its frame
GAP_QUESTION = 7.0  # mm between a frame and the next question's text
LEAST_HEIGHT = 70.0  # mm: a frame smaller than this cramps a hand
MOST_HEIGHT = 160.0  # mm: a frame is not made taller than this for the page's sake alone
STEP = 10.0  # mm between the heights that are tried


@dataclass(frozen=True)
class Placed:
    """A question on its page: text from ``top_mm``, frame, figure's origin and its working."""

    question: Question
    page: int
    top_mm: float
    frame_mm: Box
    origin_mm: Point
    working: Working

    @property
    def ink_box(self) -> Box:
        """The part of the frame for figure, answer and working: without the map's strip."""
        x0, y0, x1, y1 = self.frame_mm
        return (x0, y0, x1, y1 - strip_of(self.question))

    @property
    def to_page(self) -> Similarity:
        """Figure centimetres to page millimetres."""
        return page_frame(self.origin_mm)


@dataclass(frozen=True)
class _Need:
    """What a question takes of a page: height of its text and least height of its frame."""

    question: Question
    text: float
    frame: float

    @property
    def height(self) -> float:
        return self.text + GAP_TEXT + self.frame


def place(paper: Paper, text_heights: Mapping[str, float]) -> tuple[Placed, ...]:
    """All questions placed, in order. FitError for one that no page of this size holds.

    ``text_heights`` gives the height in mm of each question's printed text by number.
    """
    format_ = page_format(paper.page)
    needs = [_need(q, paper, format_, text_heights[q.number]) for q in paper.questions]
    placed: list[Placed] = []
    for page, group in enumerate(_pages(needs, format_), start=1):
        placed += _on_page(page, group, format_, paper.instruments)
    return tuple(placed)


def _need(question: Question, paper: Paper, format_: PageFormat, text: float) -> _Need:
    """The least frame height, in steps, whose room a working fits, whichever of its lines a pupil
    chooses if any room of a page is large enough for that."""
    x0, y0, x1, y1 = format_.content
    most = y1 - y0 - text - GAP_TEXT
    if most < LEAST_HEIGHT:
        raise FitError(
            f"The words of question {question.number} take {text:.0f} mm of the page, "
            f"which leaves {max(most, 0):.0f} mm for the drawing; it needs {LEAST_HEIGHT:.0f} mm.",
            "Shorten the story.",
        )
    strip = strip_of(question)
    height = min(max(LEAST_HEIGHT, _core_height(question) + strip), most)
    while True:
        room = room_cm(x1 - x0, height - strip)
        try:
            planned(question, paper.instruments, room)
        except (FitError, PlanError) as error:
            if height >= most:
                raise _too_large(question, paper, error, text) from error
            height = min(height + STEP, most)
        else:
            break
    if any(answer.instead for answer in question.answers):
        more = height
        while more <= most:
            if _holds_every_line(question, paper.instruments, room_cm(x1 - x0, more - strip)):
                return _Need(question, text, more)
            more += STEP
    return _Need(question, text, height)


def _holds_every_line(
    question: Question, instruments: Instruments, room: tuple[float, float]
) -> bool:
    """Whether a room has place for each of the lines of which a pupil draws the two that it likes,
    with arcs on both sides of what they halve."""
    answers = [replace(a, elements=(*a.elements, *a.instead), instead=()) for a in question.answers]
    try:
        working = plan(question.figure, answers, instruments, room)
    except (FitError, PlanError):
        return False
    shown = [e for step in working.steps for e in step.evidence]
    return all(part.both_sides for e in shown for part in (e, *e.parts))


def _core_height(question: Question) -> float:
    """Height in mm of a frame that holds the figure and every bounded piece of the answer."""
    box = core_box(question)
    return math.ceil((box.height * 10 + 2 * CLEAR) / STEP) * STEP


def core_box(question: Question) -> FigureBox:
    """The box of the figure and the bounded part of its answers, cm."""
    curves = [c for a in question.answers for e in a.elements for c in e.needed if c.bounded]
    rims = [
        p
        for c in question.figure.circles
        for p in (
            Point(c.centre.x - c.radius, c.centre.y - c.radius),
            Point(c.centre.x + c.radius, c.centre.y + c.radius),
        )
    ]
    marked = [p for a in question.answers for p in a.special_points]
    found = box_of(curves, [*question.figure.points.values(), *rims, *marked])
    return found or FigureBox(0.0, 0.0, 0.0, 0.0)


def planned(question: Question, instruments: Instruments, room: tuple[float, float]) -> Working:
    """A working whose ink stays in the room with figure and answer. FitError, PlanError."""
    if question.working is not None and _inside(whole_box(question, question.working), room):
        return question.working  # the best there is: planned with a whole page to itself
    working = plan(question.figure, question.answers, instruments, room)
    box = whole_box(question, working)
    if not _inside(box, room):
        raise FitError(
            f"The drawing of question {question.number} with its construction is "
            f"{box.width:.1f} cm wide and {box.height:.1f} cm high; the room for it is "
            f"{room[0]:.1f} cm by {room[1]:.1f} cm.",
            "Use shorter lengths, a smaller scale or a larger page.",
        )
    return working


def _inside(box: FigureBox, room: tuple[float, float]) -> bool:
    return box.width <= room[0] + 1e-6 and box.height <= room[1] + 1e-6


def whole_box(question: Question, working: Working) -> FigureBox:
    """The box of figure, bounded answer and the working's ink, cm."""
    box = core_box(question)
    return box.joined(extent(working)) if working.steps else box


def _too_large(
    question: Question, paper: Paper, error: FitError | PlanError, text: float
) -> MillimarkError:
    """The error with the pages named on which the question would fit."""
    fitting = [n for n in PAGE_NAMES if n != paper.page and _would_fit(question, paper, n, text)]
    help_ = f"It fits with page: {' or page: '.join(fitting[:2])}." if fitting else ""
    message = f"Question {question.number} does not fit on {paper.page}: {error.message}"
    return type(error)(message, f"{error.hint} {help_}".strip())


def _would_fit(question: Question, paper: Paper, page: str, text: float) -> bool:
    x0, y0, x1, y1 = page_format(page).content
    height = y1 - y0 - text - GAP_TEXT - strip_of(question)
    try:
        planned(question, paper.instruments, room_cm(x1 - x0, height))
    except (FitError, PlanError):
        return False
    return True


def _pages(needs: Sequence[_Need], format_: PageFormat) -> list[list[_Need]]:
    """Questions in order, as many to a page as it holds."""
    room = format_.content[3] - format_.content[1]
    pages: list[list[_Need]] = []
    used = 0.0
    for need in needs:
        if pages and used + GAP_QUESTION + need.height <= room:
            pages[-1].append(need)
            used += GAP_QUESTION + need.height
        else:
            pages.append([need])
            used = need.height
    return pages


def _on_page(
    page: int, group: Sequence[_Need], format_: PageFormat, instruments: Instruments
) -> list[Placed]:
    """The questions of one page; spare height goes to the smallest frames first."""
    x0, y0, x1, y1 = format_.content
    spare = y1 - y0 - sum(n.height for n in group) - GAP_QUESTION * (len(group) - 1)
    heights = _levelled([n.frame for n in group], spare)
    placed = []
    top = y0
    for need, height in zip(group, heights, strict=True):
        frame_top = top + need.text + GAP_TEXT
        frame = (x0, frame_top, x1, frame_top + height)
        placed.append(_placed(need.question, page, top, frame, instruments))
        top = frame[3] + GAP_QUESTION
    return placed


def _levelled(heights: Sequence[float], spare: float) -> list[float]:
    """Heights raised by ``spare`` in all, the lowest first, as water fills a vessel."""
    low, high = min(heights), max(heights) + spare
    for _ in range(60):
        level = (low + high) / 2
        if sum(max(level - h, 0.0) for h in heights) > spare:
            high = level
        else:
            low = level
    return [max(h, min(low, MOST_HEIGHT)) for h in heights]


def _placed(
    question: Question, page: int, top: float, frame: Box, instruments: Instruments
) -> Placed:
    width, height = frame[2] - frame[0], frame[3] - frame[1] - strip_of(question)
    working = planned(question, instruments, room_cm(width, height))
    return Placed(question, page, top, frame, _origin(question, working, frame), working)


def _origin(question: Question, working: Working, frame: Box) -> Point:
    """Where the figure's origin goes: figure, answer and working together are centred."""
    box = whole_box(question, working)
    x = (frame[0] + frame[2]) / 2 - 10 * box.centre.x
    y = (frame[1] + frame[3] - strip_of(question)) / 2 + 10 * box.centre.y
    return Point(round(x, 3), round(y, 3))
