"""Arcs of parabolas, ellipses and hyperbolas.

Each is given in its own frame: a place, a unit axis and its sizes. ``sense`` -1 is the mirrored
run, so that the parameter always grows.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from millimark.plane.curves import Curve, Swept
from millimark.plane.point import Point
from millimark.plane.quadrature import integral
from millimark.plane.roots import real_roots
from millimark.plane.similarity import Similarity

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


class _Ranged(Curve):
    """A curve whose parameter runs from ``from_`` to ``to``; either may be infinite."""

    from_: float
    to: float

    @property
    def t0(self) -> float:
        return self.from_

    @property
    def t1(self) -> float:
        return self.to


@dataclass(frozen=True)
class ParabolaArc(_Ranged):
    """The parabola of focal length ``focal`` with its vertex at ``vertex``, open along ``axis``.

    In the frame (u, axis), u = axis turned a quarter turn clockwise, the point at t is
    (sense t, t^2 / (4 focal)): t is the distance from the axis. Unbounded where ``from_`` or
    ``to`` is infinite.
    """

    vertex: Point
    axis: Point
    focal: float
    from_: float = -math.inf
    to: float = math.inf
    sense: float = 1.0
    kind: ClassVar[str] = "parabola"

    @property
    def focus(self) -> Point:
        """The focus: ``focal`` from the vertex along the axis."""
        return self.vertex + self.axis * self.focal

    def _across(self) -> Point:
        return Point(self.axis.y, -self.axis.x) * self.sense

    def point_at(self, t: float) -> Point:
        return self.vertex + self._across() * t + self.axis * (t * t / (4 * self.focal))

    def direction_at(self, t: float) -> Point:
        return (self._across() + self.axis * (t / (2 * self.focal))).unit()

    def curvature_at(self, t: float) -> float:
        w = t / (2 * self.focal)
        return self.sense / (2 * self.focal) / math.hypot(1.0, w) ** 3

    def level_parameters(self) -> list[float]:
        """Parameters where the curve runs along the x axis or along the y axis."""
        u, f = self._across(), 2 * self.focal
        return [-f * a / b for a, b in zip(u, self.axis, strict=True) if abs(b) > 1e-15]

    def speed_at(self, t: float) -> float:
        """Distance run for each unit of ``t``."""
        return math.hypot(1.0, t / (2 * self.focal))

    @property
    def length(self) -> float:
        if not self.bounded:
            return math.inf
        return self._run(self.to) - self._run(self.from_)

    def _run(self, t: float) -> float:
        """Arc length from the vertex to ``t``."""
        w = t / (2 * self.focal)
        return self.focal * (w * math.sqrt(1 + w * w) + math.asinh(w))

    def green(self) -> float:
        if not self.bounded:
            raise ValueError("an unbounded parabola bounds no area")
        swept = (self.to**3 - self.from_**3) / (24 * self.focal)
        return self.vertex.cross(self.end - self.start) / 2 + self.sense * swept

    def nearest(self, p: Point) -> float:
        d = p - self.vertex
        x, y = d.dot(self._across()), d.dot(self.axis)
        f = self.focal
        # d/dt |(t, t²/4f) - (x, y)|² = 0  <=>  t³ / (8 f²) + (1 - y / 2f) t - x = 0
        feet = real_roots(
            (1 / (8 * f * f), 0.0, 1 - y / (2 * f), -x), self.from_, self.to, lambda _: True
        )
        ends = [t for t in (self.from_, self.to) if math.isfinite(t)]
        return min((*feet, *ends), key=lambda t: (t - x) ** 2 + (t * t / (4 * f) - y) ** 2)

    def between(self, t0: float, t1: float) -> ParabolaArc:
        return ParabolaArc(self.vertex, self.axis, self.focal, t0, t1, self.sense)

    def reversed(self) -> ParabolaArc:
        return ParabolaArc(self.vertex, self.axis, self.focal, -self.to, -self.from_, -self.sense)

    def transformed(self, map_: Similarity) -> ParabolaArc:
        at = map_(self.vertex)
        return ParabolaArc(
            at,
            (map_(self.vertex + self.axis) - at).unit(),
            self.focal * map_.scale,
            self.from_ * map_.scale,
            self.to * map_.scale,
            -self.sense if map_.flip else self.sense,
        )

    def sampled(self, sagitta: float = 1e-3) -> NDArray[np.float64]:
        import numpy as np

        if not self.bounded:
            raise ValueError("an unbounded parabola has no end: clip it before sampling")
        # A chord over dt strays by dt² / (16 focal) along the axis, so by less square to itself.
        step = 4 * math.sqrt(self.focal * sagitta)
        n = max(2, math.ceil((self.to - self.from_) / step) + 1)
        t = np.linspace(self.from_, self.to, n)
        u, rise = self._across(), t * t / (4 * self.focal)
        return np.column_stack(
            (
                self.vertex.x + u.x * t + self.axis.x * rise,
                self.vertex.y + u.y * t + self.axis.y * rise,
            )
        )


@dataclass(frozen=True)
class EllipseArc(Swept):
    """An arc of the ellipse with half axes ``a`` along the unit vector ``axis`` and ``b`` across.

    The eccentric angle runs from ``from_`` by ``sweep`` (anticlockwise if positive); the parameter
    is the angle already run, 0 to abs(sweep); 2 pi is the whole ellipse.
    """

    centre: Point
    axis: Point
    a: float
    b: float
    from_: float = 0.0
    sweep: float = 2 * math.pi
    kind: ClassVar[str] = "ellipse"

    def level_parameters(self) -> list[float]:
        """Parameters, also beyond the ends, where the curve runs along the x or the y axis."""
        u, v = self.axis, self.axis.left()
        out = []
        for along, across in ((u.x, v.x), (u.y, v.y)):
            e = math.atan2(self.b * across, self.a * along)
            out += [self.turn_to(e), self.turn_to(e + math.pi)]
        return out

    def _placed(self, x: float, y: float) -> Point:
        return self.axis * x + self.axis.left() * y

    def point_at(self, t: float) -> Point:
        e = self.angle_at(t)
        return self.centre + self._placed(self.a * math.cos(e), self.b * math.sin(e))

    def _velocity(self, t: float) -> Point:
        e = self.angle_at(t)
        return self._placed(-self.a * math.sin(e), self.b * math.cos(e)) * self.sense

    def direction_at(self, t: float) -> Point:
        return self._velocity(t).unit()

    def speed_at(self, t: float) -> float:
        """Distance run for each unit of ``t``."""
        return self._velocity(t).norm()

    def curvature_at(self, t: float) -> float:
        return self.sense * self.a * self.b / self._velocity(t).norm() ** 3

    @property
    def length(self) -> float:
        return integral(lambda t: self._velocity(t).norm(), 0.0, self.t1)

    def green(self) -> float:
        return (self.centre.cross(self.end - self.start) + self.a * self.b * self.sweep) / 2

    def local(self, p: Point) -> tuple[float, float]:
        """``p`` in the frame of centre and axis."""
        d = p - self.centre
        return d.dot(self.axis), self.axis.cross(d)

    def turn_to(self, angle: float) -> float:
        """The parameter, in [0, 2 pi), of an eccentric angle; beyond ``t1`` if not on the arc."""
        return (self.sense * (angle - self.from_)) % (2 * math.pi)

    def nearest(self, p: Point) -> float:
        x, y = self.local(p)
        k = (self.a - self.b) * (self.a + self.b)
        # (P(e) - p) . P'(e) = 0 with w = tan(e / 2)
        quartic = (
            self.b * y,
            2 * (self.a * x + k),
            0.0,
            2 * (self.a * x - k),
            -self.b * y,
        )
        feet = [2 * math.atan(w) for w in real_roots(quartic, -math.inf, math.inf, lambda _: True)]
        turns = [t for e in (*feet, math.pi) if (t := self.turn_to(e)) <= self.t1]
        return min((0.0, self.t1, *turns), key=lambda t: self.point_at(t).distance(p))

    def between(self, t0: float, t1: float) -> EllipseArc:
        return EllipseArc(
            self.centre, self.axis, self.a, self.b, self.angle_at(t0), self.sense * (t1 - t0)
        )

    def reversed(self) -> EllipseArc:
        return EllipseArc(
            self.centre, self.axis, self.a, self.b, self.from_ + self.sweep, -self.sweep
        )

    def transformed(self, map_: Similarity) -> EllipseArc:
        at, k = map_(self.centre), map_.scale
        axis = (map_(self.centre + self.axis) - at).unit()
        flip = -1.0 if map_.flip else 1.0
        return EllipseArc(at, axis, self.a * k, self.b * k, flip * self.from_, flip * self.sweep)

    def sampled(self, sagitta: float = 1e-3) -> NDArray[np.float64]:
        import numpy as np

        # A chord over dt of the auxiliary circle strays by a dt² / 8; the ellipse less.
        step = math.sqrt(8 * min(sagitta / max(self.a, self.b), 0.1))
        n = max(2, math.ceil(self.t1 / step) + 1)
        e = self.from_ + np.linspace(0.0, self.sweep, n)
        x, y = self.a * np.cos(e), self.b * np.sin(e)
        u, v = self.axis, self.axis.left()
        return np.column_stack(
            (self.centre.x + u.x * x + v.x * y, self.centre.y + u.y * x + v.y * y)
        )


@dataclass(frozen=True)
class HyperbolaArc(_Ranged):
    """An arc of one branch of a hyperbola: the branch on the side of the unit vector ``axis``.

    In the frame of ``centre`` and ``axis`` the point at t is (a cosh t, sense b sinh t).
    Unbounded where ``from_`` or ``to`` is infinite.
    """

    centre: Point
    axis: Point
    a: float
    b: float
    from_: float = -math.inf
    to: float = math.inf
    sense: float = 1.0
    kind: ClassVar[str] = "hyperbola"

    def _placed(self, x: float, y: float) -> Point:
        return self.axis * x + self.axis.left() * y

    def point_at(self, t: float) -> Point:
        x, y = self.a * math.cosh(t), self.sense * self.b * math.sinh(t)
        return self.centre + self._placed(x, y)

    def _velocity(self, t: float) -> Point:
        return self._placed(self.a * math.sinh(t), self.sense * self.b * math.cosh(t))

    def direction_at(self, t: float) -> Point:
        # Past |t| = 300 the asymptote, before cosh overflows.
        return self._velocity(min(max(t, -300.0), 300.0)).unit()

    def speed_at(self, t: float) -> float:
        """Distance run for each unit of ``t``."""
        return self._velocity(min(max(t, -300.0), 300.0)).norm()

    def curvature_at(self, t: float) -> float:
        return -self.sense * self.a * self.b / self._velocity(t).norm() ** 3

    def level_parameters(self) -> list[float]:
        """Parameters, also beyond the ends, where the curve runs along the x or the y axis."""
        u, v = self.axis, self.axis.left()
        out = []
        for along, across in ((u.x, v.x), (u.y, v.y)):
            # a along sinh t + sense b across cosh t = 0
            p, q = self.a * along, self.sense * self.b * across
            if abs(q) < abs(p):
                out.append(math.atanh(-q / p))
        return out

    @property
    def length(self) -> float:
        if not self.bounded:
            return math.inf
        return integral(lambda t: self._velocity(t).norm(), self.from_, self.to)

    def green(self) -> float:
        if not self.bounded:
            raise ValueError("an unbounded hyperbola bounds no area")
        swept = self.sense * self.a * self.b * (self.to - self.from_)
        return (self.centre.cross(self.end - self.start) + swept) / 2

    def local(self, p: Point) -> tuple[float, float]:
        """``p`` in the frame of centre and axis."""
        d = p - self.centre
        return d.dot(self.axis), self.axis.cross(d)

    def nearest(self, p: Point) -> float:
        x, y = self.local(p)
        y *= self.sense
        k = self.a * self.a + self.b * self.b
        # (P(t) - p) . P'(t) = 0 with w = exp t
        quartic = (
            k,
            -2 * (self.a * x + self.b * y),
            0.0,
            2 * (self.a * x - self.b * y),
            -k,
        )
        roots = real_roots(quartic, 0.0, math.inf, lambda _: True)
        feet = [t for w in roots if w > 0 and self.from_ <= (t := math.log(w)) <= self.to]
        ends = [t for t in (self.from_, self.to) if math.isfinite(t)]
        return min((*feet, *ends), key=lambda t: self.point_at(t).distance(p))

    def between(self, t0: float, t1: float) -> HyperbolaArc:
        return HyperbolaArc(self.centre, self.axis, self.a, self.b, t0, t1, self.sense)

    def reversed(self) -> HyperbolaArc:
        return HyperbolaArc(
            self.centre, self.axis, self.a, self.b, -self.to, -self.from_, -self.sense
        )

    def transformed(self, map_: Similarity) -> HyperbolaArc:
        at, k = map_(self.centre), map_.scale
        axis = (map_(self.centre + self.axis) - at).unit()
        sense = -self.sense if map_.flip else self.sense
        return HyperbolaArc(at, axis, self.a * k, self.b * k, self.from_, self.to, sense)

    def sampled(self, sagitta: float = 1e-3) -> NDArray[np.float64]:
        import numpy as np

        if not self.bounded:
            raise ValueError("an unbounded hyperbola has no end: clip it before sampling")
        # A chord over dt strays by at most the second derivative, a cosh or b sinh, dt² / 8.
        reach = max(abs(self.from_), abs(self.to))
        bend = math.hypot(self.a * math.cosh(reach), self.b * math.sinh(reach))
        step = math.sqrt(8 * min(sagitta / bend, 0.1))
        n = max(2, math.ceil((self.to - self.from_) / step) + 1)
        t = np.linspace(self.from_, self.to, n)
        x, y = self.a * np.cosh(t), self.sense * self.b * np.sinh(t)
        u, v = self.axis, self.axis.left()
        return np.column_stack(
            (self.centre.x + u.x * x + v.x * y, self.centre.y + u.y * x + v.y * y)
        )
