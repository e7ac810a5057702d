"""Where the end of a rope can be: its edge, and the region it reaches."""

from __future__ import annotations

import math
from collections.abc import Sequence

from millimark.errors import NoAnswerError
from millimark.loci.conditions import DiscOf, PointOf, PolygonOf
from millimark.loci.figure import Figure
from millimark.loci.geodesic import RopeMap
from millimark.loci.obstacles import Obstacle, obstacles, walls
from millimark.loci.places import place
from millimark.plane.curves import Curve
from millimark.plane.pieces import kept
from millimark.plane.point import EPS

TAUT = 1e-8
"""How nearly (cm) a way's length must equal the rope's to count as taut."""


def rope_map(
    figure: Figure, anchor: PointOf, length: float, shapes: Sequence[PolygonOf | DiscOf]
) -> tuple[RopeMap, list[Obstacle]]:
    """The shortest ways from the anchor round the obstacles."""
    if not (math.isfinite(length) and length >= 0):
        raise NoAnswerError(f"A rope of {length:g} cm cannot be drawn: it must be 0 or more.")
    found = obstacles(figure, shapes)
    return RopeMap(place(figure, anchor.label), found), found


def rope_end(
    figure: Figure, anchor: PointOf, length: float, shapes: Sequence[PolygonOf | DiscOf]
) -> list[Curve]:
    """Arcs and involutes of the end of the taut rope; none for a rope of no length."""
    ways, found = rope_map(figure, anchor, length, shapes)
    return taut(ways, found, length)


def taut(ways: RopeMap, found: Sequence[Obstacle], length: float) -> list[Curve]:
    """The parts of the fronts whose shortest way is the whole rope."""
    if length <= EPS:
        return []
    return kept(
        ways.fronts(length),
        [*ways.lines, *walls(found)],
        lambda x, y: abs(ways.length_to(x, y) - length) <= TAUT,
    )
