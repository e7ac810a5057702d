"""Measured quantities against closed forms, sympy's distances and fine samples."""

from __future__ import annotations

import math

import pytest
import sympy

from millimark.errors import NoAnswerError
from millimark.loci.conditions import (
    AllOf,
    AngleOf,
    AreaOf,
    AtDistance,
    BearingOf,
    CircleOf,
    DiscOf,
    Distance,
    Equidistant,
    Greatest,
    Inside,
    LengthOf,
    LineOf,
    MarkPoints,
    Measure,
    Nearer,
    PointOf,
    PolygonOf,
    PolylineOf,
    Quantity,
    RimPoint,
    SegmentOf,
    Shortest,
    SidesOf,
    SumOfDistances,
)
from millimark.loci.figure import Figure, GivenCircle
from millimark.loci.measuring import outline
from millimark.loci.solve import solve
from millimark.plane.curves import Curve
from millimark.plane.point import Point

FIGURE = Figure(
    points={
        "A": Point(0, 0),
        "B": Point(8, 0),
        "C": Point(8, 6),
        "D": Point(0, 6),
        "E": Point(20, 3),
        "F": Point(14, -5),
        "G": Point(16, 12),
    },
    circles=(GivenCircle("c", Point(20, 3), 2.0),),
)
A, B, C, D, E, F, G = (PointOf(x) for x in "ABCDEFG")
RECT = PolygonOf(("A", "B", "C", "D"))
AB = SegmentOf("A", "B")

VALUES: list[tuple[str, Quantity, float]] = [
    ("two points", Shortest(A, C), 10),
    ("a point and a line", Shortest(D, LineOf("A", "B")), 6),
    ("a point and a segment, past its end", Shortest(E, AB), math.hypot(12, 3)),
    ("a point and a polygon", Shortest(E, RECT), 12),
    ("a point inside a polygon", Shortest(A, Distance(A, "<=", 1)), 0),
    ("a point and a circle, from inside", Shortest(E, CircleOf("c")), 2),
    ("a point and a disc, from inside", Shortest(E, DiscOf("c")), 0),
    ("a point and a circle, from outside", Shortest(A, CircleOf("c")), math.hypot(20, 3) - 2),
    ("the same, farthest", Greatest(A, CircleOf("c")), math.hypot(20, 3) + 2),
    ("a circle and a polygon", Shortest(CircleOf("c"), RECT), 10),
    ("the same, farthest", Greatest(DiscOf("c"), RECT), math.hypot(20, 3) + 2),
    ("two segments that cross", Shortest(SegmentOf("A", "C"), SegmentOf("B", "D")), 0),
    ("parallel lines", Shortest(LineOf("A", "B"), LineOf("D", "C")), 6),
    ("lines that cross", Shortest(LineOf("A", "B"), LineOf("E", "F")), 0),
    ("two circles", Shortest(CircleOf("c"), AtDistance(A, 3)), math.hypot(20, 3) - 5),
    ("a circle inside another", Shortest(AtDistance(A, 3), AtDistance(A, 5)), 2),
    ("concentric circles, farthest", Greatest(AtDistance(A, 3), AtDistance(A, 5)), 8),
    ("regions that overlap", Shortest(RECT, Distance(A, "<", 2)), 0),
    ("regions that touch", Shortest(RECT, Distance(E, "<=", 12)), 0),
    ("a region and a point", Greatest(B, AllOf((Inside(RECT), Nearer(A, (B,))))), 10),
    ("to a half plane, farthest", Greatest(A, Nearer(A, (B,))), math.inf),
    ("outside a disc, farthest", Greatest(A, Distance(A, ">", 2)), math.inf),
    ("a parabola and its focus", Shortest(D, Equidistant((D, LineOf("A", "B")))), 3),
    ("a segment's length", LengthOf(SegmentOf("A", "C")), 10),
    ("a path's length", LengthOf(PolylineOf(("A", "B", "C"))), 14),
    ("round a polygon", LengthOf(RECT), 28),
    ("its sides", LengthOf(SidesOf(RECT.labels)), 28),
    ("round a circle", LengthOf(CircleOf("c")), 4 * math.pi),
    ("a locus", LengthOf(AtDistance(AB, 2)), 16 + 4 * math.pi),
    ("round a region", LengthOf(Distance(AB, "<", 2)), 16 + 4 * math.pi),
    ("a whole line", LengthOf(Equidistant((A, B))), math.inf),
    ("a cycloid", LengthOf(RimPoint(1, A, B)), 8),
    ("a polygon's area", AreaOf(RECT), 48),
    ("a disc's area", AreaOf(DiscOf("c")), 4 * math.pi),
    ("a region's area", AreaOf(Distance(AB, "<", 2)), 32 + 4 * math.pi),
    ("a right angle", AngleOf(A, B, C), 90),
    ("a straight angle", AngleOf(A, PointOf("B"), PointOf("A")), 0),
    ("an angle", AngleOf(B, A, C), math.degrees(math.atan2(6, 8))),
    ("due north", BearingOf(A, D), 0),
    ("due west", BearingOf(B, A), 270),
    ("a bearing", BearingOf(A, C), math.degrees(math.atan2(8, 6))),
]  # fmt: skip


