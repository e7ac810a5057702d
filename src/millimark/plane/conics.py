"""Arcs of parabolas, ellipses and hyperbolas.

Each is given in its own frame: a place, a unit axis and its sizes. ``sense`` is +1 where the
parameter runs anticlockwise about the frame (left of the axis first for a parabola means
-1) and -1 for the mirrored run, so that the parameter always grows.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from millimark.plane.curves import Curve
from millimark.plane.point import Point
from millimark.plane.similarity import Similarity

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True)
class ParabolaArc(Curve):
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
    def t0(self) -> float:
        return self.from_

    @property
    def t1(self) -> float:
        return self.to

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
        from millimark.plane.roots import real_roots

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
