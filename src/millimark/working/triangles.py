"""Triangles from three facts (SSS: Euclid I.22), on a side that is printed."""

from __future__ import annotations

import math

from millimark.errors import PlanError
from millimark.plane.point import Point
from millimark.working.angles import angle
from millimark.working.bench import Bench
from millimark.working.perpendiculars import perpendicular_at
from millimark.working.wording import cm

WHY = {
    "SSS": "Three sides fix a triangle: every point of an arc is at the wanted distance from its "
    "centre, so the crossing is at both.",
    "SAS": "Two sides and the angle between them fix a triangle.",
    "ASA": "A side and the angles at its ends fix a triangle: the third corner is on both rays.",
    "SSA": "The third corner is on the angle's arm, and at the wanted distance from the other end.",
    "RHS": "A right angle, the hypotenuse and a side fix a triangle.",
}


def sss(bench: Bench, a: str, b: str, from_a: float, from_b: float, side: int) -> str:
    """The corner ``from_a`` cm from ``a`` and ``from_b`` cm from ``b``, on the left
    (``side`` +1) or right of ``a`` ``b``; the triangle's two sides are ruled."""
    d = bench.points[a].distance(bench.points[b])
    longest = max(d, from_a, from_b)
    if longest >= d + from_a + from_b - longest:
        raise PlanError(
            f"Sides {cm(d)}, {cm(from_a)} and {cm(from_b)} make no triangle.",
            "The longest side must be shorter than the other two together.",
        )
    at = _apex(bench.points[a], bench.points[b], from_a, from_b, side)
    arcs = []
    for end, length in ((a, from_a), (b, from_b)):
        bench.open_to(length, f"Open the compasses to {cm(length)}.")
        caption = f"With the needle on {bench.call(end)}, strike an arc of radius {cm(length)}."
        arcs.append(bench.strike_at(end, at, caption))
    corner = bench.cross(arcs[0], arcs[1], at, "Call the crossing ?.", shown=True)
    _sides(bench, corner, a, b)
    return corner


def sas(bench: Bench, a: str, b: str, degrees: float, from_a: float, side: int) -> str:
    """The corner ``from_a`` cm from ``a`` in the direction that makes ``degrees`` with
    ``a`` ``b``; the triangle's two sides are ruled."""
    ray = angle(bench, a, b, degrees, side, "construction", from_a + 0.5)
    at = _turned(bench, a, b, side * math.radians(degrees), from_a)
    bench.open_to(from_a, f"Open the compasses to {cm(from_a)}.")
    arc = bench.strike_at(a, at, f"With the needle on {bench.call(a)}, cut the ray.", 0.4)
    corner = bench.cross(ray, arc, at, "Call the crossing ?.", shown=True)
    _sides(bench, corner, a, b)
    return corner


def asa(bench: Bench, a: str, b: str, at_a: float, at_b: float, side: int) -> str:
    """The corner that makes ``at_a`` and ``at_b`` degrees with ``a`` ``b`` at its ends."""
    if at_a + at_b >= 180.0:
        raise PlanError(
            f"Angles of {at_a:g}° and {at_b:g}° at the ends of a side never meet.",
            "They must add to less than 180°.",
        )
    d = bench.points[a].distance(bench.points[b])
    third = math.sin(math.radians(at_a + at_b))
    from_a, from_b = (d * math.sin(math.radians(x)) / third for x in (at_b, at_a))
    at = _turned(bench, a, b, side * math.radians(at_a), from_a)
    one = angle(bench, a, b, at_a, side, "construction", from_a + 0.5)
    two = angle(bench, b, a, at_b, -side, "construction", from_b + 0.5)
    corner = bench.cross(one, two, at, "Call the crossing ?.", shown=True)
    _sides(bench, corner, a, b)
    return corner


def rhs(bench: Bench, a: str, b: str, hypotenuse: float, side: int) -> str:
    """The corner above ``b``, where the right angle is, ``hypotenuse`` cm from ``a``."""
    d = bench.points[a].distance(bench.points[b])
    if hypotenuse <= d:
        raise PlanError(
            f"The hypotenuse ({cm(hypotenuse)}) is not longer than the side ({cm(d)}).",
            "Make the hypotenuse the longest side.",
        )
    height = math.sqrt(hypotenuse**2 - d**2)
    up = (bench.points[b] - bench.points[a]).unit().left() * side
    at = bench.points[b] + up * height
    line = perpendicular_at(bench, b, a, height + 0.5, (-side,))
    bench.open_to(hypotenuse, f"Open the compasses to {cm(hypotenuse)}.")
    caption = f"With the needle on {bench.call(a)}, strike an arc across the perpendicular."
    corner = bench.cross(
        line, bench.strike_at(a, at, caption), at, "Call the crossing ?.", shown=True
    )
    _sides(bench, corner, a, b)
    return corner


def ssa(bench: Bench, a: str, b: str, degrees: float, from_b: float, at: Point, side: int) -> str:
    """The corner ``at`` in the direction that makes ``degrees`` with ``a`` ``b``, ``from_b`` cm
    from ``b``; the triangle's two sides are ruled."""
    reach = bench.points[a].distance(at)
    ray = angle(bench, a, b, degrees, side, "construction", reach + 0.5)
    bench.open_to(from_b, f"Open the compasses to {cm(from_b)}.")
    arc = bench.strike_at(b, at, f"With the needle on {bench.call(b)}, cut the ray.", 0.4)
    corner = bench.cross(ray, arc, at, "Call the crossing ?.", shown=True)
    _sides(bench, corner, a, b)
    return corner


def _apex(a: Point, b: Point, from_a: float, from_b: float, side: int) -> Point:
    d = a.distance(b)
    x = (d * d + from_a**2 - from_b**2) / (2 * d)
    ahead = (b - a).unit()
    return a + ahead * x + ahead.left() * (side * math.sqrt(max(from_a**2 - x * x, 0.0)))


def _turned(bench: Bench, a: str, b: str, turn: float, distance: float) -> Point:
    at = bench.points[a]
    return at.polar(distance, (bench.points[b] - at).angle() + turn)


def _sides(bench: Bench, corner: str, *ends: str) -> None:
    for end in ends:
        length = bench.points[corner].distance(bench.points[end])
        bench.rule(end, corner, 0.0, length, "answer", f"Rule the side {bench.pair(end, corner)}.")