@pytest.mark.parametrize("case", VALUES, ids=[c[0] for c in VALUES])
def test_value(case: tuple[str, Quantity, float]) -> None:
    _, quantity, expected = case
    found = solve(FIGURE, Measure(quantity)).measured
    assert found is not None
    assert found.value == pytest.approx(expected, rel=1e-9, abs=1e-9)
    if len(found.between) == 2 and found.unit == "cm":
        assert found.between[0].distance(found.between[1]) == pytest.approx(found.value, abs=1e-9)


PAIRS = [
    (SumOfDistances(A, B, 11), SumOfDistances(E, F, 12)),
    (SumOfDistances(A, B, 11), Equidistant((E, SegmentOf("F", "G")))),
    (Equidistant((E, CircleOf("c"))), AtDistance(RECT, 1.5)),
    (RimPoint(1, A, B), SumOfDistances(E, F, 12)),
    (SumOfDistances(A, C, 13), AtDistance(SegmentOf("E", "F"), 1.0)),
]


def finely(c: Curve) -> list[Point]:
    lo, hi = max(c.t0, -8), min(c.t1, 8)
    return [c.point_at(lo + (hi - lo) * i / 400) for i in range(401)]


@pytest.mark.parametrize(
    "pair", PAIRS, ids=lambda p: f"{type(p[0]).__name__}-{type(p[1]).__name__}"
)
def test_shortest_and_greatest_by_fine_samples(pair: tuple) -> None:
    one, two = (outline(FIGURE, x) for x in pair)
    ends = [[p for c in o.curves for p in finely(c)] for o in (one, two)]
    gaps = [p.distance(q) for p in ends[0] for q in ends[1]]
    short = solve(FIGURE, Measure(Shortest(*pair))).measured
    assert short is not None
    assert min(gaps) - 0.01 <= short.value <= min(gaps) + 1e-9
    long = solve(FIGURE, Measure(Greatest(*pair))).measured
    assert long is not None
    if math.isfinite(long.value):
        assert max(gaps) - 1e-9 <= long.value <= max(gaps) + 0.01


@pytest.mark.parametrize(("f", "g"), [("AC", "EF"), ("AB", "EF"), ("BD", "GE"), ("AD", "GF")])
def test_segments_as_sympy_has_them(f: str, g: str) -> None:
    one, two = (
        sympy.Segment(*(sympy.Point(*map(sympy.Rational, map(str, FIGURE.points[x]))) for x in s))
        for s in (f, g)
    )
    expected = min(*(one.distance(p) for p in two.points), *(two.distance(p) for p in one.points))
    found = solve(FIGURE, Measure(Shortest(SegmentOf(*f), SegmentOf(*g)))).measured
    assert found is not None
    assert found.value == pytest.approx(float(expected), rel=1e-9)


def test_what_cannot_be_measured_says_so() -> None:
    with pytest.raises(NoAnswerError, match="nothing to measure"):
        solve(FIGURE, Measure(Shortest(A, Distance(B, "<", 0))))
    with pytest.raises(NoAnswerError, match="no length"):
        solve(FIGURE, Measure(AngleOf(A, A, B)))
    with pytest.raises(NoAnswerError, match="one point"):
        solve(FIGURE, Measure(BearingOf(A, A)))


def test_a_tiny_figure_is_measured_in_its_own_size() -> None:
    k = 1e-6
    figure = FIGURE.scaled(k)
    for quantity, expected in (
        (Shortest(E, RECT), 12 * k),
        (AreaOf(RECT), 48 * k * k),
        (AngleOf(B, A, C), math.degrees(math.atan2(6, 8))),
    ):
        found = solve(figure, Measure(quantity)).measured
        assert found is not None
        assert found.value == pytest.approx(expected, rel=1e-9)


def test_points_on_several_loci() -> None:
    both = solve(FIGURE, MarkPoints((AtDistance(A, 5), AtDistance(B, 5))))
    assert both.special == "points"
    assert sorted(both.special_points) == [pytest.approx((4, -3)), pytest.approx((4, 3))]
    assert [e.name for e in both.elements] == [
        "circle, centre A, radius 5 cm",
        "circle, centre B, radius 5 cm",
    ]
    one = solve(FIGURE, MarkPoints((AtDistance(A, 5), AtDistance(B, 5)), Inside(RECT)))
    assert (one.special, one.special_points) == ("point", (pytest.approx((4, 3)),))
    three = MarkPoints((AtDistance(A, 5), AtDistance(B, 5), Equidistant((A, D))))
    assert solve(FIGURE, three).special_points == (pytest.approx((4, 3)),)
    none = solve(FIGURE, MarkPoints((AtDistance(A, 1), AtDistance(B, 1))))
    assert (none.special, none.special_points) == ("empty", ())
    same = solve(FIGURE, MarkPoints((AtDistance(A, 1), AtDistance(A, 1))))
    assert same.special == "curve"
    with pytest.raises(NoAnswerError, match="at least one"):
        solve(FIGURE, MarkPoints(()))
