"""Loci at a distance: circles, and what goes round segments, lines and polygons.

Every piece of such a locus is an arc about a labelled point or lies along a line at the
distance from a printed line; each piece is drawn as it is.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from millimark.errors import PlanError
from millimark.loci.conditions import (
    AtDistance,
    CircleOf,
    Feature,
    LineOf,
    PointOf,
    PolygonOf,
    PolylineOf,
    RayOf,
    SegmentOf,
    SidesOf,
)
from millimark.plane.curves import Arc, Curve, Ray, Segment
from millimark.plane.curves import Line as WholeLine
from millimark.plane.point import Point
from millimark.working.bench import Bench
from millimark.working.perpendiculars import perpendicular_at
from millimark.working.sameness import SAME, label_at
from millimark.working.wording import cm

OVERRUN = 0.5
"""cm that a drawn piece runs past the part that a region needs, so that crossings show."""


def sides_of(feature: Feature) -> tuple[tuple[str, str], ...]:
    """The pairs of labels whose lines bound a feature; none for a point or circle."""
    if isinstance(feature, SegmentOf | RayOf | LineOf):
        return ((feature.a, feature.b),)
    if isinstance(feature, PolylineOf):
        return tuple(pairwise(feature.labels))
    if isinstance(feature, PolygonOf | SidesOf):
        labels = feature.labels
        return tuple(zip(labels, (*labels[1:], labels[0]), strict=True))
    return ()


def at_distance(
    bench: Bench, locus: AtDistance, needed: Sequence[Curve], whole: Sequence[Curve]
) -> str:
    """Draw the ``needed`` pieces of a locus at a distance; what the method is called."""
    arcs = [c for c in needed if isinstance(c, Arc)]
    straights = [c for c in needed if not isinstance(c, Arc)]
    _draw_arcs(bench, locus, arcs, [c for c in whole if isinstance(c, Arc)])
    homes = [_home_side(bench, locus, piece) for piece in straights]
    for piece, (a, b, hand) in zip(straights, homes, strict=True):
        twin = (a, b, -hand) in homes
        _draw_parallel(bench, locus.length, piece, (a, b), hand, twin)
    if not straights:
        return "circle by compasses" if any(a.is_whole for a in arcs) else "arc by compasses"
    return "parallels by perpendiculars" + (" and arcs by compasses" if arcs else "")


def _draw_arcs(bench: Bench, locus: AtDistance, arcs: Sequence[Arc], whole: Sequence[Arc]) -> None:
    order = list(bench.figure.points)
    for centre, arc in sorted(
        ((_centre_label(bench, locus.feature, arc), arc) for arc in arcs),
        key=lambda pair: order.index(pair[0]) if pair[0] in order else len(order),
    ):
        length = cm(arc.radius)
        bench.open_to(arc.radius, f"Open the compasses to {length}.")
        drawn = _overrun(bench, arc, whole)
        what = "circle" if drawn.is_whole else "arc"
        bench.strike(
            centre,
            drawn.from_,
            drawn.sweep,
            "answer",
            f"With the needle on {centre}, draw the {what} of radius {length}.",
        )


def _centre_label(bench: Bench, feature: Feature, arc: Arc) -> str:
    if isinstance(feature, PointOf):
        return feature.label
    name = label_at(bench.points, arc.centre)
    if name is None:
        what = feature.name if isinstance(feature, CircleOf) else "the arc"
        raise PlanError(
            f"The centre of {what} has no letter, so that no needle can be set on it.",
            "Name the centre in the question.",
        )
    return name


def _overrun(bench: Bench, arc: Arc, whole: Sequence[Arc]) -> Arc:
    """``arc`` made a little longer at each end where the locus and the room go on."""
    if arc.is_whole:
        return arc
    home = next(
        (
            w
            for w in whole
            if w.centre.distance(arc.centre) < SAME
            and w.distance_to(arc.point_at(arc.t1 / 2)) < SAME
        ),
        arc,
    )
    more = OVERRUN / arc.radius
    before = more if _goes_on(home, arc.angle_at(-more), arc) else 0.0
    after = more if _goes_on(home, arc.angle_at(arc.t1 + more), arc) else 0.0
    sweep = abs(arc.sweep) + before + after
    if sweep >= 2 * math.pi:
        return home if home.is_whole else arc
    longer = Arc(arc.centre, arc.radius, arc.angle_at(-before), arc.sense * sweep)
    return longer if bench.fits(longer) else arc


def _goes_on(home: Arc, angle: float, arc: Arc) -> bool:
    return home.distance_to(arc.centre.polar(arc.radius, angle)) < SAME


# --- straight pieces ------------------------------------------------------------------------
def _draw_parallel(
    bench: Bench, d: float, piece: Curve, side: tuple[str, str], hand: int, twin: bool
) -> None:
    """Rule one straight piece: perpendiculars at both ends of its side, the distance
    marked on them by the compasses, and the line through the two marks. ``twin``: its
    fellow on the other side of the line is drawn too, from the same perpendiculars."""
    a, b = side
    marks = [_offset_mark(bench, side, end, hand, d, twin) for end in side]
    start, ahead = bench.points[marks[0]], (bench.points[b] - bench.points[a]).unit()
    low, high = _ruled_span(bench, piece, start, ahead, bench.points[a].distance(bench.points[b]))
    bench.rule(
        marks[0],
        marks[1],
        low,
        high,
        "answer",
        f"Rule the line {cm(d)} {beside(ahead.left() * hand)} {a}{b} through the two marks.",
    )


def beside(normal: Point) -> str:
    """Which way a unit vector points, in a word, as the page lies before the pupil."""
    if abs(normal.y) >= abs(normal.x):
        return "above" if normal.y > 0 else "below"
    return "to the right of" if normal.x > 0 else "to the left of"


def _home_side(bench: Bench, locus: AtDistance, piece: Curve) -> tuple[str, str, int]:
    """The side that ``piece`` runs along at the distance, and on which side of it (+1 left)."""
    at, along = piece.point_at(_some_parameter(piece)), piece.direction_at(0.0)
    for a, b in sides_of(locus.feature):
        ahead = (bench.points[b] - bench.points[a]).unit()
        off = ahead.cross(at - bench.points[a])
        if abs(ahead.cross(along)) < 1e-7 and abs(abs(off) - locus.length) < 1e-6:
            return a, b, 1 if off > 0 else -1
    raise PlanError(
        f"A piece of the locus {cm(locus.length)} away is neither an arc nor parallel to a side.",
        "Ask for a locus round points, segments or polygons.",
    )


def _some_parameter(piece: Curve) -> float:
    if isinstance(piece, WholeLine | Ray):
        return 0.0
    return (piece.t0 + piece.t1) / 2


def _offset_mark(
    bench: Bench, side: tuple[str, str], end: str, hand: int, d: float, twin: bool
) -> str:
    a, b = side
    other, turned = (b, hand) if end == a else (a, -hand)
    up = (bench.points[b] - bench.points[a]).unit().left() * hand
    past = 0.3 if bench.room.holds(bench.points[end] + up * (d + 0.3)) else 0.0
    sides = (turned, -turned) if twin else (turned,)
    line = perpendicular_at(bench, end, other, d + past, sides)
    place = bench.points[end] + up * d
    existing = _arc_through(bench, end, place, d)
    if existing is None:
        bench.open_to(d, f"Open the compasses to {cm(d)}.")
        caption = f"With the needle on {end}, mark {cm(d)} on the perpendicular."
        existing = bench.strike_at(end, place, caption, 0.4)
    return bench.cross(line, existing, place)


def _arc_through(bench: Bench, centre: str, place: Point, d: float) -> str | None:
    for name, ink in bench.inks.items():
        if (
            isinstance(ink, Arc)
            and ink.centre.distance(bench.points[centre]) < SAME
            and abs(ink.radius - d) < SAME
            and ink.distance_to(place) < SAME
        ):
            return name
    return None


def _ruled_span(
    bench: Bench, piece: Curve, start: Point, ahead: Point, side: float
) -> tuple[float, float]:
    """From where to where (cm from the first mark) the piece is ruled."""
    limits = bench.room.along(start, ahead) or (0.0, side)
    if isinstance(piece, Segment):
        low, high = sorted((p - start).dot(ahead) for p in (piece.a, piece.b))
        return low, high
    if isinstance(piece, Ray):
        corner = (piece.anchor - start).dot(ahead)
        if piece.direction.dot(ahead) > 0:
            return corner, min(limits[1], max(side, corner + 6.0))
        return max(limits[0], min(0.0, corner - 6.0)), corner
    return max(limits[0], -1.5), min(limits[1], side + 1.5)
