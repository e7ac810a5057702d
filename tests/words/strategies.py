"""Random figures, asks and sentences for the tests of words."""

from __future__ import annotations

from hypothesis import strategies as st

from millimark.loci.conditions import (
    AllOf,
    AngleAt,
    AngleCompared,
    AngleOf,
    AngleOn,
    AnyOf,
    AreaOf,
    Ask,
    AtDistance,
    BearingBetween,
    BearingOf,
    ChordMidpoints,
    CircleOf,
    Circumcircle,
    Condition,
    CopiedAngle,
    DiscOf,
    Distance,
    DrawLocus,
    EqualParts,
    Equidistant,
    Feature,
    FootOfPerpendicular,
    Greatest,
    Incircle,
    Inside,
    Ladder,
    LengthOf,
    LineOf,
    Locus,
    MarkPoints,
    Measure,
    Median,
    MidpointsFrom,
    Nearer,
    Not,
    OnBearing,
    Parallel,
    Perpendicular,
    PointOf,
    PolygonOf,
    PolylineOf,
    RatioCompared,
    RatioOfDistances,
    RayOf,
    RegularOn,
    RimPoint,
    RollingShape,
    RopeEnd,
    SameSide,
    SegmentOf,
    ShadeRegion,
    Shortest,
    SidesOf,
    Subtends,
    SumCompared,
    SumOfDistances,
    Tangents,
    TriangleOn,
    WheelCentre,
    WithinRope,
)
from millimark.loci.figures_on import AngleAtEnd, SideTo

GIVEN = (
    "Triangle ABC has AB = 8 cm, BC = 7 cm and AC = 6 cm.",
    "Rectangle PQRS is 6 cm by 4 cm.",
    "P is 3 cm to the right of B.",
    "PQ is horizontal.",
    "O is 5 cm above C.",
    "A circle has centre O and radius 3 cm.",
)
"""A figure with a triangle, a rectangle and a circle, on which every random ask stands."""
LABELS = ("A", "B", "C", "P", "Q", "R", "S", "O")
RELATIONS = ("<", "<=", ">", ">=")

labels = st.sampled_from(LABELS)
points = st.builds(PointOf, labels)
ends = st.lists(labels, min_size=2, max_size=2, unique=True)
rings = st.sampled_from((("A", "B", "C"), ("P", "Q", "R", "S")))
triples = st.permutations(("A", "B", "C")).map(tuple)
lengths = st.one_of(
    st.integers(1, 120).map(lambda mm: mm / 10),
    st.floats(0.01, 50.0, allow_nan=False).map(lambda cm: float(f"{cm:.12g}")),
)
times = st.sampled_from((0.5, 2.0, 3.0, 1.5, 0.25))
angles = st.one_of(st.integers(1, 179).map(float), st.sampled_from((22.5, 67.5)))
bearings = st.integers(0, 359).map(float)
segments = ends.map(lambda ab: SegmentOf(*ab))
lines = ends.map(lambda ab: LineOf(*ab))
rays = ends.map(lambda ab: RayOf(*ab))
polygons = rings.map(PolygonOf)
sides = rings.map(SidesOf)
circles = st.just(CircleOf("O"))
polylines = st.lists(labels, min_size=3, max_size=5, unique=True).map(
    lambda found: PolylineOf(tuple(found))
)
features: st.SearchStrategy[Feature] = st.one_of(
    points, segments, lines, rays, polygons, sides, circles, polylines
)
relations = st.sampled_from(RELATIONS)
obstacles = st.sampled_from(
    ((PolygonOf(("P", "Q", "R", "S")),), (DiscOf("O"),), (PolygonOf(("A", "B", "C")), DiscOf("O")))
)


def two_points(kind: type, *more: st.SearchStrategy[object]) -> st.SearchStrategy[object]:
    """A value about two different points."""
    return st.tuples(ends, *more).map(
        lambda found: kind(PointOf(found[0][0]), PointOf(found[0][1]), *found[1:])
    )


