"""What can be asked: features, conditions on a point, loci and asks. Values only.

A *feature* is a thing of the figure that distances are measured from. A *locus* is a
set of curves; a *condition* is true or false at each point, and booleans of conditions
make regions. Labels are those of the ``Figure`` that an ask is solved with. Features, standard
curves and moving points have modules of their own; all of them can be imported from here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from millimark.loci.constructions import (
    AngleAt,
    Circumcircle,
    Incircle,
    OnBearing,
    Parallel,
    Perpendicular,
    RatioOfDistances,
    Subtends,
    SumOfDistances,
    Tangents,
)
from millimark.loci.features import (
    CircleOf,
    DiscOf,
    Feature,
    LineOf,
    PointOf,
    PolygonOf,
    PolylineOf,
    RayOf,
    SegmentOf,
    SidesOf,
)
from millimark.loci.figures_on import (
    AngleOn,
    CopiedAngle,
    EqualParts,
    Median,
    RegularIn,
    RegularOn,
    TriangleOn,
)
from millimark.loci.movements import (
    ChordMidpoints,
    FootOfPerpendicular,
    Ladder,
    MidpointsFrom,
    RimPoint,
    RollingShape,
    RopeEnd,
    WheelCentre,
)

# --- conditions -----------------------------------------------------------------------
Relation = Literal["<", "<=", ">", ">="]


@dataclass(frozen=True)
class Distance:
    """Distance from ``feature`` (its nearest point) compared with ``length``, cm."""

    feature: Feature
    relation: Relation
    length: float


@dataclass(frozen=True)
class Nearer:
    """Nearer to ``to`` than to every one of ``than``; ``strict`` leaves out equality."""

    to: Feature
    than: tuple[Feature, ...]
    strict: bool = True


@dataclass(frozen=True)
class Inside:
    """Inside a polygon or circle; ``strict`` leaves out its boundary."""

    shape: PolygonOf | CircleOf | DiscOf
    strict: bool = True


@dataclass(frozen=True)
class SameSide:
    """On the same side of ``line`` as the point ``of``."""

    line: LineOf
    of: PointOf


@dataclass(frozen=True)
class SumCompared:
    """The sum of the distances from the points ``a`` and ``b`` compared with ``length``, cm."""

    a: PointOf
    b: PointOf
    relation: Relation
    length: float


@dataclass(frozen=True)
class RatioCompared:
    """Distance from ``a`` compared with ``ratio`` times the distance from ``b``
    ("more than twice as far from A as from B": ">", 2)."""

    a: PointOf
    b: PointOf
    relation: Relation
    ratio: float


@dataclass(frozen=True)
class AngleCompared:
    """The angle APB, 0 to 180, at the point P compared with ``degrees``
    ("AB is seen at an angle of more than 40°")."""

    a: PointOf
    b: PointOf
    relation: Relation
    degrees: float


@dataclass(frozen=True)
class BearingBetween:
    """The bearing from ``of`` is between ``from_deg`` and ``to_deg``, clockwise from the first
    to the second; north is up the figure (+y). ``strict`` leaves out the two rays."""

    of: PointOf
    from_deg: float
    to_deg: float
    strict: bool = True


@dataclass(frozen=True)
class WithinRope:
    """Reached on a rope of ``length`` cm that is fixed at ``anchor`` and cannot enter the
    obstacles but bends round them. ``anchor`` may be anywhere outside them or on their edge
    (a corner, along a wall). Points inside an obstacle are not reached. ``relation`` "<=" or "<":
    only whether the end of the rope itself counts."""

    anchor: PointOf
    length: float
    obstacles: tuple[PolygonOf | DiscOf, ...] = ()
    relation: Relation = "<="


@dataclass(frozen=True)
class Not:
    """The complement of a condition."""

    condition: Condition


@dataclass(frozen=True)
class AllOf:
    """Every one of the conditions holds."""

    conditions: tuple[Condition, ...]


@dataclass(frozen=True)
class AnyOf:
    """At least one of the conditions holds."""

    conditions: tuple[Condition, ...]


Condition = (
    Distance
    | Nearer
    | Inside
    | SameSide
    | SumCompared
    | RatioCompared
    | AngleCompared
    | BearingBetween
    | WithinRope
    | Not
    | AllOf
    | AnyOf
)


# --- loci -----------------------------------------------------------------------------
@dataclass(frozen=True)
class AtDistance:
    """Points exactly ``length`` cm from ``feature``."""

    feature: Feature
    length: float


@dataclass(frozen=True)
class Equidistant:
    """Points the same distance from all of ``features`` (two or three)."""

    features: tuple[Feature, ...]


Locus = (
    AtDistance
    | Equidistant
    | SumOfDistances
    | RatioOfDistances
    | Subtends
    | Perpendicular
    | Parallel
    | AngleAt
    | OnBearing
    | Tangents
    | Circumcircle
    | Incircle
    | MidpointsFrom
    | FootOfPerpendicular
    | ChordMidpoints
    | Ladder
    | RollingShape
    | WheelCentre
    | RimPoint
    | RopeEnd
    | TriangleOn
    | RegularOn
    | RegularIn
    | AngleOn
    | CopiedAngle
    | Median
    | EqualParts
)


# --- asks -----------------------------------------------------------------------------
@dataclass(frozen=True)
class DrawLocus:
    """Draw a locus, only where ``where`` holds if it is given."""

    locus: Locus
    where: Condition | None = None


@dataclass(frozen=True)
class ShadeRegion:
    """Shade the points that satisfy ``condition``."""

    condition: Condition


@dataclass(frozen=True)
class TriangleCentre:
    """The crossing of three lines of a triangle, any two of which fix it. ``equidistant``: the
    point as far from each of three points, joined or not."""

    kind: Literal["centroid", "circumcentre", "incentre", "orthocentre", "equidistant"]
    corners: tuple[str, str, str]


@dataclass(frozen=True)
class MarkPoints:
    """Mark every point that lies on all of the loci, only where ``where`` holds if given.
    ``centre`` is told where the words name the point as one, not the two lines."""

    loci: tuple[Locus, ...]
    where: Condition | None = None
    centre: TriangleCentre | None = None


# What can be measured
@dataclass(frozen=True)
class Shortest:
    """The shortest distance (cm) between two things: features, loci or regions (conditions)."""

    one: Feature | Locus | Condition
    two: Feature | Locus | Condition


@dataclass(frozen=True)
class Greatest:
    """The greatest distance (cm) from a point of one to a point of the other."""

    one: Feature | Locus | Condition
    two: Feature | Locus | Condition


@dataclass(frozen=True)
class LengthOf:
    """The length (cm) of a segment, a locus, the boundary of a polygon or circle, or the perimeter
    of a region."""

    what: SegmentOf | PolylineOf | PolygonOf | SidesOf | CircleOf | Locus | Condition


@dataclass(frozen=True)
class AreaOf:
    """The area (cm²) of a region, a polygon or a disc."""

    what: PolygonOf | DiscOf | Condition


@dataclass(frozen=True)
class AngleOf:
    """The angle ABC (degrees, 0 to 180) at the point ``vertex``."""

    a: PointOf
    vertex: PointOf
    b: PointOf


@dataclass(frozen=True)
class BearingOf:
    """The bearing (degrees, 0 to 360, clockwise from north, +y) of ``to`` from ``from_``."""

    from_: PointOf
    to: PointOf


Quantity = Shortest | Greatest | LengthOf | AreaOf | AngleOf | BearingOf


@dataclass(frozen=True)
class Measure:
    """Work out a quantity: the answer carries a value, its unit and where it is measured."""

    quantity: Quantity


Ask = DrawLocus | ShadeRegion | MarkPoints | Measure

__all__ = [
    "AllOf",
    "AngleAt",
    "AngleCompared",
    "AngleOf",
    "AngleOn",
    "AnyOf",
    "AreaOf",
    "Ask",
    "AtDistance",
    "BearingBetween",
    "BearingOf",
    "ChordMidpoints",
    "CircleOf",
    "Circumcircle",
    "Condition",
    "CopiedAngle",
    "DiscOf",
    "Distance",
    "DrawLocus",
    "EqualParts",
    "Equidistant",
    "Feature",
    "FootOfPerpendicular",
    "Greatest",
    "Incircle",
    "Inside",
    "Ladder",
    "LengthOf",
    "LineOf",
    "Locus",
    "MarkPoints",
    "Measure",
    "Median",
    "MidpointsFrom",
    "Nearer",
    "Not",
    "OnBearing",
    "Parallel",
    "Perpendicular",
    "PointOf",
    "PolygonOf",
    "PolylineOf",
    "Quantity",
    "RatioCompared",
    "RatioOfDistances",
    "RayOf",
    "RegularIn",
    "RegularOn",
    "Relation",
    "RimPoint",
    "RollingShape",
    "RopeEnd",
    "SameSide",
    "SegmentOf",
    "ShadeRegion",
    "Shortest",
    "SidesOf",
    "Subtends",
    "SumCompared",
    "SumOfDistances",
    "Tangents",
    "TriangleCentre",
    "TriangleOn",
    "WheelCentre",
    "WithinRope",
]
