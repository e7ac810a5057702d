"""How far the drawn answer strays from the true one: sampled, and to first order.

``deviations`` draws a working once for each of many hands (Monte Carlo, JCGM 101:2008).
``sensitivities`` gives exact first derivatives by a complex step (Squire & Trapp 1998,
SIAM Review 40, from memory), for the law of propagation of uncertainty (JCGM 100:2008).
Both run the one executor.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from millimark.loci.answer import Answer
from millimark.loci.figure import Figure
from millimark.loci.pointed import is_of_points, points_name
from millimark.plane.curves import Arc, Curve, Segment
from millimark.plane.point import Point
from millimark.working.acts import Act, JoinMarks, MarkPoint, RuleLine, StrikeArc, Working
from millimark.working.execute import Drawing, DrawnArc, DrawnLine, Numbers, execute
from millimark.working.hands import Cause, Hand

PLACES = 9
"""Places along each drawn piece at which the deviation is taken."""
TINY = 1e-20
"""The complex step: no difference is taken, so it may be as small as this."""


@dataclass(frozen=True)
class Place:
    """A place on the true locus of ``element``, and the ink that draws it there.

    ``normal`` is the locus's unit normal: deviations count along it. ``mark``: the plotted
    mark that a freehand curve joins there; "" for a line or arc by instruments. A marked point
    that is itself asked for has no ``ink``.
    """

    element: str
    ink: str
    at: Point
    normal: Point
    mark: str = ""


class SampledErrors:
    """Random errors of ``hands`` hands, from one seed."""

    def __init__(self, hand: Hand, hands: int, seed: int) -> None:
        self.hand, self.hands = hand, hands
        self.rng = np.random.default_rng(seed)

    def __call__(self, act: int, cause: Cause) -> Numbers:
        wrong = self.hand[cause]
        if wrong.shape == "normal":
            return self.rng.standard_normal(self.hands) * wrong.sd
        half = wrong.sd * math.sqrt(3.0)
        return self.rng.uniform(-half, half, self.hands)


class SteppedErrors:
    """One imaginary step in each error in turn: hand k makes error k alone.

    ``count`` is the number of errors the working asks for; a first run with ``count`` 0
    finds it (``asked``).
    """

    def __init__(self, hand: Hand, count: int) -> None:
        self.hand, self.count = hand, count
        self.asked: list[tuple[int, Cause]] = []

    def __call__(self, act: int, cause: Cause) -> Numbers:
        step = np.zeros(max(self.count, 1), dtype=np.complex128)
        k = len(self.asked)
        if k < self.count:
            step[k] = 1j * TINY * self.hand[cause].sd
        self.asked.append((act, cause))
        return step


@dataclass(frozen=True, eq=False)
class Sensitivities:
    """``values`` (K, P) float64: cm that place p moves off for one standard deviation of
    error k; ``errors`` says which act and cause each k is."""

    errors: tuple[tuple[int, Cause], ...]
    values: NDArray[np.float64]

    @property
    def sd(self) -> NDArray[np.float64]:
        """(P,) float64 cm: standard deviation at each place, to first order."""
        return np.asarray(np.sqrt((self.values**2).sum(axis=0)))


def coverage_interval(values: NDArray[np.float64], share: float = 0.95) -> tuple[float, float]:
    """The interval that leaves out equally many sampled ``values`` (H,) at each end, NaN
    disregarded (JCGM 101:2008, 7.7.2); (inf, inf) where nothing was sampled."""
    known = np.sort(values[np.isfinite(values)])
    if not len(known):
        return math.inf, math.inf
    tail = (1.0 - share) / 2
    low, high = np.quantile(known, (tail, 1.0 - tail))
    return float(low), float(high)


def acts_of(working: Working) -> tuple[Act, ...]:
    """All acts of a working in order."""
    return tuple(act for step in working.steps for act in step.acts)


def places(answers: Sequence[Answer], working: Working) -> tuple[Place, ...]:
    """Where deviations are taken: along every needed piece that an ink of the working draws,
    unbounded pieces as far as the ink goes. In the order of the answers' elements."""
    inks = {
        act.name: act.ink[0]
        for act in acts_of(working)
        if isinstance(act, StrikeArc | RuleLine) and act.role == "answer"
    }
    joins = [act for act in acts_of(working) if isinstance(act, JoinMarks)]
    marks = {act.name: act.at for act in acts_of(working) if isinstance(act, MarkPoint)}
    of_points = [
        place
        for answer in answers
        if is_of_points(answer)
        for place in _at_points(points_name(answer), answer.special_points, marks)
    ]
    return (*of_points, *(
        place
        for answer in answers
        if not is_of_points(answer)
        for element in answer.elements
        for piece in element.needed
        for place in (
            *_along(element.name, piece, inks),
            *_at_marks(element.name, piece, joins, marks),
        )
    ))  # fmt: skip


