"""Quantities that questions ask for: distances between things, lengths, areas, angles, bearings."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import get_args

from millimark.errors import NoAnswerError
from millimark.loci.answer import Measured
from millimark.loci.compiled import compiled
from millimark.loci.conditions import (
    AngleOf,
    AreaOf,
    BearingOf,
    Condition,
    DiscOf,
    Feature,
    Greatest,
    Inside,
    LengthOf,
    Locus,
    PointOf,
    PolygonOf,
    Quantity,
    Shortest,
    SidesOf,
)
from millimark.loci.figure import Figure
from millimark.loci.places import circle, place
from millimark.loci.region import solved, truth
from millimark.loci.several import traces_of
from millimark.loci.sites import own_curves
from millimark.plane.curves import Curve
from millimark.plane.pieces import middle
from millimark.plane.point import EPS, Point
from millimark.plane.separation import Join, farthest_join, farthest_points, join, nearest_join

Thing = Feature | Locus | Condition


@dataclass(frozen=True)
class Outline:
    """A thing to measure from: its curves and single points, and whether a point is inside it (for
    regions, polygons and discs)."""

    curves: tuple[Curve, ...]
    points: tuple[Point, ...]
    holds: Callable[[Point], bool] | None = None
    whole_plane: bool = False

    def some_points(self) -> list[Point]:
        """A point of every part of it, or all of its single points."""
        return [*(c.point_at(middle(c.t0, c.t1)) for c in self.curves), *self.points]


def measured(figure: Figure, quantity: Quantity) -> Measured:
    """The quantity, in figure centimetres, square centimetres or degrees. NoAnswerError where one
    of its things is empty, or an angle or bearing has no arms."""
    match quantity:
        case Shortest(one, two):
            return _shortest(outline(figure, one), outline(figure, two))
        case Greatest(one, two):
            return _greatest(outline(figure, one), outline(figure, two))
        case LengthOf(what):
            return Measured(_length(figure, what), "cm")
        case AreaOf(what):
            return Measured(_area(figure, what), "cm2")
        case AngleOf():
            return _angle(figure, quantity)
        case BearingOf():
            return _bearing(figure, quantity)


def outline(figure: Figure, thing: Thing) -> Outline:
    """What a thing is made of; NoAnswerError if it is empty."""
    if isinstance(thing, PointOf):
        return Outline((), (place(figure, thing.label),))
    if isinstance(thing, PolygonOf | DiscOf):
        return outline(figure, Inside(thing, strict=False))
    if isinstance(thing, get_args(Feature)):
        curves, points = own_curves(figure, thing)
        return Outline(tuple(curves), tuple(points))
    if isinstance(thing, get_args(Locus)):
        traces = traces_of(figure, thing)
        found = Outline(traces.curves, traces.points)
    else:
        found = _of_region(figure, thing)  # type: ignore[arg-type]
    if not (found.curves or found.points or found.whole_plane):
        raise NoAnswerError("There is nothing to measure: no point satisfies what was asked.")
    return found


def _of_region(figure: Figure, condition: Condition) -> Outline:
    leaves, tree = compiled(figure, condition)
    region = solved(leaves, tree)
    curves = tuple(c for loop in region.answer.loops for c in loop) or region.thin
    return Outline(
        curves,
        region.points,
        lambda p: truth(leaves, tree, p.x, p.y),
        region.special == "everything",
    )


def _shortest(one: Outline, two: Outline) -> Measured:
    for inside, other in ((one, two), (two, one)):
        if inside.whole_plane and (other.whole_plane or other.some_points()):
            at = (other.some_points() or [Point(0.0, 0.0)])[0]
            return Measured(0.0, "cm", (at, at))
        if inside.holds is not None:
            for p in other.some_points():
                if inside.holds(p):
                    return Measured(0.0, "cm", (p, p))
    joins: list[Join] = []
    for a in one.curves:
        joins += [nearest_join(a, b) for b in two.curves]
        joins += [join(a.point_at(a.nearest(q)), q) for q in two.points]
    for p in one.points:
        joins += [join(p, b.point_at(b.nearest(p))) for b in two.curves]
        joins += [join(p, q) for q in two.points]
    best = min(joins)
    return Measured(best.length, "cm", (best.p, best.q))


def _greatest(one: Outline, two: Outline) -> Measured:
    if not (_bounded(one) and _bounded(two)):
        return Measured(math.inf, "cm")
    joins: list[Join] = []
    for a in one.curves:
        joins += [farthest_join(a, b) for b in two.curves]
        joins += [join(p, q) for q in two.points for p in farthest_points(a, q)]
    for p in one.points:
        joins += [join(p, q) for b in two.curves for q in farthest_points(b, p)]
        joins += [join(p, q) for q in two.points]
    best = max(joins)
    return Measured(best.length, "cm", (best.p, best.q))


def _bounded(thing: Outline) -> bool:
    if thing.whole_plane or not all(c.bounded for c in thing.curves):
        return False
    # The outside of something has a bounded edge but is not bounded.
    return thing.holds is None or not thing.holds(Point(8.13e5, 5.82e5))


def _length(figure: Figure, what: object) -> float:
    if isinstance(what, get_args(Condition)):
        leaves, tree = compiled(figure, what)
        return solved(leaves, tree).answer.perimeter
    if isinstance(what, PolygonOf):
        what = SidesOf(what.labels)
    return _total(outline(figure, what).curves)  # type: ignore[arg-type]


def _total(curves: Sequence[Curve]) -> float:
    return math.fsum(c.length for c in curves)


def _area(figure: Figure, what: PolygonOf | DiscOf | Condition) -> float:
    if isinstance(what, DiscOf):
        return math.pi * circle(figure, what.name).radius ** 2
    condition = Inside(what) if isinstance(what, PolygonOf) else what
    leaves, tree = compiled(figure, condition)
    return solved(leaves, tree).answer.area


def _angle(figure: Figure, q: AngleOf) -> Measured:
    at = place(figure, q.vertex.label)
    one, two = place(figure, q.a.label) - at, place(figure, q.b.label) - at
    if one.norm() <= EPS or two.norm() <= EPS:
        raise NoAnswerError(
            f"Angle {q.a.label}{q.vertex.label}{q.b.label} has an arm of no length."
        )
    return Measured(math.degrees(math.atan2(abs(one.cross(two)), one.dot(two))), "deg", (at,))


def _bearing(figure: Figure, q: BearingOf) -> Measured:
    a, b = place(figure, q.from_.label), place(figure, q.to.label)
    if a.distance(b) <= EPS:
        raise NoAnswerError(
            f"{q.from_.label} and {q.to.label} are one point: there is no bearing between them."
        )
    return Measured(math.degrees(math.atan2(b.x - a.x, b.y - a.y)) % 360.0, "deg", (a, b))
