"""Equal distances of every kind, and two segments against pyvoronoi 1.2 (Boost's Voronoi)."""

from __future__ import annotations

import math
from itertools import combinations
from random import Random

import pytest
import pyvoronoi

from millimark.loci.conditions import (
    CircleOf,
    DrawLocus,
    Equidistant,
    Feature,
    LineOf,
    PointOf,
    PolygonOf,
    PolylineOf,
    RayOf,
    SegmentOf,
    SidesOf,
)
from millimark.loci.figure import Figure, GivenCircle
from millimark.loci.several import traces_of
from millimark.loci.sites import distance_field
from millimark.loci.solve import solve
from millimark.plane.curves import Curve
from millimark.plane.point import Point

FIGURE = Figure(
    points={
        "A": Point(0, 0),
        "B": Point(6, 1),
        "C": Point(2, 5),
        "D": Point(9, 6),
        "E": Point(4, -4),
        "N": Point(10, 1.5),
        "P": Point(-4, 3),
        "Q": Point(-7, 3),
        "R": Point(-7, -1),
        "S": Point(-3, -2),
    },
    circles=(GivenCircle("c", Point(3, 2), 1.5), GivenCircle("d", Point(8, -3), 2.5)),
)
A, B, C, D, N = (PointOf(x) for x in "ABCDN")
FEATURES: list[Feature] = [
    C,
    N,
    SegmentOf("A", "B"),
    SegmentOf("C", "D"),
    RayOf("E", "N"),
    LineOf("A", "E"),
    PolylineOf(("C", "D", "N", "E")),
    SidesOf(("P", "Q", "R", "S")),
    PolygonOf(("P", "Q", "R", "S")),
    CircleOf("c"),
    CircleOf("d"),
]
PAIRS = [
    (f, g)
    for f, g in combinations(FEATURES, 2)
    # Equal over areas, with no curve: a point and a path that ends at it, a polygon and its sides,
    # paths that run along each other.
    if not (f == C and isinstance(g, SegmentOf | PolylineOf) and "C" in str(g))
    and not (f == N and isinstance(g, RayOf | PolylineOf))
    and not (isinstance(f, SegmentOf | RayOf) and isinstance(g, PolylineOf) and f.b in "DN")
    and not (isinstance(f, SidesOf) and isinstance(g, PolygonOf))
]
IDS = [f"{type(f).__name__}-{type(g).__name__}" for f, g in PAIRS]


def sampled(c: Curve, n: int = 12) -> list[Point]:
    reach = 3.0 if c.kind == "hyperbola" else 9.0
    lo = c.t0 if math.isfinite(c.t0) else min(c.t1, reach) - 2 * reach
    hi = c.t1 if math.isfinite(c.t1) else lo + 2 * reach
    return [c.point_at(lo + (hi - lo) * (i + 0.5) / n) for i in range(n)]


@pytest.mark.parametrize(("f", "g"), PAIRS, ids=IDS)
def test_both_distances_are_equal_all_along(f: Feature, g: Feature) -> None:
    one, two = distance_field(FIGURE, f), distance_field(FIGURE, g)
    found = traces_of(FIGURE, Equidistant((f, g))).curves
    assert found
    for c in found:
        for p in sampled(c):
            assert one(*p) == pytest.approx(two(*p), abs=1e-9)


@pytest.mark.parametrize(("f", "g"), PAIRS, ids=IDS)
def test_nothing_is_missing(f: Feature, g: Feature) -> None:
    """Where the difference of distances changes sign along random chords, the locus is."""
    one, two = distance_field(FIGURE, f), distance_field(FIGURE, g)
    found = traces_of(FIGURE, Equidistant((f, g))).curves
    rng = Random(5)
    seen = 0
    for _ in range(120):
        p = Point(rng.uniform(-12, 14), rng.uniform(-9, 11))
        q = Point(rng.uniform(-12, 14), rng.uniform(-9, 11))
        if (one(*p) - two(*p)) * (one(*q) - two(*q)) >= 0:
            continue
        for _ in range(60):
            m = Point((p.x + q.x) / 2, (p.y + q.y) / 2)
            if (one(*p) - two(*p)) * (one(*m) - two(*m)) > 0:
                p = m
            else:
                q = m
        seen += 1
        assert min(c.distance_to(p) for c in found) < 1e-7
    assert seen > 3


