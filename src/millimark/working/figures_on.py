"""Workings of what is built on printed points: by the constructions of the catalogue."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from millimark.loci.completing import corners_on, turn_of
from millimark.loci.conditions import (
    AngleOn,
    CopiedAngle,
    EqualParts,
    Median,
    RegularIn,
    RegularOn,
    SegmentOf,
    TriangleOn,
)
from millimark.loci.figures_on import AngleAtEnd, FigureOn, SideTo
from millimark.plane.curves import Curve
from millimark.working import circles, polygons, showing_arcs, triangles
from millimark.working.acts import ArcEvidence
from millimark.working.angles import angle, angle_by_compasses
from millimark.working.bench import Bench
from millimark.working.bisectors import midpoint_shown
from millimark.working.dividing import WHY_DIVIDE, divide
from millimark.working.drawn import Drawn
from millimark.working.lengths import ends_of
from millimark.working.parallels import WHY_COPY, copy_angle
from millimark.working.perpendiculars import perpendicular_shown
from millimark.working.sameness import label_at


def figure_on(bench: Bench, locus: FigureOn, needed: Sequence[Curve]) -> Drawn | None:
    """Draw a figure on printed points; None for one that the catalogue has no construction of."""
    match locus:
        case TriangleOn():
            bench.called = {locus.apex: corners_on(bench.figure, locus)[0]}
            return _triangle(bench, locus)
        case RegularOn() | RegularIn():
            bench.called = dict(zip(locus.names, corners_on(bench.figure, locus), strict=False))
            if isinstance(locus, RegularOn):
                return _regular_on(bench, locus)
            return _regular_in(bench, locus)
        case AngleOn(arm, degrees, where):
            return angle_at(bench, arm.a, arm.b, degrees, needed, where is not None)
        case CopiedAngle((one, two), arm, where):
            side = turn_of(bench.figure, arm.a, arm.b, where)
            ink = copy_angle(bench, (one.b, one.a, two.b), arm.a, arm.b, side)
            shown = showing_arcs.copied_angle(one.b, one.a, two.b, arm.a, arm.b)
            return Drawn(ink, "angle copied", (shown,), WHY_COPY)
        case Median(of, SegmentOf(a, b)):
            middle, both_sides = midpoint_shown(bench, a, b, shown=False)
            length = bench.points[of.label].distance(bench.points[middle])
            caption = f"Rule the median from {of.label} to the midpoint."
            ink = bench.rule(of.label, middle, 0.0, length, "answer", caption)
            shown = replace(showing_arcs.equal_arcs(a, b), both_sides=both_sides)
            return Drawn(ink, "median", (shown,), circles.WHY["centroid"])
        case EqualParts(SegmentOf(a, b), parts):
            marks = divide(bench, a, b, parts)
            return Drawn(marks[0], "divide into equal parts", (), WHY_DIVIDE)


def angle_at(
    bench: Bench,
    vertex: str,
    arm: str,
    degrees: float,
    needed: Sequence[Curve],
    one_side: bool = True,
) -> Drawn:
    """The rays that make an angle with an arm. ``one_side``: only on the side of ``needed``."""
    zero = (bench.points[arm] - bench.points[vertex]).unit()
    ink = ""
    shown: tuple[ArcEvidence, ...] = ()
    for piece in needed:
        way = piece.direction_at(piece.t0 if math.isfinite(piece.t0) else 0.0)
        at = bench.points[vertex]
        if piece.bounded:
            way = (max((piece.start, piece.end), key=at.distance) - at).unit()
        side = 1 if zero.cross(way) >= 0 else -1
        reach = min(ends_of(bench, vertex, way, needed)[1] + 1.5, bench.space(vertex, way))
        ink, shown = _angle(bench, (vertex, arm), degrees, side, reach)
        if one_side:
            shown = tuple(showing_arcs.on_side_of(e, at + way * 4.0) for e in shown)
    if len(needed) > 1:
        shown = ()
    return Drawn(ink, f"angle of {degrees:g}°", shown, "Every point of the ray makes the angle.")


def _angle(
    bench: Bench, ends: tuple[str, str], degrees: float, side: int, reach: float
) -> tuple[str, tuple[ArcEvidence, ...]]:
    """One ray, by arcs where the method must be shown and the angle is one that arcs give in a
    few steps; its ink and the arcs that show it."""
    vertex, arm = ends
    whole = round(degrees)
    if bench.arcs and abs(whole - degrees) < 1e-9:
        if whole == 90:
            return perpendicular_shown(bench, vertex, arm, reach, (side,))
        forms = {
            30: showing_arcs.thirty(vertex, arm),
            60: showing_arcs.sixty(vertex, arm, 1),
            120: showing_arcs.sixty(vertex, arm, 2),
        }
        if whole in forms:
            ink = bench.attempt(
                lambda: angle_by_compasses(bench, vertex, arm, whole, side, "answer", reach)
            )
            if ink is not None:
                return ink, (forms[whole],)
    return angle(bench, vertex, arm, degrees, side, "answer", reach), ()


def _triangle(bench: Bench, locus: TriangleOn) -> Drawn:
    a, b = locus.base.a, locus.base.b
    side = turn_of(bench.figure, a, b, locus.where)
    lengths = {f.of.label: f.length for f in locus.facts if isinstance(f, SideTo)}
    angles = {f.of.label: f.degrees for f in locus.facts if isinstance(f, AngleAtEnd)}
    shown: tuple[ArcEvidence, ...] = ()
    if len(lengths) == 2:
        triangles.sss(bench, a, b, lengths[a], lengths[b], side)
        kind = "SSS"
        near = ("the corner", corners_on(bench.figure, locus)[0]) if locus.where else None
        shown = (showing_arcs.two_lengths(a, lengths[a], b, lengths[b], near),)
    elif len(angles) == 2:
        triangles.asa(bench, a, b, angles[a], angles[b], side)
        kind = "ASA"
    else:
        ((vertex, degrees),), ((end, length),) = angles.items(), lengths.items()
        other, turn = (b, side) if vertex == a else (a, -side)
        if end == vertex:
            triangles.sas(bench, vertex, other, degrees, length, turn)
            kind = "SAS"
        elif abs(degrees - 90) < 1e-9:
            triangles.rhs(bench, other, vertex, length, -turn)
            kind = "RHS"
        else:
            at = corners_on(bench.figure, locus)[0]
            triangles.ssa(bench, vertex, other, degrees, length, at, turn)
            kind = "SSA"
    return Drawn("", f"triangle {kind}", shown, triangles.WHY[kind])


def _regular_on(bench: Bench, locus: RegularOn) -> Drawn | None:
    a, b = locus.base.a, locus.base.b
    side = turn_of(bench.figure, a, b, locus.where)
    near = ("the corner", corners_on(bench.figure, locus)[0]) if locus.where else None
    on_side = showing_arcs.two_lengths(a, (a, b), b, (a, b), near)
    match locus.corners:
        case 3:
            polygons.equilateral(bench, a, b, side)
            why = polygons.WHY["equilateral triangle"]
            return Drawn("", "equilateral triangle", (on_side,), why)
        case 4:
            _, shown = polygons.square(bench, a, b, side)
            return Drawn("", "square on a side", shown, polygons.WHY["square"])
        case 5:
            polygons.pentagon_on(bench, a, b, side)
            return Drawn("", "pentagon on a side", (), polygons.WHY["pentagon on a side"])
        case 6:
            polygons.hexagon_on(bench, a, b, side)
            return Drawn("", "hexagon on a side", (on_side,), polygons.WHY["hexagon"])
    return None


def _regular_in(bench: Bench, locus: RegularIn) -> Drawn | None:
    round_ = next(c for c in bench.figure.circles if c.name == locus.circle.name)
    centre = label_at(bench.points, round_.centre)
    if centre is None:
        return None
    first = locus.first.label
    further = tuple(
        (f"corner {k}", at) for k, at in enumerate(corners_on(bench.figure, locus), start=2)
    )
    steps = showing_arcs.walk(((first, bench.points[first]), *further), (first,))
    match locus.corners:
        case 5:
            polygons.pentagon_in(bench, centre, first)
            return Drawn("", "pentagon in a circle", (steps,), polygons.WHY["pentagon"])
        case 6:
            polygons.hexagon_in(bench, centre, first)
            return Drawn("", "hexagon in a circle", (steps,), polygons.WHY["hexagon"])
    return None
