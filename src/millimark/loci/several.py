"""Points that several things are true of: equidistant from three or more, on all of some loci."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, product

from millimark.errors import NoAnswerError
from millimark.loci.bisectors import bisector, border
from millimark.loci.conditions import Equidistant, Feature, Locus
from millimark.loci.figure import Figure
from millimark.loci.names import feature_name
from millimark.loci.offsets import Traces
from millimark.loci.sites import distance_field
from millimark.loci.tracing import curves_of
from millimark.plane.crossings import crossings
from millimark.plane.curves import Curve
from millimark.plane.pieces import MERGE, kept
from millimark.plane.point import Point


def traces_of(figure: Figure, locus: Locus) -> Traces:
    """All of a locus, also an equidistance from three or more."""
    if isinstance(locus, Equidistant):
        features = distinct(figure, locus)
        if len(features) > 2:
            pairs = [bisector(figure, f, g) for f, g in pairwise(features)]
            return level_with_all(figure, features, pairs)
        return curves_of(figure, Equidistant((features[0], features[-1])))
    return curves_of(figure, locus)


def distinct(figure: Figure, locus: Equidistant) -> list[Feature]:
    """The features, those that coincide with earlier ones left out."""
    if len(locus.features) < 2:
        raise NoAnswerError("Equal distances need at least two things to be measured from.")
    features: list[Feature] = []
    for f in locus.features:
        if not any(coincide(figure, f, g) for g in features):
            features.append(f)
    return features


def refuse_areas(figure: Figure, locus: Locus) -> None:
    """NoAnswerError for an equidistance that has no curve because it fills an area: from a segment
    and its own end, from a polygon and its sides."""
    match locus:
        case Equidistant((f, g)) if border(figure, f, g):
            raise NoAnswerError(
                f"Points as far from {feature_name(f)} as from {feature_name(g)} fill an area:"
                " there is no curve to draw.",
                "Ask for that region, or for distances from things that share no part.",
            )


def coincide(figure: Figure, f: Feature, g: Feature) -> bool:
    """Whether two features are one: the same distance at places all round."""
    if f == g:
        return True
    one, two = distance_field(figure, f), distance_field(figure, g)
    middle = next(iter(figure.points.values()), Point(0.0, 0.0))
    probes = [middle.polar(r, a) for r in (0.7, 3.1, 11.0, 150.0) for a in (0.3, 1.7, 2.9, 4.4)]
    return all(abs(one(*p) - two(*p)) <= 1e-9 for p in probes)


def level_with_all(
    figure: Figure, features: Sequence[Feature], pairs: Sequence[Sequence[Curve]]
) -> Traces:
    """What the bisectors of neighbours have in common: curves, and single points off those."""
    fields = [distance_field(figure, f) for f in features]

    def level(x: float, y: float) -> bool:
        ds = [f(x, y) for f in fields]
        return max(ds) - min(ds) <= MERGE

    curves = kept(pairs[0], [c for pair in pairs[1:] for c in pair], level)
    points: list[Point] = []
    for a, b in product(pairs[0], pairs[1]):
        for p in crossings(a, b):
            if level(*p) and _new(p, curves, points):
                points.append(p)
    return Traces(tuple(curves), tuple(points))


def common(traces: Sequence[Traces]) -> Traces:
    """What loci have in common: curves along which all run, and the single points on all."""
    if not traces:
        raise NoAnswerError("Points on no loci cannot be marked: name at least one.")
    first, rest = traces[0], traces[1:]

    def on_all(p: Point) -> bool:
        return all(
            any(c.distance_to(p) <= MERGE for c in t.curves)
            or any(p.distance(q) <= MERGE for q in t.points)
            for t in rest
        )

    if not rest:
        return first
    others = [c for t in rest for c in t.curves]
    curves = kept(first.curves, others, lambda x, y: on_all(Point(x, y)))
    candidates = [p for t in traces for p in t.points]
    candidates += [p for a in first.curves for b in others for p in crossings(a, b)]
    points: list[Point] = []
    for p in candidates:
        on_first = any(c.distance_to(p) <= MERGE for c in first.curves) or p in first.points
        if on_first and on_all(p) and _new(p, curves, points):
            points.append(p)
    return Traces(tuple(curves), tuple(points))


def _new(p: Point, curves: Sequence[Curve], points: Sequence[Point]) -> bool:
    """Whether ``p`` is off the curves and apart from the points."""
    return all(c.distance_to(p) > MERGE for c in curves) and all(
        p.distance(q) > MERGE for q in points
    )
