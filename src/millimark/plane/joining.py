"""Neighbouring pieces of one curve put together again."""

from __future__ import annotations

import math

from millimark.plane.conics import EllipseArc, HyperbolaArc, ParabolaArc
from millimark.plane.curves import Arc, Curve, InwardRay, Line, Ray, Segment, _Straight
from millimark.plane.pieces import JOINT, MERGE

ALIGNED = 1e-9
"""Sine of the largest angle between directions that count as one."""


def joined(a: Curve, b: Curve) -> Curve | None:
    """The one curve that runs along ``a`` and on along ``b``; None if they are not one.

    ``b`` must start where ``a`` ends and run along the same carrier in the same sense.
    """
    if not (math.isfinite(a.t1) and math.isfinite(b.t0)) or a.end.distance(b.start) > JOINT:
        return None
    match a, b:
        case _Straight(), _Straight():
            return _straight(a, b)
        case Arc(), Arc() if a.sense == b.sense:
            if a.centre.distance(b.centre) <= MERGE and abs(a.radius - b.radius) <= MERGE:
                return Arc(a.centre, a.radius, a.from_, a.sweep + b.sweep)
        case ParabolaArc(), ParabolaArc() if a.sense == b.sense:
            near = a.vertex.distance(b.vertex) + abs(a.focal - b.focal) <= MERGE
            if near and a.axis.dot(b.axis) > 1 - ALIGNED:
                return a.between(a.from_, b.to)
        case EllipseArc(), EllipseArc() if a.sense == b.sense and _one_frame(a, b):
            return a.between(0.0, a.t1 + b.t1)
        case HyperbolaArc(), HyperbolaArc() if a.sense == b.sense and _one_frame(a, b):
            return a.between(a.from_, b.to)
    return None


def _straight(a: _Straight, b: _Straight) -> Curve | None:
    if abs(a.direction.cross(b.direction)) > ALIGNED or a.direction.dot(b.direction) < 0:
        return None
    if a.bounded and b.bounded:
        return Segment(a.start, b.end)
    if a.bounded:
        return Ray(a.start, b.direction)
    if b.bounded:
        return InwardRay(b.end, a.direction)
    return Line(b.anchor, b.direction)


def _one_frame(a: EllipseArc | HyperbolaArc, b: EllipseArc | HyperbolaArc) -> bool:
    near = a.centre.distance(b.centre) + abs(a.a - b.a) + abs(a.b - b.b) <= MERGE
    return near and a.axis.dot(b.axis) > 1 - ALIGNED
