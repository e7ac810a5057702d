"""Shortest ways from a point round obstacles: straight from corner to corner, winding on discs.

A way is known by where it last touches: the anchor, a polygon's corner, or the place on a disc's
rim where it landed, winding one way. ``RopeMap`` holds the shortest length to each of
these (Dijkstra 1959 on the visibility graph with its tangents).
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Sequence
from dataclasses import dataclass

from millimark.errors import NoAnswerError
from millimark.loci.obstacles import GRAZE, Block, Disc, Obstacle, clear, deepest
from millimark.plane.curves import Arc, Curve, Ray
from millimark.plane.parametric import InvoluteArc
from millimark.plane.point import EPS, Point

TURN = 2 * math.pi


@dataclass(frozen=True)
class Corner:
    """A point that a way bends at: the anchor or a polygon's corner."""

    at: Point


@dataclass(frozen=True)
class Landing:
    """Where a way touches disc number ``disc`` at ``angle``, to wind on by ``sense`` +1 or -1."""

    disc: int
    sense: float
    angle: float


Stop = Corner | Landing


class RopeMap:
    """Lengths of the shortest ways from an anchor. The anchor must not be inside an obstacle."""

    def __init__(self, anchor: Point, found: Sequence[Obstacle]) -> None:
        if deepest(found, anchor.x, anchor.y) > GRAZE:
            raise NoAnswerError(
                "The rope's fixed end is inside an obstacle.",
                "Fix it outside, at a corner or along a wall.",
            )
        self.found = found
        self.discs = [o for o in found if isinstance(o, Disc)]
        self.corners = [Corner(anchor)] + [
            Corner(p)
            for o in found
            if isinstance(o, Block)
            for p in o.ring
            if deepest(found, p.x, p.y) <= GRAZE
        ]
        self.reach: dict[Stop, float] = {}
        self.lines: list[Curve] = []
        self._explore(self.corners[0])

    def length_to(self, x: float, y: float) -> float:
        """Length of the shortest way to (x, y); inf inside an obstacle."""
        if deepest(self.found, x, y) > GRAZE:
            return math.inf
        p = Point(x, y)
        best = math.inf
        for stop, so_far in self.reach.items():
            if so_far >= best:
                continue
            if isinstance(stop, Corner):
                total = so_far + stop.at.distance(p)
                if total < best and clear(self.found, stop.at, p):
                    best = total
            else:
                total = self._unwound(stop, so_far, p, best)
                best = min(best, total)
        return best

    def _unwound(self, stop: Landing, so_far: float, p: Point, best: float) -> float:
        """Length by winding on from a landing and leaving the disc for p; inf if barred."""
        disc = self.discs[stop.disc]
        angle = departure(disc, stop.sense, p)
        if angle is None:
            return math.inf
        leave = disc.centre.polar(disc.radius, angle)
        turn = (stop.sense * (angle - stop.angle)) % TURN
        total = so_far + disc.radius * turn + leave.distance(p)
        return total if total < best and clear(self.found, leave, p) else math.inf

    def _explore(self, start: Corner) -> None:
        queue: list[tuple[float, int, Stop]] = [(0.0, 0, start)]
        count = 0
        while queue:
            so_far, _, stop = heapq.heappop(queue)
            if stop in self.reach:
                continue
            self.reach[stop] = so_far
            for onward, step in self._onward(stop):
                if onward not in self.reach:
                    count += 1
                    heapq.heappush(queue, (so_far + step, count, onward))

    def _onward(self, stop: Stop) -> list[tuple[Stop, float]]:
        """Stops that can be reached next, with the length of the way there."""
        out: list[tuple[Stop, float]] = []
        for corner in self.corners:
            if corner == stop:
                continue
            step = self._straight(stop, corner.at)
            if step is not None:
                out.append((corner, step))
        for i, disc in enumerate(self.discs):
            for sense in (1.0, -1.0):
                landed = self._landing(stop, i, disc, sense)
                if landed is not None:
                    out.append(landed)
        return out

    def _straight(self, stop: Stop, p: Point) -> float | None:
        if isinstance(stop, Corner):
            if stop.at.distance(p) <= EPS or not clear(self.found, stop.at, p):
                return None
            self._beyond(stop.at, p)
            return stop.at.distance(p)
        length = self._unwound(stop, 0.0, p, math.inf)
        if length == math.inf:
            return None
        disc = self.discs[stop.disc]
        angle = departure(disc, stop.sense, p)
        if angle is not None:
            self._beyond(disc.centre.polar(disc.radius, angle), p)
        return length

    def _landing(self, stop: Stop, i: int, disc: Disc, sense: float) -> tuple[Stop, float] | None:
        """The way from a stop to disc ``i``, to wind on it by ``sense``."""
        if isinstance(stop, Corner):
            angle = departure(disc, -sense, stop.at)
            if angle is None:
                return None
            at = disc.centre.polar(disc.radius, angle)
            if not clear(self.found, stop.at, at):
                return None
            self._beyond(stop.at, at)
            return Landing(i, sense, angle), stop.at.distance(at)
        if stop.disc == i:
            return None
        return self._between_discs(stop, i, disc, sense)

    def _between_discs(
        self, stop: Landing, i: int, disc: Disc, sense: float
    ) -> tuple[Stop, float] | None:
        first = self.discs[stop.disc]
        across = disc.centre - first.centre
        opening = (first.radius - stop.sense * sense * disc.radius) / across.norm()
        if abs(opening) > 1.0:
            return None
        leave_at = across.angle() - stop.sense * math.acos(opening)
        land_at = leave_at if stop.sense == sense else leave_at + math.pi
        leave = first.centre.polar(first.radius, leave_at)
        land = disc.centre.polar(disc.radius, land_at)
        if not clear(self.found, leave, land):
            return None
        self._beyond(leave, land)
        turn = (stop.sense * (leave_at - stop.angle)) % TURN
        return Landing(i, sense, land_at % TURN), first.radius * turn + leave.distance(land)

    def _beyond(self, p: Point, q: Point) -> None:
        """Remembers the straight way on from q: where the last touch changes."""
        if p.distance(q) > EPS:
            self.lines.append(Ray(q, (q - p).unit()))

    def fronts(self, length: float) -> list[Curve]:
        """Every curve that the end of a taut rope of ``length`` can run along."""
        out: list[Curve] = []
        for stop, so_far in self.reach.items():
            free = length - so_far
            if free <= EPS:
                continue
            if isinstance(stop, Corner):
                out.append(Arc(stop.at, free))
            else:
                disc = self.discs[stop.disc]
                most = min(free / disc.radius, TURN)
                out.append(
                    InvoluteArc(disc.centre, disc.radius, stop.angle, free, 0.0, most, stop.sense)
                )
        return out


def departure(disc: Disc, sense: float, p: Point) -> float | None:
    """Angle on the rim where a rope that winds by ``sense`` leaves straight for p; None if p is
    inside. For a landing from p, ask with the other sense."""
    out = p - disc.centre
    d = out.norm()
    if d < disc.radius - GRAZE:
        return None
    return out.angle() - sense * math.acos(min(disc.radius / d, 1.0))
