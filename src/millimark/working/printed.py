"""Which lines are printed, and how far: what a hand need not draw."""

from __future__ import annotations

import math
from collections.abc import Iterator

from millimark.loci.figure import Figure
from millimark.plane.point import Point
from millimark.working.acts import PrintedCircle, PrintedLine

ON = 1e-7
"""cm: a mark this near to a printed line is on it."""


def printed_from(figure: Figure, at: Point, direction: Point) -> tuple[float, PrintedLine | None]:
    """(0, None) where no printed line goes from ``at`` in ``direction`` (a unit vector); else
    how far the longest goes (infinite for a line or ray, which runs on to the frame), and it."""
    best: tuple[float, PrintedLine | None] = (0.0, None)
    for a, b, before, after in _straights(figure):
        start = figure.points[a]
        ahead = (figure.points[b] - start).unit()
        if abs(ahead.cross(direction)) > ON or abs(ahead.cross(at - start)) > ON:
            continue
        t, length = (at - start).dot(ahead), start.distance(figure.points[b])
        low, high = -before, length + after
        if not low - ON <= t <= high + ON:
            continue
        reach = high - t if ahead.dot(direction) > 0 else t - low
        if reach > max(best[0], ON):
            best = (reach, PrintedLine(a, b))
    return best


def printed_reach(figure: Figure, a: Point, b: Point) -> float:
    """How far a printed line goes from ``a`` towards ``b``; 0 where none does."""
    return printed_from(figure, a, (b - a).unit())[0]


def printed_through(figure: Figure, at: Point) -> Iterator[PrintedLine | PrintedCircle]:
    """The printed lines and circles that pass through a place."""
    for a, b, before, after in _straights(figure):
        start, length = figure.points[a], figure.points[a].distance(figure.points[b])
        ahead = (figure.points[b] - start).unit()
        t = (at - start).dot(ahead)
        if abs(ahead.cross(at - start)) < ON and -before - ON <= t <= length + after + ON:
            yield PrintedLine(a, b)
    for round_ in figure.circles:
        if abs(round_.centre.distance(at) - round_.radius) < ON:
            yield PrintedCircle(round_.centre, round_.radius)


def _straights(figure: Figure) -> Iterator[tuple[str, str, float, float]]:
    """Every printed straight: two labels, and how far it runs on before and after them."""
    for a, b in figure.segments:
        yield a, b, 0.0, 0.0
    for polygon in figure.polygons:
        for a, b in zip(polygon, (*polygon[1:], polygon[0]), strict=True):
            yield a, b, 0.0, 0.0
    for a, b in figure.rays:
        yield a, b, 0.0, math.inf
    for a, b in figure.lines:
        yield a, b, math.inf, math.inf
