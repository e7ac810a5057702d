"""Shapes outside which a condition cannot hold: what lies beyond need not be worked out."""

from __future__ import annotations

from collections.abc import Sequence

from millimark.loci.conditions import (
    Distance,
    Inside,
    PointOf,
    PolygonOf,
    SegmentOf,
    SidesOf,
)
from millimark.loci.figure import Figure
from millimark.loci.leaf import Window
from millimark.loci.places import corners, place
from millimark.plane.point import Point


def extent(figure: Figure, condition: Distance | Inside) -> Window:
    """Corners of a shape that holds every point that satisfies the condition; None where there
    is none or it is not worked out."""
    match condition:
        case Inside(PolygonOf(labels)):
            return corners(figure, labels)
        case Distance(PointOf(a), "<" | "<=", length):
            return _grown([place(figure, a)], length)
        case Distance(SegmentOf(a, b), "<" | "<=", length):
            return _grown([place(figure, a), place(figure, b)], length)
        case Distance(PolygonOf(labels) | SidesOf(labels), "<" | "<=", length):
            return _grown(corners(figure, labels), length)
    return None


def smallest(extents: Sequence[Window]) -> Window:
    """The least wide and high of the shapes; None if there is none."""
    return min((e for e in extents if e is not None), key=_breadth, default=None)


def _breadth(shape: Sequence[Point]) -> float:
    xs, ys = [p.x for p in shape], [p.y for p in shape]
    return max(xs) - min(xs) + max(ys) - min(ys)


def _grown(points: Sequence[Point], by: float) -> list[Point]:
    """Corners of an upright box round the points with a margin."""
    xs, ys = [p.x for p in points], [p.y for p in points]
    x0, x1, y0, y1 = min(xs) - by, max(xs) + by, min(ys) - by, max(ys) + by
    return [Point(x0, y0), Point(x1, y0), Point(x1, y1), Point(x0, y1)]
