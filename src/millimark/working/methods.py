"""Which construction draws which locus.

What ruler and compasses draw in one stroke is constructed; other curves (an ellipse, a
parabola, a cycloid) are plotted by points and joined freehand, and ``plan`` says so.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from millimark.loci.answer import Element
from millimark.loci.conditions import (
    AngleAt,
    AtDistance,
    Circumcircle,
    Equidistant,
    Feature,
    FootOfPerpendicular,
    Incircle,
    OnBearing,
    Parallel,
    Perpendicular,
    PointOf,
    RayOf,
    SegmentOf,
    Subtends,
    SumOfDistances,
    Tangents,
    WheelCentre,
)
from millimark.loci.conditions import LineOf as Line
from millimark.loci.figures_on import FigureOn
from millimark.plane.curves import Arc, Curve
from millimark.plane.point import Point, midpoint
from millimark.working import showing_arcs
from millimark.working.acts import PrintedCircle
from millimark.working.bench import Bench
from millimark.working.bisectors import midpoint_of, perpendicular_bisector
from millimark.working.circles import WHY, circumcircle, incircle, tangent_at, tangents_to
from millimark.working.distances import OVERRUN, at_distance, sides_of
from millimark.working.drawn import Drawn
from millimark.working.equidistant import equidistant
from millimark.working.figures_on import angle_at, figure_on
from millimark.working.lengths import ends_of
from millimark.working.parallels import WHY_PARALLEL, parallel_through
from millimark.working.perpendiculars import (
    WHY_AT,
    WHY_FROM,
    line_past,
    perpendicular_from,
    perpendicular_shown,
)
from millimark.working.plotting import FREEHAND, clipped, plot_ellipse, plot_parabola
from millimark.working.sameness import SAME, label_at
from millimark.working.wording import cm


def draw(bench: Bench, element: Element, needed: Sequence[Curve]) -> tuple[Drawn, ...]:
    """Draw the ``needed`` part of an element; what was drawn, at least one."""
    locus = element.locus
    if isinstance(locus, AtDistance):
        return (_at_distance(bench, locus, element, needed),)
    if isinstance(locus, WheelCentre):
        # The centre of a rolling wheel stays a radius away from what it rolls on.
        as_far = AtDistance(locus.along, locus.radius)
        return (_at_distance(bench, as_far, element, needed),)
    if isinstance(locus, Equidistant):
        return _equidistant(bench, locus, needed)
    special = _by_construction(bench, element, needed)
    return (special,) if special else (_pieces(bench, element, needed),)


def _at_distance(
    bench: Bench, locus: AtDistance, element: Element, needed: Sequence[Curve]
) -> Drawn:
    one_point = isinstance(locus.feature, PointOf)
    if one_point or sides_of(locus.feature):
        method = at_distance(bench, locus, needed, element.curves)
        return Drawn("", method, (), _why_distance(one_point))
    return _pieces(bench, element, needed)


def _why_distance(one_point: bool) -> str:
    if one_point:
        return "Every point of the circle is as far from its centre as the compasses are open."
    return (
        "Beside a straight line the shortest way to it is perpendicular, so the points at the "
        "distance make parallels; beyond its end the shortest way is to the end, so they make arcs."
    )


def _equidistant(bench: Bench, locus: Equidistant, needed: Sequence[Curve]) -> tuple[Drawn, ...]:
    straight = [c for c in needed if c.kind in ("segment", "ray", "line")]
    curved = [c for c in needed if c not in straight]
    out: list[Drawn] = []
    features = locus.features[:2]
    points = all(isinstance(f, PointOf) for f in features)
    lines = all(isinstance(f, SegmentOf | RayOf | Line) for f in features)
    if straight and (points or lines):
        out.extend(equidistant(bench, features, straight))
    elif straight:
        curved = list(needed)
    parabola = _parabola(bench, features, curved)
    if parabola is not None:
        return (*out, parabola)
    for curve in curved:
        _trace(bench, curve)
    if curved:
        out.append(Drawn("", FREEHAND, (), "Each plotted point is equally far from both."))
    return tuple(out)


def _parabola(bench: Bench, features: Sequence[Feature], curved: Sequence[Curve]) -> Drawn | None:
    """The plot of a curve as far from a point as from a line; None for other curves, and
    where there is no room for the plot."""
    points = [f for f in features if isinstance(f, PointOf)]
    lines = [f for f in features if isinstance(f, SegmentOf | RayOf | Line)]
    if not curved or len(points) != 1 or len(lines) != 1:
        return None
    line = (lines[0].a, lines[0].b)
    return bench.attempt(lambda: plot_parabola(bench, points[0].label, line, curved))


# --- loci with a construction of their own -----------------------------------------------------
def _by_construction(bench: Bench, element: Element, needed: Sequence[Curve]) -> Drawn | None:
    """None for a locus that has no construction of its own here."""
    if isinstance(element.locus, FigureOn):
        return figure_on(bench, element.locus, needed)
    match element.locus:
        case Perpendicular(to, through):
            return _perpendicular(bench, to, through.label, needed)
        case Parallel(to, through):
            return _parallel(bench, to, through.label, needed)
        case AngleAt(vertex, arm, degrees, _):
            return angle_at(bench, vertex.label, arm.label, degrees, needed)
        case OnBearing(of, degrees):
            return _on_bearing(bench, of.label, degrees, needed)
        case Circumcircle((a, b, c)):
            ink = circumcircle(bench, a, b, c)
            shown = showing_arcs.two_bisectors_of_sides(a, b, c)
            return Drawn(ink, "circumcircle by two bisectors", (shown,), WHY["circumcircle"])
        case Incircle((a, b, c)):
            ink = incircle(bench, a, b, c)
            shown = showing_arcs.two_bisectors_of_angles(a, b, c)
            return Drawn(ink, "incircle by two bisectors", (shown,), WHY["incircle"])
        case Tangents(circle, through):
            return _tangents(bench, circle.name, through.label, needed)
        case FootOfPerpendicular(of, about):
            return _on_diameter(bench, of.label, about.label)
        case Subtends(a, b, _):
            return _subtends(bench, a.label, b.label, needed)
        case SumOfDistances(a, b, length):
            return plot_ellipse(bench, (a.label, b.label), length, needed)
    return None


def _ahead(bench: Bench, line: Line) -> Point:
    return (bench.points[line.b] - bench.points[line.a]).unit()


def _perpendicular(bench: Bench, to: Line, p: str, needed: Sequence[Curve]) -> Drawn:
    ahead = _ahead(bench, to)
    off = (bench.points[p] - bench.points[to.a]).cross(ahead)
    up = ahead.left()
    low, high = ends_of(bench, p, up, needed)
    if abs(off) < SAME:
        other = to.b if bench.points[p].distance(bench.points[to.b]) > SAME else to.a
        turn = 1 if (bench.points[other] - bench.points[p]).dot(ahead) > 0 else -1
        reach = max(abs(low), abs(high))
        sides = tuple(s * turn for s, t in ((1, high), (-1, -low)) if t > SAME)
        ink, shown = perpendicular_shown(bench, p, other, reach, sides)
        return Drawn(ink, "perpendicular at a point", shown, WHY_AT)
    perpendicular_from(bench, p, to.a, to.b)
    foot = bench.points[p] + up * off
    mark = label_at(bench.points, foot) or p
    low = max(min(low, off - OVERRUN), -bench.space(p, -up))
    high = min(max(high, off + OVERRUN), bench.space(p, up))
    span = (low, high) if off > 0 else (-high, -low)
    caption = f"Rule the perpendicular through {bench.call(p)} at full length."
    ink = bench.rule(p, mark, *span, "answer", caption)
    shown = (showing_arcs.perpendicular_from(p, to.a, to.b),)
    return Drawn(ink, "perpendicular from a point", shown, WHY_FROM)


def _parallel(bench: Bench, to: Line, p: str, needed: Sequence[Curve]) -> Drawn:
    ends = ends_of(bench, p, _ahead(bench, to), needed)
    ink = parallel_through(bench, p, to.a, to.b, ends)
    at = bench.points[p]
    beyond = {end: at + (at - bench.points[end]).unit() * 3.0 for end in (to.a, to.b)}
    shown = (showing_arcs.parallel(p, to.a, to.b, beyond),)
    return Drawn(ink, "parallel by a rhombus", shown, WHY_PARALLEL)


def _on_bearing(bench: Bench, of: str, degrees: float, needed: Sequence[Curve]) -> Drawn:
    way = Point(math.sin(math.radians(degrees)), math.cos(math.radians(degrees)))
    top = label_at_north(bench, of) or bench.north(of, min(4.0, bench.space(of, Point(0.0, 1.0))))
    turn, shown = (-1, degrees) if degrees <= 180 else (1, 360 - degrees)
    name = "the north line"
    mark = bench.protract(
        of, top, shown, turn, min(5.0, bench.space(of, way)),
        f"Centre the protractor on {bench.call(of)} along {name} and mark {shown:g}°"
        f"{' clockwise' if turn < 0 else ' anticlockwise'}.",
    )  # fmt: skip
    high = min(max(ends_of(bench, of, way, needed)[1], 5.0), bench.space(of, way))
    caption = f"Rule the line from {bench.call(of)} through the mark."
    ink = bench.rule(of, mark, 0.0, high, "answer", caption)
    return Drawn(ink, "bearing by protractor", (), "A bearing is counted clockwise from north.")


def label_at_north(bench: Bench, of: str) -> str | None:
    """A mark straight up the page from another, if there is one."""
    at = bench.points[of]
    return next(
        (n for n, p in bench.points.items() if abs(p.x - at.x) < SAME and p.y > at.y + 1.0), None
    )


def _tangents(bench: Bench, name: str, p: str, needed: Sequence[Curve]) -> Drawn | None:
    """Both tangents from a point outside, or the one at a point of the circle; None where the
    circle's centre has no letter."""
    circle = next((c for c in bench.figure.circles if c.name == name), None)
    centre = label_at(bench.points, circle.centre) if circle else None
    if circle is None or centre is None:
        return None
    if abs(bench.points[p].distance(circle.centre) - circle.radius) < SAME:
        way = (bench.points[p] - circle.centre).unit().left()
        low, high = ends_of(bench, p, way, needed)
        ink, shown = tangent_at(bench, centre, p, min(-low, high))
        return Drawn(ink, "tangent at a point", shown, WHY["tangent at"])
    printed = PrintedCircle(circle.centre, circle.radius)
    inks = tangents_to(bench, centre, printed, circle.radius, p)
    shown = (showing_arcs.equal_arcs(centre, p),)
    return Drawn(inks[0], "tangents from a point", shown, WHY["tangent from"])


