"""What each statement demands of the points, as a test and as curves.

A constraint can say how far a finished figure misses it (``residuals``, cm; zero for a
perfect fit) and, for one unplaced point, on which curves that point must lie given the
placed ones (``curves``; None where it cannot say).
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass

from millimark.plane.curves import Arc, Curve, Line, Ray, Segment
from millimark.plane.point import EPS, Point, midpoint

Points = Mapping[str, Point]


class Constraint(ABC):
    """One demand; ``says`` is the sentence that a message quotes."""

    says: str

    @property
    @abstractmethod
    def labels(self) -> tuple[str, ...]:
        """The points it speaks of."""

    @abstractmethod
    def residuals(self, at: Points) -> tuple[float, ...]:
        """Signed misses in cm of a figure in which all its points are placed."""

    def curves(self, p: str, at: Points) -> tuple[Curve, ...] | Point | None:
        """Where ``p`` must lie; all other points of the constraint are in ``at``."""
        return None

    def ready(self, p: str, at: Points) -> bool:
        """Whether all its points but ``p`` are placed."""
        return p in self.labels and all(q in at for q in self.labels if q != p)

    def found(self, at: Points) -> str:
        """What the figure has instead, for a message."""
        return ""


@dataclass(frozen=True)
class OfLine(Constraint):
    """A demand on ``p`` and the line through a and b."""

    p: str
    a: str
    b: str

    @property
    def labels(self) -> tuple[str, ...]:
        return self.p, self.a, self.b


@dataclass(frozen=True)
class OfTwoLines(Constraint):
    """A demand on the lines, or lengths, ab and cd."""

    a: str
    b: str
    c: str
    d: str

    @property
    def labels(self) -> tuple[str, ...]:
        return self.a, self.b, self.c, self.d


@dataclass(frozen=True)
class Dist(Constraint):
    a: str
    b: str
    r: float
    says: str

    @property
    def labels(self) -> tuple[str, ...]:
        return self.a, self.b

    def residuals(self, at: Points) -> tuple[float, ...]:
        return (at[self.a].distance(at[self.b]) - self.r,)

    def curves(self, p: str, at: Points) -> tuple[Curve, ...] | Point:
        other = at[self.b if p == self.a else self.a]
        return (Arc(other, self.r),) if self.r > EPS else other

    def found(self, at: Points) -> str:
        return f"{self.a}{self.b} would be {at[self.a].distance(at[self.b]):.4g} cm"


@dataclass(frozen=True)
class EqualDist(OfTwoLines):
    """ab is ``times`` as long as cd."""

    says: str
    times: float = 1.0

    def residuals(self, at: Points) -> tuple[float, ...]:
        return (at[self.a].distance(at[self.b]) - self.times * at[self.c].distance(at[self.d]),)

    def curves(self, p: str, at: Points) -> tuple[Curve, ...] | None:
        one, two = (self.a, self.b), (self.c, self.d)
        if p in one and p in two:
            return self._apollonius(p, at)
        mine, other, k = (one, two, self.times) if p in one else (two, one, 1 / self.times)
        if mine[0] == mine[1] or other[0] not in at or other[1] not in at:
            return None
        radius = k * at[other[0]].distance(at[other[1]])
        centre = at[mine[1] if p == mine[0] else mine[0]]
        return (Arc(centre, radius),) if radius > EPS else None

    def _apollonius(self, p: str, at: Points) -> tuple[Curve, ...] | None:
        """p ``times`` as far from one point as from another: a line or a circle."""
        a = at[self.b if p == self.a else self.a]
        b = at[self.d if p == self.c else self.c]
        if a.distance(b) < EPS:
            return None
        if self.times == 1.0:
            return (Line(midpoint(a, b), (b - a).unit().left()),)
        k = self.times**2
        centre = Point((k * b.x - a.x) / (k - 1), (k * b.y - a.y) / (k - 1))
        return (Arc(centre, self.times * a.distance(b) / abs(k - 1)),)


@dataclass(frozen=True)
class Angle(Constraint):
    a: str
    v: str
    b: str
    radians: float
    says: str

    @property
    def labels(self) -> tuple[str, ...]:
        return self.a, self.v, self.b

    def _turn(self, at: Points) -> float:
        u, w = at[self.a] - at[self.v], at[self.b] - at[self.v]
        return math.atan2(abs(u.cross(w)), u.dot(w))

    def residuals(self, at: Points) -> tuple[float, ...]:
        return (self._turn(at) - self.radians,)

    def curves(self, p: str, at: Points) -> tuple[Curve, ...] | None:
        if p == self.v:
            return None
        v, arm = at[self.v], at[self.a if p == self.b else self.b]
        if v.distance(arm) < EPS:
            return None
        start = (arm - v).angle()
        turns = {self.radians, -self.radians} if 0 < self.radians < math.pi else {self.radians}
        return tuple(Ray(v, _along(start + t)) for t in sorted(turns, reverse=True))

    def found(self, at: Points) -> str:
        return f"angle {self.a}{self.v}{self.b} would be {math.degrees(self._turn(at)):.4g}°"


def _along(angle: float) -> Point:
    """The unit vector in direction ``angle``."""
    return Point(math.cos(angle), math.sin(angle))


@dataclass(frozen=True)
class On(OfLine):
    part: str
    says: str

    def residuals(self, at: Points) -> tuple[float, ...]:
        p, a, b = at[self.p], at[self.a], at[self.b]
        along = (b - a).unit()
        t, length = (p - a).dot(along), a.distance(b)
        past = 0.0
        if self.part == "segment":
            past = max(0.0, -t, t - length)
        elif self.part == "produced":
            past = max(0.0, length - t)
        return (along.cross(p - a), past)

    def curves(self, p: str, at: Points) -> tuple[Curve, ...] | None:
        if p != self.p:
            q, r = at[self.p], at[self.a if p == self.b else self.b]
            return None if q.distance(r) < EPS else (Line(q, (r - q).unit()),)
        a, b = at[self.a], at[self.b]
        if a.distance(b) < EPS:
            return None
        if self.part == "segment":
            return (Segment(a, b),)
        direction = (b - a).unit()
        return (Ray(b, direction),) if self.part == "produced" else (Line(a, direction),)


@dataclass(frozen=True)
class Mid(OfLine):
    says: str

    def residuals(self, at: Points) -> tuple[float, ...]:
        miss = at[self.p] - midpoint(at[self.a], at[self.b])
        return miss.x, miss.y

    def curves(self, p: str, at: Points) -> Point:
        if p == self.p:
            return midpoint(at[self.a], at[self.b])
        other = at[self.b if p == self.a else self.a]
        return at[self.p] * 2 - other


@dataclass(frozen=True)
class Vector(Constraint):
    """``p`` is ``start`` + ``step``, cm."""

    p: str
    start: str
    step: Point
    says: str

    @property
    def labels(self) -> tuple[str, ...]:
        return self.p, self.start

    def residuals(self, at: Points) -> tuple[float, ...]:
        miss = at[self.p] - at[self.start] - self.step
        return miss.x, miss.y

    def curves(self, p: str, at: Points) -> Point:
        return at[self.start] + self.step if p == self.p else at[self.p] - self.step


@dataclass(frozen=True)
class Direction(Constraint):
    """The direction from ``start`` to ``p``, radians anticlockwise from the x axis."""

    p: str
    start: str
    radians: float
    says: str

    @property
    def labels(self) -> tuple[str, ...]:
        return self.p, self.start

    def residuals(self, at: Points) -> tuple[float, ...]:
        along = _along(self.radians)
        gap = at[self.p] - at[self.start]
        return (along.cross(gap), min(0.0, along.dot(gap)))

    def curves(self, p: str, at: Points) -> tuple[Curve, ...]:
        along = _along(self.radians)
        return (Ray(at[self.start], along),) if p == self.p else (Ray(at[self.p], -along),)


@dataclass(frozen=True)
class Place(Constraint):
    p: str
    x: float
    y: float
    says: str

    @property
    def labels(self) -> tuple[str, ...]:
        return (self.p,)

    def residuals(self, at: Points) -> tuple[float, ...]:
        return at[self.p].x - self.x, at[self.p].y - self.y

    def curves(self, p: str, at: Points) -> Point:
        return Point(self.x, self.y)


@dataclass(frozen=True)
class Parallelogram(OfTwoLines):
    """a, b, c, d in order: a + c = b + d."""

    says: str

    def residuals(self, at: Points) -> tuple[float, ...]:
        miss = at[self.a] + at[self.c] - at[self.b] - at[self.d]
        return miss.x, miss.y

    def curves(self, p: str, at: Points) -> Point:
        order = list(self.labels)
        i = order.index(p)
        one, across, two = order[i - 1], order[i - 2], order[(i + 1) % 4]
        return at[one] + at[two] - at[across]


@dataclass(frozen=True)
class Slope(OfTwoLines):
    """ab at ``turn`` radians to cd: 0 parallel, pi/2 perpendicular."""

    turn: float
    says: str

    def residuals(self, at: Points) -> tuple[float, ...]:
        u, w = at[self.b] - at[self.a], at[self.d] - at[self.c]
        size = max(u.norm() * w.norm(), EPS)
        return ((u.cross(w) if self.turn == 0 else u.dot(w)) / size,)

    def curves(self, p: str, at: Points) -> tuple[Curve, ...] | None:
        moving, other = (self.a, self.b), (self.c, self.d)
        if p in other:
            moving, other = other, moving
        if p in other or other[0] not in at or other[1] not in at:
            return None
        anchor = at[moving[1] if p == moving[0] else moving[0]]
        gap = at[other[1]] - at[other[0]]
        if gap.norm() < EPS:
            return None
        along = gap.unit()
        return (Line(anchor, along if self.turn == 0 else along.left()),)


@dataclass(frozen=True)
class Across(OfLine):
    """``p`` lies on the circle that has the diameter ab."""

    says: str

    def residuals(self, at: Points) -> tuple[float, ...]:
        a, b = at[self.a], at[self.b]
        return (midpoint(a, b).distance(at[self.p]) - a.distance(b) / 2,)

    def curves(self, p: str, at: Points) -> tuple[Curve, ...] | None:
        if p != self.p or at[self.a].distance(at[self.b]) < EPS:
            return None
        a, b = at[self.a], at[self.b]
        return (Arc(midpoint(a, b), a.distance(b) / 2),)


@dataclass(frozen=True)
class Gap(OfLine):
    """``p`` is ``r`` from the whole line ab."""

    r: float
    says: str

    def residuals(self, at: Points) -> tuple[float, ...]:
        a, gap = at[self.a], at[self.b] - at[self.a]
        if gap.norm() < EPS:
            return (self.r,)
        return (abs(gap.unit().cross(at[self.p] - a)) - self.r,)

    def curves(self, p: str, at: Points) -> tuple[Curve, ...] | None:
        if p != self.p or at[self.a].distance(at[self.b]) < EPS:
            return None
        a, along = at[self.a], (at[self.b] - at[self.a]).unit()
        return tuple(Line(a + along.left() * r, along) for r in (self.r, -self.r))