simple_conditions: st.SearchStrategy[Condition] = st.one_of(
    st.builds(Distance, features, relations, lengths),
    st.tuples(features, features)
    .filter(lambda two: two[0] != two[1])
    .map(lambda two: Nearer(two[0], (two[1],))),
    st.permutations(("A", "B", "C")).map(
        lambda abc: Nearer(PointOf(abc[0]), (PointOf(abc[1]), PointOf(abc[2])))
    ),
    st.builds(Inside, st.one_of(polygons, circles)),
    st.builds(lambda s: Not(Inside(s, strict=False)), st.one_of(polygons, circles)),
    st.permutations(("A", "B", "C")).map(
        lambda abc: SameSide(LineOf(abc[0], abc[1]), PointOf(abc[2]))
    ),
    two_points(SumCompared, relations, lengths),
    two_points(RatioCompared, relations, times),
    two_points(AngleCompared, relations, angles),
    st.tuples(points, bearings, bearings)
    .filter(lambda found: found[1] != found[2])
    .map(lambda found: BearingBetween(*found)),
    st.builds(WithinRope, st.just(PointOf("B")), lengths, obstacles),
)
conditions: st.SearchStrategy[Condition] = st.recursive(
    simple_conditions,
    lambda inner: st.one_of(
        st.lists(inner, min_size=2, max_size=3).map(lambda cs: AllOf(tuple(cs))),
        st.lists(inner, min_size=2, max_size=3).map(lambda cs: AnyOf(tuple(cs))),
        st.builds(Not, inner),
    ),
    max_leaves=5,
)
curves: st.SearchStrategy[Locus] = st.one_of(
    st.builds(AtDistance, features, lengths),
    st.tuples(features, features)
    .filter(lambda two: two[0] != two[1])
    .map(lambda two: Equidistant(tuple(two))),
    st.just(Equidistant((PointOf("A"), PointOf("B"), PointOf("C")))),
    two_points(SumOfDistances, lengths),
    two_points(RatioOfDistances, times),
    two_points(Subtends, angles),
)
constructions: st.SearchStrategy[Locus] = st.one_of(
    st.builds(Perpendicular, lines, points),
    st.builds(Parallel, lines, points),
    two_points(AngleAt, angles),
    st.builds(OnBearing, points, bearings),
    st.builds(Tangents, circles, points.filter(lambda p: p.label != "O")),
    triples.map(Circumcircle),
    triples.map(Incircle),
)
AB = SegmentOf("A", "B")
sides_of_ab = st.sampled_from((None, "above", "below", PointOf("C")))
facts_on_ab = st.one_of(
    st.integers(90, 130).map(lambda mm: (SideTo(PointOf("A"), mm / 10), SideTo(PointOf("B"), 9.0))),
    st.tuples(st.integers(5, 85), st.integers(5, 85)).map(
        lambda two: (AngleAtEnd(PointOf("A"), two[0]), AngleAtEnd(PointOf("B"), two[1]))
    ),
    st.tuples(lengths, angles, st.sampled_from("AB")).map(
        lambda three: (SideTo(PointOf(three[2]), three[0]), AngleAtEnd(PointOf(three[2]), three[1]))
    ),
)
lines_on: st.SearchStrategy[Locus] = st.one_of(
    st.builds(AngleOn, rays, angles),
    st.builds(AngleOn, st.just(RayOf("B", "A")), angles, sides_of_ab),
    st.builds(
        lambda avb, arm: CopiedAngle((RayOf(avb[1], avb[0]), RayOf(avb[1], avb[2])), arm),
        st.lists(labels, min_size=3, max_size=3, unique=True),
        rays,
    ),
    st.builds(Median, points, segments),
)
figures_on: st.SearchStrategy[Locus] = st.one_of(
    lines_on,
    st.builds(TriangleOn, st.just(AB), st.just("D"), facts_on_ab, sides_of_ab),
    st.builds(RegularOn, segments, st.integers(3, 8)),
    st.integers(3, 8).flatmap(
        lambda n: st.builds(
            RegularOn, st.just(AB), st.just(n), st.just(tuple("DEFGHI"[: n - 2])), sides_of_ab
        )
    ),
)
shares = st.sampled_from((0.5, 1 / 3, 2 / 3, 0.25, 0.1))
moving: st.SearchStrategy[Locus] = st.one_of(
    st.builds(MidpointsFrom, points, st.one_of(segments, lines, rays, sides, circles), shares),
    two_points(FootOfPerpendicular),
    st.builds(ChordMidpoints, circles, lengths),
    st.builds(lambda c, p: ChordMidpoints(c, through=p), circles, points),
    st.builds(
        lambda cfw, cm, share: Ladder(*(PointOf(p) for p in cfw), cm, share),
        st.lists(labels, min_size=3, max_size=3, unique=True),
        lengths,
        shares,
    ),
    st.builds(
        RollingShape,
        st.just(PolygonOf(("A", "B", "C"))),
        st.one_of(lines, st.just(PolygonOf(("P", "Q", "R", "S")))),
        st.one_of(st.none(), points),
        st.one_of(st.none(), st.integers(1, 9)),
    ),
    st.builds(WheelCentre, lengths, st.one_of(segments, lines, polygons, circles), st.just(False)),
    st.builds(WheelCentre, lengths, st.one_of(polygons, circles), st.just(True)),
    ends.flatmap(
        lambda ab: st.builds(
            RimPoint, lengths, st.just(PointOf(ab[0])), st.just(PointOf(ab[1])), times
        )
    ),
    st.builds(RopeEnd, points, lengths, obstacles),
)
things = st.one_of(features, curves, simple_conditions)
quantities = st.one_of(
    st.builds(Shortest, things, things),
    st.builds(Greatest, things, things),
    st.builds(LengthOf, st.one_of(segments, polygons, circles, curves)),
    st.builds(AreaOf, st.one_of(polygons, st.just(DiscOf("O")), simple_conditions)),
    st.lists(labels, min_size=3, max_size=3, unique=True).map(
        lambda avb: AngleOf(*(PointOf(p) for p in avb))
    ),
    two_points(BearingOf),
)
asks: st.SearchStrategy[Ask] = st.one_of(
    st.builds(DrawLocus, curves, st.one_of(st.none(), conditions)),
    st.builds(DrawLocus, st.one_of(constructions, moving)),
    st.builds(DrawLocus, figures_on),
    st.builds(lambda ab, n: MarkPoints((EqualParts(ab, n),)), segments, st.integers(2, 100)),
    st.builds(ShadeRegion, conditions),
    st.lists(st.one_of(curves, constructions, lines_on), min_size=2, max_size=2, unique=True).map(
        lambda found: MarkPoints(tuple(found))
    ),
    st.builds(Measure, quantities),
)
