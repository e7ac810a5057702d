"""When two marks or arcs are one to a hand, and how long a short arc is."""

from __future__ import annotations

import math
from collections.abc import Mapping

from millimark.plane.curves import Arc
from millimark.plane.point import Point

SAME = 1e-7
"""cm: marks closer than this are one mark to a hand."""


def short_span(radius: float, half_cm: float = 0.9) -> float:
    """Half the turn (radians) of a short arc: about ``half_cm`` each way, 6° to 30°."""
    return min(max(half_cm / radius, math.radians(6)), math.radians(30))


def covers(ink: Arc, arc: Arc) -> bool:
    """Whether ``arc`` lies wholly on ``ink`` already."""
    if ink.centre.distance(arc.centre) > SAME or abs(ink.radius - arc.radius) > SAME:
        return False
    if ink.is_whole:
        return True
    middle = arc.point_at(arc.t1 / 2)
    return abs(arc.sweep) <= abs(ink.sweep) + SAME and all(
        ink.distance_to(p) < SAME for p in (arc.start, middle, arc.end)
    )


def label_at(points: Mapping[str, Point], at: Point) -> str | None:
    """The label of the point that stands at ``at``; None if there is none."""
    return next((name for name, p in points.items() if p.distance(at) < SAME), None)
