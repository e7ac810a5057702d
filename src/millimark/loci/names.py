"""What features and loci are called: the one home of element names."""

from __future__ import annotations

from millimark.loci.conditions import (
    AngleAt,
    AngleOn,
    AtDistance,
    ChordMidpoints,
    CircleOf,
    Circumcircle,
    CopiedAngle,
    DiscOf,
    EqualParts,
    Equidistant,
    Feature,
    FootOfPerpendicular,
    Incircle,
    Ladder,
    LineOf,
    Locus,
    Median,
    MidpointsFrom,
    OnBearing,
    Parallel,
    Perpendicular,
    PointOf,
    PolygonOf,
    PolylineOf,
    RatioOfDistances,
    RayOf,
    RegularIn,
    RegularOn,
    RimPoint,
    RollingShape,
    RopeEnd,
    SegmentOf,
    SidesOf,
    Subtends,
    SumOfDistances,
    Tangents,
    TriangleOn,
    WheelCentre,
)


def centimetres(length: float) -> str:
    """A length as printed: 4 cm, 2.5 cm, at most three decimals."""
    return f"{round(length, 3):g} cm"


def degrees(angle: float) -> str:
    """An angle as printed: 60°, 22.5°, at most three decimals."""
    return f"{round(angle, 3):g}°"


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
        case PolylineOf(labels):
            return f"the path {''.join(labels)}"
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
        case SumOfDistances(a, b, length):
            return f"points whose distances from {a.label} and {b.label} add up to " + centimetres(
                length
            )
        case RatioOfDistances(a, b, ratio):
            return f"points {ratio:g} times as far from {a.label} as from {b.label}"
        case Subtends(a, b, angle):
            return f"points that see {a.label}{b.label} at {degrees(angle)}"
    return _construction_name(locus) or _movement_name(locus)


def _construction_name(locus: Locus) -> str:
    """Standard lines and circles; "" for any other locus."""
    match locus:
        case Perpendicular(LineOf(a, b), through):
            at = "at" if through.label in (a, b) else "through"
            return f"perpendicular to {a}{b} {at} {through.label}"
        case Parallel(LineOf(a, b), through):
            return f"parallel to {a}{b} through {through.label}"
        case AngleAt(vertex, arm, angle):
            return f"angle of {degrees(angle)} at {vertex.label} from {vertex.label}{arm.label}"
        case OnBearing(of, angle):
            return f"bearing of {angle % 360:03.0f}° from {of.label}"
        case Tangents(CircleOf() as circle, through):
            return f"tangents from {through.label} to {feature_name(circle)}"
        case Circumcircle(labels):
            return f"circumcircle of {''.join(labels)}"
        case Incircle(labels):
            return f"incircle of {''.join(labels)}"
        case AngleOn(arm, angle):
            return f"angle of {degrees(angle)} at {arm.a} on {arm.a}{arm.b}"
        case CopiedAngle((one, two), arm):
            return f"copy of angle {one.b}{one.a}{two.b} at {arm.a} on {arm.a}{arm.b}"
        case Median(of, SegmentOf(a, b)):
            return f"median from {of.label} to {a}{b}"
    return _figure_name(locus)


def _figure_name(locus: Locus) -> str:
    """Figures on printed points; "" for any other locus."""
    match locus:
        case TriangleOn(SegmentOf(a, b), apex):
            return f"triangle {''.join(sorted((a, b, apex)))}"
        case RegularOn(SegmentOf(a, b), corners, names):
            what = regular_name(corners)
            return f"{what} {a}{b}{''.join(names)}" if names else f"{what} on {a}{b}"
        case RegularIn(circle, first, corners, names):
            what = f"{regular_name(corners)} in {feature_name(circle)}"
            return f"{what} from {first.label}{''.join(names)}"
        case EqualParts(SegmentOf(a, b), parts):
            return f"points that divide {a}{b} into {parts} equal parts"
    return ""


REGULAR = {
    3: "equilateral triangle", 4: "square", 5: "regular pentagon", 6: "regular hexagon",
    7: "regular heptagon", 8: "regular octagon",
}  # fmt: skip


def regular_name(corners: int) -> str:
    """What a regular figure is called by its number of corners."""
    return REGULAR.get(corners, f"regular figure of {corners} corners")


def _movement_name(locus: Locus) -> str:
    match locus:
        case MidpointsFrom(of, along, share):
            if share == 0.5:
                return f"midpoints of {of.label} and points on {feature_name(along)}"
            return f"points {share:g} of the way from {of.label} to {feature_name(along)}"
        case FootOfPerpendicular(of, about):
            return f"feet of perpendiculars from {of.label} to lines through {about.label}"
        case ChordMidpoints(circle, length, through):
            which = f"of {centimetres(length)}" if length is not None else ""
            which = f"through {through.label}" if through is not None else which
            return f"midpoints of chords {which} of {feature_name(circle)}"
        case Ladder(_, _, _, length, share):
            if share == 0.5:
                return f"midpoint of the ladder of {centimetres(length)}"
            return f"point {share:g} of the way up the ladder of {centimetres(length)}"
        case RollingShape(shape, _, traced):
            which = traced.label if traced else "the centre"
            return f"path of {which} as {''.join(shape.labels)} rolls"
        case WheelCentre(radius, along, inside):
            where = "inside" if inside else "round" if isinstance(along, PolygonOf) else "along"
            return (
                f"centre of a wheel of radius {centimetres(radius)} {where} {feature_name(along)}"
            )
        case RimPoint(radius, start, _):
            return f"path of {start.label} on the rim of a wheel of radius {centimetres(radius)}"
        case RopeEnd(anchor, length):
            return f"end of the rope of {centimetres(length)} from {anchor.label}"
    raise TypeError(f"no name for {locus!r}")


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
