"""Areas and lengths with a closed form, to 1e-9 relative (computed here from the formula)."""

from __future__ import annotations

import math

import pytest

from millimark.loci.conditions import (
    AllOf,
    AtDistance,
    CircleOf,
    DiscOf,
    Distance,
    DrawLocus,
    Equidistant,
    Inside,
    LineOf,
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

pytestmark = pytest.mark.filterwarnings("error")
A, B, C, D = Point(0, 0), Point(6, 0), Point(6, 4), Point(0, 4)
RECT = ("A", "B", "C", "D")
FIGURE = Figure(
    points={"A": A, "B": B, "C": C, "D": D}, circles=(GivenCircle("pond", Point(20, 0), 3.0),)
)
AB = SegmentOf("A", "B")


def length_of(ask: DrawLocus, figure: Figure = FIGURE) -> float:
    return math.fsum(c.length for c in solve(figure, ask).curves)


def measured(condition: object, figure: Figure = FIGURE) -> tuple[float, float]:
    region = solve(figure, ShadeRegion(condition)).region  # type: ignore[arg-type]
    assert region is not None
    return region.area, region.perimeter


def close(value: float) -> object:
    return pytest.approx(value, rel=1e-9)


def test_stadium() -> None:
    area, perimeter = measured(Distance(AB, "<", 2))
    assert area == close(24 + 4 * math.pi)
    assert perimeter == close(12 + 4 * math.pi)
    assert length_of(DrawLocus(AtDistance(AB, 2))) == close(12 + 4 * math.pi)


def test_ring_outside_a_rectangle() -> None:
    rect = PolygonOf(RECT)
    area, _ = measured(AllOf((Distance(rect, "<", 2), Not(Inside(rect, strict=False)))))
    assert area == close(40 + 4 * math.pi)
    assert length_of(DrawLocus(AtDistance(rect, 2))) == close(20 + 4 * math.pi)


def test_band_inside_a_rectangle() -> None:
    """Within 1 cm of the sides, inside: 6 x 4 less 4 x 2."""
    sides, rect = SidesOf(RECT), PolygonOf(RECT)
    area, _ = measured(AllOf((Distance(sides, "<", 1), Inside(rect))))
    assert area == close(24 - 8)
    assert length_of(DrawLocus(AtDistance(sides, 1), Inside(rect))) == close(12)


@pytest.mark.parametrize(
    ("r1", "r2", "d", "expected"),
    [
        (1, 1, 1, 2 * math.pi / 3 - math.sqrt(3) / 2),
        # 6.6416746627 for radii 3 and 4, 5 apart: the right angle between the radii.
        (3, 4, 5, 9 * math.acos(3 / 5) + 16 * math.acos(4 / 5) - 12),
    ],
)
def test_lens(r1: float, r2: float, d: float, expected: float) -> None:
    figure = Figure(points={"A": A, "B": Point(d, 0)})
    area, _ = measured(
        AllOf((Distance(PointOf("A"), "<=", r1), Distance(PointOf("B"), "<=", r2))), figure
    )
    assert area == close(expected)


def test_shed_outside_rope_free_ring() -> None:
    """A pond of radius 3 with a path of 2 round it: pi (5² - 3²); inside it pi (3² - 1²)."""
    pond = CircleOf("pond")
    assert measured(Distance(pond, "<=", 2))[0] == close(math.pi * 24)
    outer = AllOf((Distance(DiscOf("pond"), "<=", 2), Not(Inside(pond, strict=False))))
    assert measured(outer)[0] == close(math.pi * 16)


def test_half_a_disc_by_a_bisector() -> None:
    """r² acos(h / r) - h sqrt(r² - h²), the segment of a circle."""
    r, h = 4.0, 3.0
    condition = AllOf((Distance(PointOf("A"), "<", r), Nearer(PointOf("B"), (PointOf("A"),))))
    assert measured(condition)[0] == close(r * r * math.acos(h / r) - h * math.sqrt(r * r - h * h))


def test_a_parabola_cut_at_its_latus_rectum() -> None:
    """Nearer to the focus than to the directrix, within the latus rectum: 8 f² / 3."""
    f = 1.5
    figure = Figure(
        points={
            "F": Point(0, f),
            "P": Point(-9, -f),
            "Q": Point(9, -f),
            "M": Point(20, f),
        }
    )
    inside = AllOf(
        (
            Nearer(PointOf("F"), (LineOf("P", "Q"),)),
            SameSide(LineOf("F", "M"), PointOf("P")),
        )
    )
    assert measured(inside, figure)[0] == close(8 * f * f / 3)


def test_bisectors_of_the_angles_of_a_3_4_5_triangle_meet_at_the_incentre() -> None:
    figure = Figure(points={"A": Point(0, 0), "B": Point(4, 0), "C": Point(0, 3)})
    at_a = solve(figure, DrawLocus(Equidistant((RayOf("A", "B"), RayOf("A", "C"))))).curves
    at_b = solve(figure, DrawLocus(Equidistant((RayOf("B", "A"), RayOf("B", "C"))))).curves
    incentre = Point(1, 1)  # inradius 1
    assert at_a[0].distance_to(incentre) < 1e-12
    assert at_b[0].distance_to(incentre) < 1e-12


@pytest.mark.parametrize(
    ("a", "b", "c", "expected"),
    [(3, 4, 5, 2.5), (5, 12, 13, 6.5), (13, 14, 15, 8.125), (5, 6, 7, 3.5721725416)],
)
def test_circumcentre(a: float, b: float, c: float, expected: float) -> None:
    """Circumradii R = abc / 4K (computed)."""
    x = (c * c + b * b - a * a) / (2 * c)
    figure = Figure(
        points={"A": Point(0, 0), "B": Point(c, 0), "C": Point(x, math.sqrt(b * b - x * x))}
    )
    answer = solve(figure, DrawLocus(Equidistant(tuple(PointOf(p) for p in "ABC"))))
    assert answer.special == "point"
    (centre,) = answer.special_points
    for label in "ABC":
        assert centre.distance(figure.points[label]) == pytest.approx(expected, rel=1e-9)
