"""Curves with a parameter: segment, ray, line and circular arc.

Every curve is a frozen value. ``point_at(t)`` is defined for ``t0 <= t <= t1``; for lines,
rays and segments ``t`` is arc length from the anchor, for arcs it is the turn made, in
radians. ``t0`` and ``t1`` are infinite only for rays and lines. Conic arcs are in ``conics``.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from millimark.plane.point import EPS, Point
from millimark.plane.similarity import Similarity

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


class Curve(ABC):
    """A smooth piece of a curve with a direction (from ``t0`` to ``t1``)."""

    kind: ClassVar[str]

    @property
    @abstractmethod
    def t0(self) -> float:
        """First parameter; -inf for a line."""

    @property
    @abstractmethod
    def t1(self) -> float:
        """Last parameter; inf for a line or ray."""

    @abstractmethod
    def point_at(self, t: float) -> Point:
        """The point at parameter ``t``."""

    @abstractmethod
    def direction_at(self, t: float) -> Point:
        """Unit tangent at ``t``, in the sense of growing ``t``."""

    @property
    @abstractmethod
    def length(self) -> float:
        """Arc length; inf for an unbounded curve."""

    @abstractmethod
    def nearest(self, p: Point) -> float:
        """Parameter of the curve's point nearest to ``p`` (ends included)."""

    @abstractmethod
    def between(self, t0: float, t1: float) -> Curve:
        """The piece from ``t0`` to ``t1`` (t0 < t1) of a bounded or unbounded curve."""

    @abstractmethod
    def reversed(self) -> Curve:
        """The same points, run the other way."""

    @abstractmethod
    def transformed(self, map_: Similarity) -> Curve:
        """The image under a similarity; direction is carried along."""

    @abstractmethod
    def sampled(self, sagitta: float = 1e-3) -> NDArray[np.float64]:
        """Points along a bounded curve, ends included, as (N, 2) float64, whose polyline
        strays from the curve by at most ``sagitta`` (the curve's unit). ValueError if unbounded."""

    @abstractmethod
    def curvature_at(self, t: float) -> float:
        """Signed curvature at ``t``: positive where the curve bends to its left."""

    @abstractmethod
    def green(self) -> float:
        """Half the integral of x dy - y dx along a bounded curve: its share of the area
        of a loop (Green's theorem). ValueError if unbounded."""

    @property
    def start(self) -> Point:
        """The point at ``t0``."""
        return self.point_at(self.t0)

    @property
    def end(self) -> Point:
        """The point at ``t1``."""
        return self.point_at(self.t1)

    @property
    def bounded(self) -> bool:
        """Whether both ends are finite."""
        return math.isfinite(self.t0) and math.isfinite(self.t1)

    def distance_to(self, p: Point) -> float:
        """Distance from ``p`` to the nearest point of the curve."""
        return self.point_at(self.nearest(p)).distance(p)


class _Straight(Curve):
    """What segment, ray and line share: an anchor and a unit direction."""

    anchor: Point
    direction: Point

    def point_at(self, t: float) -> Point:
        return Point(self.anchor.x + t * self.direction.x, self.anchor.y + t * self.direction.y)

    def direction_at(self, t: float) -> Point:
        return self.direction

    @property
    def length(self) -> float:
        return self.t1 - self.t0

    def nearest(self, p: Point) -> float:
        return min(max((p - self.anchor).dot(self.direction), self.t0), self.t1)

    def curvature_at(self, t: float) -> float:
        return 0.0

    def green(self) -> float:
        if not self.bounded:
            raise ValueError(f"a {self.kind} has no end: it bounds no area")
        a, b = self.start, self.end
        return (a.x * b.y - b.x * a.y) / 2

    def between(self, t0: float, t1: float) -> Curve:
        if math.isfinite(t0) and math.isfinite(t1):
            return Segment(self.point_at(t0), self.point_at(t1))
        if math.isfinite(t0):
            return Ray(self.point_at(t0), self.direction)
        if math.isfinite(t1):
            return InwardRay(self.point_at(t1), self.direction)
        return Line(self.anchor, self.direction)

    def sampled(self, sagitta: float = 1e-3) -> NDArray[np.float64]:
        import numpy as np

        if not self.bounded:
            raise ValueError(f"a {self.kind} has no end: clip it before sampling")
        return np.array([self.start, self.end], dtype=np.float64)


@dataclass(frozen=True)
class Segment(_Straight):
    """The segment from ``a`` to ``b`` (distinct points)."""

    a: Point
    b: Point
    kind: ClassVar[str] = "segment"

    @property
    def anchor(self) -> Point:  # type: ignore[override]
        return self.a

    @property
    def direction(self) -> Point:  # type: ignore[override]
        known: Point | None = self.__dict__.get("_direction")
        if known is None:
            (ax, ay), (bx, by) = self.a, self.b
            size = math.hypot(bx - ax, by - ay)
            if size == 0.0:
                raise ValueError("a segment of no length has no direction")
            known = self.__dict__["_direction"] = Point((bx - ax) / size, (by - ay) / size)
        return known

    @property
    def t0(self) -> float:
        return 0.0

    @property
    def t1(self) -> float:
        return self.a.distance(self.b)

    def point_at(self, t: float) -> Point:
        (ax, ay), (dx, dy) = self.a, self.direction
        return Point(ax + t * dx, ay + t * dy)

    def green(self) -> float:
        return (self.a.x * self.b.y - self.b.x * self.a.y) / 2

    def between(self, t0: float, t1: float) -> Segment:
        whole = self.t1
        a = self.a if t0 == 0.0 else self.point_at(t0)
        return Segment(a, self.b if t1 == whole else self.point_at(t1))

    @property
    def start(self) -> Point:
        return self.a

    @property
    def end(self) -> Point:
        return self.b

    def reversed(self) -> Segment:
        return Segment(self.b, self.a)

    def transformed(self, map_: Similarity) -> Segment:
        return Segment(map_(self.a), map_(self.b))


