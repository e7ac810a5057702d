"""What is wrong with a line: turned, off its place, past its point, or too short.

A turn about the point that the line starts at or has to go through, and a shift that keeps the
direction, are compared by likelihood: by how far the line is off at that point and by its angle,
each against what a hand does by itself.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from millimark.loci.conditions import AngleAt, OnBearing, Parallel, Perpendicular, Tangents
from millimark.marking.circle_faults import MATTERS
from millimark.marking.expected import Wanted
from millimark.marking.findings import ElementFinding, Fault
from millimark.plane.curves import Curve, Segment
from millimark.plane.point import Point

_TURNED_DEG = 2.5
_AT_POINT_MM, _DIRECTION_DEG = 0.7, 1.0
"""How far a hand's line lies from its point, mm, and from its direction, degrees (standard
deviations): common practice, no source."""
_SHORT_MM = 26.0


def of_line(w: Wanted, e: ElementFinding, limit: float, points: Mapping[str, Point]) -> list[Fault]:
    """The likeliest cause of a wrong or short line; empty where none stands out."""
    worst, angle = e.worst_mm or 0.0, e.angle_deg or 0.0
    line = next((c for c in e.drawn if isinstance(c, Segment)), None)
    drawn = sum(float(np.ptp(c.t)) for c in e.course)
    if drawn < _SHORT_MM and worst <= limit:
        text = f"Only {drawn:.0f} mm of the line is drawn: rule it through, at least 3 cm."
        return [Fault("incomplete", text, element=e.element)]
    if line is None or (worst <= MATTERS * limit and angle <= _TURNED_DEG):
        return []
    offset = _off_at(line, w.curves[0], fixed_point(w, points))
    sure = angle > 2.0 * (e.angle_sigma_deg or 0.0)
    if sure and offset / _AT_POINT_MM < angle / _DIRECTION_DEG:
        text = f"The line is turned by {angle:.1f}° from the right direction."
        return [Fault("line-turned", text, worst, element=e.element)]
    if isinstance(w.element.locus, Perpendicular | Parallel | Tangents):
        text = (
            f"The line has the right direction but misses by {offset:.1f} mm the point that it "
            "has to go through."
        )
        return [Fault("misses-point", text, offset, element=e.element)]
    middle = e.offset_mm or 0.0
    text = f"The line runs in the right direction but {middle:.1f} mm from its place."
    return [Fault("line-shifted", text, middle, element=e.element)]


def fixed_point(w: Wanted, points: Mapping[str, Point]) -> Point | None:
    """The point that is given on a line (paper mm); None for a line that has none."""
    match w.element.locus:
        case Perpendicular(through=at) | Parallel(through=at) | Tangents(through=at):
            return points.get(at.label)
        case AngleAt(vertex=at) | OnBearing(of=at):
            return points.get(at.label)
    curve = w.curves[0]
    return curve.point_at(curve.t0) if math.isfinite(curve.t0) else None


def _off_at(line: Segment, right: Curve, fixed: Point | None) -> float:
    """How far the line (carried on) lies from its point, mm; without one, from the right line
    where the two come nearest: 0 where they cross."""
    if fixed is not None:
        return abs((fixed - line.start).cross((line.end - line.start).unit()))
    way, at = right.direction_at(0.0), right.point_at(0.0)
    one, two = (float((p - at).cross(way)) for p in (line.start, line.end))
    return 0.0 if one * two < 0.0 else min(abs(one), abs(two))
