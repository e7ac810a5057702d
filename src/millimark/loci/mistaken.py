"""What a pupil may draw instead of a locus: the trade's misconceptions, as curves.

Each is an ordinary construction done for another one: the wrong scale of the protractor, a
parallel for a perpendicular, a bearing reversed. Values only; nothing here says how likely one is.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from millimark.errors import MillimarkError
from millimark.loci.completing import on_other_side
from millimark.loci.conditions import (
    AngleAt,
    AngleOn,
    AtDistance,
    DrawLocus,
    Equidistant,
    Locus,
    OnBearing,
    Parallel,
    Perpendicular,
    PointOf,
    TriangleOn,
)
from millimark.loci.figure import Figure
from millimark.loci.figures_on import AngleAtEnd, SideTo
from millimark.loci.solve import solve
from millimark.plane.curves import Arc, Curve, Ray
from millimark.plane.point import Point

_ORIGIN = Point(0.0, 0.0)
_KM, _M = 1e5, 1e2
"""Centimetres in the unit that a scale's words most likely name."""
_MAP = 2e4
"""Real cm per cm of paper from which a scale is a map's, in kilometres."""
_LEAST_CM, _MOST_CM = 0.5, 30.0
_APART = 0.12
"""Two lengths nearer than this share are the same slip of the hand."""
_APART_DEG = 6.0


@dataclass(frozen=True)
class Mistake:
    """A misconception by its ``code`` and the ``curves`` (figure cm) that come of it."""

    code: str
    curves: tuple[Curve, ...]


Named = tuple[str, Locus]


def mistaken(locus: Locus, figure: Figure, scale: float | None = None) -> tuple[Mistake, ...]:
    """The known misconceptions of one locus; empty where none is known.

    ``scale``: real cm per cm of paper, None at true size. What cannot be drawn is left out.
    """
    found = list(_shared_end(locus, figure)) if isinstance(locus, TriangleOn) else []
    for code, other in _instead(locus, scale):
        if other == locus:
            continue
        asked = DrawLocus(other)
        turned = on_other_side(figure, asked)
        for ask in (asked,) if turned is None else (asked, turned):
            try:
                elements = solve(figure, ask).elements
            except MillimarkError:
                continue
            curves = tuple(c for e in elements for c in e.curves)
            if curves:
                found.append(Mistake(code, curves))
    return tuple(found)


def _instead(locus: Locus, scale: float | None) -> Iterator[Named]:
    match locus:
        case Perpendicular(to, through):
            yield "through-midpoint", Equidistant((PointOf(to.a), PointOf(to.b)))
            if through.label not in (to.a, to.b):
                yield "parallel-drawn", Parallel(to, through)
            else:
                arm = PointOf(to.b if through.label == to.a else to.a)
                yield "sixty-drawn", AngleAt(through, arm, 60.0)
        case Parallel(to, through):
            yield "perpendicular-drawn", Perpendicular(to, through)
        case AngleAt(degrees=t) | AngleOn(degrees=t):
            for code, other in _angles(t):
                yield code, replace(locus, degrees=other)
        case OnBearing(degrees=t):
            for code, other in _bearings(t):
                yield code, replace(locus, degrees=other)
        case AtDistance(_, length) if scale is not None:
            for code, other in _lengths(length, scale):
                yield code, replace(locus, length=other)
        case TriangleOn(facts=(SideTo(a, one), SideTo(b, two))):
            swapped = (SideTo(a, two), SideTo(b, one))
            yield "sides-swapped", replace(locus, facts=swapped)


def _angles(t: float) -> Iterator[tuple[str, float]]:
    """Other angles that a protractor gives for ``t`` degrees (0 to 180)."""
    if abs(180.0 - 2.0 * t) > _APART_DEG:
        yield "wrong-scale", 180.0 - t
    if abs(t - 90.0) < 1e-6:
        yield "sixty-drawn", 60.0
    yield from _counted_back(t)


def _bearings(t: float) -> Iterator[tuple[str, float]]:
    others = {
        "bearing-reversed": t + 180.0,
        "bearing-anticlockwise": 360.0 - t,
        "bearing-from-east": 90.0 - t,
        "wrong-scale": 180.0 - t if t < 180.0 else 540.0 - t,
    }
    for code, other in others.items():
        turn = (other - t + 180.0) % 360.0 - 180.0
        if abs(turn) > _APART_DEG:
            yield code, other % 360.0
    yield from ((code, other % 360.0) for code, other in _counted_back(t))


def _counted_back(t: float) -> Iterator[tuple[str, float]]:
    """Counted from the nearest label the wrong way: 328 for 332."""
    label = 10.0 * round(t / 10.0)
    if abs(t - label) > 1.5 and abs(abs(t - label) - 5.0) > 0.5:
        yield "counted-back", 2.0 * label - t


def _lengths(length: float, scale: float) -> Iterator[tuple[str, float]]:
    """The number in the words drawn as centimetres; and multiplied where it is to be divided."""
    each = scale / (_KM if scale >= _MAP else _M)
    for code, other in (("scale-ignored", length * each), ("scale-inverted", length * each**2)):
        if _LEAST_CM < other < _MOST_CM and abs(other / length - 1.0) > _APART:
            yield code, other


def _shared_end(locus: TriangleOn, figure: Figure) -> Iterator[Mistake]:
    """Both sides struck from one end of the base, or both angles drawn there."""
    a, b = figure.points[locus.base.a], figure.points[locus.base.b]
    one, two = locus.facts
    for end, other in ((a, b), (b, a)):
        if isinstance(one, SideTo) and isinstance(two, SideTo):
            lengths = (one.length, two.length)
            if abs(lengths[0] - lengths[1]) > 0.3:
                yield Mistake("one-centre", tuple(Arc(end, r) for r in lengths))
        elif isinstance(one, AngleAtEnd) and isinstance(two, AngleAtEnd):
            degrees = (one.degrees, two.degrees)
            if abs(degrees[0] - degrees[1]) > _APART_DEG:
                for sense in (1.0, -1.0):
                    ways = [math.radians(sense * t) + (other - end).angle() for t in degrees]
                    rays = tuple(Ray(end, _ORIGIN.polar(1.0, way)) for way in ways)
                    yield Mistake("one-vertex", rays)
