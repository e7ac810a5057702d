"""Ellipses, Apollonius, seen angles, standard lines and circles, and comparisons of them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from millimark.errors import NoAnswerError
from millimark.loci.conditions import (
    AllOf,
    AngleAt,
    AngleCompared,
    BearingBetween,
    CircleOf,
    Circumcircle,
    Condition,
    Distance,
    DrawLocus,
    Incircle,
    LineOf,
    Locus,
    OnBearing,
    Parallel,
    Perpendicular,
    PointOf,
    RatioCompared,
    RatioOfDistances,
    SameSide,
    ShadeRegion,
    Subtends,
    SumCompared,
    SumOfDistances,
    Tangents,
)
from millimark.loci.figure import Figure, GivenCircle
from millimark.loci.solve import solve
from millimark.plane.conics import EllipseArc
from millimark.plane.curves import Arc, Curve, Line, Ray, Segment
from millimark.plane.point import Point

FIGURE = Figure(
    points={
        "A": Point(0, 0),
        "B": Point(6, 0),
        "C": Point(2, 5),
        "M": Point(3, 0),
        "O": Point(0, 0),
        "P": Point(10, 1),
        "Q": Point(13, 1),
    },
    circles=(GivenCircle("c", Point(10, 1), 3.0),),
)
A, B, C, M, A2, P, Q = (PointOf(x) for x in "ABCMOPQ")
AB = LineOf("A", "B")


def curves(locus: Locus) -> tuple[Curve, ...]:
    return solve(FIGURE, DrawLocus(locus)).curves


def area(condition: Condition) -> float:
    region = solve(FIGURE, ShadeRegion(condition)).region
    assert region is not None
    return region.area


def points_of(c: Curve, n: int = 17) -> list[Point]:
    lo, hi = max(c.t0, -9), min(c.t1, 9)
    return [c.point_at(lo + (hi - lo) * (i + 0.5) / n) for i in range(n)]


def test_ellipse_by_its_sum() -> None:
    (e,) = curves(SumOfDistances(A, B, 10))
    assert isinstance(e, EllipseArc)
    assert (e.a, e.b) == (5, 4)
    for p in points_of(e):
        assert p.distance(Point(0, 0)) + p.distance(Point(6, 0)) == pytest.approx(10)
    assert area(SumCompared(A, B, "<", 10)) == pytest.approx(20 * math.pi, rel=1e-12)
    # Ramanujan's second approximation (from memory), good to 1e-7 here.
    h = (1 / 9) ** 2
    assert e.length == pytest.approx(
        math.pi * 9 * (1 + 3 * h / (10 + math.sqrt(4 - 3 * h))), rel=1e-9
    )


def test_degenerate_sums() -> None:
    assert curves(SumOfDistances(A, B, 6)) == (Segment(Point(0, 0), Point(6, 0)),)
    assert solve(FIGURE, DrawLocus(SumOfDistances(A, B, 5.9))).special == "empty"
    assert curves(SumOfDistances(A, A2, 6)) == (Arc(Point(0, 0), 3),)
    assert solve(FIGURE, DrawLocus(SumOfDistances(A, A2, 0))).special == "point"
    assert solve(FIGURE, ShadeRegion(SumCompared(A, B, "<=", 6))).special == "curve"
    assert solve(FIGURE, ShadeRegion(SumCompared(A, B, "<", 6))).special == "empty"


def test_apollonius() -> None:
    """A(0,0), B(6,0), PA = 2 PB: centre (8, 0), radius 4 (computed)."""
    (circle,) = curves(RatioOfDistances(A, B, 2))
    assert isinstance(circle, Arc)
    assert circle.centre == pytest.approx((8, 0), rel=1e-9)
    assert circle.radius == pytest.approx(4, rel=1e-9)
    assert area(RatioCompared(A, B, ">", 2)) == pytest.approx(16 * math.pi, rel=1e-9)
    half = solve(FIGURE, ShadeRegion(RatioCompared(A, B, "<", 2))).region
    assert half is not None
    assert not half.bounded


@given(st.floats(0.05, 20))
def test_every_ratio_holds_on_its_circle(ratio: float) -> None:
    for c in curves(RatioOfDistances(A, B, ratio)):
        for p in points_of(c):
            assert p.distance(Point(0, 0)) == pytest.approx(
                ratio * p.distance(Point(6, 0)), rel=1e-6
            )


def test_degenerate_ratios() -> None:
    (bisector,) = curves(RatioOfDistances(A, B, 1))
    assert isinstance(bisector, Line)
    assert solve(FIGURE, DrawLocus(RatioOfDistances(A, B, 0))).special == "point"
    with pytest.raises(NoAnswerError, match="-1"):
        solve(FIGURE, DrawLocus(RatioOfDistances(A, B, -1)))


@pytest.mark.parametrize("degrees", [20, 60, 90, 120, 170])
def test_seen_angle_by_the_law_of_cosines(degrees: float) -> None:
    for c in curves(Subtends(A, B, degrees)):
        for p in points_of(c):
            a, b = p.distance(Point(0, 0)), p.distance(Point(6, 0))
            cosine = (a * a + b * b - 36) / (2 * a * b)
            assert math.degrees(math.acos(cosine)) == pytest.approx(degrees, abs=1e-6)


def test_seen_angle_extremes() -> None:
    assert curves(Subtends(A, B, 90)) == (Arc(Point(3, 0), 3),)
    assert curves(Subtends(A, B, 180)) == (Segment(Point(0, 0), Point(6, 0)),)
    assert [c.kind for c in curves(Subtends(A, B, 0))] == ["ray", "ray"]
    with pytest.raises(NoAnswerError, match="200"):
        solve(FIGURE, DrawLocus(Subtends(A, B, 200)))
    with pytest.raises(NoAnswerError, match="one point"):
        solve(FIGURE, DrawLocus(Subtends(A, A2, 90)))


def test_regions_of_seen_angles() -> None:
    """More than 90: the disc on AB. More than 60: two circular segments of radius 6 / sqrt 3, each
    of central angle 240°: r²/2 (4 pi / 3 - sin 240°)."""
    assert area(AngleCompared(A, B, ">", 90)) == pytest.approx(9 * math.pi, rel=1e-9)
    r = 6 / math.sqrt(3)
    segment = r * r / 2 * (4 * math.pi / 3 - math.sin(4 * math.pi / 3))
    assert area(AngleCompared(A, B, ">", 60)) == pytest.approx(2 * segment, rel=1e-9)
    upper = AllOf((AngleCompared(A, B, ">", 60), SameSide(AB, C)))
    assert area(upper) == pytest.approx(segment, rel=1e-9)


def test_bearings() -> None:
    (east,) = curves(OnBearing(A, 90))
    assert isinstance(east, Ray)
    assert east.direction == pytest.approx((1, 0))
    (nw,) = curves(OnBearing(A, 315))
    assert nw.direction_at(0) == pytest.approx((-math.sqrt(0.5), math.sqrt(0.5)))
    wedge = AllOf((BearingBetween(A, 350, 50), Distance(A, "<", 3)))
    assert area(wedge) == pytest.approx(9 * math.pi * 60 / 360, rel=1e-9)
    most = AllOf((BearingBetween(A, 50, 350), Distance(A, "<", 3)))
    assert area(most) == pytest.approx(9 * math.pi * 300 / 360, rel=1e-9)
    with pytest.raises(NoAnswerError, match="enclose nothing"):
        solve(FIGURE, ShadeRegion(BearingBetween(A, 40, 400)))


def test_perpendiculars_and_parallels() -> None:
    (up,) = curves(Perpendicular(AB, C))
    assert isinstance(up, Line)
    assert (up.anchor, abs(up.direction.y)) == (Point(2, 5), 1)
    (level,) = curves(Parallel(AB, C))
    assert isinstance(level, Line)
    assert (level.anchor, abs(level.direction.x)) == (Point(2, 5), 1)
    names = [
        solve(FIGURE, DrawLocus(locus)).elements[0].name
        for locus in (Perpendicular(AB, A), Perpendicular(AB, C), Parallel(AB, C))
    ]
    assert names == [
        "perpendicular to AB at A",
        "perpendicular to AB through C",
        "parallel to AB through C",
    ]
    with pytest.raises(NoAnswerError, match="no line"):
        solve(FIGURE, DrawLocus(Parallel(LineOf("A", "O"), C)))


def test_angles_at_a_point() -> None:
    both = curves(AngleAt(A, B, 60))
    assert [c.direction_at(0).y > 0 for c in both] == [True, False]
    (one,) = curves(AngleAt(A, B, 60, towards=C))
    assert one.direction_at(0) == pytest.approx((0.5, math.sqrt(0.75)))
    assert len(curves(AngleAt(A, B, 0))) == 1
    assert len(curves(AngleAt(A, B, 180))) == 1
    with pytest.raises(NoAnswerError, match="neither side"):
        solve(FIGURE, DrawLocus(AngleAt(A, B, 60, towards=M)))


def test_tangents() -> None:
    """From (0, 0) to the circle about (10, 1) of radius 3: length sqrt(101 - 9)."""
    found = curves(Tangents(CircleOf("c"), A))
    assert [c.length for c in found] == pytest.approx([math.sqrt(92)] * 2)
    for c in found:
        radius = c.end - Point(10, 1)
        assert radius.norm() == pytest.approx(3)
        assert radius.dot(c.direction_at(0)) == pytest.approx(0, abs=1e-9)
    assert [c.kind for c in curves(Tangents(CircleOf("c"), Q))] == ["line"]
    assert solve(FIGURE, DrawLocus(Tangents(CircleOf("c"), P))).special == "empty"


@pytest.mark.parametrize(
    ("a", "b", "c", "inradius", "circumradius"),
    [
        (3, 4, 5, 1, 2.5),
        (5, 12, 13, 2, 6.5),
        (13, 14, 15, 4, 8.125),
        (5, 6, 7, 2 * math.sqrt(6) / 3, 35 / (4 * math.sqrt(6))),
    ],
)
def test_incircle_and_circumcircle(
    a: float, b: float, c: float, inradius: float, circumradius: float
) -> None:
    """r = K / s, R = abc / 4K (computed); 5-6-7 gives 1.6329931619 and 3.5721725416."""
    x = (c * c + b * b - a * a) / (2 * c)
    figure = Figure(
        points={"A": Point(0, 0), "B": Point(c, 0), "C": Point(x, math.sqrt(b * b - x * x))}
    )
    labels = ("A", "B", "C")
    (inner,) = solve(figure, DrawLocus(Incircle(labels))).curves
    (outer,) = solve(figure, DrawLocus(Circumcircle(labels))).curves
    assert isinstance(inner, Arc)
    assert isinstance(outer, Arc)
    assert inner.radius == pytest.approx(inradius, rel=1e-9)
    assert outer.radius == pytest.approx(circumradius, rel=1e-9)
    sides = [
        Segment(figure.points[p], figure.points[q]) for p, q in (("A", "B"), ("B", "C"), ("C", "A"))
    ]
    for side in sides:
        assert side.distance_to(inner.centre) == pytest.approx(inradius, rel=1e-9)
    for p in figure.points.values():
        assert p.distance(outer.centre) == pytest.approx(circumradius, rel=1e-9)


def test_triangles_on_a_line_have_neither() -> None:
    for locus in (Circumcircle(("A", "M", "B")), Incircle(("A", "M", "B"))):
        with pytest.raises(NoAnswerError, match="A, M, B lie on one line"):
            solve(FIGURE, DrawLocus(locus))
