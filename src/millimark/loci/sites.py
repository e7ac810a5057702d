"""A feature taken apart into sites: points, straight pieces and circles.

The distance from a feature is the least distance from its sites. A straight site is open: it
is nearest only to points whose foot falls between its ends, which are point sites of
their own.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from millimark.errors import NoAnswerError
from millimark.loci.features import (
    CircleOf,
    DiscOf,
    Feature,
    LineOf,
    PointOf,
    PolygonOf,
    PolylineOf,
    RayOf,
    SegmentOf,
    SidesOf,
)
from millimark.loci.figure import Figure
from millimark.loci.places import circle, corners, place
from millimark.plane.curves import Arc, Curve, Line, Segment
from millimark.plane.point import EPS, Point

Field = Callable[[float, float], float]
"""A number (cm) at each point (x, y)."""


@dataclass(frozen=True)
class PointSite:
    """One point."""

    at: Point


@dataclass(frozen=True)
class StraightSite:
    """The straight piece from ``at`` along the unit ``along``, between ``t0`` and ``t1``."""

    at: Point
    along: Point
    t0: float
    t1: float

    def ends(self) -> list[Point]:
        """The finite ends."""
        return [self.at + self.along * t for t in (self.t0, self.t1) if math.isfinite(t)]


@dataclass(frozen=True)
class CircleSite:
    """A whole circle, the curve."""

    centre: Point
    radius: float


Site = PointSite | StraightSite | CircleSite


def sites(figure: Figure, feature: Feature) -> list[Site]:
    """The sites of a feature. A segment, ray or line between coincident points is a point."""
    match feature:
        case PointOf(label):
            return [PointSite(place(figure, label))]
        case SegmentOf(a, b):
            return _run([place(figure, a), place(figure, b)])
        case RayOf(a, b) | LineOf(a, b):
            p, q = place(figure, a), place(figure, b)
            if p.distance(q) <= EPS:
                return [PointSite(p)]
            along = (q - p).unit()
            if isinstance(feature, LineOf):
                return [StraightSite(p, along, -math.inf, math.inf)]
            return [PointSite(p), StraightSite(p, along, 0.0, math.inf)]
        case PolylineOf(labels):
            if len(labels) < 2:
                raise NoAnswerError(f"A path needs at least 2 points, not {len(labels)}.")
            return _run([place(figure, label) for label in labels])
        case PolygonOf(labels) | SidesOf(labels):
            ring = corners(figure, labels)
            return _run([*ring, ring[0]])
        case CircleOf(name) | DiscOf(name):
            given = circle(figure, name)
            if given.radius <= EPS:
                return [PointSite(given.centre)]
            return [CircleSite(given.centre, given.radius)]


def _run(points: Sequence[Point]) -> list[Site]:
    """Point and straight sites of a polyline; coincident neighbours are one point."""
    stops = [points[0]]
    for p in points[1:]:
        if p.distance(stops[-1]) > EPS:
            stops.append(p)
    closed = len(stops) > 1 and stops[0].distance(stops[-1]) <= EPS
    out: list[Site] = [PointSite(p) for p in (stops[:-1] if closed else stops)]
    for p, q in itertools.pairwise(stops):
        out.append(StraightSite(p, (q - p).unit(), 0.0, p.distance(q)))
    return out


def own_curves(figure: Figure, feature: Feature) -> tuple[list[Curve], list[Point]]:
    """The feature itself as curves, and as a point where it is only that."""
    if isinstance(feature, PolygonOf | SidesOf):
        ring = corners(figure, feature.labels)
        sides = [Segment(p, q) for p, q in pairwise([*ring, ring[0]]) if p.distance(q) > EPS]
        return [*sides], [] if sides else [ring[0]]
    found = sites(figure, feature)
    out: list[Curve] = []
    for site in found:
        if isinstance(site, StraightSite):
            out.append(straight(site))
        elif isinstance(site, CircleSite):
            out.append(Arc(site.centre, site.radius))
    points = [s.at for s in found if isinstance(s, PointSite)] if not out else []
    return out, points


def straight(site: StraightSite) -> Curve:
    """A straight site as a segment, ray or line."""
    return Line(site.at, site.along).between(site.t0, site.t1)


def distance_field(figure: Figure, feature: Feature) -> Field:
    """Distance (cm) from the feature, at (x, y); zero inside a polygon or disc."""
    if isinstance(feature, PointOf):
        (px, py), hypot = place(figure, feature.label), math.hypot
        return lambda x, y: hypot(x - px, y - py)
    if isinstance(feature, SegmentOf | RayOf | LineOf):
        p, q = place(figure, feature.a), place(figure, feature.b)
        return _from_run(p, q, type(feature) is LineOf, type(feature) is not SegmentOf)
    found = sites(figure, feature)
    if isinstance(feature, DiscOf):
        nearest = site_field(found)
        given = circle(figure, feature.name)
        (cx, cy), r = given.centre, given.radius
        return lambda x, y: 0.0 if math.hypot(x - cx, y - cy) <= r else nearest(x, y)
    if isinstance(feature, PolygonOf):
        nearest = site_field(found)
        within = ring_test(corners(figure, feature.labels))
        return lambda x, y: 0.0 if within(x, y) else nearest(x, y)
    return site_field(found)


def site_field(found: Sequence[Site]) -> Field:
    """Distance from the nearest of the sites."""
    fields = [_one_field(s) for s in found if not _is_end(s, found)]
    if len(fields) == 1:
        return fields[0]
    return lambda x, y: min(f(x, y) for f in fields)


def _is_end(site: Site, found: Sequence[Site]) -> bool:
    """Whether a point site is the end of a straight site, whose field includes it."""
    return isinstance(site, PointSite) and any(
        isinstance(s, StraightSite) and any(site.at.distance(e) <= EPS for e in s.ends())
        for s in found
    )


def _one_field(site: Site) -> Field:
    hypot = math.hypot
    if isinstance(site, PointSite):
        px, py = site.at
        return lambda x, y: hypot(x - px, y - py)
    if isinstance(site, CircleSite):
        (cx, cy), r = site.centre, site.radius
        return lambda x, y: abs(hypot(x - cx, y - cy) - r)
    return _from_straight(*site.at, *site.along, site.t0, site.t1)


def _from_run(p: Point, q: Point, before: bool, after: bool) -> Field:
    """Distance from the straight run from p to q, which goes on ``before`` p and ``after`` q."""
    dx, dy = q.x - p.x, q.y - p.y
    size = math.hypot(dx, dy)
    if size <= EPS:
        px, py, hypot = p.x, p.y, math.hypot
        return lambda x, y: hypot(x - px, y - py)
    t0 = -math.inf if before else 0.0
    return _from_straight(p.x, p.y, dx / size, dy / size, t0, math.inf if after else size)


def _from_straight(ax: float, ay: float, dx: float, dy: float, t0: float, t1: float) -> Field:
    hypot = math.hypot

    def distance(x: float, y: float) -> float:
        x -= ax
        y -= ay
        t = x * dx + y * dy
        if t < t0:
            t = t0
        elif t > t1:
            t = t1
        else:
            return abs(x * dy - y * dx)
        return hypot(x - t * dx, y - t * dy)

    return distance


def ring_test(ring: Sequence[Point]) -> Callable[[float, float], bool]:
    """Whether (x, y) lies inside the closed polygon, by the parity of crossings."""
    edges = list(zip(ring, [*ring[1:], ring[0]], strict=True))
    flat = [(a.x, a.y, b.x, b.y) for a, b in edges]

    def within(x: float, y: float) -> bool:
        inside = False
        for ax, ay, bx, by in flat:
            if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
                inside = not inside
        return inside

    return within


def inside_field(figure: Figure, polygon: PolygonOf) -> Field:
    """How deep (x, y) lies inside a polygon, negative outside; near the sides in cm. Of a convex
    polygon the least depth behind its sides' lines, which is quick."""
    ring = corners(figure, polygon.labels)
    if turns_one_way(ring):
        sides = []
        turn = (ring[1] - ring[0]).cross(ring[2] - ring[1])
        for p, q in pairwise([*ring, ring[0]]):
            k = math.copysign(1.0 / p.distance(q), turn)
            dx, dy = (q.x - p.x) * k, (q.y - p.y) * k
            sides.append((-dy, dx, dy * p.x - dx * p.y))

        def depth(x: float, y: float) -> float:
            return min([a * x + b * y + c for a, b, c in sides])

        return depth
    within = ring_test(ring)
    nearest = site_field(sites(figure, polygon))

    def either(x: float, y: float) -> float:
        return nearest(x, y) if within(x, y) else -nearest(x, y)

    return either


def turns_one_way(ring: Sequence[Point]) -> bool:
    """Whether a polygon is convex: it turns one way at every corner and only once round."""
    turned = 0.0
    lefts = 0
    ux, uy = ring[0].x - ring[-1].x, ring[0].y - ring[-1].y
    for p, q in pairwise([*ring, ring[0]]):
        vx, vy = q.x - p.x, q.y - p.y
        if abs(vx) + abs(vy) <= EPS:
            return False
        cross = ux * vy - uy * vx
        lefts += cross > 0
        turned += math.atan2(cross, ux * vx + uy * vy)
        ux, uy = vx, vy
    return lefts in (0, len(ring)) and abs(abs(turned) - 2 * math.pi) < 1e-6
