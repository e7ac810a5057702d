"""From a figure and an ask to the answer."""

from __future__ import annotations

from itertools import pairwise, product

from millimark.errors import NoAnswerError
from millimark.loci.answer import Answer, Element, Special
from millimark.loci.bisectors import bisector
from millimark.loci.compiled import compiled
from millimark.loci.conditions import (
    Ask,
    Condition,
    DrawLocus,
    Equidistant,
    Feature,
    Locus,
    ShadeRegion,
)
from millimark.loci.elements import curves_of, elements_of
from millimark.loci.figure import Figure
from millimark.loci.offsets import Traces
from millimark.loci.region import solved, truth
from millimark.loci.scaling import solved_in_frame
from millimark.loci.sites import distance_field
from millimark.plane.crossings import crossings
from millimark.plane.curves import Curve
from millimark.plane.pieces import MERGE, kept, outward
from millimark.plane.point import Point


def solve(figure: Figure, ask: Ask) -> Answer:
    """The exact answer to an ask. What it collapses to, if anything, is ``special``.

    Figures of any size and place; a label that the figure does not have is a NoAnswerError.
    """
    return solved_in_frame(figure, ask, _solve)


def _solve(figure: Figure, ask: Ask) -> Answer:
    if isinstance(ask, ShadeRegion):
        return _region(figure, ask.condition)
    return _locus(figure, ask)


def holds(figure: Figure, condition: Condition, point: Point, tol: float = 1e-9) -> bool:
    """Whether ``condition`` holds at ``point``. Within ``tol`` (cm) of a border, the border's own
    truth decides: "at most" holds there, "less than" does not."""
    leaves, tree = compiled(figure, condition)
    return truth(leaves, tree, point.x, point.y, tol)


def _region(figure: Figure, condition: Condition) -> Answer:
    leaves, tree = compiled(figure, condition)
    region = solved(leaves, tree)
    elements: list[Element] = []
    done: set[Locus] = set()
    for leaf in leaves:
        if leaf.locus is None or leaf.locus in done:
            continue
        done.add(leaf.locus)
        same = {i for i, other in enumerate(leaves) if other.locus == leaf.locus}
        needed = [outward(p.curve) for p in region.pieces if p.leaf in same]
        elements.extend(elements_of(figure, leaf.locus, needed))
    curves = tuple(outward(c) for loop in region.answer.loops for c in loop) or region.thin
    return Answer(
        dict(figure.points), curves, region.answer, region.special, tuple(elements), region.points
    )


def _locus(figure: Figure, ask: DrawLocus) -> Answer:
    locus = ask.locus
    if isinstance(locus, Equidistant) and len(locus.features) != 2:
        return _several(figure, ask, locus)
    traces = _where(figure, curves_of(figure, locus), ask.where)
    special = _special(figure, locus, traces)
    elements = elements_of(figure, locus, traces.curves) if traces.curves else []
    points = traces.points if special in ("point", "points") else ()
    return Answer(dict(figure.points), traces.curves, None, special, tuple(elements), points)


def _special(figure: Figure, locus: Locus, traces: Traces) -> Special | None:
    if traces.curves:
        return None
    if traces.points:
        return "point" if len(traces.points) == 1 else "points"
    if isinstance(locus, Equidistant) and _coincide(figure, locus):
        return "everything"
    return "empty"


def _coincide(figure: Figure, locus: Equidistant) -> bool:
    """Whether all the features are one: the same distance at places all round."""
    fields = [distance_field(figure, f) for f in locus.features]
    middle = next(iter(figure.points.values()), Point(0.0, 0.0))
    probes = [middle.polar(r, a) for r in (0.7, 3.1, 11.0, 150.0) for a in (0.3, 1.7, 2.9, 4.4)]
    return all(abs(f(*p) - fields[0](*p)) <= 1e-9 for f in fields[1:] for p in probes)


def _where(figure: Figure, traces: Traces, where: Condition | None) -> Traces:
    """The part of a locus where a condition holds."""
    if where is None:
        return traces
    leaves, tree = compiled(figure, where)
    knives = [c for leaf in leaves for c in leaf.curves]
    inside = kept(traces.curves, knives, lambda x, y: truth(leaves, tree, x, y))
    points = tuple(p for p in traces.points if truth(leaves, tree, p.x, p.y))
    return Traces(tuple(inside), points)


def _several(figure: Figure, ask: DrawLocus, locus: Equidistant) -> Answer:
    """Equidistant from three or more features: where the bisectors of neighbours meet, or run
    along each other. Features that coincide count once."""
    if len(locus.features) < 2:
        raise NoAnswerError("Equal distances need at least two things to be measured from.")
    features: list[Feature] = []
    for f in locus.features:
        if not any(_coincide(figure, Equidistant((f, g))) for g in features):
            features.append(f)
    if len(features) <= 2:
        pair = Equidistant((features[0], features[-1]))
        return _locus(figure, DrawLocus(pair, ask.where))
    pairs = [bisector(figure, f, g) for f, g in pairwise(features)]
    traces = _where(figure, _common(figure, features, pairs), ask.where)
    elements: list[Element] = []
    for f, g, curves in zip(features, features[1:], pairs, strict=False):
        elements.extend(elements_of(figure, Equidistant((f, g)), curves))
    special = _special(figure, locus, traces)
    points = traces.points
    return Answer(dict(figure.points), traces.curves, None, special, tuple(elements), points)


def _common(figure: Figure, features: list[Feature], pairs: list[list[Curve]]) -> Traces:
    """What the bisectors of neighbours have in common: curves, and single points off those."""
    fields = [distance_field(figure, f) for f in features]

    def level(x: float, y: float) -> bool:
        ds = [f(x, y) for f in fields]
        return max(ds) - min(ds) <= MERGE

    curves = kept(pairs[0], [c for pair in pairs[1:] for c in pair], level)
    points: list[Point] = []
    for a, b in product(pairs[0], pairs[1]):
        for p in crossings(a, b):
            alone = all(c.distance_to(p) > MERGE for c in curves)
            if level(*p) and alone and all(p.distance(q) > MERGE for q in points):
                points.append(p)
    return Traces(tuple(curves), tuple(points))
