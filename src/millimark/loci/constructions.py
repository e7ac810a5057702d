"""Loci of fixed curves and lines: ellipses, circles of Apollonius, seen angles, standard lines."""

from __future__ import annotations

from dataclasses import dataclass

from millimark.loci.features import CircleOf, LineOf, PointOf


@dataclass(frozen=True)
class SumOfDistances:
    """Points whose distances from ``a`` and ``b`` add up to ``length`` cm: an ellipse (the segment
    AB if length = AB; empty if less)."""

    a: PointOf
    b: PointOf
    length: float


@dataclass(frozen=True)
class RatioOfDistances:
    """Points ``ratio`` times as far from ``a`` as from ``b``: a circle of Apollonius (the
    perpendicular bisector for 1)."""

    a: PointOf
    b: PointOf
    ratio: float


@dataclass(frozen=True)
class Subtends:
    """Points P at which the angle APB is ``degrees``: two arcs on AB (a circle for 90, the
    segment for 180, the rest of the line for 0); A and B themselves are left out."""

    a: PointOf
    b: PointOf
    degrees: float


# --- standard lines and circles ------------------------------------------------------------
@dataclass(frozen=True)
class Perpendicular:
    """The line through ``through`` at right angles to ``to``."""

    to: LineOf
    through: PointOf


@dataclass(frozen=True)
class Parallel:
    """The line through ``through`` parallel to ``to``."""

    to: LineOf
    through: PointOf


@dataclass(frozen=True)
class AngleAt:
    """The rays from ``vertex`` that make ``degrees`` with the arm towards ``arm``: on both sides,
    or only on the side of ``towards``."""

    vertex: PointOf
    arm: PointOf
    degrees: float
    towards: PointOf | None = None


@dataclass(frozen=True)
class OnBearing:
    """The ray from ``of`` on the bearing ``degrees`` (clockwise from north, +y)."""

    of: PointOf
    degrees: float


@dataclass(frozen=True)
class Tangents:
    """The tangents from ``through`` to a circle: two segments to the points of contact, one
    whole line if the point is on the circle, none if it is inside."""

    circle: CircleOf
    through: PointOf


@dataclass(frozen=True)
class Circumcircle:
    """The circle through the three corners of a triangle."""

    labels: tuple[str, str, str]


@dataclass(frozen=True)
class Incircle:
    """The circle that touches the three sides of a triangle from inside."""

    labels: tuple[str, str, str]
