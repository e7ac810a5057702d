# ruff: noqa: E501 - one case a line reads as a table
"""Degenerate input, by name: the right special answer or a clear error.

What each case must give follows from the definition of the set asked for; no source.
"""

from __future__ import annotations

import math

import pytest

from millimark.errors import NoAnswerError
from millimark.loci.conditions import (
    AllOf,
    AnyOf,
    AtDistance,
    CircleOf,
    Condition,
    DiscOf,
    Distance,
    DrawLocus,
    Equidistant,
    Incircle,
    Inside,
    LineOf,
    Locus,
    Nearer,
    Not,
    PointOf,
    PolygonOf,
    RayOf,
    SameSide,
    SegmentOf,
    ShadeRegion,
    SidesOf,
)
from millimark.loci.figure import Figure, GivenCircle
from millimark.loci.solve import solve
from millimark.plane.point import Point

FIGURE = Figure(
    points={
        "A": Point(0, 0),
        "B": Point(8, 0),
        "C": Point(0, 6),
        "D": Point(8, 6),
        "M": Point(4, 0),  # on AB
        "O": Point(0, 0),  # at A
        "P": Point(2, 2),
        "T": Point(3, 0),  # on the circle c and on AB
        "E": Point(7, 2),
        "U": Point(11, 0),
        "V": Point(14, 0),
    },
    circles=(
        GivenCircle("c", Point(0, 0), 3.0),
        GivenCircle("dot", Point(2, 2), 0.0),
        GivenCircle("ring", Point(0, 0), 5.0),
        GivenCircle("twin", Point(0, 0), 3.0),
        GivenCircle("top", Point(4, 8), 2.0),  # touches CD
        GivenCircle("next", Point(8, 0), 5.0),
    ),
)
A, B, C, D, M, A2, P = (PointOf(x) for x in "ABCDMOP")
AB, AC, AM, OA = (SegmentOf(*x) for x in ("AB", "AC", "AM", "OA"))
RECT = PolygonOf(("A", "B", "D", "C"))
SIDES = SidesOf(("A", "B", "D", "C"))
TOP = CircleOf("top")
LINE_AB, LINE_AM, LINE_CD = LineOf("A", "B"), LineOf("A", "M"), LineOf("C", "D")


def both(*conditions: Condition) -> AllOf:
    return AllOf(conditions)


