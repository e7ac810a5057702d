"""What can be asked: features, conditions on a point, loci and asks. Values only.

A *feature* is a thing of the figure that distances are measured from. A *locus* is a
set of curves; a *condition* is true or false at each point, and booleans of conditions
make regions. Labels are those of the ``Figure`` that an ask is solved with.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


# --- features -------------------------------------------------------------------------
@dataclass(frozen=True)
class PointOf:
    """The point labelled ``label``."""

    label: str


@dataclass(frozen=True)
class SegmentOf:
    """The line segment from ``a`` to ``b``."""

    a: str
    b: str


@dataclass(frozen=True)
class RayOf:
    """The ray from ``a`` through ``b``: the arm of an angle."""

    a: str
    b: str


@dataclass(frozen=True)
class LineOf:
    """The whole line through ``a`` and ``b``."""

    a: str
    b: str


@dataclass(frozen=True)
class PolygonOf:
    """The polygon with these vertices in order; its sides and its inside.

    Distances from it are zero inside: "2 cm outside PQRS". See ``SidesOf``.
    """

    labels: tuple[str, ...]


@dataclass(frozen=True)
class SidesOf:
    """The sides alone of the polygon with these vertices: distances from them count
    inside as well as outside ("2 cm from the sides of PQRS")."""

    labels: tuple[str, ...]


@dataclass(frozen=True)
class CircleOf:
    """The given circle called ``name``, the curve alone: distances count inside it too."""

    name: str


@dataclass(frozen=True)
class DiscOf:
    """The given circle called ``name`` with its inside, where distances are zero (a pond)."""

    name: str


Feature = PointOf | SegmentOf | RayOf | LineOf | PolygonOf | SidesOf | CircleOf | DiscOf

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


Condition = Distance | Nearer | Inside | SameSide | Not | AllOf | AnyOf


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


Locus = AtDistance | Equidistant


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


Ask = DrawLocus | ShadeRegion
