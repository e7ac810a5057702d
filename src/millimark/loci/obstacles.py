"""Things that a rope cannot enter: polygons and discs, and whether a straight way is clear."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from millimark.errors import NoAnswerError
from millimark.loci.conditions import DiscOf, PolygonOf
from millimark.loci.figure import Figure
from millimark.loci.names import feature_name
from millimark.loci.places import circle, corners
from millimark.loci.sites import ring_test
from millimark.plane.curves import Arc, Curve, Segment
from millimark.plane.point import EPS, Point

GRAZE = 1e-8
"""A way that cuts into an obstacle by less than this (cm) runs along it."""


@dataclass(frozen=True)
class Block:
    """A polygon: its corners in order and whether a point is inside by parity."""

    ring: tuple[Point, ...]
    within: Callable[[float, float], bool]
    box: tuple[float, float, float, float]

    def sides(self) -> list[tuple[Point, Point]]:
        """The sides, corner to corner."""
        return list(zip(self.ring, (*self.ring[1:], self.ring[0]), strict=True))

    def depth(self, x: float, y: float) -> float:
        """Distance from the sides, negative outside."""
        near = min(_from_side(a, b, x, y) for a, b in self.sides())
        return near if self.within(x, y) else -near

    def bars(self, p: Point, q: Point) -> bool:
        """Whether the straight way from p to q passes through the inside."""
        x0, y0, x1, y1 = self.box
        if max(p.x, q.x) <= x0 or min(p.x, q.x) >= x1:
            return False
        if max(p.y, q.y) <= y0 or min(p.y, q.y) >= y1:
            return False
        stops = [0.0, 1.0]
        dx, dy = q.x - p.x, q.y - p.y
        for a, b in self.sides():
            ex, ey = b.x - a.x, b.y - a.y
            den = dx * ey - dy * ex
            fx, fy = a.x - p.x, a.y - p.y
            if abs(den) > 1e-12:
                t = (fx * ey - fy * ex) / den
                if 0.0 < t < 1.0:
                    stops.append(t)
            else:
                square = dx * dx + dy * dy
                for r in (a, b):
                    t = ((r.x - p.x) * dx + (r.y - p.y) * dy) / square if square else 0.0
                    if 0.0 < t < 1.0:
                        stops.append(t)
        stops.sort()
        for s, t in pairwise(stops):
            if t - s > 1e-9:
                m = (s + t) / 2
                if self.depth(p.x + m * dx, p.y + m * dy) > GRAZE:
                    return True
        return False


@dataclass(frozen=True)
class Disc:
    """A disc that ropes wind round."""

    centre: Point
    radius: float

    def depth(self, x: float, y: float) -> float:
        """Distance from the rim, negative outside."""
        return self.radius - math.hypot(x - self.centre.x, y - self.centre.y)

    def bars(self, p: Point, q: Point) -> bool:
        """Whether the straight way from p to q passes through the inside."""
        return _from_side(p, q, *self.centre) < self.radius - GRAZE


Obstacle = Block | Disc


def _from_side(a: Point, b: Point, x: float, y: float) -> float:
    """Distance of (x, y) from the segment ab."""
    dx, dy = b.x - a.x, b.y - a.y
    square = dx * dx + dy * dy
    t = ((x - a.x) * dx + (y - a.y) * dy) / square if square else 0.0
    t = min(max(t, 0.0), 1.0)
    return math.hypot(x - a.x - t * dx, y - a.y - t * dy)


def obstacles(figure: Figure, shapes: Sequence[PolygonOf | DiscOf]) -> list[Obstacle]:
    """The obstacles of a figure. Discs must keep clear of each other and of polygons (they may
    touch): NoAnswerError otherwise. Circles of radius 0 are no obstacle."""
    out: list[Obstacle] = []
    named: list[tuple[str, Obstacle]] = []
    for shape in shapes:
        if isinstance(shape, DiscOf):
            given = circle(figure, shape.name)
            if given.radius <= EPS:
                continue
            found: Obstacle = Disc(given.centre, given.radius)
        else:
            ring = tuple(corners(figure, shape.labels))
            xs, ys = [p.x for p in ring], [p.y for p in ring]
            found = Block(ring, ring_test(ring), (min(xs), min(ys), max(xs), max(ys)))
        out.append(found)
        named.append((feature_name(shape), found))
    for (name, one), (other, two) in combinations(named, 2):
        if _overlap(one, two):
            raise NoAnswerError(
                f"{name} and {other} overlap: a rope's way round both cannot be worked out.",
                "Place round obstacles clear of others.",
            )
    return out


def _overlap(one: Obstacle, two: Obstacle) -> bool:
    """Whether a disc overlaps another obstacle; polygons may overlap."""
    if isinstance(one, Block):
        one, two = two, one
    if isinstance(one, Block):
        return False
    return two.depth(*one.centre) > -one.radius + EPS


def walls(found: Sequence[Obstacle]) -> list[Curve]:
    """The obstacles' edges as curves."""
    out: list[Curve] = []
    for obstacle in found:
        if isinstance(obstacle, Disc):
            out.append(Arc(obstacle.centre, obstacle.radius))
        else:
            out.extend(Segment(a, b) for a, b in obstacle.sides() if a.distance(b) > EPS)
    return out


def clear(found: Sequence[Obstacle], p: Point, q: Point) -> bool:
    """Whether the straight way from p to q enters no obstacle; running along one is allowed."""
    return not any(o.bars(p, q) for o in found)


def deepest(found: Sequence[Obstacle], x: float, y: float) -> float:
    """How deep (x, y) lies in an obstacle; negative outside; -inf for no obstacles."""
    return max((o.depth(x, y) for o in found), default=-math.inf)