# name, condition, special, area (None: not looked at), single points
REGIONS: list[tuple[str, Condition, str | None, float | None, list[tuple[float, float]]]] = [
    ("discs that touch, at most", both(Distance(A, "<=", 4), Distance(B, "<=", 4)), "point", 0, [(4, 0)]),
    ("discs that touch, less than", both(Distance(A, "<", 4), Distance(B, "<=", 4)), "empty", 0, []),
    ("discs apart", both(Distance(A, "<=", 3), Distance(B, "<=", 4)), "empty", 0, []),
    ("disc inside a disc that it touches", both(Distance(A, "<", 6), Distance(P, "<", 6 - math.sqrt(8))), None, math.pi * (6 - math.sqrt(8)) ** 2, []),
    ("the same disc twice", both(Distance(A, "<", 3), Distance(A2, "<", 3)), None, 9 * math.pi, []),
    ("a disc and its complement", both(Distance(A, "<", 3), Not(Distance(A, "<", 3))), "empty", 0, []),
    ("a closed disc and its closed complement", both(Distance(A, "<=", 3), Distance(A, ">=", 3)), "curve", 0, []),
    ("a disc or its complement", AnyOf((Distance(A, "<", 3), Distance(A, ">=", 3))), "everything", math.inf, []),
    ("within 0 of a point", Distance(A, "<=", 0), "point", 0, [(0, 0)]),
    ("less than 0 from a point", Distance(A, "<", 0), "empty", 0, []),
    ("at least 0 from a point", Distance(A, ">=", 0), "everything", math.inf, []),
    ("more than 0 from a point", Distance(A, ">", 0), "everything", math.inf, []),
    ("within 0 of a segment", Distance(AB, "<=", 0), "curve", 0, []),
    ("less than 0 from a segment", Distance(AB, "<", 0), "empty", 0, []),
    ("within 0 of a polygon", Distance(RECT, "<=", 0), None, 48, []),
    ("within 0 of a polygon's sides", Distance(SIDES, "<=", 0), "curve", 0, []),
    ("from the middle of a 8 by 6 rectangle's sides, at least 3 and inside", both(Distance(SIDES, ">=", 3), Inside(RECT)), "curve", 0, []),
    ("from a rectangle's sides, at least 3.001 and inside", both(Distance(SIDES, ">=", 3.001), Inside(RECT)), "empty", 0, []),
    ("nearer to a point than to itself", Nearer(A, (A,)), "empty", 0, []),
    ("nearer or equal to a point than to itself", Nearer(A, (A2,), strict=False), "everything", math.inf, []),
    ("nearer to each of two", both(Nearer(A, (B,)), Nearer(B, (A,))), "empty", 0, []),
    ("as near to each of two", both(Nearer(A, (B,), False), Nearer(B, (A,), False)), "curve", 0, []),
    ("as near to A, B and C", both(Nearer(A, (B, C), False), Nearer(B, (A, C), False), Nearer(C, (A, B), False)), "point", 0, [(4, 3)]),
    ("nearest of none", Nearer(A, ()), "everything", math.inf, []),
    ("a point on the segment nearer than the segment", Nearer(M, (AB,)), "empty", 0, []),
    ("a point on the segment as near as the segment", Nearer(M, (AB,), False), "curve", None, []),
    ("an end of the segment as near as the segment", both(Nearer(A, (AB,), False), Distance(A, "<", 2)), None, 2 * math.pi, []),
    ("a triangle as near as the line of its side, beside that side", both(Nearer(PolygonOf(("A", "B", "C")), (LINE_AB,), False), Not(SameSide(LINE_AB, C)), Distance(M, "<=", 2)), None, 2 * math.pi, []),
    ("a segment inside another, as near", both(Nearer(AM, (AB,), False), Distance(M, "<", 2)), None, 2 * math.pi, []),
    ("a segment nearer than one inside it", both(Nearer(AB, (AM,)), Distance(M, "<", 2)), None, 2 * math.pi, []),
    ("a line nearer than itself", Nearer(LINE_AB, (LINE_AM,)), "empty", 0, []),
    ("a line nearer than a parallel, a strip", both(Nearer(LINE_AB, (LINE_CD,)), Inside(RECT)), None, 24, []),
    ("a segment between one point and itself", Distance(OA, "<", 2), None, 4 * math.pi, []),
    ("sides with a shared corner, behind it", both(Nearer(AB, (AC,), False), Nearer(AC, (AB,), False), Distance(A, "<=", 1)), None, math.pi / 4, []),
    ("circle of radius 0 with its inside", Inside(DiscOf("dot"), strict=False), "point", 0, [(2, 2)]),
    ("within 3 of a circle of radius 3, from its centre on", Distance(CircleOf("c"), "<=", 3), None, 36 * math.pi, []),
    ("at least 3 from a circle of radius 3, inside it", both(Distance(CircleOf("c"), ">=", 3), Inside(CircleOf("c"))), "point", 0, [(0, 0)]),
    ("more than 4 from a circle of radius 3, inside it", both(Distance(CircleOf("c"), ">", 4), Inside(CircleOf("c"))), "empty", 0, []),
    ("two single points", both(Distance(A, "<=", 5), Distance(B, "<=", 5), Distance(M, ">=", 3)), "points", 0, [(4, -3), (4, 3)]),
    ("everything, of no conditions", AllOf(()), "everything", math.inf, []),
    ("nothing, of no conditions", AnyOf(()), "empty", 0, []),
    ("rings that touch along a common circle", AnyOf((Distance(A, "<", 3), both(Distance(A, ">", 3), Distance(A, "<", 5)))), None, 25 * math.pi, []),
    ("polygon and half plane along its side", both(Inside(RECT), SameSide(LINE_AB, C)), None, 48, []),
    ("polygon and half plane beyond its side", both(Inside(RECT), Not(SameSide(LINE_AB, C))), "empty", 0, []),
    ("polygon closed and half plane closed beyond its side", both(Inside(RECT, False), Not(SameSide(LINE_AB, C))), "curve", 0, []),
    ("a bisector that is a side of the polygon", both(Inside(RECT), Nearer(P, (PointOf("B"),)), Distance(SIDES, "<", 9)), None, None, []),
    ("an unbounded half plane", Nearer(A, (B,)), None, math.inf, []),
    ("outside a disc", Distance(A, ">", 3), None, math.inf, []),
    ("a strip round a line", Distance(LINE_AB, "<", 1), None, math.inf, []),
    ("two strips crossed", both(Distance(LINE_AB, "<", 1), Distance(LineOf("A", "C"), "<", 1)), None, 4, []),
]  # fmt: skip


