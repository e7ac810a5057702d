"""The path of a point of a polygon that rolls along a line or round a convex polygon.

The shape lies with one side flush on the track. It tips about the foremost point of contact:
its own corner, until its next side is flush; or the track's corner, until it is flush with the
next side of the track; or both where they coincide. Each tip moves a point of the shape along an
arc about that pivot.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from millimark.errors import NoAnswerError
from millimark.loci.conditions import PolygonOf, RollingShape
from millimark.loci.figure import Figure
from millimark.loci.offsets import Traces
from millimark.loci.places import corners, place
from millimark.plane.curves import Arc
from millimark.plane.pieces import MERGE
from millimark.plane.point import EPS, Point
from millimark.plane.similarity import Similarity

MOST_TIPS = 10_000
"""A shape that has not come round after so many tips never will in a drawing."""


@dataclass
class _Pose:
    """Where the shape is: its hull (in rolling order: ``low`` is the rear corner of the side on
    the ground) and the traced point."""

    hull: list[Point]
    low: int
    traced: Point

    def turned(self, pivot: Point, angle: float) -> None:
        turn = Similarity(turn=angle)
        map_ = Similarity(pivot - turn(pivot), 1.0, angle)
        self.hull = [map_(p) for p in self.hull]
        self.traced = map_(self.traced)


def rolling_path(figure: Figure, locus: RollingShape) -> Traces:
    """Arcs in order of time; a tip about the traced point itself leaves none.

    NoAnswerError if no side of the shape lies on the track, or the track is not convex.
    """
    ring = corners(figure, locus.shape.labels)
    hull = convex_hull(ring)
    if len(hull) < 3:
        raise NoAnswerError(f"{''.join(locus.shape.labels)} is flat: it cannot roll.")
    n = len(ring)
    centre = Point(sum(p.x for p in ring) / n, sum(p.y for p in ring) / n)
    traced = place(figure, locus.traced.label) if locus.traced else centre
    track = _track(figure, locus)
    side, pose = _laid(locus, track, hull, traced)
    arcs: list[Arc] = []
    closed = isinstance(locus.along, PolygonOf)
    tips = locus.rolls if locus.rolls is not None else (MOST_TIPS if closed else len(hull))
    passed = 0
    for _ in range(max(tips, 0)):
        side, step = _tip(track, side, pose, closed, arcs)
        passed += step
        if locus.rolls is None and closed and passed >= len(track):
            break
    return Traces(tuple(arcs))


def convex_hull(points: list[Point]) -> list[Point]:
    """Corners of the convex hull, anticlockwise, no three in a line (Andrew 1979)."""
    ordered = sorted(set(points))
    half: list[list[Point]] = []
    for run in (ordered, ordered[::-1]):
        chain: list[Point] = []
        for p in run:
            while len(chain) > 1 and (chain[-1] - chain[-2]).cross(p - chain[-2]) <= EPS:
                chain.pop()
            chain.append(p)
        half.append(chain[:-1])
    return half[0] + half[1]


def _track(figure: Figure, locus: RollingShape) -> list[tuple[Point, Point]]:
    """The track's sides in rolling order, outside on the left."""
    along = locus.along
    if not isinstance(along, PolygonOf):
        a, b = place(figure, along.a), place(figure, along.b)
        if a.distance(b) <= EPS:
            raise NoAnswerError(f"{along.a} and {along.b} are one point: nothing rolls along it.")
        return [(a, b)]
    ring = corners(figure, along.labels)
    hull = convex_hull(ring)
    if len(hull) != len(ring):
        raise NoAnswerError(
            f"{''.join(along.labels)} is not convex: a shape rolls round convex polygons only."
        )
    return list(zip(ring, [*ring[1:], ring[0]], strict=True))


def _laid(
    locus: RollingShape, track: list[tuple[Point, Point]], hull: list[Point], traced: Point
) -> tuple[int, _Pose]:
    """The side of the track that a side of the shape lies flush on, and the pose there."""
    for i, (a, b) in enumerate(track):
        along = (b - a).unit()
        for k, p in enumerate(hull):
            q = hull[(k + 1) % len(hull)]
            if abs(along.cross(p - a)) > MERGE or abs(along.cross(q - a)) > MERGE:
                continue
            closed = isinstance(locus.along, PolygonOf)
            lo, hi = sorted(((p - a).dot(along), (q - a).dot(along)))
            if closed and (hi <= MERGE or lo >= a.distance(b) - MERGE):
                continue
            # The hull is anticlockwise; rolling order puts the rear corner of the ground side
            # first and the front corner next.
            if (q - p).dot(along) > 0:
                return i, _Pose(hull, k, traced)
            ring = hull[::-1]
            return i, _Pose(ring, (len(hull) - 2 - k) % len(hull), traced)
    raise NoAnswerError(
        f"No side of {''.join(locus.shape.labels)} lies on what it should roll along.",
        "Place the shape with one side on the line or on a side of the polygon.",
    )


def _tip(
    track: list[tuple[Point, Point]], side: int, pose: _Pose, closed: bool, arcs: list[Arc]
) -> tuple[int, int]:
    """Tips once; returns the track's side afterwards and how many corners were passed."""
    a, b = track[side]
    along = (b - a).unit()
    n = len(pose.hull)
    front = pose.hull[(pose.low + 1) % n]
    beyond = (front - b).dot(along)
    pivot, angle, passed = front, 0.0, 0
    if not closed or beyond <= MERGE:
        rear, ahead = pose.hull[pose.low], pose.hull[(pose.low + 2) % n]
        one, two = front - rear, ahead - front
        angle += abs(math.atan2(one.cross(two), one.dot(two)))
        pose.low = (pose.low + 1) % n
    if closed and beyond >= -MERGE:
        pivot, passed = (front if beyond <= MERGE else b), 1
        c, d = track[(side + 1) % len(track)]
        angle += abs(math.atan2(along.cross(d - c), along.dot(d - c)))
    turn = -angle if _above(along, a, pose) else angle
    radius = pivot.distance(pose.traced)
    if radius > MERGE:
        arcs.append(Arc(pivot, radius, (pose.traced - pivot).angle(), turn))
    pose.turned(pivot, turn)
    return (side + passed) % len(track), passed


def _above(along: Point, a: Point, pose: _Pose) -> bool:
    """Whether the shape lies on the left of the track: it then tips clockwise."""
    n = len(pose.hull)
    middle = Point(sum(p.x for p in pose.hull) / n, sum(p.y for p in pose.hull) / n)
    return along.cross(middle - a) > 0