@dataclass(frozen=True)
class Ray(_Straight):
    """The ray from ``anchor`` along the unit vector ``direction``."""

    anchor: Point
    direction: Point
    kind: ClassVar[str] = "ray"

    @property
    def t0(self) -> float:
        return 0.0

    @property
    def t1(self) -> float:
        return math.inf

    def reversed(self) -> InwardRay:
        return InwardRay(self.anchor, -self.direction)

    def transformed(self, map_: Similarity) -> Ray:
        tip = map_(self.anchor)
        return Ray(tip, (map_(self.anchor + self.direction) - tip).unit())


@dataclass(frozen=True)
class InwardRay(_Straight):
    """A ray run from infinity along the unit vector ``direction`` to its end ``anchor``.

    Only boundaries of regions need it; ``reversed`` is the plain ``Ray``.
    """

    anchor: Point
    direction: Point
    kind: ClassVar[str] = "ray"

    @property
    def t0(self) -> float:
        return -math.inf

    @property
    def t1(self) -> float:
        return 0.0

    def reversed(self) -> Ray:
        return Ray(self.anchor, -self.direction)

    def transformed(self, map_: Similarity) -> InwardRay:
        return self.reversed().transformed(map_).reversed()


@dataclass(frozen=True)
class Line(_Straight):
    """The line through ``anchor`` along the unit vector ``direction``."""

    anchor: Point
    direction: Point
    kind: ClassVar[str] = "line"

    @property
    def t0(self) -> float:
        return -math.inf

    @property
    def t1(self) -> float:
        return math.inf

    def reversed(self) -> Line:
        return Line(self.anchor, -self.direction)

    def transformed(self, map_: Similarity) -> Line:
        at = map_(self.anchor)
        return Line(at, (map_(self.anchor + self.direction) - at).unit())


class Swept(Curve):
    """A curve that turns about a centre: its parameter is the angle already run, 0 to abs(sweep).

    It begins at the angle ``from_`` and is anticlockwise where ``sweep`` is positive.
    """

    from_: float
    sweep: float

    @property
    def t0(self) -> float:
        return 0.0

    @property
    def t1(self) -> float:
        return abs(self.sweep)

    @property
    def sense(self) -> float:
        """+1 for an anticlockwise arc, -1 for a clockwise one."""
        return math.copysign(1.0, self.sweep)

    @property
    def is_whole(self) -> bool:
        """Whether the arc closes into the whole circle or ellipse."""
        return abs(self.sweep) >= 2 * math.pi - EPS

    def angle_at(self, t: float) -> float:
        """The angle reached at parameter ``t``."""
        return self.from_ + self.sense * t


@dataclass(frozen=True)
class Arc(Swept):
    """An arc of a circle from angle ``from_`` turning by ``sweep`` radians.

    ``sweep`` > 0 is anticlockwise; abs(sweep) = 2 pi is the whole circle. The parameter is the turn
    already made, 0 to abs(sweep), so that it always grows.
    """

    centre: Point
    radius: float
    from_: float = 0.0
    sweep: float = 2 * math.pi
    kind: ClassVar[str] = "arc"

    def point_at(self, t: float) -> Point:
        return self.centre.polar(self.radius, self.angle_at(t))

    def direction_at(self, t: float) -> Point:
        a = self.angle_at(t)
        return Point(-math.sin(a), math.cos(a)) * self.sense

    @property
    def length(self) -> float:
        return self.radius * abs(self.sweep)

    def curvature_at(self, t: float) -> float:
        return self.sense / self.radius

    def green(self) -> float:
        a, b = self.from_, self.from_ + self.sweep
        chord = self.centre.x * (math.sin(b) - math.sin(a)) - self.centre.y * (
            math.cos(b) - math.cos(a)
        )
        return self.radius * (self.radius * self.sweep + chord) / 2

    def nearest(self, p: Point) -> float:
        t = (self.sense * ((p - self.centre).angle() - self.from_)) % (2 * math.pi)
        if t <= self.t1:
            return t
        past = t - self.t1
        before = 2 * math.pi - t
        return self.t1 if past <= before else 0.0

    def between(self, t0: float, t1: float) -> Arc:
        return Arc(self.centre, self.radius, self.angle_at(t0), self.sense * (t1 - t0))

    def reversed(self) -> Arc:
        return Arc(self.centre, self.radius, self.from_ + self.sweep, -self.sweep)

    def transformed(self, map_: Similarity) -> Arc:
        sweep = -self.sweep if map_.flip else self.sweep
        return Arc(map_(self.centre), self.radius * map_.scale, map_.angle(self.from_), sweep)

    def sampled(self, sagitta: float = 1e-3) -> NDArray[np.float64]:
        import numpy as np

        ratio = min(max(sagitta / self.radius, 1e-12), 1.0)
        step = 2 * math.acos(1.0 - ratio)
        n = max(2, math.ceil(abs(self.sweep) / step) + 1)
        a = self.from_ + np.linspace(0.0, self.sweep, n)
        return np.column_stack(
            (self.centre.x + self.radius * np.cos(a), self.centre.y + self.radius * np.sin(a))
        )
