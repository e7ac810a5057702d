"""The curves at a given distance from a feature."""

from __future__ import annotations

import math
from dataclasses import dataclass

from millimark.errors import NoAnswerError
from millimark.loci.conditions import DiscOf, Feature, PointOf, PolygonOf
from millimark.loci.figure import Figure
from millimark.loci.places import corners, place
from millimark.loci.sites import (
    CircleSite,
    PointSite,
    Site,
    StraightSite,
    distance_field,
    own_curves,
    sites,
    straight,
    turns_one_way,
)
from millimark.plane.curves import Arc, Curve
from millimark.plane.pieces import kept
from millimark.plane.point import EPS, Point


@dataclass(frozen=True)
class Traces:
    """Curves, and single points where a locus shrinks to those."""

    curves: tuple[Curve, ...] = ()
    points: tuple[Point, ...] = ()


def required_length(length: float) -> float:
    """The length itself; NoAnswerError if it is negative or no number."""
    if not (math.isfinite(length) and length >= 0.0):
        raise NoAnswerError(f"A distance of {length:g} cm cannot be drawn: it must be 0 or more.")
    return length


def at_distance(figure: Figure, feature: Feature, length: float) -> Traces:
    """Points exactly ``length`` from ``feature``: nothing for a distance that the feature does not
    have (6 cm inside a small circle); the feature itself for 0.

    Round a segment the curves run anticlockwise: side, end, side, end.
    """
    if required_length(length) <= EPS:
        curves, points = own_curves(figure, feature)
        return Traces(tuple(curves), tuple(points))
    if isinstance(feature, PointOf):
        return Traces((Arc(place(figure, feature.label), length),))
    found = sites(figure, feature)
    if len(found) == 1:
        return _round_one(found[0], length, isinstance(feature, DiscOf))
    straights = [s for s in found if isinstance(s, StraightSite)]
    if len(straights) == 1:
        return Traces(tuple(_round_straight(straights[0], length)))
    if isinstance(feature, PolygonOf):
        return _outside(figure, feature, found, length)
    field = distance_field(figure, feature)

    def on(x: float, y: float) -> bool:
        return abs(field(x, y) - length) <= EPS

    return Traces(tuple(kept(_round_run(found, length), (), on)))


def _outside(figure: Figure, polygon: PolygonOf, found: list[Site], length: float) -> Traces:
    """Outside a polygon: sides and corner arcs, trimmed where it is not convex."""
    ring = corners(figure, polygon.labels)
    if turns_one_way(ring):
        return Traces(tuple(_round_convex(ring, length)))
    field = distance_field(figure, polygon)
    return Traces(
        tuple(kept(_round_run(found, length), (), lambda x, y: abs(field(x, y) - length) <= EPS))
    )


def _round_one(site: Site, length: float, outside_only: bool) -> Traces:
    if isinstance(site, PointSite):
        return Traces((Arc(site.at, length),))
    if isinstance(site, StraightSite):
        return Traces(tuple(_round_straight(site, length)))
    outer = Arc(site.centre, site.radius + length)
    gap = site.radius - length
    if outside_only or gap < -EPS:
        return Traces((outer,))
    if gap <= EPS:
        return Traces((outer,), (site.centre,))
    return Traces((outer, Arc(site.centre, gap)))


def _round_straight(site: StraightSite, length: float) -> list[Curve]:
    """Both parallels, joined by a semicircle round each finite end."""
    side = site.along.left() * length
    heading = site.along.angle()
    right = straight(StraightSite(site.at - side, site.along, site.t0, site.t1))
    left = straight(StraightSite(site.at + side, site.along, site.t0, site.t1))
    out: list[Curve] = [right]
    if math.isfinite(site.t1):
        end = site.at + site.along * site.t1
        out.append(Arc(end, length, heading - math.pi / 2, math.pi))
    out.append(left.reversed() if left.kind != "ray" else left)
    if math.isfinite(site.t0):
        start = site.at + site.along * site.t0
        out.append(Arc(start, length, heading + math.pi / 2, math.pi))
    return out


def _round_run(found: list[Site], length: float) -> list[Curve]:
    """Every curve that the offset of several sites can use."""
    out: list[Curve] = []
    for site in found:
        if isinstance(site, StraightSite):
            side = site.along.left() * length
            for at in (site.at - side, site.at + side):
                out.append(straight(StraightSite(at, site.along, site.t0, site.t1)))
        elif isinstance(site, PointSite):
            out.append(Arc(site.at, length))
        elif isinstance(site, CircleSite):
            out.extend(_round_one(site, length, False).curves)
    return out


def _round_convex(ring: list[Point], length: float) -> list[Curve]:
    """Outside a convex polygon, anticlockwise: side, corner arc, side, …"""
    area = sum(p.cross(q) for p, q in zip(ring, [*ring[1:], ring[0]], strict=True))
    if area < 0:
        ring = [ring[0], *reversed(ring[1:])]
    out: list[Curve] = []
    n = len(ring)
    for i, p in enumerate(ring):
        q, r = ring[(i + 1) % n], ring[(i + 2) % n]
        along, onward = (q - p).unit(), (r - q).unit()
        out_of = -along.left() * length
        out.append(straight(StraightSite(p + out_of, along, 0.0, p.distance(q))))
        turn = math.atan2(along.cross(onward), along.dot(onward))
        out.append(Arc(q, length, along.angle() - math.pi / 2, turn))
    return out
