"""From a figure and an ask to the answer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise

from millimark.loci.answer import Answer, Element, Special
from millimark.loci.centres import equally_far, lines_of
from millimark.loci.compiled import compiled
from millimark.loci.conditions import (
    Ask,
    AtDistance,
    Condition,
    DrawLocus,
    EqualParts,
    Equidistant,
    Locus,
    MarkPoints,
    Measure,
    ShadeRegion,
    TriangleCentre,
)
from millimark.loci.elements import elements_of, lies_on
from millimark.loci.figure import Figure
from millimark.loci.leaf import Leaf
from millimark.loci.measuring import measured
from millimark.loci.names import locus_name
from millimark.loci.offsets import Traces
from millimark.loci.pointed import near_points
from millimark.loci.region import solved, truth
from millimark.loci.scaling import framed, ordinary_frame, scaled_lengths, solved_in_frame
from millimark.loci.several import common, distinct, refuse_areas, traces_of
from millimark.plane.curves import Curve
from millimark.plane.pieces import kept, outward
from millimark.plane.point import Point


def solve(figure: Figure, ask: Ask) -> Answer:
    """The exact answer to an ask. What it collapses to, if anything, is ``special``.

    Figures of any size and place; a label that the figure does not have is a NoAnswerError.
    """
    return solved_in_frame(figure, ask, _solve)


def holds(figure: Figure, condition: Condition, point: Point, tol: float = 1e-9) -> bool:
    """Whether ``condition`` holds at ``point``. Within ``tol`` (cm; of huge and tiny figures, as if
    10 cm wide) of a border, the border's own truth decides: "at most" holds there, "less than"
    does not."""
    return membership(figure, condition, tol)(point)


def membership(figure: Figure, condition: Condition, tol: float = 1e-9) -> Callable[[Point], bool]:
    """``holds`` made ready for many points."""
    into = ordinary_frame(figure, condition)
    if into is None:
        leaves, tree = compiled(figure, condition)
        return lambda point: truth(leaves, tree, point.x, point.y, tol)
    inner = membership(framed(figure, into), scaled_lengths(condition, into.scale), tol)
    return lambda point: inner(into(point))


def _solve(figure: Figure, ask: Ask) -> Answer:
    match ask:
        case ShadeRegion(condition):
            return _region(figure, condition)
        case DrawLocus(locus, where):
            return _locus(figure, locus, where)
        case MarkPoints(loci, where, centre):
            answer = _points(figure, loci, where)
            if centre is None:
                return answer
            return _with_third(figure, answer, centre, lines_of(centre)[2])
        case Measure(quantity):
            value = measured(figure, quantity)
            return Answer(dict(figure.points), (), None, None, (), (), value)


def _region(figure: Figure, condition: Condition) -> Answer:
    leaves, tree = compiled(figure, condition)
    region = solved(leaves, tree)
    drawn: dict[Locus, tuple[Leaf, list[Curve]]] = {}
    needed = [
        drawn.setdefault(leaf.locus, (leaf, []))[1] if leaf.locus is not None else []
        for leaf in leaves
    ]
    for piece in region.pieces:
        curve = outward(piece.curve)
        if not any(lies_on(curve, wall) for wall in leaves[piece.leaf].printed):
            needed[piece.leaf].append(curve)
    elements: list[Element] = []
    for locus, (leaf, curves_needed) in drawn.items():
        whole = leaf.traces if isinstance(locus, AtDistance) else None
        elements.extend(elements_of(figure, locus, curves_needed, whole))
    curves = tuple(outward(c) for loop in region.answer.loops for c in loop) or region.thin
    return Answer(
        dict(figure.points), curves, region.answer, region.special, tuple(elements), region.points
    )


def _locus(figure: Figure, locus: Locus, where: Condition | None) -> Answer:
    traces = _where(figure, traces_of(figure, locus), where)
    everything = isinstance(locus, Equidistant) and len(distinct(figure, locus)) == 1
    special: Special | None = _special(traces)
    if special == "empty" and everything:
        special = "everything"
    if special == "empty" and where is None:
        refuse_areas(figure, locus)
    points = traces.points if special in ("point", "points") else ()
    elements = near_points(_drawing(figure, locus, traces), points)
    answer = Answer(dict(figure.points), traces.curves, None, special, tuple(elements), points)
    features = list(distinct(figure, locus)) if isinstance(locus, Equidistant) else []
    centre = equally_far(features)
    if centre is None:
        return answer
    return _with_third(figure, answer, centre, Equidistant((features[0], features[2])))


def _with_third(figure: Figure, answer: Answer, centre: TriangleCentre, third: Locus) -> Answer:
    """The answer with the third line that goes through its point; itself if it is not a point."""
    if answer.special != "point":
        return answer
    elements = _drawing(figure, third, traces_of(figure, third))
    instead = near_points(elements, answer.special_points)
    return replace(answer, centre=centre, instead=instead)


def _drawing(figure: Figure, locus: Locus, traces: Traces) -> list[Element]:
    """The elements that draw a locus: of an equidistance from several, the bisectors of
    neighbours, all of each needed; of equal parts one without curves, its marks are points."""
    if isinstance(locus, Equidistant):
        features = distinct(figure, locus)
        if len(features) > 2:
            out: list[Element] = []
            for pair in pairwise(features):
                part = Equidistant(pair)
                out.extend(elements_of(figure, part, traces_of(figure, part).curves))
            return out
        if len(features) == 2:
            locus = Equidistant((features[0], features[1]))
    if isinstance(locus, EqualParts):
        return [Element(locus_name(locus), "path", locus, (), ())]
    return elements_of(figure, locus, traces.curves) if traces.curves else []


def _special(traces: Traces) -> Special | None:
    if traces.curves:
        return None
    if traces.points:
        return "point" if len(traces.points) == 1 else "points"
    return "empty"


def _points(figure: Figure, loci: Sequence[Locus], where: Condition | None) -> Answer:
    """The points on all of the loci; the loci themselves are the elements to draw."""
    each = [traces_of(figure, locus) for locus in loci]
    found = _where(figure, common(each), where)
    elements: list[Element] = []
    for locus, traces in zip(loci, each, strict=True):
        elements.extend(_drawing(figure, locus, traces))
    special: Special | None = "curve" if found.curves else _special(found)
    if special in ("point", "points"):
        elements = list(near_points(elements, found.points))
    return Answer(dict(figure.points), found.curves, None, special, tuple(elements), found.points)


def _where(figure: Figure, traces: Traces, where: Condition | None) -> Traces:
    """The part of a locus where a condition holds."""
    if where is None:
        return traces
    leaves, tree = compiled(figure, where)
    knives: list[Curve] = [c for leaf in leaves for c in leaf.curves]
    inside = kept(traces.curves, knives, lambda x, y: truth(leaves, tree, x, y))
    points = tuple(p for p in traces.points if truth(leaves, tree, p.x, p.y))
    return Traces(tuple(inside), points)
