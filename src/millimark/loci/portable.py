"""An answer as plain data: the object that ``millimark solve --json`` writes.

Centimetres, y up, degrees anticlockwise from +x; full precision. Infinite numbers are
written as null, with ``bounded`` false beside them.
"""

from __future__ import annotations

import math
from typing import Any

from millimark.loci.answer import Answer, Element, Measured, RegionAnswer
from millimark.plane.conics import EllipseArc, HyperbolaArc, ParabolaArc
from millimark.plane.curves import Arc, Curve, Line, Ray, Segment
from millimark.plane.parametric import CycloidArc, InvoluteArc
from millimark.plane.point import Point


def as_json(answer: Answer) -> dict[str, Any]:
    """The answer as the object that ``schemas/answer.json`` describes."""
    return {
        "format": "millimark-answer",
        "version": 1,
        "points": {label: _xy(p) for label, p in answer.points.items()},
        "curves": [curve_as_json(c) for c in answer.curves],
        "region": _region(answer.region) if answer.region else None,
        "special": answer.special,
        "special_points": [_xy(p) for p in answer.special_points],
        "elements": [_element(e) for e in answer.elements],
        "measured": _measured(answer.measured) if answer.measured else None,
    }


def curve_as_json(curve: Curve) -> dict[str, Any]:
    """One curve. An arc runs from ``from_deg`` to ``to_deg``, clockwise if that is less."""
    match curve:
        case Segment(a, b):
            return {"kind": "segment", "from": _xy(a), "to": _xy(b)}
        case Ray(anchor, direction):
            return {"kind": "ray", "from": _xy(anchor), "direction": _xy(direction)}
        case Line(anchor, direction):
            return {"kind": "line", "through": _xy(anchor), "direction": _xy(direction)}
        case Arc(centre, radius, from_, sweep):
            return {
                "kind": "arc",
                "centre": _xy(centre),
                "radius": radius,
                "from_deg": math.degrees(from_),
                "to_deg": math.degrees(from_ + sweep),
            }
    return _curved(curve)


def _curved(curve: Curve) -> dict[str, Any]:
    """Conics and parametric curves: their own sizes, and their ends (null at infinity)."""
    ends = {
        "from": _xy(curve.start) if math.isfinite(curve.t0) else None,
        "to": _xy(curve.end) if math.isfinite(curve.t1) else None,
    }
    match curve:
        case ParabolaArc():
            sizes: dict[str, Any] = {
                "vertex": _xy(curve.vertex),
                "axis": _xy(curve.axis),
                "focal_length": curve.focal,
            }
        case EllipseArc():
            sizes = {
                "centre": _xy(curve.centre),
                "axis": _xy(curve.axis),
                "half_axes": [curve.a, curve.b],
                "from_deg": math.degrees(curve.from_),
                "to_deg": math.degrees(curve.from_ + curve.sweep),
            }
        case HyperbolaArc():
            sizes = {
                "centre": _xy(curve.centre),
                "axis": _xy(curve.axis),
                "half_axes": [curve.a, curve.b],
            }
        case CycloidArc():
            sizes = {
                "origin": _xy(curve.origin),
                "along": _xy(curve.along),
                "side": curve.side,
                "radius": curve.radius,
                "from_deg": math.degrees(curve.from_),
                "to_deg": math.degrees(curve.to),
            }
        case InvoluteArc():
            sizes = {
                "centre": _xy(curve.centre),
                "radius": curve.radius,
                "contact_deg": math.degrees(curve.contact),
                "sense": curve.sense,
                "free": curve.free,
                "from_deg": math.degrees(curve.from_),
                "to_deg": math.degrees(curve.to),
            }
        case _:
            raise TypeError(f"no JSON form for a curve of kind {curve.kind}")
    return {"kind": curve.kind, **sizes, **ends}


def _xy(p: Point) -> list[float]:
    return [p.x, p.y]


def _finite(x: float) -> float | None:
    return x if math.isfinite(x) else None


def _region(region: RegionAnswer) -> dict[str, Any]:
    return {
        "area_cm2": _finite(region.area),
        "perimeter_cm": _finite(region.perimeter),
        "bounded": region.bounded,
        "empty": region.empty,
        "parts": region.parts,
        "inside_point": _xy(region.inside_point) if region.inside_point else None,
    }


def _measured(found: Measured) -> dict[str, Any]:
    return {
        "value": _finite(found.value),
        "unit": found.unit,
        "between": [_xy(p) for p in found.between],
    }


def _element(element: Element) -> dict[str, Any]:
    return {
        "name": element.name,
        "kind": element.kind,
        "curves": [curve_as_json(c) for c in element.curves],
        "needed": [curve_as_json(c) for c in element.needed],
    }
