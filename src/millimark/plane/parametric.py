"""Smooth curves known by a parameter only: the cycloid and the involute of a circle.

Both have closed forms for length and area. Nearest points and crossings are found by
sampling and then by halving and Newton's method to 1e-12 of the parameter, which
is well below 1e-9 cm for figures that fit a page.
"""

from __future__ import annotations

import math
from abc import abstractmethod
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from millimark.plane.curves import Curve
from millimark.plane.point import Point
from millimark.plane.similarity import Similarity

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

STEPS = 48
"""Samples for each curve when looking for nearest points and crossings."""


class ParametricCurve(Curve):
    """What the two share; bounded, with a velocity."""

    @abstractmethod
    def velocity_at(self, t: float) -> Point:
        """Derivative of ``point_at``."""

    def direction_at(self, t: float) -> Point:
        v = self.velocity_at(t)
        if v.norm() > 1e-9:
            return v.unit()
        # At a cusp: the direction just inside the curve.
        inward = 1e-4 if t <= self.t0 + 1e-3 else -1e-4
        return (
            (self.point_at(t + abs(inward)) - self.point_at(t)).unit()
            if inward > 0
            else (self.point_at(t) - self.point_at(t + inward)).unit()
        )

    def speed_at(self, t: float) -> float:
        """Distance run for each unit of ``t``."""
        return self.velocity_at(t).norm()

    def nearest(self, p: Point) -> float:
        stops = [self.t0 + (self.t1 - self.t0) * i / STEPS for i in range(STEPS + 1)]
        gaps = [self.point_at(t).distance(p) for t in stops]
        best, least = stops[0], gaps[0]
        for i, gap in enumerate(gaps):
            before = gaps[i - 1] if i else math.inf
            after = gaps[i + 1] if i < STEPS else math.inf
            if gap <= before and gap <= after:
                t = self._refined(p, stops[max(i - 1, 0)], stops[min(i + 1, STEPS)])
                found = self.point_at(t).distance(p)
                if found < least:
                    best, least = t, found
        return best

    def _refined(self, p: Point, lo: float, hi: float) -> float:
        """Where the distance from ``p`` stops falling, between two parameters."""
        for _ in range(100):
            mid = (lo + hi) / 2
            if (self.point_at(mid) - p).dot(self.velocity_at(mid)) < 0:
                lo = mid
            else:
                hi = mid
            if hi - lo < 1e-14 * max(1.0, abs(mid)):
                break
        ends = (lo, hi, (lo + hi) / 2)
        return min(ends, key=lambda t: self.point_at(t).distance(p))

    def sampled(self, sagitta: float = 1e-3) -> NDArray[np.float64]:
        import numpy as np

        # A chord of run s at radius of curvature r strays by s² / 8r; velocity is at most
        # its greatest at the ends or the middle, and r at least velocity there.
        fastest = max(self.speed_at(self.t0 + (self.t1 - self.t0) * i / 16) for i in range(17))
        step = math.sqrt(8 * min(sagitta / max(fastest, 1e-12), 0.01)) / 2
        n = max(2, math.ceil((self.t1 - self.t0) / step) + 1)
        return np.array([self.point_at(float(t)) for t in np.linspace(self.t0, self.t1, n)])


