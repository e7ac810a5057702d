"""What a right answer would look like on this sheet of paper, in real millimetres.

The answer is solved again for the paper as printed: givens scaled by the print scale,
asked lengths kept, because a pupil measures with a real ruler. The one change of frame is
``plane.similarity``: figure centimetres -> paper mm (page mm x print scale).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from millimark.errors import GivensError
from millimark.loci.answer import Answer, Element
from millimark.loci.conditions import AtDistance, Condition, Locus, ShadeRegion, TriangleOn
from millimark.loci.figure import Figure
from millimark.loci.figures_on import SideTo
from millimark.loci.pointed import is_of_points, points_name
from millimark.loci.solve import solve
from millimark.marking.ink import Array
from millimark.paper.question import Question, readings_of
from millimark.paper.readings import Reading
from millimark.plane.curves import Arc, Curve
from millimark.plane.point import Point
from millimark.plane.similarity import Similarity, page_frame
from millimark.sheet.layout import QuestionPlace

Box = tuple[float, float, float, float]
_PRINTED_MM = 0.02
"""A printed point stands this near to its place, mm: the sheet map is rounded to microns."""
Part = Literal["straight", "round"]


@dataclass(frozen=True)
class Wanted:
    """One element on paper: ``curves`` the whole locus, ``needed`` what the answer needs.

    Paper mm. ``length_mm`` is the length that the ask names (0 where the locus hangs on
    the givens alone): an error of the print scale moves the locus by its share of it.
    """

    element: Element
    curves: tuple[Curve, ...]
    needed: tuple[Curve, ...]
    length_mm: float

    @property
    def name(self) -> str:
        """The element's name in the answer and in the mark scheme."""
        return self.element.name


@dataclass(frozen=True)
class Expected:
    """A question on this sheet: elements, points and frame in paper mm.

    ``to_paper`` takes the *printed* figure's centimetres (``figure``) to paper mm;
    ``regions`` are the conditions of the asks that shade; ``marked`` the points that are to be
    marked, by what they are called; ``written`` the readings with their answer lines. Lines
    that only lead to points are not among ``wanted``.
    """

    question: Question
    figure: Figure
    answers: tuple[Answer, ...]
    wanted: tuple[Wanted, ...]
    points: Mapping[str, Point]
    frame: Box
    to_paper: Similarity
    regions: tuple[Condition, ...]
    marked: tuple[tuple[str, tuple[Point, ...]], ...] = ()
    written: tuple[tuple[Reading, Box], ...] = ()


def expected(question: Question, place: QuestionPlace, scale: float) -> Expected:
    """The right answer to ``question`` on paper printed at ``scale``."""
    figure = question.figure.scaled(scale)
    to_paper = _to_paper(question, place, scale)
    answers = _solved(_Asked(question), round(scale, 5))
    wanted: dict[str, Wanted] = {}
    judged = {c.subject for c in question.scheme if c.kind == "line"}
    for answer in answers:
        for element in answer.elements:
            if element.name in judged or not is_of_points(answer):
                wanted.setdefault(element.name, _on_paper(element, to_paper))
    x0, y0, x1, y1 = (v * scale for v in place.frame_mm)
    return Expected(
        question=question,
        figure=figure,
        answers=answers,
        wanted=tuple(wanted.values()),
        points={name: to_paper(p) for name, p in figure.points.items()},
        frame=(x0, y0, x1, y1),
        to_paper=to_paper,
        regions=tuple(a.condition for a in question.asks if isinstance(a, ShadeRegion)),
        marked=tuple(
            (points_name(answer), tuple(to_paper(p) for p in answer.special_points))
            for answer in answers
            if is_of_points(answer)
        ),
        written=tuple(
            (reading, (a * scale, b * scale, c * scale, d * scale))
            for reading, (a, b, c, d) in zip(
                readings_of(question, answers), place.answer_lines, strict=False
            )
        ),
    )


def _to_paper(question: Question, place: QuestionPlace, scale: float) -> Similarity:
    """Printed figure cm -> paper mm, by the place's own frame; where that misses the printed
    points (a layout whose figure was placed otherwise), by the points themselves."""
    origin = Point(place.origin_mm[0] * scale, place.origin_mm[1] * scale)
    stated = page_frame(origin, place.mm_per_cm, place.turn_deg, place.mirror)
    names = [n for n in question.figure.points if n in place.points]
    figure = {n: question.figure.points[n] * scale for n in names}
    there = {n: Point(place.points[n][0] * scale, place.points[n][1] * scale) for n in names}
    if all(stated(figure[n]).distance(there[n]) < _PRINTED_MM for n in names):
        return stated
    for mirror in (False, True):
        moved = _through_points([figure[n] for n in names], [there[n] for n in names], mirror)
        if moved is not None:
            return moved
    raise GivensError(
        f"Question {question.number}: its points stand elsewhere on the printed page than its "
        "sentences say.",
        "Mark with the layout.json that was written when these sheets were printed.",
    )


