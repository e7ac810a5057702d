"""Conditions on sums, ratios, angles and bearings made ready: a value and border curves each."""

from __future__ import annotations

import math

from millimark.errors import NoAnswerError
from millimark.loci.conditions import (
    AngleCompared,
    BearingBetween,
    RatioCompared,
    RatioOfDistances,
    Relation,
    Subtends,
    SumCompared,
    SumOfDistances,
)
from millimark.loci.figure import Figure
from millimark.loci.leaf import Leaf
from millimark.loci.offsets import Traces
from millimark.loci.places import place
from millimark.loci.sites import Field
from millimark.loci.standard import apollonius, seen_at, standard_curves
from millimark.plane.curves import Curve, Ray
from millimark.plane.point import EPS, Point


def _signed(field: Field, relation: Relation, limit: float) -> Field:
    """limit - field where less is wanted, field - limit where more is."""
    if relation in ("<", "<="):
        return lambda x, y: limit - field(x, y)
    return lambda x, y: field(x, y) - limit


def _closed(relation: Relation) -> bool:
    return relation in ("<=", ">=")


def sum_leaf(figure: Figure, c: SumCompared) -> Leaf:
    """Distances from two points, added up."""
    (ax, ay), (bx, by) = place(figure, c.a.label), place(figure, c.b.label)
    locus = SumOfDistances(c.a, c.b, c.length)

    def total(x: float, y: float) -> float:
        return math.hypot(x - ax, y - ay) + math.hypot(x - bx, y - by)

    return Leaf(
        _signed(total, c.relation, c.length),
        _closed(c.relation),
        lambda _: standard_curves(figure, locus),
        locus,
    )


def ratio_leaf(figure: Figure, c: RatioCompared) -> Leaf:
    """Distance from one point against a multiple of the distance from another."""
    a, b, k = place(figure, c.a.label), place(figure, c.b.label), c.ratio

    def excess(x: float, y: float) -> float:
        return math.hypot(x - a.x, y - a.y) - k * math.hypot(x - b.x, y - b.y)

    return Leaf(
        _signed(excess, c.relation, 0.0),
        _closed(c.relation),
        lambda _: apollonius(a, b, k),
        RatioOfDistances(c.a, c.b, k),
    )


def angle_leaf(figure: Figure, c: AngleCompared) -> Leaf:
    """The angle at which a segment is seen. The value is in cm: the angle's excess times the
    segment's length; at the two ends themselves the angle counts as 180°."""
    a, b = place(figure, c.a.label), place(figure, c.b.label)
    d, limit = a.distance(b), math.radians(c.degrees)

    def seen(x: float, y: float) -> float:
        px, py, qx, qy = a.x - x, a.y - y, b.x - x, b.y - y
        dot = px * qx + py * qy
        cross = abs(px * qy - py * qx)
        return d * (math.pi if dot == 0.0 == cross else math.atan2(cross, dot))

    return Leaf(
        _signed(seen, c.relation, d * limit),
        _closed(c.relation),
        lambda _: Traces(tuple(seen_at(figure, c.a, c.b, c.degrees))),
        Subtends(c.a, c.b, c.degrees),
    )


def bearing_leaf(figure: Figure, c: BearingBetween) -> Leaf:
    """A wedge of bearings, clockwise from the first to the second: no more than one turn. The
    value is the distance from its rays, negative outside."""
    at = place(figure, c.of.label)
    for bearing in (c.from_deg, c.to_deg):
        if not math.isfinite(bearing):
            raise NoAnswerError(f"A bearing of {bearing:g}° cannot be drawn.")
    span = math.radians((c.to_deg - c.from_deg) % 360.0)
    if span <= EPS:
        raise NoAnswerError(
            f"Bearings from {c.from_deg:03.0f}° to {c.to_deg:03.0f}° enclose nothing.",
            "Give two different bearings, clockwise.",
        )
    start = math.radians(90 - c.from_deg)
    rays: list[Curve] = []
    for turn in (start, start - span):
        rays.append(Ray(at, Point(math.cos(turn), math.sin(turn))))

    def value(x: float, y: float) -> float:
        p = Point(x, y)
        off = min(ray.distance_to(p) for ray in rays)
        clockwise = (start - math.atan2(y - at.y, x - at.x)) % (2 * math.pi)
        return off if clockwise <= span else -off

    return Leaf(value, not c.strict, lambda _: Traces(tuple(rays), (at,)))