@dataclass(frozen=True)
class CycloidArc(ParametricCurve):
    """The path of a rim point of a wheel of ``radius`` that rolls from ``origin`` along the unit
    vector ``along``: on the left for ``side`` +1, on the right for -1.

    At t (the angle rolled) the point is (r (t - sin t), side r (1 - cos t)); ``from_`` to ``to``,
    ``backwards`` run from ``to`` to ``from_`` with t counted down.
    """

    origin: Point
    along: Point
    radius: float
    from_: float = 0.0
    to: float = 2 * math.pi
    side: float = 1.0
    backwards: bool = False
    kind: ClassVar[str] = "cycloid"

    @property
    def t0(self) -> float:
        return -self.to if self.backwards else self.from_

    @property
    def t1(self) -> float:
        return -self.from_ if self.backwards else self.to

    def _placed(self, x: float, y: float) -> Point:
        return self.along * x + self.along.left() * (self.side * y)

    def point_at(self, t: float) -> Point:
        t = -t if self.backwards else t
        r = self.radius
        return self.origin + self._placed(r * (t - math.sin(t)), r * (1 - math.cos(t)))

    def velocity_at(self, t: float) -> Point:
        sign = -1.0 if self.backwards else 1.0
        r, t = self.radius, sign * t
        return self._placed(sign * r * (1 - math.cos(t)), sign * r * math.sin(t))

    def curvature_at(self, t: float) -> float:
        sign = 1.0 if self.backwards else -1.0
        return sign * self.side / max(4 * self.radius * abs(math.sin(t / 2)), 1e-12)

    @property
    def length(self) -> float:
        return self._run(self.to) - self._run(self.from_)

    def _run(self, t: float) -> float:
        """4 r (1 - cos(t / 2)) on the first arch, 8 r for each whole arch before."""
        arches = math.floor(t / (2 * math.pi))
        rest = t - 2 * math.pi * arches
        return 8 * self.radius * arches + 4 * self.radius * (1 - math.cos(rest / 2))

    def green(self) -> float:
        # x dy - y dx = r² (t sin t + 2 cos t - 2) dt in the wheel's frame.
        def primitive(t: float) -> float:
            return 3 * math.sin(t) - t * math.cos(t) - 2 * t

        sign = -self.side if self.backwards else self.side
        swept = sign * self.radius**2 * (primitive(self.to) - primitive(self.from_))
        return (self.origin.cross(self.end - self.start) + swept) / 2

    def between(self, t0: float, t1: float) -> CycloidArc:
        lo, hi = (-t1, -t0) if self.backwards else (t0, t1)
        return CycloidArc(self.origin, self.along, self.radius, lo, hi, self.side, self.backwards)

    def reversed(self) -> CycloidArc:
        return CycloidArc(
            self.origin, self.along, self.radius, self.from_, self.to, self.side,
            not self.backwards,
        )  # fmt: skip

    def transformed(self, map_: Similarity) -> CycloidArc:
        at = map_(self.origin)
        return CycloidArc(
            at,
            (map_(self.origin + self.along) - at).unit(),
            self.radius * map_.scale,
            self.from_,
            self.to,
            -self.side if map_.flip else self.side,
            self.backwards,
        )


@dataclass(frozen=True)
class InvoluteArc(ParametricCurve):
    """The end of a rope that winds onto a circle.

    At parameter t the rope leaves the circle at the angle ``contact`` + ``sense`` t and runs on
    straight, in that sense, for ``free`` - ``radius`` t; t from ``from_`` to ``to``, ``backwards``
    counted down.
    """

    centre: Point
    radius: float
    contact: float
    free: float
    from_: float = 0.0
    to: float = 1.0
    sense: float = 1.0
    backwards: bool = False
    kind: ClassVar[str] = "involute"

    @property
    def t0(self) -> float:
        return -self.to if self.backwards else self.from_

    @property
    def t1(self) -> float:
        return -self.from_ if self.backwards else self.to

    def point_at(self, t: float) -> Point:
        t = -t if self.backwards else t
        a = self.contact + self.sense * t
        out = Point(math.cos(a), math.sin(a))
        run = self.sense * (self.free - self.radius * t)
        return self.centre + out * self.radius + out.left() * run

    def velocity_at(self, t: float) -> Point:
        sign = -1.0 if self.backwards else 1.0
        t *= sign
        a = self.contact + self.sense * t
        return Point(math.cos(a), math.sin(a)) * (sign * (self.radius * t - self.free))

    def curvature_at(self, t: float) -> float:
        sign = -1.0 if self.backwards else 1.0
        run = abs(self.free - self.radius * sign * t)
        return sign * self.sense / max(run, 1e-12)

    @property
    def length(self) -> float:
        return self.free * (self.to - self.from_) - self.radius * (self.to**2 - self.from_**2) / 2

    def green(self) -> float:
        # P x P' = centre x P' + sense run² with run = free - radius t.
        def primitive(t: float) -> float:
            return -((self.free - self.radius * t) ** 3) / (3 * self.radius)

        sign = -self.sense if self.backwards else self.sense
        swept = sign * (primitive(self.to) - primitive(self.from_))
        return (self.centre.cross(self.end - self.start) + swept) / 2

    def between(self, t0: float, t1: float) -> InvoluteArc:
        lo, hi = (-t1, -t0) if self.backwards else (t0, t1)
        return InvoluteArc(
            self.centre, self.radius, self.contact, self.free, lo, hi, self.sense, self.backwards
        )

    def reversed(self) -> InvoluteArc:
        return InvoluteArc(
            self.centre, self.radius, self.contact, self.free, self.from_, self.to, self.sense,
            not self.backwards,
        )  # fmt: skip

    def transformed(self, map_: Similarity) -> InvoluteArc:
        return InvoluteArc(
            map_(self.centre),
            self.radius * map_.scale,
            map_.angle(self.contact),
            self.free * map_.scale,
            self.from_,
            self.to,
            -self.sense if map_.flip else self.sense,
            self.backwards,
        )
