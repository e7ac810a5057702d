"""What is built on printed points: triangles, regular figures, angles, medians, equal parts.

Values only. A ``side`` says where of its base a figure stands: "above", "below", "left" or "right"
of it as the figure lies, or on the side of a point. None: on either; the one above it (on its
left, if it is upright) is shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from millimark.loci.features import CircleOf, PointOf, RayOf, SegmentOf

Side = Literal["above", "below", "left", "right"]
Where = Side | PointOf | None


@dataclass(frozen=True)
class SideTo:
    """The side from the end ``of`` of the base to the new corner is ``length`` cm long."""

    of: PointOf
    length: float


@dataclass(frozen=True)
class AngleAtEnd:
    """The triangle's angle at the end ``of`` of the base is ``degrees``."""

    of: PointOf
    degrees: float


@dataclass(frozen=True)
class TriangleOn:
    """The two sides that complete a triangle on ``base`` with the new corner ``apex``: two facts
    fix it (SSS, SAS, ASA, RHS; a side opposite a given angle where only one triangle has it)."""

    base: SegmentOf
    apex: str
    facts: tuple[SideTo | AngleAtEnd, SideTo | AngleAtEnd]
    where: Where = None


@dataclass(frozen=True)
class RegularOn:
    """The sides that complete a regular figure of ``corners`` corners on ``base``; ``names``
    are those of its further corners, on from ``base.b`` (none: they have no letters)."""

    base: SegmentOf
    corners: int
    names: tuple[str, ...] = ()
    where: Where = None


@dataclass(frozen=True)
class RegularIn:
    """The regular figure of ``corners`` corners in a circle, one of them ``first`` on it;
    ``names`` are those of the further corners, anticlockwise (none: they have no letters)."""

    circle: CircleOf
    first: PointOf
    corners: int
    names: tuple[str, ...] = ()


@dataclass(frozen=True)
class AngleOn:
    """The ray from the start of ``arm`` that makes ``degrees`` with it, on one side of it."""

    arm: RayOf
    degrees: float
    where: Where = None


@dataclass(frozen=True)
class CopiedAngle:
    """The ray from the start of ``arm`` that makes the angle between the rays ``like`` with it."""

    like: tuple[RayOf, RayOf]
    arm: RayOf
    where: Where = None


@dataclass(frozen=True)
class Median:
    """The segment from the corner ``of`` to the midpoint of ``side``."""

    of: PointOf
    side: SegmentOf


@dataclass(frozen=True)
class EqualParts:
    """The points that divide a segment into ``parts`` equal parts."""

    of: SegmentOf
    parts: int


FigureOn = TriangleOn | RegularOn | RegularIn | AngleOn | CopiedAngle | Median | EqualParts
