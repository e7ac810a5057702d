"""Circles: the centre (Euclid III.1), tangents (III.17), the circles of a triangle (IV.4, IV.5),
its centroid and orthocentre."""

from __future__ import annotations

import math

from millimark.plane.point import Point
from millimark.working.acts import ArcEvidence, Ink, Role
from millimark.working.angle_bisectors import Arm, angle_bisector
from millimark.working.bench import Bench
from millimark.working.bisectors import midpoint_of, perpendicular_bisector
from millimark.working.drawn import Span
from millimark.working.perpendiculars import line_past, perpendicular_from, perpendicular_shown
from millimark.working.wording import cm

WHY = {
    "centre": "The perpendicular bisector of a chord passes through the centre, so two of them "
    "cross there.",
    "tangent at": "A tangent is perpendicular to the radius at its point of contact.",
    "tangent from": "The angle in a semicircle is a right angle, so the radius to each crossing "
    "is perpendicular to the line from the point.",
    "circumcircle": "Points of a side's perpendicular bisector are equally far from its ends, so "
    "the crossing is equally far from all three corners.",
    "incircle": "Points of an angle's bisector are equally far from its arms, so the crossing is "
    "equally far from all three sides.",
    "centroid": "The three medians pass through one point, two thirds of the way along each.",
    "orthocentre": "The three altitudes pass through one point.",
}


def centre_of(bench: Bench, p: str, q: str, r: str, near: Point | None = None) -> str:
    """The centre of the circle through three marks, from the bisectors of two chords."""
    at = near or circumcentre(*(bench.points[n] for n in (p, q, r)))
    lines = [_bisector_to(bench, one, two, at) for one, two in ((p, q), (q, r))]
    return bench.cross(lines[0], lines[1], at, "Call the crossing ?, the centre.", shown=True)


def _bisector_to(bench: Bench, a: str, b: str, at: Point) -> str:
    """The perpendicular bisector of ``a`` ``b``, drawn as far as ``at``."""
    middle = (bench.points[a] + bench.points[b]) * 0.5
    t = (at - middle).dot((bench.points[b] - bench.points[a]).unit().left())
    span = (min(t, 0.0) - 0.5, max(t, 0.0) + 0.5)
    return perpendicular_bisector(bench, a, b, span, "construction").ink


def circumcentre(a: Point, b: Point, c: Point) -> Point:
    """The point equally far from three points that are not in line."""
    u, v = b - a, c - a
    d = 2 * u.cross(v)
    uu, vv = u.dot(u), v.dot(v)
    return a + Point((v.y * uu - u.y * vv) / d, (u.x * vv - v.x * uu) / d)


def circumcircle(bench: Bench, a: str, b: str, c: str) -> str:
    """The circle through three marks; its ink."""
    centre = centre_of(bench, a, b, c)
    bench.open_between(centre, a, f"Open the compasses from {centre} to {bench.call(a)}.")
    start = (bench.points[a] - bench.points[centre]).angle()
    caption = f"With the needle on {centre}, draw the circle through all three corners."
    return bench.strike(centre, start, 2 * math.pi, "answer", caption)


def incircle(bench: Bench, a: str, b: str, c: str) -> str:
    """The circle that touches all three sides of a triangle; its ink."""
    pa, pb, pc = (bench.points[n] for n in (a, b, c))
    at = incentre(pa, pb, pc)
    one = bisector_between(bench, (b, a, c), (0.0, pa.distance(at) + 0.5))
    two = bisector_between(bench, (a, b, c), (0.0, pb.distance(at) + 0.5))
    centre = bench.cross(one, two, at, "Call the crossing ?.", shown=True)
    _ink, foot = perpendicular_from(bench, centre, a, b)
    bench.open_between(centre, foot, f"Open the compasses from {centre} to the foot.")
    start = (bench.points[foot] - at).angle()
    caption = f"With the needle on {centre}, draw the circle that touches the sides."
    return bench.strike(centre, start, 2 * math.pi, "answer", caption)


def incentre(a: Point, b: Point, c: Point) -> Point:
    """The point equally far from three sides."""
    x, y, z = b.distance(c), c.distance(a), a.distance(b)
    return (a * x + b * y + c * z) * (1 / (x + y + z))