def _through_points(
    figure: Sequence[Point], there: Sequence[Point], mirror: bool
) -> Similarity | None:
    """The similarity (y up to y down) that takes the points there; None if none does."""
    if len(figure) < 2:
        return None
    a, b = max(
        ((p, q) for p in range(len(figure)) for q in range(p)),
        key=lambda pair: figure[pair[0]].distance(figure[pair[1]]),
    )
    before, after = figure[b] - figure[a], there[b] - there[a]
    if before.norm() < 1e-9:
        return None
    k = after.norm() / before.norm()
    turn = after.angle() - before.angle() if mirror else after.angle() + before.angle()
    linear = Similarity(Point(0.0, 0.0), k, turn, not mirror)
    moved = Similarity(there[a] - linear(figure[a]), k, turn, not mirror)
    right = all(moved(p).distance(q) < _PRINTED_MM for p, q in zip(figure, there, strict=True))
    return moved if right else None


class _Asked:
    """A question as a key of the cache: questions hold mappings and do not hash."""

    def __init__(self, question: Question) -> None:
        self.question = question

    def __hash__(self) -> int:
        return hash((self.question.number, self.question.asks))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Asked) and self.question == other.question


@lru_cache(maxsize=512)
def _solved(asked: _Asked, scale: float) -> tuple[Answer, ...]:
    figure = asked.question.figure.scaled(scale)
    return tuple(solve(figure, ask) for ask in asked.question.asks)


def _on_paper(element: Element, to_paper: Similarity) -> Wanted:
    length = _named_length(element.locus) * to_paper.scale
    return Wanted(
        element,
        tuple(c.transformed(to_paper) for c in element.curves),
        tuple(c.transformed(to_paper) for c in element.needed),
        length,
    )


def _named_length(locus: Locus) -> float:
    """The length (cm) that an ask names: a distance, the longest side of a triangle; else 0."""
    match locus:
        case AtDistance(_, length):
            return length
        case TriangleOn(facts=facts):
            return max((f.length for f in facts if isinstance(f, SideTo)), default=0.0)
    return 0.0


def part_of(curve: Curve) -> Part:
    """Whether a curve belongs to the straight or to the round part of its element."""
    return "straight" if curve.kind in ("segment", "ray", "line") else "round"


def clipped_samples(curve: Curve, frame: Box, step: float = 0.5, inset: float = 1.0) -> Array:
    """Points (N, 2) about ``step`` mm apart along the part of ``curve`` inside the frame.

    (0, 2) where it does not enter the frame, which is taken ``inset`` mm smaller all round.
    """
    x0, y0, x1, y1 = frame[0] + inset, frame[1] + inset, frame[2] - inset, frame[3] - inset
    xy = samples(curve, frame, step)
    inside = (xy[:, 0] >= x0) & (xy[:, 0] <= x1) & (xy[:, 1] >= y0) & (xy[:, 1] <= y1)
    return xy[inside]


def samples(curve: Curve, frame: Box, step: float) -> Array:
    """Points (N, 2) about ``step`` mm apart; an unbounded curve is cut off well outside."""
    if isinstance(curve, Arc):
        a = curve.from_ + np.linspace(0.0, curve.sweep, max(2, round(curve.length / step) + 1))
        return np.column_stack(
            (curve.centre.x + curve.radius * np.cos(a), curve.centre.y + curve.radius * np.sin(a))
        )
    if curve.kind in ("segment", "ray", "line"):
        reach = (frame[2] - frame[0]) + (frame[3] - frame[1])
        middle = Point((frame[0] + frame[2]) / 2, (frame[1] + frame[3]) / 2)
        at = curve.nearest(middle)
        t0, t1 = max(curve.t0, at - reach), min(curve.t1, at + reach)
        t = np.linspace(t0, t1, max(2, round((t1 - t0) / step) + 1))
        p, d = curve.point_at(t0), curve.direction_at(t0)
        return np.column_stack((p.x + (t - t0) * d.x, p.y + (t - t0) * d.y))
    fine = _cut_off(curve, frame).sampled(0.02)
    run = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(fine, axis=0).T))))
    at_run = np.linspace(0.0, run[-1], max(2, round(run[-1] / step) + 1))
    return np.column_stack((np.interp(at_run, run, fine[:, 0]), np.interp(at_run, run, fine[:, 1])))


def _cut_off(curve: Curve, frame: Box) -> Curve:
    """The part of an unbounded curve (a parabola, say) that reaches well outside the frame."""
    if curve.bounded:
        return curve
    middle = Point((frame[0] + frame[2]) / 2, (frame[1] + frame[3]) / 2)
    reach = (frame[2] - frame[0]) + (frame[3] - frame[1])
    at = curve.nearest(middle)
    ends = []
    for way, end in ((-1.0, curve.t0), (1.0, curve.t1)):
        step = 1.0
        while not math.isfinite(end) and curve.point_at(at + way * step).distance(middle) < reach:
            step *= 1.5
        ends.append(end if math.isfinite(end) else at + way * step)
    return curve.between(ends[0], ends[1])
