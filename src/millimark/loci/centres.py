"""The centres of a triangle: three lines each, of which any two fix the point."""

from __future__ import annotations

from collections.abc import Sequence

from millimark.loci.conditions import (
    Equidistant,
    Feature,
    LineOf,
    Locus,
    Median,
    Perpendicular,
    PointOf,
    RayOf,
    SegmentOf,
    TriangleCentre,
)

Lines = tuple[Locus, Locus, Locus]


def lines_of(centre: TriangleCentre) -> Lines:
    """The three lines that cross at the centre; a model answer draws the first two."""
    a, b, c = centre.corners
    match centre.kind:
        case "centroid":
            return (_median(a, b, c), _median(b, a, c), _median(c, a, b))
        case "incentre":
            return (_halving(a, b, c), _halving(b, a, c), _halving(c, a, b))
        case "orthocentre":
            return (_altitude(c, a, b), _altitude(a, b, c), _altitude(b, a, c))
    return (_midway(a, b), _midway(b, c), _midway(a, c))


def _median(of: str, a: str, b: str) -> Locus:
    return Median(PointOf(of), SegmentOf(a, b))


def _halving(vertex: str, one: str, two: str) -> Locus:
    return Equidistant((RayOf(vertex, one), RayOf(vertex, two)))


def _altitude(through: str, a: str, b: str) -> Locus:
    return Perpendicular(LineOf(a, b), PointOf(through))


def _midway(a: str, b: str) -> Locus:
    return Equidistant((PointOf(a), PointOf(b)))


def equally_far(features: Sequence[Feature]) -> TriangleCentre | None:
    """The one point as far from each of three points, or of the three sides of a triangle; None
    for any other features."""
    match features:
        case [PointOf(a), PointOf(b), PointOf(c)]:
            return TriangleCentre("equidistant", (a, b, c))
        case [SegmentOf(), SegmentOf(), SegmentOf()]:
            sides = [(f.a, f.b) for f in features if isinstance(f, SegmentOf)]
            corners = tuple(dict.fromkeys(label for side in sides for label in side))
            if len(corners) == 3 and len({frozenset(side) for side in sides}) == 3:
                a, b, c = corners
                return TriangleCentre("incentre", (a, b, c))
    return None


def centre_name(centre: TriangleCentre) -> str:
    """What the point is called in schemes: "centroid of triangle ABC"."""
    a, b, c = centre.corners
    if centre.kind == "equidistant":
        return f"point the same distance from {a}, {b} and {c}"
    return f"{centre.kind} of triangle {a}{b}{c}"
