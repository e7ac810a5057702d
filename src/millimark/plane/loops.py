"""Directed boundary pieces chained to loops, and what loops enclose."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from millimark.plane.crossings import crossings
from millimark.plane.curves import Arc, Curve
from millimark.plane.pieces import JOINT, MERGE
from millimark.plane.point import ORIGIN, Point


def area(loop: Sequence[Curve]) -> float:
    """Signed area (cm²) of a closed loop: positive if anticlockwise. 0.0 for no curves.

    Ends that only nearly meet are joined straight, so that the area does not depend on how
    far off the origin lies.
    """
    total = 0.0
    before = loop[-1].end if loop else ORIGIN
    for c in loop:
        at = c.start
        total += c.green() + (before.x * (at.y - before.y) - (at.x - before.x) * before.y) / 2
        before = c.end
    return total


def perimeter(loop: Sequence[Curve]) -> float:
    """Total length (cm) of the curves; 0.0 for none."""
    return math.fsum(c.length for c in loop)


@dataclass(frozen=True)
class Chained:
    """Loops with the area on their left, as indices of the curves; ``closed`` says of each whether
    it closes without going to infinity, ``areas`` what it encloses (inf if it does not).
    ``outer`` counts loops that are the outer edge of a part.
    """

    loops: tuple[tuple[int, ...], ...]
    closed: tuple[bool, ...]
    areas: tuple[float, ...]
    outer: int


@dataclass(slots=True)
class _Edge:
    curve: Curve
    tail: int
    head: int


def chained(curves: Sequence[Curve]) -> Chained:
    """Chains directed boundary curves (area on their left) into loops.

    No curves: no loops. At a point where several loops touch, each keeps its own area on its
    left. Ends at infinity are joined along a circle round everything. Loops start
    where their first curve stands in ``curves``. Curves that cannot be chained (nothing
    leaves where they end) are dropped: they bound slivers under the working precision.
    """
    edges, far = _edges(curves)
    leaving: dict[int, list[int]] = {}
    for i, e in enumerate(edges):
        leaving.setdefault(e.tail, []).append(i)
    used = [e.tail == e.head >= 0 and e.curve.length < 10 * MERGE for e in edges]
    loops: list[tuple[int, ...]] = []
    closed: list[bool] = []
    areas: list[float] = []
    outer = 0
    for i in range(len(edges)):
        if used[i]:
            continue
        chain = _walk(i, edges, leaving, used, far)
        if chain is None:
            continue
        finite = all(edges[k].head >= 0 for k in chain)
        loops.append(tuple(chain))
        closed.append(finite)
        areas.append(area([curves[k] for k in chain]) if finite else math.inf)
        outer += areas[-1] > 0
    return Chained(tuple(loops), tuple(closed), tuple(areas), outer)


def _walk(
    first: int,
    edges: list[_Edge],
    leaving: dict[int, list[int]],
    used: list[bool],
    far: dict[int, int],
) -> list[int] | None:
    """Edge numbers of the loop that starts with ``first``; None if it does not close."""
    chain = [first]
    used[first] = True
    at = first
    while True:
        head = far.get(edges[at].head, edges[at].head)
        if head == edges[first].tail and _next(at, head, edges, leaving, used, first) == first:
            return chain
        following = _next(at, head, edges, leaving, used, first)
        if following is None or following == first:
            return chain if following == first else None
        used[following] = True
        chain.append(following)
        at = following


def _next(
    at: int,
    vertex: int,
    edges: list[_Edge],
    leaving: dict[int, list[int]],
    used: list[bool],
    first: int,
) -> int | None:
    """The edge that leaves ``vertex`` with the least area between it and edge ``at``."""
    free = [i for i in leaving.get(vertex, ()) if not used[i] or i == first]
    if len(free) <= 1:
        return free[0] if free else None
    came = edges[at].curve
    back = -came.direction_at(came.t1)
    bend_in = -came.curvature_at(came.t1)

    def turn(i: int) -> tuple[float, float]:
        c = edges[i].curve
        out = c.direction_at(c.t0)
        clockwise = -math.atan2(back.cross(out), back.dot(out)) % (2 * math.pi)
        if clockwise > 2 * math.pi - 1e-7 or clockwise < 1e-7:
            # Tangent to where we came from: inside or outside it, by curvature.
            clockwise = 0.0 if c.curvature_at(c.t0) < bend_in else 2 * math.pi
        return (round(clockwise, 7), c.curvature_at(c.t0))

    return min(free, key=turn)


def _edges(curves: Sequence[Curve]) -> tuple[list[_Edge], dict[int, int]]:
    """Edges between numbered vertices; negative numbers are ends at infinity, and the map says
    which end the area's edge comes back at after each."""
    places: list[Point] = []

    def vertex(p: Point) -> int:
        for i, q in enumerate(places):
            if abs(p.x - q.x) <= JOINT and abs(p.y - q.y) <= JOINT:
                return i
        places.append(p)
        return len(places) - 1

    out: list[_Edge] = []
    ends: list[tuple[float, int, bool]] = []
    reach = 0.0 if all(c.bounded for c in curves) else _reach(curves)
    for c in curves:
        tail = head = 0
        if math.isfinite(c.t0):
            tail = vertex(c.start)
        else:
            tail = -1 - len(ends)
            ends.append((_far_angle(c, reach, False), tail, False))
        if math.isfinite(c.t1):
            head = vertex(c.end)
        else:
            head = -1 - len(ends)
            ends.append((_far_angle(c, reach, True), head, True))
        out.append(_Edge(c, tail, head))
    return out, _joined_far(ends)


def _joined_far(ends: list[tuple[float, int, bool]]) -> dict[int, int]:
    """For each end that goes out to infinity the end that comes back next, anticlockwise."""
    ends.sort()
    n = len(ends)
    out: dict[int, int] = {}
    for i, (_, name, outgoing) in enumerate(ends):
        if outgoing:
            for k in range(1, n + 1):
                _, other, leaves = ends[(i + k) % n]
                if not leaves:
                    out[name] = other
                    break
    return out


def _reach(curves: Sequence[Curve]) -> float:
    """Radius of a circle about the origin beyond every finite end and anchor."""
    far = 1.0
    for c in curves:
        for t in (c.t0, c.t1):
            if math.isfinite(t):
                far = max(far, c.point_at(t).norm())
        far = max(far, c.distance_to(ORIGIN))
    return 100.0 * far


def _far_angle(c: Curve, reach: float, out: bool) -> float:
    """Direction from the origin where the curve leaves the circle of radius ``reach``."""
    met = crossings(c, Arc(ORIGIN, reach))
    if not met:
        # It runs along the circle's edge or starts beyond: its heading will do.
        heading = c.direction_at(c.t1 if out else c.t0)
        return heading.angle() if out else (-heading).angle()
    p = met[-1] if out else met[0]
    return p.angle()
