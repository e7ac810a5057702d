"""Triangles, regular figures, angles, medians and equal parts on printed points.

Sources: sympy.geometry (Triangle by sss, sas and asa, RegularPolygon, medians, centroid), and
closed forms of Euclid's Elements (I.1, I.46, IV.11, IV.15, VI.9).
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st

from millimark.errors import NoAnswerError
from millimark.loci.answer import Answer
from millimark.loci.completing import corners_on, turn_of
from millimark.loci.conditions import (
    AngleOn,
    CircleOf,
    CopiedAngle,
    DrawLocus,
    EqualParts,
    Locus,
    MarkPoints,
    Median,
    PointOf,
    RayOf,
    RegularIn,
    RegularOn,
    SegmentOf,
    TriangleOn,
)
from millimark.loci.figure import Figure, GivenCircle
from millimark.loci.figures_on import AngleAtEnd, SideTo, Where
from millimark.loci.portable import as_json
from millimark.loci.solve import solve
from millimark.plane.curves import Ray, Segment
from millimark.plane.point import Point

A, B = PointOf("A"), PointOf("B")
AB = SegmentOf("A", "B")
FIGURE = Figure(
    {"A": Point(0, 0), "B": Point(6, 0), "C": Point(2, 5), "D": Point(1, -3), "O": Point(0, 0)},
    circles=(GivenCircle("O", Point(0, 0), 6.0, "O"),),
)
EXACT = 1e-12


def drawn(locus: Locus, figure: Figure = FIGURE) -> Answer:
    return solve(figure, DrawLocus(locus))


def triangle(*facts: SideTo | AngleAtEnd, where: Where = None) -> Point:
    one, two = facts
    return corners_on(FIGURE, TriangleOn(AB, "X", (one, two), where))[0]


def close(p: Point, x: object, y: object) -> bool:
    return math.hypot(p.x - float(sympy.N(x)), p.y - float(sympy.N(y))) < EXACT * 10


def test_sides_by_sympy() -> None:
    """sympy.geometry.Triangle(sss=...): base on the x axis from the origin."""
    corner = sympy.Triangle(sss=(6, 5, 4)).vertices[2]
    assert close(triangle(SideTo(A, 4), SideTo(B, 5)), corner.x, corner.y)


def test_two_sides_and_their_angle_by_sympy() -> None:
    corner = sympy.Triangle(sas=(4, 50, 6)).vertices[2]
    assert close(triangle(AngleAtEnd(A, 50), SideTo(A, 4)), corner.x, corner.y)


def test_two_angles_by_sympy() -> None:
    corner = sympy.Triangle(asa=(40, 6, 65)).vertices[2]
    assert close(triangle(AngleAtEnd(A, 40), AngleAtEnd(B, 65)), corner.x, corner.y)


def test_right_angle_hypotenuse_side_is_3_4_5_doubled() -> None:
    assert triangle(AngleAtEnd(B, 90), SideTo(A, 10)).distance(Point(6, 8)) < EXACT
    assert triangle(AngleAtEnd(A, 90), SideTo(B, 10), where="below").distance(Point(0, -8)) < EXACT


@given(
    st.floats(1, 20),
    st.floats(10, 80),
    st.floats(10, 80),
    st.sampled_from((None, "above", "below")),
)
def test_facts_of_a_known_triangle_give_it_back(
    base: float, at_a: float, at_b: float, where: Where
) -> None:
    """SSS, SAS and ASA of one triangle agree (sine rule)."""
    figure = Figure({"A": Point(0, 0), "B": Point(base, 0)})
    third = math.sin(math.radians(at_a + at_b))
    from_a = base * math.sin(math.radians(at_b)) / third
    from_b = base * math.sin(math.radians(at_a)) / third
    pairs = (
        (SideTo(A, from_a), SideTo(B, from_b)),
        (AngleAtEnd(A, at_a), SideTo(A, from_a)),
        (AngleAtEnd(B, at_b), SideTo(B, from_b)),
        (AngleAtEnd(A, at_a), AngleAtEnd(B, at_b)),
    )
    found = [corners_on(figure, TriangleOn(AB, "X", facts, where))[0] for facts in pairs]
    assert all(p.distance(found[0]) < 1e-9 * (base + from_a + from_b) for p in found)
    assert (found[0].y < 0) == (where == "below")


def test_an_answer_is_the_two_sides_that_the_base_lacks() -> None:
    answer = drawn(TriangleOn(AB, "X", (SideTo(A, 5), SideTo(B, 5))))
    assert [type(c) for c in answer.curves] == [Segment, Segment]
    assert answer.curves[0].start.distance(Point(6, 0)) < EXACT
    assert answer.curves[0].end.distance(Point(3, 4)) < EXACT
    assert answer.curves[1].end.distance(Point(0, 0)) < EXACT
    (element,) = answer.elements
    assert (element.name, element.kind) == ("triangle ABX", "path")


@pytest.mark.parametrize("corners", [3, 4, 5, 6, 7, 8, 12])
def test_regular_figures_on_a_side_by_sympy(corners: int) -> None:
    """RegularPolygon about the centre that the closed form of its apothem gives."""
    apothem = 3 / math.tan(math.pi / corners)
    radius = 3 / math.sin(math.pi / corners)
    start = -math.pi / 2 - math.pi / corners
    polygon = sympy.RegularPolygon(sympy.Point(3, apothem), radius, corners, start)
    wanted = [Point(float(v.x), float(v.y)) for v in polygon.vertices]
    found = [Point(0, 0), Point(6, 0), *corners_on(FIGURE, RegularOn(AB, corners))]
    assert len(found) == corners
    i = min(range(corners), key=lambda k: wanted[k].norm())  # sympy starts at any corner
    wanted = wanted[i:] + wanted[:i]
    assert all(p.distance(q) < 1e-9 for p, q in zip(found, wanted, strict=True))


def test_the_pentagon_has_golden_diagonals() -> None:
    """Euclid XIII.8: the diagonal is the side times (1 + √5) / 2."""
    third = corners_on(FIGURE, RegularOn(AB, 5))[0]
    assert third.distance(Point(0, 0)) == pytest.approx(3 * (1 + math.sqrt(5)), rel=EXACT)


def test_a_hexagon_in_a_circle_has_the_radius_as_side() -> None:
    """Euclid IV.15."""
    answer = drawn(RegularIn(CircleOf("O"), B, 6))
    assert len(answer.curves) == 6
    assert all(c.length == pytest.approx(6, rel=EXACT) for c in answer.curves)
    assert all(c.start.norm() == pytest.approx(6, rel=EXACT) for c in answer.curves)


def test_a_side_is_named_by_the_page_or_by_a_point() -> None:
    for where, sign in (("above", 1), ("below", -1), (PointOf("C"), 1), (PointOf("D"), -1)):
        assert turn_of(FIGURE, "A", "B", where) == sign
        assert turn_of(FIGURE, "B", "A", where) == -sign
    upright = Figure({"A": Point(0, 0), "B": Point(0, 6)})
    assert [turn_of(upright, "A", "B", w) for w in (None, "left", "right")] == [1, 1, -1]


@pytest.mark.parametrize("degrees", [15, 30, 45, 60, 90, 120, 135, 22.5])
def test_an_angle_is_one_ray(degrees: float) -> None:
    (ray,) = drawn(AngleOn(RayOf("A", "B"), degrees)).curves
    assert isinstance(ray, Ray)
    assert math.degrees(ray.direction.angle()) == pytest.approx(degrees, rel=EXACT)
    (other,) = drawn(AngleOn(RayOf("B", "A"), degrees, "below")).curves
    assert isinstance(other, Ray)
    assert math.degrees(other.direction.angle()) == pytest.approx(degrees - 180, rel=EXACT)


def test_a_copied_angle_is_as_large_as_its_like() -> None:
    copy = CopiedAngle((RayOf("A", "B"), RayOf("A", "C")), RayOf("B", "A"))
    (ray,) = drawn(copy).curves
    assert isinstance(ray, Ray)
    assert math.pi - ray.direction.angle() == pytest.approx(math.atan2(5, 2), rel=EXACT)


def test_medians_and_centroid_by_sympy() -> None:
    t = sympy.Triangle(sympy.Point(0, 0), sympy.Point(6, 0), sympy.Point(2, 5))
    for of, side in (("A", ("B", "C")), ("B", ("A", "C")), ("C", ("A", "B"))):
        (line,) = drawn(Median(PointOf(of), SegmentOf(*side))).curves
        p = FIGURE.points[of]
        median = t.medians[sympy.Point(int(p.x), int(p.y))]
        assert line.length == pytest.approx(float(median.length), rel=EXACT)
    two = Median(A, SegmentOf("B", "C")), Median(B, SegmentOf("A", "C"))
    (centroid,) = solve(FIGURE, MarkPoints(two)).special_points
    assert centroid.distance(Point(float(t.centroid.x), float(t.centroid.y))) < EXACT * 10


@pytest.mark.parametrize("parts", [2, 3, 5, 7, 100])
def test_equal_parts_are_equal(parts: int) -> None:
    answer = solve(FIGURE, MarkPoints((EqualParts(SegmentOf("A", "C"), parts),)))
    ends = [Point(0, 0), *answer.special_points, Point(2, 5)]
    steps = [p.distance(q) for p, q in pairwise(ends)]
    assert len(steps) == parts
    assert steps == pytest.approx([math.sqrt(29) / parts] * parts, rel=1e-12)
    assert as_json(answer)["special"] == ("point" if parts == 2 else "points")


REFUSED: list[tuple[Locus, str]] = [
    (TriangleOn(AB, "X", (SideTo(A, 2), SideTo(B, 3))), "together longer"),
    (TriangleOn(AB, "X", (SideTo(A, 2), SideTo(B, 4))), "together longer"),
    (TriangleOn(AB, "X", (SideTo(A, 0), SideTo(B, 4))), "of 0 cm"),
    (TriangleOn(AB, "X", (SideTo(A, math.inf), SideTo(B, 4))), "of inf cm"),
    (TriangleOn(AB, "X", (AngleAtEnd(A, 100), AngleAtEnd(B, 80))), "never meet"),
    (TriangleOn(AB, "X", (AngleAtEnd(A, 180), AngleAtEnd(B, 80))), "makes no triangle"),
    (TriangleOn(AB, "X", (AngleAtEnd(A, 30), SideTo(B, 4))), "Two triangles"),
    (TriangleOn(AB, "X", (AngleAtEnd(A, 30), SideTo(B, 2))), "No triangle"),
    (TriangleOn(AB, "X", (AngleAtEnd(B, 90), SideTo(A, 6))), "No triangle"),
    (TriangleOn(AB, "X", (SideTo(A, 4), SideTo(A, 4))), "fix X"),
    (TriangleOn(AB, "X", (SideTo(PointOf("C"), 4), SideTo(A, 4))), "fix X"),
    (TriangleOn(AB, "X", (SideTo(A, 5), SideTo(B, 5)), B), "neither side"),
    (TriangleOn(AB, "X", (SideTo(A, 5), SideTo(B, 5)), "left"), "neither side"),
    (TriangleOn(SegmentOf("A", "O"), "X", (SideTo(A, 5), SideTo(PointOf("O"), 5))), "one point"),
    (RegularOn(AB, 2), "2 corners"),
    (RegularOn(AB, 101), "101 corners"),
    (RegularOn(SegmentOf("A", "O"), 4), "one point"),
    (RegularIn(CircleOf("O"), PointOf("C"), 6), "not on the circle"),
    (AngleOn(RayOf("A", "B"), 0), "cannot be drawn"),
    (AngleOn(RayOf("A", "B"), 180), "cannot be drawn"),
    (AngleOn(RayOf("A", "O"), 40), "one point"),
    (EqualParts(AB, 1), "1 parts"),
    (EqualParts(SegmentOf("A", "O"), 3), "one point"),
    (Median(PointOf("Z"), AB), "no point Z"),
]


@pytest.mark.parametrize(("locus", "said"), REFUSED, ids=lambda x: x if isinstance(x, str) else "")
def test_what_cannot_be_drawn_says_why(locus: Locus, said: str) -> None:
    with pytest.raises(NoAnswerError, match=said):
        drawn(locus)


def test_the_side_opposite_fits_once_where_it_is_tangent_or_long() -> None:
    """The ambiguous case: one triangle where the side just reaches the arm, or is no shorter than
    the base."""
    touching = triangle(AngleAtEnd(A, 30), SideTo(B, 3))
    assert touching.distance(Point(4.5, 3 * math.sqrt(3) / 2)) < 1e-6
    assert triangle(AngleAtEnd(A, 60), SideTo(B, 6)).distance(Point(3, 3 * math.sqrt(3))) < 1e-9


@pytest.mark.parametrize("k", [1e-6, 1.0, 1e5])
def test_size_does_not_matter(k: float) -> None:
    locus = TriangleOn(AB, "X", (SideTo(A, 5 * k), SideTo(B, 5 * k)))
    figure = Figure({"A": Point(0, 0), "B": Point(6 * k, 0)})
    answer = drawn(locus, figure)
    assert answer.curves[0].end.distance(Point(3 * k, 4 * k)) < 1e-9 * k
    assert answer.elements[0].name == "triangle ABX"
