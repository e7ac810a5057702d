"""The answer: exact curves and region, and the elements that a pupil draws."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from millimark.loci.conditions import Locus, TriangleCentre
from millimark.plane.curves import Curve
from millimark.plane.point import Point

Special = Literal["empty", "point", "points", "curve", "everything"]


@dataclass(frozen=True)
class RegionAnswer:
    """A region: its boundary loops and measures, all analytic.

    ``loops`` are chains of curves with the region on their left. ``area`` (cm²) and
    ``perimeter`` (cm) are infinite where the region is unbounded; ``inside_point`` is
    None where the region is empty.
    """

    loops: tuple[tuple[Curve, ...], ...]
    area: float
    perimeter: float
    bounded: bool
    empty: bool
    parts: int
    inside_point: Point | None


@dataclass(frozen=True)
class Element:
    """One thing that a pupil draws, with the construction that draws it.

    ``locus`` says which construction it is; ``curves`` is the whole locus (unbounded
    pieces included), ``needed`` the part that the answer needs: all of it for a locus,
    the part that bounds the region for a region.
    """

    name: str
    kind: Literal["line", "arc", "path"]
    locus: Locus
    curves: tuple[Curve, ...]
    needed: tuple[Curve, ...]


@dataclass(frozen=True)
class Measured:
    """A measured quantity in the figure's own size: ``value`` in ``unit``.

    ``between`` are the points it is measured between (one pair of possibly many), or those that
    fix it; empty where no points do. A value may be infinite.
    """

    value: float
    unit: Literal["cm", "cm2", "deg"]
    between: tuple[Point, ...] = ()


@dataclass(frozen=True)
class Answer:
    """What satisfies an ask. ``region`` is None where the ask is for a curve.

    ``special`` is None for an ordinary answer, else what it collapses to. ``elements``
    stand in the order in which the ask names them. ``special_points`` are the points that a
    "point" or "points" answer consists of (``curves`` is empty then). ``measured`` is the value
    that a measuring ask wants. ``centre`` is told where the point is the crossing of three
    lines, any two of which fix it: ``elements`` are two of them, ``instead`` those that may be
    drawn in the place of one of these.
    """

    points: Mapping[str, Point]
    curves: tuple[Curve, ...]
    region: RegionAnswer | None
    special: Special | None
    elements: tuple[Element, ...]
    special_points: tuple[Point, ...] = ()
    measured: Measured | None = None
    centre: TriangleCentre | None = None
    instead: tuple[Element, ...] = ()
