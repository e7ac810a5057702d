"""Bounding boxes of curves and workings, and the room that ink must stay in.

Figure centimetres, y up. An empty collection has no box: ``box_of`` returns None.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from millimark.plane.curves import Arc, Curve
from millimark.plane.point import EPS, Point
from millimark.working.acts import JoinMarks, RuleLine, StrikeArc, Working

QUARTER = math.pi / 2


@dataclass(frozen=True)
class Box:
    """An upright rectangle from (x0, y0) to (x1, y1)."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def width(self) -> float:
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        return self.y1 - self.y0

    @property
    def centre(self) -> Point:
        return Point((self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2)

    def joined(self, other: Box) -> Box:
        """The smallest box that holds both."""
        return Box(
            min(self.x0, other.x0),
            min(self.y0, other.y0),
            max(self.x1, other.x1),
            max(self.y1, other.y1),
        )

    def holds(self, p: Point, slack: float = EPS) -> bool:
        """Whether ``p`` lies in the box, its edge included."""
        return (
            self.x0 - slack <= p.x <= self.x1 + slack and self.y0 - slack <= p.y <= self.y1 + slack
        )

    def holds_box(self, other: Box) -> bool:
        """Whether the whole of ``other`` lies in this box."""
        return self.holds(Point(other.x0, other.y0)) and self.holds(Point(other.x1, other.y1))

    def along(self, anchor: Point, direction: Point) -> tuple[float, float] | None:
        """None where the line misses the box; else the parameters (cm from ``anchor``,
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


def _of_arc(arc: Arc) -> Box:
    places = [arc.start, arc.end]
    first, last = sorted((arc.from_, arc.from_ + arc.sweep))
    for k in range(math.ceil(first / QUARTER), math.floor(last / QUARTER) + 1):
        places.append(arc.centre.polar(arc.radius, k * QUARTER))
    return _of_points(places)


def _of_points(points: Iterable[Point]) -> Box:
    xs, ys = zip(*points, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def curve_box(curve: Curve) -> Box:
    """The box of a bounded curve, exact for arcs and segments."""
    if isinstance(curve, Arc):
        return _of_arc(curve)
    if curve.kind == "segment":
        return _of_points((curve.start, curve.end))
    return _of_points(Point(float(x), float(y)) for x, y in curve.sampled(1e-4))


def box_of(curves: Iterable[Curve] = (), points: Iterable[Point] = ()) -> Box | None:
    """None for nothing at all; else the box of the bounded curves and the points."""
    boxes = [curve_box(c) for c in curves if c.bounded]
    boxes += [Box(p.x, p.y, p.x, p.y) for p in points]
    if not boxes:
        return None
    joined = boxes[0]
    for box in boxes[1:]:
        joined = joined.joined(box)
    return joined


def extent(working: Working) -> Box:
    """The box of all ink of a working; a box of size 0 at the origin if it has none."""
    ink = [
        curve
        for step in working.steps
        for act in step.acts
        if isinstance(act, StrikeArc | RuleLine | JoinMarks)
        for curve in act.ink
    ]
    return box_of(ink) or Box(0.0, 0.0, 0.0, 0.0)