@pytest.mark.parametrize("case", REGIONS, ids=[c[0] for c in REGIONS])
def test_region(case: tuple[str, Condition, str | None, float | None, list]) -> None:
    _, condition, special, area, points = case
    answer = solve(FIGURE, ShadeRegion(condition))
    assert answer.special == special
    assert answer.region is not None
    if area is not None:
        assert answer.region.area == pytest.approx(area, rel=1e-9)
        if special is None:
            assert answer.region.bounded == math.isfinite(area)
    assert answer.region.empty == (special == "empty")
    found = sorted(answer.special_points)
    assert len(found) == len(points)
    for p, q in zip(found, sorted(points), strict=True):
        assert p == pytest.approx(q, abs=1e-7)


# name, locus, special, number of curves, their total length (None: not looked at), points
LOCI: list[tuple[str, Locus, str | None, int, float | None, int]] = [
    ("0 from a point", AtDistance(A, 0), "point", 0, None, 1),
    ("0 from a segment: the segment", AtDistance(AB, 0), None, 1, 8, 0),
    ("0 from a line: the line", AtDistance(LINE_AB, 0), None, 1, math.inf, 0),
    ("0 from a polygon: its sides", AtDistance(RECT, 0), None, 4, 28, 0),
    ("2 from a segment of no length", AtDistance(OA, 2), None, 1, 4 * math.pi, 0),
    ("3 from a circle of radius 3: a circle and its centre", AtDistance(CircleOf("c"), 3), None, 1, 12 * math.pi, 0),
    ("4 from a circle of radius 3: outside only", AtDistance(CircleOf("c"), 4), None, 1, 14 * math.pi, 0),
    ("2 from a circle of radius 0", AtDistance(CircleOf("dot"), 2), None, 1, 4 * math.pi, 0),
    ("equidistant from coincident points", Equidistant((A, A2)), "everything", 0, None, 0),
    ("equidistant from one line named twice", Equidistant((LINE_AB, LINE_AM)), "everything", 0, None, 0),
    ("equidistant from parallel lines", Equidistant((LINE_AB, LINE_CD)), None, 1, math.inf, 0),
    ("equidistant from crossing lines: both bisectors", Equidistant((LINE_AB, LineOf("A", "D"))), None, 2, math.inf, 0),
    ("equidistant from three points in a line", Equidistant((A, M, B)), "empty", 0, None, 0),
    ("equidistant from three points, two the same", Equidistant((A, A2, B)), None, 1, math.inf, 0),
    ("equidistant from three points", Equidistant((A, B, C)), "point", 0, None, 1),
    ("equidistant from four points of a rectangle", Equidistant((A, B, C, D)), "point", 0, None, 1),
    ("equidistant from four points not of a circle", Equidistant((A, B, C, P)), "empty", 0, None, 0),
    ("a point on a line and the line", Equidistant((M, LINE_AB)), None, 1, math.inf, 0),
    ("a point on a circle and the circle", Equidistant((PointOf("T"), CircleOf("c"))), None, 1, math.inf, 0),
    ("the centre and its circle", Equidistant((A, CircleOf("c"))), None, 1, 3 * math.pi, 0),
    ("concentric circles", Equidistant((CircleOf("c"), CircleOf("ring"))), None, 1, 8 * math.pi, 0),
    ("one circle named twice", Equidistant((CircleOf("c"), CircleOf("twin"))), "everything", 0, None, 0),
    ("circles that touch: a branch, and the join of the centres", Equidistant((CircleOf("c"), CircleOf("next"))), None, 2, math.inf, 0),
    ("segments apart on one line", Equidistant((AM, SegmentOf("U", "V"))), None, 1, math.inf, 0),
    ("segments end to end on one line", Equidistant((AM, SegmentOf("M", "B"))), None, 1, math.inf, 0),
    ("a line and a circle that touches it", Equidistant((LINE_CD, TOP)), None, 2, math.inf, 0),
    ("three lines of a triangle: four centres", Equidistant((LINE_AB, LineOf("A", "C"), LineOf("B", "C"))), "points", 0, None, 4),
    ("three parallel lines", Equidistant((LINE_AB, LINE_CD, LineOf("P", "E"))), "empty", 0, None, 0),
    ("the arms of a straight angle", Equidistant((RayOf("M", "A"), RayOf("M", "B"))), None, 1, math.inf, 0),
]  # fmt: skip


