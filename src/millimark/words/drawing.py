"""What of the givens is printed: segments, rays, lines, polygons and circles."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from millimark.errors import GivensError
from millimark.loci.conditions import (
    Ask,
    Feature,
    LineOf,
    RayOf,
    SegmentOf,
)
from millimark.loci.figure import Figure, GivenCircle
from millimark.plane.point import Point, midpoint
from millimark.words.facts import (
    AngleOf,
    CircleAcross,
    CircleAt,
    CircleThrough,
    Drawn,
    Fact,
    FootOf,
    Length,
    LengthRatio,
    Level,
    OnLine,
    Parallel,
    ParallelApart,
    PathOf,
    Perpendicular,
    SameLength,
    Shape,
)
from millimark.words.units import Scale

Pair = tuple[str, str]


def figure_of(facts: Sequence[Fact], points: Mapping[str, Point], scale: Scale) -> Figure:
    """The figure; a segment that is a side of a printed polygon is not printed twice."""
    polygons = tuple(dict.fromkeys(f.labels for f in facts if isinstance(f, Shape)))
    sides = {frozenset(side) for ring in polygons for side in _sides(ring)}
    segments: dict[frozenset[str], Pair] = {}
    rays: list[Pair] = []
    lines: list[Pair] = []
    for fact in facts:
        if isinstance(fact, Drawn) and fact.part == "ray":
            rays.append((fact.a, fact.b))
        elif isinstance(fact, Drawn) and fact.part == "line":
            lines.append((fact.a, fact.b))
        for a, b in _segments(fact):
            if frozenset((a, b)) not in sides:
                segments.setdefault(frozenset((a, b)), (a, b))
    circles = tuple(
        _circle(f, points, scale)
        for f in facts
        if isinstance(f, CircleAt | CircleThrough | CircleAcross)
    )
    _distinct(circles)
    return Figure(
        points=dict(points),
        segments=tuple(segments.values()),
        rays=tuple(rays),
        lines=tuple(lines),
        polygons=polygons,
        circles=circles,
    )


def _sides(ring: Sequence[str]) -> list[Pair]:
    return [(ring[i - 1], ring[i]) for i in range(len(ring))]


def _segments(fact: Fact) -> list[Pair]:
    match fact:
        case (
            Length(a, b, _, True)
            | Level(a, b)
            | Drawn(a, b, "segment")
            | OnLine(_, a, b, "segment")
        ):
            return [(a, b)]
        case (
            SameLength(a, b, c, d)
            | Parallel(a, b, c, d)
            | ParallelApart(a, b, c, d)
            | Perpendicular(a, b, c, d)
        ):
            return [(a, b), (c, d)]
        case LengthRatio(a, b, c, d):
            return [(a, b), (c, d)]
        case FootOf(p, start):
            return [(start, p)]
        case PathOf(labels):
            return list(pairwise(labels))
        case AngleOf(a, v, b):
            return [(v, a), (v, b)]
    return []


ON_DIAMETER = "the circle on diameter "
"""The start of the name of a circle whose centre has no letter."""


def _circle(
    fact: CircleAt | CircleThrough | CircleAcross, points: Mapping[str, Point], scale: Scale
) -> GivenCircle:
    if isinstance(fact, CircleAcross):
        a, b = points[fact.a], points[fact.b]
        name = f"{ON_DIAMETER}{fact.a}{fact.b}"
        return GivenCircle(name, midpoint(a, b), a.distance(b) / 2)
    at = points[fact.centre]
    if isinstance(fact, CircleThrough):
        radius = at.distance(points[fact.p])
    else:
        radius = scale.cm(fact.radius)
    if radius <= 0:
        raise GivensError(
            f"The circle with centre {fact.centre} has radius {radius:g} cm.",
            "A radius must be more than zero.",
        )
    return GivenCircle(fact.centre, at, radius, fact.centre)


def _distinct(circles: Sequence[GivenCircle]) -> None:
    names = [c.name for c in circles]
    for name in names:
        if names.count(name) > 1:
            raise GivensError(
                f"{names.count(name)} circles have the centre {name}, and a circle is called by "
                "its centre.",
                "Leave one out, or give the other centre a second letter.",
            )


def with_asked(figure: Figure, asks: Sequence[Ask]) -> Figure:
    """The figure with every line that an ask measures from, so that it is printed too."""
    from dataclasses import replace

    printed = {frozenset(s) for s in figure.segments + figure.rays + figure.lines}
    printed |= {frozenset(side) for ring in figure.polygons for side in _sides(ring)}
    segments, lines = list(figure.segments), list(figure.lines)
    for feature in (f for ask in asks for f in _measured(ask)):
        if not isinstance(feature, SegmentOf | RayOf | LineOf):
            continue
        ends = frozenset((feature.a, feature.b))
        if ends in printed or len(ends) < 2:
            continue
        printed.add(ends)
        (lines if isinstance(feature, LineOf) else segments).append((feature.a, feature.b))
    return replace(figure, segments=tuple(segments), lines=tuple(lines))


def _measured(ask: Ask) -> list[Feature]:
    """The features of an ask, however deep they stand in it."""
    out: list[Feature] = []
    stack: list[object] = [ask]
    while stack:
        value = stack.pop()
        if isinstance(value, SegmentOf | RayOf | LineOf):
            out.insert(0, value)
        elif isinstance(value, tuple):
            stack.extend(value)
        elif hasattr(value, "__dataclass_fields__"):
            stack.extend(getattr(value, name) for name in value.__dataclass_fields__)
    return out
