"""Nearest and farthest points of two curves.

Stationary pairs have their join square to both curves. They are found in closed form for
straights and arcs; on other curves by sampling, halving and Newton's method.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from millimark.plane.conics import HyperbolaArc, ParabolaArc
from millimark.plane.crossings import crossings
from millimark.plane.curves import Arc, Curve, _Straight
from millimark.plane.parametric_crossings import zeros
from millimark.plane.point import EPS, Point

SAMPLES = 96
"""Samples along a curve that is neither straight nor an arc."""


class Join(NamedTuple):
    """A straight join: its length and ends."""

    length: float
    p: Point
    q: Point


def join(p: Point, q: Point) -> Join:
    """The join of two points."""
    return Join(p.distance(q), p, q)


def nearest_join(a: Curve, b: Curve) -> Join:
    """The shortest join from a point of ``a`` to one of ``b``; length 0 where they meet."""
    met = crossings(a, b)
    if met:
        return Join(0.0, met[0], met[0])
    pairs = [join(p, b.point_at(b.nearest(p))) for p in _stops(a, b)]
    pairs += [join(a.point_at(a.nearest(q)), q) for q in _stops(b, a)]
    return min([*pairs, *_both_curved(a, b)])


def farthest_join(a: Curve, b: Curve) -> Join:
    """The longest join; both curves bounded, else ValueError."""
    if not (a.bounded and b.bounded):
        raise ValueError("an unbounded curve has no farthest point")
    pairs = [join(p, q) for p in _stops(a, b) for q in farthest_points(b, p)]
    pairs += [join(p, q) for q in _stops(b, a) for p in farthest_points(a, q)]
    return max([*pairs, *_both_curved(a, b)])


def farthest_points(c: Curve, p: Point) -> list[Point]:
    """Ends of a bounded curve and its points where the distance from ``p`` is stationary."""
    return [c.start, c.end, *(c.point_at(t) for t in stationary(c, p))]


def _stops(c: Curve, other: Curve) -> list[Point]:
    """Points of ``c`` that a stationary join to ``other`` can start from, but for joins between
    two curves that are neither straight nor arcs."""
    out = [c.point_at(t) for t in (c.t0, c.t1) if math.isfinite(t)]
    if isinstance(other, Arc):
        out += [c.point_at(t) for t in stationary(c, other.centre)]
    elif isinstance(other, _Straight):
        out += [c.point_at(t) for t in _level_with(c, other.direction)]
        if isinstance(c, _Straight):
            out.append(c.anchor)
    return out


def stationary(c: Curve, p: Point) -> list[float]:
    """Parameters where the distance from ``p`` is stationary: the join is square to the curve. None
    for the centre of an arc, from which every point is as far."""
    if isinstance(c, _Straight):
        t = (p - c.anchor).dot(c.direction)
        return [t] if c.t0 <= t <= c.t1 else []
    if isinstance(c, Arc):
        if p.distance(c.centre) <= EPS:
            return []
        angle = (p - c.centre).angle()
        turns = [(c.sense * (angle + half - c.from_)) % (2 * math.pi) for half in (0.0, math.pi)]
        return [t for t in turns if t <= c.t1]
    lo, hi = window(c)
    return zeros(lambda t: (c.point_at(t) - p).dot(c.direction_at(t)), lo, hi, SAMPLES)


def _level_with(c: Curve, along: Point) -> list[float]:
    """Parameters where the curve runs along a direction; none for straights."""
    if isinstance(c, _Straight):
        return []
    if isinstance(c, Arc):
        square = along.left().angle()
        turns = [(c.sense * (square + half - c.from_)) % (2 * math.pi) for half in (0.0, math.pi)]
        return [t for t in turns if t <= c.t1]
    lo, hi = window(c)
    return zeros(lambda t: c.direction_at(t).cross(along), lo, hi, SAMPLES)


def window(c: Curve) -> tuple[float, float]:
    """The parameters of a curve, an unbounded one cut where it is nearly straight."""
    reach = 40.0
    if isinstance(c, ParabolaArc):
        reach = 50.0 + 50.0 * c.focal
    elif isinstance(c, HyperbolaArc):
        reach = 8.0
    return max(c.t0, -reach), min(c.t1, reach)


def _both_curved(a: Curve, b: Curve) -> list[Join]:
    """Stationary joins of two curves that are neither straight nor arcs: starts from samples,
    then Newton's method."""
    if isinstance(a, _Straight | Arc) or isinstance(b, _Straight | Arc):
        return []
    (a0, a1), (b0, b1) = window(a), window(b)
    n = 24
    ts = [a0 + (a1 - a0) * i / n for i in range(n + 1)]
    us = [b0 + (b1 - b0) * i / n for i in range(n + 1)]
    starts = [
        *((t, b.nearest(a.point_at(t))) for t in ts),
        *((a.nearest(b.point_at(u)), u) for u in us),
    ]
    far = [max(us, key=lambda u, t=t: a.point_at(t).distance(b.point_at(u))) for t in ts]  # type: ignore[misc]
    starts += zip(ts, far, strict=True)
    ranked = sorted(starts, key=lambda s: a.point_at(s[0]).distance(b.point_at(s[1])))
    return list(_polished(a, b, [*ranked[:4], *ranked[-4:]]))


def _polished(a: Curve, b: Curve, starts: Iterable[tuple[float, float]]) -> Iterable[Join]:
    """Joins after Newton's method on the two squareness conditions, slopes by differences."""
    (a0, a1), (b0, b1) = window(a), window(b)

    def off(t: float, u: float) -> tuple[float, float]:
        d = b.point_at(u) - a.point_at(t)
        return d.dot(a.direction_at(t)), d.dot(b.direction_at(u))

    h = 1e-6
    for t, u in starts:
        yield join(a.point_at(t), b.point_at(u))
        for _ in range(25):
            f, g = off(t, u)
            ft, gt = off(t + h, u)
            fu, gu = off(t, u + h)
            j = ((ft - f) / h, (fu - f) / h, (gt - g) / h, (gu - g) / h)
            det = j[0] * j[3] - j[1] * j[2]
            if abs(det) < 1e-14:
                break
            t = min(max(t - (f * j[3] - g * j[1]) / det, a0), a1)
            u = min(max(u - (g * j[0] - f * j[2]) / det, b0), b1)
        yield join(a.point_at(t), b.point_at(u))