def test_kinds_by_name() -> None:
    kinds = {
        (A, LineOf("B", "D")): {"parabola"},
        (PointOf("D"), CircleOf("c")): {"hyperbola"},
        (CircleOf("c"), CircleOf("d")): {"hyperbola"},
        (SegmentOf("A", "B"), SegmentOf("C", "D")): {"segment", "parabola", "ray"},
    }
    for pair, expected in kinds.items():
        answer = solve(FIGURE, DrawLocus(Equidistant(pair)))
        assert {c.kind for c in answer.curves} == expected


def test_circles_that_overlap_have_an_ellipse_as_well() -> None:
    """|PC| - r = ±(|PD| - s): of equal overshoot, and of equal depth in one and height over the
    other: r + s = |PC| + |PD|."""
    figure = Figure(
        points={"A": Point(0, 0)},
        circles=(GivenCircle("c", Point(0, 0), 3.0), GivenCircle("d", Point(4, 0), 2.0)),
    )
    curves = traces_of(figure, Equidistant((CircleOf("c"), CircleOf("d")))).curves
    assert {c.kind for c in curves} == {"hyperbola", "ellipse"}
    inner = Figure(points={"A": Point(1, 0)}, circles=figure.circles)
    (ellipse,) = traces_of(inner, Equidistant((A, CircleOf("c")))).curves
    assert ellipse.kind == "ellipse"
    centre = Figure(points={"A": Point(0, 0)}, circles=figure.circles)
    (circle,) = traces_of(centre, Equidistant((A, CircleOf("c")))).curves
    assert (circle.kind, circle.length) == ("arc", pytest.approx(3 * math.pi))


@pytest.mark.parametrize("seed", range(40))
def test_two_segments_as_pyvoronoi_has_them(seed: int) -> None:
    rng = Random(seed)

    def point() -> Point:
        return Point(rng.randint(0, 10_000) / 1000, rng.randint(0, 8_000) / 1000)

    while True:
        a, b, c, d = (point() for _ in range(4))
        crossed = _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0
        if a.distance(b) > 1 and c.distance(d) > 1 and not crossed:
            break
    figure = Figure(points={"A": a, "B": b, "C": c, "D": d})
    ours = traces_of(figure, Equidistant((SegmentOf("A", "B"), SegmentOf("C", "D")))).curves
    theirs = pyvoronoi.Pyvoronoi(1000)
    theirs.AddSegment([list(a), list(b)])
    theirs.AddSegment([list(c), list(d)])
    theirs.Construct()
    edges, cells, corners = theirs.GetEdges(), theirs.GetCells(), theirs.GetVertices()
    joints = set()
    for i, edge in enumerate(edges):
        mine, other = cells[edge.cell], cells[edges[edge.twin].cell]
        if mine.site == other.site or min(edge.start, edge.end) < 0:
            continue
        ends = [Point(corners[k].X, corners[k].Y) for k in (edge.start, edge.end)]
        if max(abs(v) for p in ends for v in p) > FAR:
            continue
        joints.update(ends)
        if edge.is_linear:
            middle = [Point((ends[0].x + ends[1].x) / 2, (ends[0].y + ends[1].y) / 2)]
        else:
            middle = [Point(*p) for p in theirs.DiscretizeCurvedEdge(i, 0.2)]
        for p in (*ends, *middle):
            assert min(curve.distance_to(p) for curve in ours) < 1e-7
    assert joints
    # Every place where our pieces join is one of their vertices.
    for curve in ours:
        for t in (curve.t0, curve.t1):
            end = curve.point_at(t) if math.isfinite(t) else Point(FAR, FAR)
            if max(map(abs, end)) < FAR / 2:
                assert min(end.distance(j) for j in joints) < 1e-7


FAR = 60.0  # cm: Boost's corners further off than this are left alone


def _side(a: Point, b: Point, p: Point) -> float:
    return (b - a).cross(p - a)