@pytest.mark.parametrize("case", LOCI, ids=[c[0] for c in LOCI])
def test_locus(case: tuple[str, Locus, str | None, int, float | None, int]) -> None:
    _, locus, special, curves, length, points = case
    answer = solve(FIGURE, DrawLocus(locus))
    assert answer.special == special
    assert len(answer.curves) == curves
    assert len(answer.special_points) == points
    if length is not None:
        assert math.fsum(c.length for c in answer.curves) == pytest.approx(length)


# name, ask, what the message must name
ERRORS: list[tuple[str, Locus, str]] = [
    ("a label that is not there", AtDistance(PointOf("Z"), 2), "Z"),
    ("a circle that is not there", AtDistance(CircleOf("moon"), 2), "moon"),
    ("a negative distance", AtDistance(A, -1), "-1"),
    ("a distance that is not a number", AtDistance(A, math.nan), "nan"),
    ("an infinite distance", AtDistance(A, math.inf), "inf"),
    ("a polygon of two corners", AtDistance(PolygonOf(("A", "B")), 1), "AB"),
    ("a segment and its own end: an area", Equidistant((A, AB)), "fill an area"),
    ("a segment and a part of it: an area", Equidistant((AB, AM)), "fill an area"),
    ("a polygon and its sides: an area", Equidistant((RECT, SIDES)), "fill an area"),
    (
        "a polygon whose sides cross",
        AtDistance(PolygonOf(("A", "B", "C", "D")), 1),
        "cross or touch",
    ),
    ("equidistant from one thing", Equidistant((A,)), "two"),
]


@pytest.mark.parametrize("case", ERRORS, ids=[c[0] for c in ERRORS])
def test_error(case: tuple[str, Locus, str]) -> None:
    _, locus, word = case
    with pytest.raises(NoAnswerError, match=word):
        solve(FIGURE, DrawLocus(locus))


def test_the_four_centres_of_a_triangle() -> None:
    """8, 6, 10: inradius 2, exradii 4, 6 and 12 (2K / (b + c - a) and so on, computed)."""
    sides = (LINE_AB, LineOf("A", "C"), LineOf("B", "C"))
    found = solve(FIGURE, DrawLocus(Equidistant(sides))).special_points
    assert sorted(abs(p.y) for p in found) == pytest.approx([2, 4, 6, 12])
    (circle,) = solve(FIGURE, DrawLocus(Incircle(("A", "B", "C")))).curves
    assert circle.point_at(0).distance(Point(2, 2)) == pytest.approx(2)


def test_the_side_of_a_line_that_a_point_is_on() -> None:
    with pytest.raises(NoAnswerError, match="M lies on the line AB"):
        solve(FIGURE, ShadeRegion(SameSide(LINE_AB, M)))


@pytest.mark.parametrize("size", [1e-9, 1e-6, 1e-3, 1.0, 1e3, 1e6, 1e9])
@pytest.mark.parametrize("shift", [0.0, 1e4])
def test_sizes(size: float, shift: float) -> None:
    """A stadium, a lens and a bisected angle at any size, and far from the origin."""
    k = size
    at = Point(shift * k, -shift * k)
    figure = Figure(points={x: p * k + at for x, p in FIGURE.points.items()})
    stadium = solve(figure, ShadeRegion(Distance(AB, "<", 2 * k))).region
    assert stadium is not None
    assert stadium.area == pytest.approx((32 + 4 * math.pi) * k * k, rel=1e-6)
    touching = solve(figure, ShadeRegion(both(Distance(A, "<=", 5 * k), Distance(B, "<=", 5 * k))))
    assert touching.region is not None
    exact = 2 * (25 * math.acos(0.8) - 12)
    assert touching.region.area == pytest.approx(exact * k * k, rel=1e-6)
    names = [e.name for e in solve(figure, DrawLocus(Equidistant((A, B)))).elements]
    assert names == ["perpendicular bisector of AB"]
