"""The centres of a triangle: any two of three lines, which all go through the point.

Source of the places: sympy.geometry's Triangle (centroid, circumcenter, incenter, orthocenter).
"""

from __future__ import annotations

import pytest
import sympy

from millimark.loci.answer import Answer
from millimark.loci.centres import centre_name, lines_of
from millimark.loci.conditions import (
    DrawLocus,
    Equidistant,
    LineOf,
    MarkPoints,
    PointOf,
    SegmentOf,
    TriangleCentre,
)
from millimark.loci.figure import Figure
from millimark.loci.pointed import points_name
from millimark.loci.solve import solve
from millimark.plane.point import Point

EXACT = 1e-9
CORNERS = {
    "acute": ((0, 0), (8, 0), (3, 5)),
    "obtuse": ((0, 0), (7, 0), (-3, 4)),
    "right": ((0, 0), (6, 0), (0, 8)),
}
SYMPY = {
    "centroid": "centroid",
    "circumcentre": "circumcenter",
    "incentre": "incenter",
    "orthocentre": "orthocenter",
}


def figure(corners: tuple[tuple[int, int], ...]) -> Figure:
    places = {n: Point(float(x), float(y)) for n, (x, y) in zip("ABC", corners, strict=True)}
    return Figure(places, polygons=(("A", "B", "C"),))


def marked(on: Figure, kind: str) -> Answer:
    centre = TriangleCentre(kind, ("A", "B", "C"))  # type: ignore[arg-type]
    return solve(on, MarkPoints(lines_of(centre)[:2], centre=centre))


@pytest.mark.parametrize("corners", CORNERS.values(), ids=CORNERS)
@pytest.mark.parametrize("kind", SYMPY)
def test_the_point_is_sympys_and_three_lines_go_through_it(
    kind: str, corners: tuple[tuple[int, int], ...]
) -> None:
    answer = marked(figure(corners), kind)
    there = getattr(sympy.Triangle(*(sympy.Point(*p) for p in corners)), SYMPY[kind])
    (at,) = answer.special_points
    assert at.distance(Point(float(there.x), float(there.y))) < EXACT
    lines = (*answer.elements, *answer.instead)
    assert (len(answer.elements), len({line.name for line in lines})) == (2, 3)
    for line in lines:
        assert min(c.distance_to(at) for c in line.curves) < EXACT
        assert min(c.distance_to(at) for c in line.needed) < EXACT
    assert points_name(answer) == f"{kind} of triangle ABC"


def test_a_large_figure_keeps_its_third_line() -> None:
    """Figures far from the ordinary are solved in a frame of their own and carried back."""
    answer = marked(figure(((0, 0), (8_000_000, 0), (3_000_000, 5_000_000))), "centroid")
    (third,) = answer.instead
    assert third.name == "median from C to AB"
    (at,) = answer.special_points
    assert third.curves[0].distance_to(at) < 1e7 * EXACT


def test_a_point_equally_far_from_three_points_or_three_sides_is_such_a_centre() -> None:
    on = figure(CORNERS["acute"])
    points = solve(on, DrawLocus(Equidistant((PointOf("A"), PointOf("B"), PointOf("C")))))
    assert [e.name for e in points.instead] == ["perpendicular bisector of AC"]
    assert points_name(points) == "point the same distance from A, B and C"
    ends = (("A", "B"), ("B", "C"), ("A", "C"))
    sides = solve(on, DrawLocus(Equidistant(tuple(SegmentOf(*side) for side in ends))))
    assert (len(sides.elements), len(sides.instead)) == (2, 1)
    assert points_name(sides) == "incentre of triangle ABC"


def test_what_is_no_centre_has_no_third_line() -> None:
    """Lines that the words name are wanted themselves; whole lines have four such points."""
    on = figure(CORNERS["acute"])
    named = solve(on, MarkPoints(lines_of(TriangleCentre("centroid", ("A", "B", "C")))[:2]))
    ends = (("A", "B"), ("B", "C"), ("A", "C"))
    four = solve(on, DrawLocus(Equidistant(tuple(LineOf(*side) for side in ends))))
    assert len(four.special_points) == 4
    for answer in (named, four):
        assert (answer.centre, answer.instead) == (None, ())
    assert points_name(named).startswith("point where the median from A to BC meets")


def test_the_name_of_three_points_needs_no_triangle() -> None:
    assert centre_name(TriangleCentre("equidistant", ("P", "Q", "R"))).endswith("P, Q and R")
