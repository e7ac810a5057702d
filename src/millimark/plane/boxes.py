"""Upright boxes round curves, and clipping curves to a box or a polygon."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

from millimark.plane.conics import EllipseArc, HyperbolaArc, ParabolaArc
from millimark.plane.curves import Arc, Curve, Segment
from millimark.plane.pieces import kept
from millimark.plane.point import EPS, Point


class Box(NamedTuple):
    """x0 <= x <= x1 and y0 <= y <= y1; the unit and frame are those of what it holds."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def width(self) -> float:
        """Extent along x."""
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        """Extent along y."""
        return self.y1 - self.y0

    @property
    def centre(self) -> Point:
        """The middle of the box."""
        return Point((self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2)

    def grown(self, by: float) -> Box:
        """The box with a margin of ``by`` on every side (shrunk if negative)."""
        return Box(self.x0 - by, self.y0 - by, self.x1 + by, self.y1 + by)

    def holds(self, p: Point, tol: float = EPS) -> bool:
        """Whether ``p`` lies in the box or within ``tol`` of it."""
        return self.x0 - tol <= p.x <= self.x1 + tol and self.y0 - tol <= p.y <= self.y1 + tol

    def joined(self, other: Box) -> Box:
        """The smallest box that holds both."""
        return Box(
            min(self.x0, other.x0),
            min(self.y0, other.y0),
            max(self.x1, other.x1),
            max(self.y1, other.y1),
        )

    def holds_box(self, other: Box) -> bool:
        """Whether the whole of ``other`` lies in this box."""
        return self.holds(Point(other.x0, other.y0)) and self.holds(Point(other.x1, other.y1))

    def along(self, anchor: Point, direction: Point) -> tuple[float, float] | None:
        """None where the line misses the box; else the parameters (lengths from ``anchor``,
        ``direction`` a unit vector) at which it enters and leaves."""
        low, high = -math.inf, math.inf
        for start, step, a, b in (
            (anchor.x, direction.x, self.x0, self.x1),
            (anchor.y, direction.y, self.y0, self.y1),
        ):
            if abs(step) < 1e-15:
                if not a - EPS <= start <= b + EPS:
                    return None
                continue
            first, last = sorted(((a - start) / step, (b - start) / step))
            low, high = max(low, first), min(high, last)
        return (low, high) if low < high else None

    def ring(self) -> tuple[Point, Point, Point, Point]:
        """The corners, anticlockwise (y up) from (x0, y0)."""
        return (
            Point(self.x0, self.y0),
            Point(self.x1, self.y0),
            Point(self.x1, self.y1),
            Point(self.x0, self.y1),
        )


def box_of(curves: Iterable[Curve], points: Iterable[Point] = ()) -> Box | None:
    """The smallest box round the curves and points; None if there are none. A box side is
    infinite where a curve runs off to infinity that way."""
    xs: list[float] = []
    ys: list[float] = []
    for p in points:
        xs.append(p.x)
        ys.append(p.y)
    for c in curves:
        for p in _extremes(c):
            xs.append(p.x)
            ys.append(p.y)
    return Box(min(xs), min(ys), max(xs), max(ys)) if xs else None


def _extremes(c: Curve) -> list[Point]:
    """Ends and the points where the curve runs along x or along y."""
    out = [c.point_at(t) for t in (c.t0, c.t1) if math.isfinite(t)]
    if not math.isfinite(c.t1):
        out.append(_at_infinity(c, c.t1))
    if not math.isfinite(c.t0):
        out.append(_at_infinity(c, c.t0))
    if isinstance(c, Arc):
        for quarter in range(4):
            t = (c.sense * (quarter * math.pi / 2 - c.from_)) % (2 * math.pi)
            if t < c.t1:
                out.append(c.point_at(t))
    elif isinstance(c, ParabolaArc | EllipseArc | HyperbolaArc):
        out.extend(c.point_at(t) for t in c.level_parameters() if c.t0 < t < c.t1)
    return out


def _at_infinity(c: Curve, t: float) -> Point:
    """Where a curve goes: ±inf along each axis on which it keeps going."""
    far = math.copysign(30.0 if isinstance(c, HyperbolaArc) else 1e7, t)
    direction = c.direction_at(far) * math.copysign(1.0, t)
    at = c.point_at(far)
    return Point(
        math.copysign(math.inf, direction.x) if abs(direction.x) > 1e-12 else at.x,
        math.copysign(math.inf, direction.y) if abs(direction.y) > 1e-12 else at.y,
    )


def clipped(curve: Curve, box: Box) -> list[Curve]:
    """The bounded pieces of a curve inside a box, in order along the curve; none: empty.

    Pieces along the box's edge count as inside.
    """
    return clipped_to(curve, box.ring())


def clipped_to(curve: Curve, ring: Sequence[Point]) -> list[Curve]:
    """The pieces of a curve inside a simple polygon, in order along the curve; none: empty."""
    sides = [Segment(a, b) for a, b in pairwise([*ring, ring[0]]) if a.distance(b) > EPS]

    def inside(x: float, y: float) -> bool:
        p = Point(x, y)
        return winds_round(ring, p) or any(s.distance_to(p) <= 10 * EPS for s in sides)

    return kept([curve], sides, inside)


def winds_round(ring: Sequence[Point], p: Point) -> bool:
    """Whether ``p`` lies inside the closed polygon, by the parity of crossings; on the
    boundary either may come back."""
    inside = False
    for a, b in pairwise([*ring, ring[0]]):
        if (a.y > p.y) != (b.y > p.y):
            x = a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)
            inside ^= p.x < x
    return inside
