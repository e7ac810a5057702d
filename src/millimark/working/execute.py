"""The executor: ruler, compasses and protractor, and nothing else.

It runs acts in order for many hands at once. Every number is an array over hands, so the
same few lines give the exact drawing (one hand without error), a thousand drawings with
random errors, and, with complex numbers, their derivatives (see ``spread``).

It uses of an act only what a hand can use: names of marks, the opening, which of two
crossings, the ruler's and the protractor's reading. It never looks at the place that the
planner wrote beside a mark.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from millimark.plane.curves import Arc, Segment
from millimark.plane.point import Point
from millimark.working.acts import (
    Act,
    AlignProtractor,
    Anywhere,
    Crossing,
    Ink,
    JoinMarks,
    MarkPoint,
    North,
    PrintedCircle,
    PrintedLine,
    RuleLine,
    SetCompasses,
    Step,
    StrikeArc,
)
from millimark.working.hands import Cause

Numbers = NDArray[Any]
"""(H,) float64 or complex128: one value per hand; cm."""


class Errors(Protocol):
    """Where the errors of hands come from."""

    def __call__(self, act: int, cause: Cause) -> Numbers:
        """The error that act number ``act`` makes for ``cause``: (H,) cm, or radians for the
        protractor's causes. Asking twice gives two independent errors."""


class NoErrors:
    """One hand that makes no error."""

    def __call__(self, act: int, cause: Cause) -> Numbers:
        return np.zeros(1)


@dataclass(frozen=True, eq=False)
class Dot:
    """A mark, as each hand put it."""

    x: Numbers
    y: Numbers


@dataclass(frozen=True, eq=False)
class DrawnLine:
    """A line through ``a`` and ``b``, as each hand ruled it."""

    a: Dot
    b: Dot
    plan: Segment


@dataclass(frozen=True, eq=False)
class DrawnArc:
    """An arc as each hand struck it; ``drift`` is how much its radius grows over a full turn."""

    centre: Dot
    radius: Numbers
    drift: Numbers
    plan: Arc

    def radius_towards(self, at: Point) -> Numbers:
        """The radius where the arc, as planned, is nearest to ``at``."""
        return self.radius + self.drift * (self.plan.nearest(at) / (2 * math.pi))


@dataclass(eq=False)
class Drawing:
    """What lies on the paper of each hand. ``joined``: by freehand curve and mark, how far
    (cm, to either side) the curve passes beside the mark."""

    marks: dict[str, Dot] = field(default_factory=dict)
    inks: dict[str, DrawnLine | DrawnArc] = field(default_factory=dict)
    joined: dict[tuple[str, str], Numbers] = field(default_factory=dict)


def execute(points: Mapping[str, Point], acts: Iterable[Act], errors: Errors) -> Drawing:
    """Do the acts on a sheet with ``points``. Where two inks fail to meet on some hand's
    paper, that hand's marks are NaN from there on."""
    hands = _Hands(points, errors)
    with np.errstate(invalid="ignore", divide="ignore"):
        for number, act in enumerate(acts):
            hands.do(number, act)
    return hands.drawing