def _on_diameter(bench: Bench, a: str, b: str) -> Drawn:
    middle = midpoint_of(bench, a, b, shown=False)
    bench.open_between(middle, a, f"Open the compasses from the midpoint to {bench.call(a)}.")
    start = (bench.points[a] - bench.points[middle]).angle()
    caption = "With the needle on the midpoint, draw the circle."
    ink = bench.strike(middle, start, 2 * math.pi, "answer", caption)
    why = "The angle in a semicircle is a right angle."
    shown = (showing_arcs.equal_arcs(a, b),)
    return Drawn(ink, "circle on a diameter", shown, why)


def _subtends(bench: Bench, a: str, b: str, needed: Sequence[Curve]) -> Drawn | None:
    """Arcs on AB: their centres lie on its perpendicular bisector, at a computed distance."""
    arcs = [c for c in needed if isinstance(c, Arc)]
    if not arcs or len(arcs) != len(needed):
        return None
    middle_at = midpoint(bench.points[a], bench.points[b])
    up = (bench.points[b] - bench.points[a]).unit().left()
    offs = [(arc.centre - middle_at).dot(up) for arc in arcs]
    reach = (min(0.0, *offs) - OVERRUN, max(0.0, *offs) + OVERRUN)
    drawn = perpendicular_bisector(bench, a, b, reach, "construction")
    line = bench.line_through(a, b)
    middle = bench.cross(line, drawn.ink, middle_at)
    ink = ""
    for arc, off in zip(arcs, offs, strict=True):
        centre = middle
        if abs(off) > SAME:
            towards = bench.anchor_on(drawn.ink, middle, arc.centre)
            caption = f"Measure {cm(abs(off))} from the midpoint along the bisector."
            centre = bench.step(middle, towards, abs(off), caption)
        bench.open_between(centre, a, f"Open the compasses from the centre to {bench.call(a)}.")
        caption = f"With the needle on the centre, draw the arc from {a} to {b}."
        ink = bench.strike(centre, arc.from_, arc.sweep, "answer", caption)
    why = "Angles in the same segment of a circle are equal, and half the angle at the centre."
    return Drawn(ink, "arcs of equal angles", drawn.evidence, why)


