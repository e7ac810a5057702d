"""Loci of equal distances: which construction draws which piece."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from millimark.errors import PlanError
from millimark.loci.conditions import Feature, LineOf, PointOf, RayOf, SegmentOf
from millimark.plane.curves import Curve, Segment
from millimark.plane.point import Point
from millimark.working.acts import Ink, PrintedLine
from millimark.working.angle_bisectors import Arm, angle_bisector
from millimark.working.bench import Bench
from millimark.working.bisectors import perpendicular_bisector
from millimark.working.distances import OVERRUN
from millimark.working.drawn import Drawn, Span
from millimark.working.meeting import crossings
from millimark.working.perpendiculars import ENOUGH, line_past, perpendicular_at
from millimark.working.printed import printed_from, printed_reach
from millimark.working.sameness import SAME, label_at
from millimark.working.wording import cm

Straight = SegmentOf | RayOf | LineOf
STRAIGHT_KINDS = ("segment", "ray", "line")


def equidistant(
    bench: Bench, features: Sequence[Feature], needed: Sequence[Curve]
) -> tuple[Drawn, ...]:
    """Draw the pieces of a locus of points equally far from two features."""
    one, two = features
    if isinstance(one, PointOf) and isinstance(two, PointOf):
        return (_of_points(bench, one.label, two.label, needed),)
    pieces = [c for c in needed if c.kind in STRAIGHT_KINDS]
    if isinstance(one, Straight) and isinstance(two, Straight) and pieces:
        return _of_straights(bench, one, two, pieces)
    raise PlanError(
        "Part of this locus is a curve that ruler and compasses cannot draw in one stroke.",
        "Ask for points the same distance from two points or from two straight lines.",
    )


def _of_points(bench: Bench, a: str, b: str, needed: Sequence[Curve]) -> Drawn:
    pa, pb = bench.points[a], bench.points[b]
    middle, up = (pa + pb) * 0.5, (pb - pa).unit().left()
    return perpendicular_bisector(bench, a, b, span_along(middle, up, needed))


def span_along(anchor: Point, direction: Point, needed: Sequence[Curve]) -> Span | None:
    """None where a needed piece is unbounded; else from where to where along the line the
    needed pieces reach, with a little more at each end."""
    if not all(c.bounded for c in needed):
        return None
    places = [(p - anchor).dot(direction) for c in needed for p in (c.start, c.end)]
    return (min(places) - OVERRUN, max(places) + OVERRUN)


def _of_straights(
    bench: Bench, one: Straight, two: Straight, pieces: Sequence[Curve]
) -> tuple[Drawn, ...]:
    f, g = (Segment(bench.points[s.a], bench.points[s.b]) for s in (one, two))
    meet = crossings(f, g)
    if not meet:
        return (_midway(bench, one, two, pieces),)
    vertex = _vertex(bench, one, two, meet[0])
    drawn = []
    for direction, group in _by_direction(meet[0], pieces):
        arms = tuple(
            _arm(bench, vertex, feature, line.direction, direction)
            for feature, line in ((one, f), (two, g))
        )
        span = span_along(meet[0], direction, group)
        if span is None and any(c.kind == "line" for c in group):
            span = (-3.0, 6.0)
        elif span is None:
            span = _ray_span(bench, meet[0], direction, group)
        labels = (vertex, arms[0].label, arms[1].label)
        one_line = angle_bisector(bench, vertex, (arms[0], arms[1]), span, labels=labels)
        if any(c.kind == "line" for c in group):
            either = tuple(replace(e, opposite=True) for e in one_line.evidence)
            one_line = replace(one_line, evidence=either)
        drawn.append(one_line)
    return tuple(drawn)


def _ray_span(bench: Bench, vertex: Point, direction: Point, group: Sequence[Curve]) -> Span | None:
    starts = [
        (p - vertex).dot(direction)
        for c in group
        for p in ((c.start, c.end) if c.bounded else (c.point_at(0.0),))
    ]
    return None if max(starts) < SAME else (0.0, max(starts) + 6.0)


def _vertex(bench: Bench, one: Straight, two: Straight, at: Point) -> str:
    name = label_at(bench.points, at)
    if name is not None:
        return name
    if not bench.room.holds(at):
        raise PlanError(
            f"The lines {one.a}{one.b} and {two.a}{two.b} meet off the paper, "
            f"{cm(bench.room.centre.distance(at))} from the middle of the room.",
            "Turn the lines so that they meet on the paper.",
        )
    inks = [_line_ink(bench, feature, at) for feature in (one, two)]
    return bench.cross(inks[0], inks[1], at, "Call the crossing of the lines ?.", shown=True)


def _line_ink(bench: Bench, feature: Straight, at: Point) -> Ink:
    """The printed line of a feature, run on to ``at`` where the print stops short."""
    a, b = feature.a, feature.b
    t = (at - bench.points[a]).dot((bench.points[b] - bench.points[a]).unit())
    d = bench.points[a].distance(bench.points[b])
    if printed_reach(bench.figure, at, bench.points[a if t > d / 2 else b]) > 0.0:
        return PrintedLine(a, b)
    if t < -SAME:
        return line_past(bench, a, b, -t + 0.5)
    if t > d + SAME:
        return line_past(bench, b, a, t - d + 0.5)
    return PrintedLine(a, b)


def _by_direction(vertex: Point, pieces: Sequence[Curve]) -> list[tuple[Point, list[Curve]]]:
    """The pieces grouped by the line through the vertex on which they lie, each with the
    direction in which most of it runs."""
    groups: list[tuple[Point, list[Curve]]] = []
    for piece in pieces:
        direction = _direction_from(vertex, piece)
        for known, members in groups:
            if abs(known.cross(direction)) < 1e-7:
                members.append(piece)
                break
        else:
            groups.append((direction, [piece]))
    return groups


def _direction_from(vertex: Point, piece: Curve) -> Point:
    if piece.bounded:
        return (max((piece.start, piece.end), key=vertex.distance) - vertex).unit()
    return piece.direction_at(0.0)


def _arm(bench: Bench, vertex: str, feature: Straight, along: Point, towards: Point) -> Arm:
    """The half of a line that makes an acute angle with the bisector ``towards``."""
    at = bench.points[vertex]
    direction = along if along.dot(towards) >= 0 else -along
    ahead = [(label, (bench.points[label] - at).dot(direction)) for label in (feature.a, feature.b)]
    label = max(ahead, key=lambda pair: pair[1])[0]
    other = feature.a if label == feature.b else feature.b
    most = bench.space(vertex, direction)
    reach, printed = printed_from(bench.figure, at, direction)
    if printed is not None and reach >= ENOUGH:
        return Arm(direction, min(most, reach), printed, label)
    return _extended_arm(bench, at, direction, (other, label), most)


def _extended_arm(
    bench: Bench, at: Point, direction: Point, ends: tuple[str, str], most: float
) -> Arm:
    """An arm of which too little is printed: rule it on, up to 6 cm from the vertex."""
    back, front = ends
    start = bench.points[back]
    if (bench.points[front] - start).dot(direction) < 0:
        back, front, start = front, back, bench.points[front]
    t0 = (at - start).dot(direction)
    reach = min(most, 6.0)
    ink = bench.rule(
        back, front, min(t0, 0.0), t0 + reach, "construction",
        f"Lay the ruler along {back}{front} and run the line on.",
    )  # fmt: skip
    return Arm(direction, reach, ink, front)


def _midway(bench: Bench, one: Straight, two: Straight, pieces: Sequence[Curve]) -> Drawn:
    """Midway between parallels: a perpendicular across, and its perpendicular bisector.

    It leaves no evidence to look for: a pupil may cross over wherever it is handy.
    """
    a, b = one.a, one.b
    pa, pb = bench.points[a], bench.points[b]
    ahead = (pb - pa).unit()
    gap = ahead.cross(bench.points[two.a] - pa)
    side = 1 if gap > 0 else -1
    across = perpendicular_at(bench, a, b, abs(gap) + 0.3, (side,))
    foot = pa + ahead.left() * gap
    far = bench.cross(
        across, _line_ink(bench, two, foot), foot, "Call the foot of the perpendicular ?.", True
    )
    middle, up = (pa + foot) * 0.5, (foot - pa).unit().left()
    drawn = perpendicular_bisector(bench, a, far, span_along(middle, up, pieces))
    why = (
        "The perpendicular bisector of the shortest way across is parallel to both lines and "
        "halfway between them."
    )
    return Drawn(drawn.ink, "perpendicular bisector of a perpendicular across", (), why)