class _Hands:
    def __init__(self, points: Mapping[str, Point], errors: Errors) -> None:
        self.errors = errors
        self.drawing = Drawing(
            {name: Dot(np.array([p.x]), np.array([p.y])) for name, p in points.items()}
        )
        self.opening: Numbers = np.zeros(1)
        # The needle stays in its hole while arcs about one point follow each other.
        self.needle: tuple[str, Dot] | None = None

    def do(self, number: int, act: Act) -> None:
        if not isinstance(act, StrikeArc):
            self.needle = None
        if isinstance(act, SetCompasses):
            self._set(number, act)
        elif isinstance(act, StrikeArc):
            self._strike(number, act)
        elif isinstance(act, RuleLine):
            self._rule(number, act)
        elif isinstance(act, AlignProtractor):
            self._protract(number, act)
        elif isinstance(act, JoinMarks):
            for name in act.through:
                self.drawing.joined[act.name, name] = self.errors(number, "freehand")
        else:
            self._mark(number, act)

    def _placed(self, number: int, name: str) -> Dot:
        """The mark ``name`` as an instrument is set on it."""
        dot = self.drawing.marks[name]
        return Dot(dot.x + self.errors(number, "placing"), dot.y + self.errors(number, "placing"))

    def _measured(self, number: int, length: float) -> Numbers:
        """A length taken from the ruler."""
        return (
            length * (1 + self.errors(number, "ruler scale"))
            + self.errors(number, "reading")
            + self.errors(number, "parallax")
            + self.errors(number, "zero")
        )

    def _set(self, number: int, act: SetCompasses) -> None:
        if act.between is None:
            self.opening = self._measured(number, act.radius)
        else:
            a, b = (self._placed(number, name) for name in act.between)
            self.opening = distance(a, b)

    def _strike(self, number: int, act: StrikeArc) -> None:
        radius = self.opening + self.errors(number, "play") + self.errors(number, "line width")
        if self.needle is None or self.needle[0] != act.centre:
            self.needle = (act.centre, self._placed(number, act.centre))
        self.drawing.inks[act.name] = DrawnArc(
            self.needle[1], radius, self.errors(number, "slip"), act.arc
        )

    def _rule(self, number: int, act: RuleLine) -> None:
        a, b = (self._placed(number, name) for name in act.through)
        beside = self.errors(number, "line width")
        length = distance(a, b)
        left = Dot(-(b.y - a.y) / length * beside, (b.x - a.x) / length * beside)
        self.drawing.inks[act.name] = DrawnLine(
            Dot(a.x + left.x, a.y + left.y), Dot(b.x + left.x, b.y + left.y), act.segment
        )

    def _protract(self, number: int, act: AlignProtractor) -> None:
        vertex, arm = self._placed(number, act.vertex), self.drawing.marks[act.arm]
        length = distance(vertex, arm)
        ux, uy = (arm.x - vertex.x) / length, (arm.y - vertex.y) / length
        turn = (
            act.turn * math.radians(act.degrees)
            + self.errors(number, "protractor")
            + self.errors(number, "baseline")
        )
        c, s = np.cos(turn), np.sin(turn)
        reach = act.reach
        self.drawing.marks[act.name] = Dot(
            vertex.x + reach * (c * ux - s * uy), vertex.y + reach * (s * ux + c * uy)
        )

    def _mark(self, number: int, act: MarkPoint) -> None:
        how = act.how
        if isinstance(how, Crossing):
            place = self._crossing(number, act, how)
        elif isinstance(how, Step):
            start, towards = self._placed(number, how.start), self.drawing.marks[how.towards]
            share = self._measured(number, how.length) / distance(start, towards)
            place = along(start, towards, share)
        elif isinstance(how, Anywhere):
            place = self._anywhere(number, how)
        elif isinstance(how, North):
            of, turn = self.drawing.marks[how.of], self.errors(number, "baseline")
            place = Dot(of.x - how.distance * turn, of.y + how.distance * (1.0 + 0.0 * turn))
        else:
            raise ValueError(f"the mark {act.name} does not say how it is found")
        self.drawing.marks[act.name] = place

    def _anywhere(self, number: int, how: Anywhere) -> Dot:
        """Off the line any place serves; on it the mark strays to the line's side."""
        a, b = self.drawing.marks[how.a], self.drawing.marks[how.b]
        aside = how.aside + (self.errors(number, "placing") if how.aside == 0.0 else 0.0)
        length = distance(a, b)
        on = along(a, b, how.share)
        return Dot(on.x - (b.y - a.y) / length * aside, on.y + (b.x - a.x) / length * aside)

    def _ink(self, ink: Ink) -> DrawnLine | DrawnArc:
        if isinstance(ink, PrintedCircle):
            centre = Dot(np.array([ink.centre.x]), np.array([ink.centre.y]))
            whole = Arc(ink.centre, ink.radius)
            return DrawnArc(centre, np.array([ink.radius]), np.zeros(1), whole)
        if isinstance(ink, PrintedLine):
            a, b = self.drawing.marks[ink.a], self.drawing.marks[ink.b]
            plan = Segment(Point(float(a.x[0].real), float(a.y[0].real)),
                           Point(float(b.x[0].real), float(b.y[0].real)))  # fmt: skip
            return DrawnLine(a, b, plan)
        return self.drawing.inks[ink]

    def _crossing(self, number: int, act: MarkPoint, how: Crossing) -> Dot:
        one, two = self._ink(how.first), self._ink(how.second)
        place = crossing(one, two, how.side, act.at)
        (ux, uy), (wide, narrow) = _blur(one, two, act.at)
        along_ = self.errors(number, "crossing") * wide
        across = self.errors(number, "crossing") * narrow
        return Dot(place.x + ux * along_ - uy * across, place.y + uy * along_ + ux * across)