# --- piece by piece --------------------------------------------------------------------------
def _pieces(bench: Bench, element: Element, needed: Sequence[Curve]) -> Drawn:
    """Arcs about labelled points by compasses; everything else plotted and joined."""
    traced = False
    for piece in needed:
        centre = _needle_for(bench, piece) if isinstance(piece, Arc) else None
        if isinstance(piece, Arc) and centre is not None:
            bench.open_to(piece.radius, f"Open the compasses to {cm(piece.radius)}.")
            what = "circle" if piece.is_whole else "arc"
            needle, radius = bench.call(centre), cm(piece.radius)
            caption = f"With the needle on {needle}, draw the {what} of radius {radius}."
            bench.strike(centre, piece.from_, piece.sweep, "answer", caption)
        else:
            _trace(bench, piece)
            traced = True
    method = FREEHAND if traced else "arcs by compasses"
    return Drawn("", method, (), "" if traced else _why_distance(True))


def _needle_for(bench: Bench, arc: Arc) -> str | None:
    """The mark at an arc's centre: a letter, or a place measured along a line through two
    letters; None where it is on no such line."""
    name = label_at(bench.points, arc.centre)
    if name is not None:
        return name
    for a, b in itertools.permutations(bench.figure.points, 2):
        start, ahead = bench.points[a], bench.points[b] - bench.points[a]
        off = arc.centre - start
        if ahead.norm() > SAME and abs(ahead.unit().cross(off)) < SAME and off.dot(ahead) > 0:
            length = off.norm()
            if length > ahead.norm():
                line_past(bench, b, a, length - ahead.norm() + 0.3)
            caption = f"Measure {cm(length)} from {a} along {a}{b} and mark the centre."
            return bench.step(a, b, length, caption)
    return None


def _trace(bench: Bench, piece: Curve) -> None:
    curve = piece
    if not piece.bounded:
        curve = clipped(bench, piece)
    caption = "Plot points of the locus and join them by a smooth curve."
    if piece.kind in ("segment", "ray", "line"):
        caption = "Plot two points of the locus and rule the line through them."
    bench.join((), curve, caption)
