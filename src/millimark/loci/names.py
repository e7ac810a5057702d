"""What features and loci are called: the one home of element names."""

from __future__ import annotations

from millimark.loci.conditions import (
    AtDistance,
    CircleOf,
    DiscOf,
    Equidistant,
    Feature,
    LineOf,
    Locus,
    PointOf,
    PolygonOf,
    RayOf,
    SegmentOf,
    SidesOf,
)


def centimetres(length: float) -> str:
    """A length as printed: 4 cm, 2.5 cm, at most three decimals."""
    return f"{round(length, 3):g} cm"


def feature_name(feature: Feature) -> str:
    """A feature in words that stand after "from"."""
    match feature:
        case PointOf(label):
            return label
        case SegmentOf(a, b):
            return f"the line segment {a}{b}"
        case RayOf(a, b):
            return f"the ray {a}{b}"
        case LineOf(a, b):
            return f"the line {a}{b}"
        case PolygonOf(labels):
            return "".join(labels)
        case SidesOf(labels):
            return f"the sides of {''.join(labels)}"
        case CircleOf(name):
            return f"the circle {name}" if len(name) == 1 else name
        case DiscOf(name):
            return f"the disc {name}" if len(name) == 1 else name


def locus_name(locus: Locus) -> str:
    """The name of the element that draws a locus."""
    match locus:
        case AtDistance(PointOf(label), length):
            return f"circle, centre {label}, radius {centimetres(length)}"
        case AtDistance(PolygonOf(labels), length):
            return f"points {centimetres(length)} outside {''.join(labels)}"
        case AtDistance(feature, length):
            return f"points {centimetres(length)} from {feature_name(feature)}"
        case Equidistant(features):
            return _equidistant(features)


def _equidistant(features: tuple[Feature, ...]) -> str:
    match features:
        case (PointOf(a), PointOf(b)):
            return "perpendicular bisector of " + "".join(sorted((a, b)))
        case (RayOf(a, b), RayOf(c, d)) if a == c:
            return angle_bisector_name(a, b, d)
    listed = " and from ".join(feature_name(f) for f in features)
    return f"points the same distance from {listed}"


def angle_bisector_name(vertex: str, a: str, b: str) -> str:
    """The bisector of an angle, its arms in alphabetical order."""
    first, last = sorted((a, b))
    return f"bisector of angle {first}{vertex}{last}"