def distance(a: Dot, b: Dot) -> Numbers:
    """How far apart two marks are; analytic, so that complex steps pass through."""
    return np.asarray(np.sqrt((b.x - a.x) ** 2 + (b.y - a.y) ** 2))


def along(a: Dot, b: Dot, share: Numbers | float) -> Dot:
    """The place ``share`` of the way from ``a`` to ``b``."""
    return Dot(a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share)


def crossing(one: DrawnLine | DrawnArc, two: DrawnLine | DrawnArc, side: int, near: Point) -> Dot:
    """The crossing of two inks; NaN for the hands whose inks do not meet. ``near`` only says
    on which part of a drifting arc to look."""
    if isinstance(one, DrawnArc):
        if isinstance(two, DrawnArc):
            return _two_arcs(one, two, side, near)
        return _line_arc(two, one, side, near)
    if isinstance(two, DrawnArc):
        return _line_arc(one, two, side, near)
    return _two_lines(one, two)


def _two_arcs(one: DrawnArc, two: DrawnArc, side: int, near: Point) -> Dot:
    r1, r2 = one.radius_towards(near), two.radius_towards(near)
    d = distance(one.centre, two.centre)
    a = (d * d + r1 * r1 - r2 * r2) / (2 * d)
    h = side * np.sqrt(r1 * r1 - a * a)
    ux, uy = (two.centre.x - one.centre.x) / d, (two.centre.y - one.centre.y) / d
    return Dot(one.centre.x + a * ux - h * uy, one.centre.y + a * uy + h * ux)


def _line_arc(line: DrawnLine, arc: DrawnArc, side: int, near: Point) -> Dot:
    length = distance(line.a, line.b)
    ux, uy = (line.b.x - line.a.x) / length, (line.b.y - line.a.y) / length
    dx, dy = arc.centre.x - line.a.x, arc.centre.y - line.a.y
    foot, off = dx * ux + dy * uy, dx * uy - dy * ux
    t = foot + side * np.sqrt(arc.radius_towards(near) ** 2 - off * off)
    return Dot(line.a.x + t * ux, line.a.y + t * uy)


def _two_lines(one: DrawnLine, two: DrawnLine) -> Dot:
    ux, uy = one.b.x - one.a.x, one.b.y - one.a.y
    vx, vy = two.b.x - two.a.x, two.b.y - two.a.y
    t = ((two.a.x - one.a.x) * vy - (two.a.y - one.a.y) * vx) / (ux * vy - uy * vx)
    return Dot(one.a.x + t * ux, one.a.y + t * uy)


def _blur(
    one: DrawnLine | DrawnArc, two: DrawnLine | DrawnArc, at: Point
) -> tuple[tuple[float, float], tuple[float, float]]:
    """The rhombus in which two pencil lines overlap: the unit vector of its long diagonal,
    and how much longer and shorter its half diagonals are than at a right angle."""
    u, v = (ink.plan.direction_at(ink.plan.nearest(at)) for ink in (one, two))
    if u.dot(v) < 0:
        v = -v
    middle = u + v
    half = math.acos(max(-1.0, min(1.0, u.dot(v)))) / 2
    wide = 1.0 / max(math.sqrt(2) * math.sin(half), 0.05)
    narrow = 1.0 / (math.sqrt(2) * math.cos(half))
    return middle.unit(), (wide, narrow)