def bisector_between(
    bench: Bench, angle: tuple[str, str, str], span: Span, role: Role = "construction"
) -> str:
    """The bisector of the angle (p, vertex, q), between arms that are printed or ruled."""
    p, v, q = angle
    arms = []
    for label in (p, q):
        way = bench.points[label] - bench.points[v]
        arms.append(Arm(way.unit(), way.norm(), bench.line_through(v, label), label))
    return angle_bisector(bench, v, (arms[0], arms[1]), span, role).ink


def tangent_at(
    bench: Bench, centre: str, p: str, reach: float = 3.5
) -> tuple[str, tuple[ArcEvidence, ...]]:
    """The tangent at ``p`` to the circle about ``centre`` through it; its ink, and the arcs
    that show it."""
    line_past(bench, p, centre, min(4.3, bench.space(p, _out(bench, centre, p))))
    return perpendicular_shown(bench, p, centre, reach, (1, -1))


def _out(bench: Bench, centre: str, p: str) -> Point:
    return (bench.points[p] - bench.points[centre]).unit()


def tangent_from(bench: Bench, centre: str, on: str, p: str) -> tuple[str, str]:
    """The two tangents from ``p`` to the circle about ``centre`` through ``on``, which is drawn."""
    o = bench.points[centre]
    r = o.distance(bench.points[on])
    bench.open_between(centre, on, f"Open the compasses to {cm(r)}.")
    caption = f"With the needle on {bench.call(centre)}, draw the circle of radius {cm(r)}."
    start = (bench.points[on] - o).angle()
    circle = bench.strike(centre, start, 2 * math.pi, "construction", caption)
    return tangents_to(bench, centre, circle, r, p)


def tangents_to(bench: Bench, centre: str, circle: Ink, r: float, p: str) -> tuple[str, str]:
    """The two tangents from ``p`` to a circle that is there, of radius ``r`` about ``centre``."""
    o, far = bench.points[centre], bench.points[p]
    half, heading = math.acos(r / o.distance(far)), (far - o).angle()
    middle = midpoint_of(bench, centre, p, shown=False)
    inks = []
    for side, which in ((1, "one side"), (-1, "the other side")):
        touch_at = o.polar(r, heading + side * half)
        bench.open_between(middle, centre, f"Open the compasses from the midpoint to {centre}.")
        arc = bench.strike_at(
            middle,
            touch_at,
            f"With the needle on the midpoint, strike an arc across the circle on {which}.",
        )
        touch = bench.cross(circle, arc, touch_at)
        length = far.distance(bench.points[touch])
        caption = f"Rule the line from {bench.call(p)} through the crossing on {which}."
        inks.append(bench.rule(p, touch, 0.0, length + 1.0, "answer", caption))
    return inks[0], inks[1]


def centroid(bench: Bench, a: str, b: str, c: str) -> str:
    """Where the medians of a triangle cross."""
    at = (bench.points[a] + bench.points[b] + bench.points[c]) * (1 / 3)
    medians = []
    for corner, one, two in ((a, b, c), (b, c, a)):
        middle = midpoint_of(bench, one, two, shown=False)
        length = bench.points[corner].distance(bench.points[middle])
        caption = f"Rule the median from {bench.call(corner)} to the midpoint."
        medians.append(bench.rule(corner, middle, 0.0, length, "construction", caption))
    return bench.cross(medians[0], medians[1], at, "Call the crossing ?.", shown=True)


def orthocentre(bench: Bench, a: str, b: str, c: str) -> str:
    """Where the altitudes of a triangle cross (outside it where an angle is obtuse)."""
    pa, pb, pc = (bench.points[n] for n in (a, b, c))
    at = pa + pb + pc - circumcentre(pa, pb, pc) * 2
    altitudes = []
    for corner, one, two in ((a, b, c), (b, c, a)):
        ink, foot = perpendicular_from(bench, corner, one, two)
        altitudes.append(_altitude_to(bench, corner, foot, ink, at))
    return bench.cross(altitudes[0], altitudes[1], at, "Call the crossing ?.", shown=True)


def _altitude_to(bench: Bench, corner: str, foot: str, ink: str, at: Point) -> str:
    """The altitude, ruled on where the crossing wanted lies off the piece from the corner."""
    start, end = bench.points[corner], bench.points[foot]
    t = (at - start).dot((end - start).unit())
    if -1e-9 <= t <= start.distance(end):
        return ink
    low, high = (t - 0.5, 0.0) if t < 0 else (start.distance(end), t + 0.5)
    caption = f"Lay the ruler along the altitude from {bench.call(corner)} and run it on."
    return bench.rule(corner, foot, low, high, "construction", caption)
