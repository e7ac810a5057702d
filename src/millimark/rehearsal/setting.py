"""A question as it lies before a pupil: on paper, printed at some scale.

The locus is solved again for the figure as printed, as a pupil with a real ruler would
have it: givens scaled, asked lengths kept.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from millimark.errors import MillimarkError
from millimark.loci.answer import Answer, Element
from millimark.loci.conditions import (
    AllOf,
    AnyOf,
    Ask,
    AtDistance,
    Condition,
    Distance,
    DrawLocus,
    Feature,
    Locus,
    Not,
    ShadeRegion,
)
from millimark.loci.figure import Figure
from millimark.loci.solve import solve
from millimark.paper.question import Paper, Question
from millimark.plane.point import Point
from millimark.plane.similarity import Similarity, page_frame
from millimark.rehearsal.featured import PrintedFigure, printed_figure
from millimark.rehearsal.near import Frame
from millimark.sheet.layout import QuestionPlace
from millimark.working.acts import Working
from millimark.working.instruments import Instruments
from millimark.working.plan import plan

INSET = 6.0
"""mm that a pupil stays inside the answer frame while planning."""
IN_FRAME = (INSET, 2.0, 0.0)
"""The margins, mm, that are tried one after another for a working that stays in the frame."""


@dataclass(frozen=True)
class Setting:
    """One question before one pupil. Paper frame: real mm, y down.

    ``figure`` is the printed figure in real cm, ``to_paper`` takes it to paper mm;
    ``frame`` is the answer frame (x0, y0, x1, y1) paper mm.
    """

    question: Question
    place: QuestionPlace
    figure: Figure
    to_paper: Similarity
    frame: Frame
    answers: tuple[Answer, ...]
    working: Working
    instruments: Instruments
    arcs_required: bool

    @property
    def elements(self) -> tuple[Element, ...]:
        """Every element once, in the order of the asks."""
        found: dict[str, Element] = {}
        for answer in self.answers:
            for element in answer.elements:
                found.setdefault(element.name, element)
        return tuple(found.values())

    @property
    def printed(self) -> PrintedFigure:
        """The figure in paper mm."""
        return printed_figure(self.figure, self.to_paper)

    @property
    def points(self) -> Mapping[str, Point]:
        """Every labelled point, paper mm."""
        return {name: self.to_paper(p) for name, p in self.figure.points.items()}

    @property
    def lines(self) -> tuple[Frame, ...]:
        """Where readings are written, paper mm."""
        printed = self.place.frame_mm
        s = (self.frame[2] - self.frame[0]) / (printed[2] - printed[0])
        return tuple((a * s, b * s, c * s, d * s) for a, b, c, d in self.place.answer_lines)

    @property
    def region(self) -> Condition | None:
        """The condition of the region to shade, None where no ask shades."""
        for ask in self.question.asks:
            if isinstance(ask, ShadeRegion):
                return ask.condition
        return None


def set_out(paper: Paper, question: Question, place: QuestionPlace, print_scale: float) -> Setting:
    """The question as printed at ``print_scale`` (paper mm per page mm)."""
    s = print_scale
    figure = question.figure.scaled(s)
    to_paper = page_frame(
        Point(place.origin_mm[0] * s, place.origin_mm[1] * s),
        place.mm_per_cm,
        place.turn_deg,
        place.mirror,
    )
    x0, y0, x1, y1 = (v * s for v in place.frame_mm)
    frame: Frame = (x0, y0, x1, y1)
    answers = tuple(solve(figure, ask) for ask in question.asks)
    working = _plan(figure, answers, paper.instruments, frame, place, paper.arcs_required)
    return Setting(question, place, figure, to_paper, frame, answers, working,
                   paper.instruments, paper.arcs_required)  # fmt: skip


def _plan(
    figure: Figure,
    answers: tuple[Answer, ...],
    instruments: Instruments,
    frame: Frame,
    place: QuestionPlace,
    arcs: bool,
    insets: Sequence[float] = (*IN_FRAME, -15.0, -40.0),
) -> Working:
    """A working with a margin in the frame where one fits, else one that uses all of it,
    else one that runs over its edge as a pupil's would. On a sheet that was printed small the
    compasses close a little further than the paper file says, as most do."""
    instruments = replace(instruments, compasses_min_cm=instruments.compasses_min_cm / 2)
    last: MillimarkError | None = None
    for inset in insets:
        wide = (frame[2] - frame[0] - 2 * inset) / place.mm_per_cm
        high = (frame[3] - frame[1] - 2 * inset) / place.mm_per_cm
        turned = round(place.turn_deg / 90) % 2 == 1
        room = (high, wide) if turned else (wide, high)
        try:
            return plan(figure, answers, instruments, room, arcs)
        except MillimarkError as error:
            last = error
    raise last if last is not None else MillimarkError("No working fits the answer frame.")


def planned(setting: Setting, answers: tuple[Answer, ...], insets: Sequence[float]) -> Working:
    """A working for other answers to the same question, with one of the margins, mm.
    MillimarkError where none fits."""
    return _plan(
        setting.figure, answers, setting.instruments, setting.frame, setting.place,
        setting.arcs_required, insets,
    )  # fmt: skip


def misread(setting: Setting, element: Element, by_mm: float) -> Setting | None:
    """The question as a pupil reads it who takes one asked length ``by_mm`` too long.

    None where no working comes of it. Elements keep their order; their names change.
    """
    locus = element.locus
    asked = getattr(locus, "length", None)
    if not isinstance(asked, float | int):
        return None
    length = asked + by_mm / setting.to_paper.scale
    if length <= 0.3:
        return None
    asks = tuple(_misread_ask(a, locus, float(asked), length) for a in setting.question.asks)
    try:
        answers = tuple(solve(setting.figure, ask) for ask in asks)
        working = _plan(setting.figure, answers, setting.instruments, setting.frame,
                        setting.place, setting.arcs_required)  # fmt: skip
    except MillimarkError:
        return None
    changed = replace(setting, answers=answers, working=working)
    return changed if len(changed.elements) == len(setting.elements) else None


def _misread_ask(ask: Ask, locus: Locus, asked: float, length: float) -> Ask:
    wrong: Any = locus
    if isinstance(ask, DrawLocus):
        return replace(ask, locus=replace(wrong, length=length)) if ask.locus == locus else ask
    if isinstance(ask, ShadeRegion) and isinstance(locus, AtDistance):
        return ShadeRegion(_misread_condition(ask.condition, locus.feature, asked, length))
    return ask


def _misread_condition(c: Condition, feature: Feature, asked: float, length: float) -> Condition:
    if isinstance(c, Distance) and c.feature == feature and c.length == asked:
        return replace(c, length=length)
    if isinstance(c, (AllOf, AnyOf)):
        parts = tuple(_misread_condition(p, feature, asked, length) for p in c.conditions)
        return replace(c, conditions=parts)
    if isinstance(c, Not):
        return Not(_misread_condition(c.condition, feature, asked, length))
    return c