def _at_points(
    element: str, points: Sequence[Point], marks: Mapping[str, Point]
) -> Iterator[Place]:
    """Each marked point, across and along: its two deviations stand for its distance."""
    for at in points:
        name = next((n for n, p in marks.items() if p.distance(at) < 1e-6), "")
        for normal in (Point(1.0, 0.0), Point(0.0, 1.0)):
            if name:
                yield Place(element, "", at, normal, name)


def _at_marks(
    element: str, piece: Curve, joins: Sequence[JoinMarks], marks: Mapping[str, Point]
) -> Iterator[Place]:
    """The plotted marks on a piece that is joined freehand; none for a piece by instruments."""
    for join in joins:
        for name in join.through:
            at = marks[name]
            t = piece.nearest(at)
            if piece.point_at(t).distance(at) < 1e-6:
                normal = piece.direction_at(t).left()
                yield Place(element, join.name, at, normal, name)


def _along(element: str, piece: Curve, inks: dict[str, Curve]) -> Iterator[Place]:
    middle_t = _middle(piece)
    for name, ink in inks.items():
        if type(ink).kind == "arc" and piece.kind != "arc":
            continue
        if not _same_carrier(piece, ink, middle_t):
            continue
        t0, t1 = piece.t0, piece.t1
        if not piece.bounded:
            ends = sorted((piece.nearest(ink.start), piece.nearest(ink.end)))
            t0, t1 = max(t0, ends[0]), min(t1, ends[1])
        for k in range(PLACES):
            t = t0 + (t1 - t0) * k / (PLACES - 1)
            yield Place(element, name, piece.point_at(t), piece.direction_at(t).left())
        return


def _middle(piece: Curve) -> float:
    if piece.bounded:
        return (piece.t0 + piece.t1) / 2
    return piece.t0 if math.isfinite(piece.t0) else 0.0


def _same_carrier(piece: Curve, ink: Curve, t: float) -> bool:
    """Whether the piece lies on the ink or on the line or circle that the ink belongs to."""
    if isinstance(piece, Arc):
        if not isinstance(ink, Arc) or abs(piece.radius - ink.radius) > 1e-6:
            return False
        return (
            piece.centre.distance(ink.centre) < 1e-6 and ink.distance_to(piece.point_at(t)) < 1e-6
        )
    if not isinstance(ink, Segment):
        return False
    ahead, at = ink.direction, piece.point_at(t)
    return abs(ahead.cross(piece.direction_at(t))) < 1e-6 and abs(ahead.cross(at - ink.a)) < 1e-6


def strays(drawing: Drawing, where: Sequence[Place]) -> NDArray[Any]:
    """(H, P) cm: how far each hand's ink lies from each true place, along its normal."""
    columns = []
    for place in where:
        if place.mark:
            dot = drawing.marks[place.mark]
            off = (dot.x - place.at.x) * place.normal.x + (dot.y - place.at.y) * place.normal.y
            joined = drawing.joined[place.ink, place.mark] if place.ink else 0.0
            columns.append(np.asarray(off + joined))
            continue
        ink = drawing.inks[place.ink]
        if isinstance(ink, DrawnLine):
            columns.append(_line_stray(ink, place))
        else:
            columns.append(_arc_stray(ink, place))
    return np.stack(np.broadcast_arrays(*columns), axis=1)


def _line_stray(line: DrawnLine, place: Place) -> Numbers:
    ux, uy = line.b.x - line.a.x, line.b.y - line.a.y
    length = np.sqrt(ux**2 + uy**2)
    off = ((line.a.x - place.at.x) * uy - (line.a.y - place.at.y) * ux) / length
    # The line's right normal is (uy, -ux): count along the place's own normal instead.
    facing = math.copysign(
        1.0, float(np.real(np.nanmean(uy * place.normal.x - ux * place.normal.y)))
    )
    return np.asarray(off * facing)


def _arc_stray(arc: DrawnArc, place: Place) -> Numbers:
    dx, dy = place.at.x - arc.centre.x, place.at.y - arc.centre.y
    off = arc.radius_towards(place.at) - np.sqrt(dx**2 + dy**2)
    out = place.at - arc.plan.centre
    return np.asarray(off * math.copysign(1.0, out.dot(place.normal)))


def deviations(
    figure: Figure, working: Working, where: Sequence[Place], hand: Hand, hands: int, seed: int
) -> NDArray[np.float64]:
    """(hands, P) float64 cm: sampled deviations; NaN where a hand's arcs did not cross."""
    drawing = execute(figure.points, acts_of(working), SampledErrors(hand, hands, seed))
    return np.asarray(strays(drawing, where), dtype=np.float64)


def sensitivities(
    figure: Figure, working: Working, where: Sequence[Place], hand: Hand
) -> Sensitivities:
    """First derivatives of every deviation by every error, times its standard deviation."""
    acts = acts_of(working)
    counted = SteppedErrors(hand, 0)
    execute(figure.points, acts, counted)
    stepped = SteppedErrors(hand, len(counted.asked))
    drawing = execute(figure.points, acts, stepped)
    values = np.imag(strays(drawing, where)) / TINY
    return Sensitivities(tuple(stepped.asked), np.asarray(values, dtype=np.float64))
