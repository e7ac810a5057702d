"""Connected parts, holes and parts that touch: closed forms by hand, no source."""

from __future__ import annotations

import math

import pytest

from millimark.loci.answer import RegionAnswer
from millimark.loci.conditions import (
    AllOf,
    AnyOf,
    Condition,
    Distance,
    Inside,
    LineOf,
    Nearer,
    Not,
    PointOf,
    PolygonOf,
    ShadeRegion,
    SidesOf,
)
from millimark.loci.figure import Figure
from millimark.loci.solve import solve
from millimark.plane.loops import area
from millimark.plane.point import Point

FIGURE = Figure(
    points={
        "A": Point(0, 0),
        "B": Point(6, 0),
        "C": Point(0, 5),
        "D": Point(2, 0),
        "K": Point(-3, -3),
        "L": Point(3, -3),
        "M": Point(3, 3),
        "N": Point(-3, 3),
    }
)
A, B, C, D = (PointOf(x) for x in "ABCD")
SQUARE = PolygonOf(("K", "L", "M", "N"))
AB, AC = LineOf("A", "B"), LineOf("A", "C")


def region(condition: Condition) -> RegionAnswer:
    found = solve(FIGURE, ShadeRegion(condition)).region
    assert found is not None
    return found


def areas(found: RegionAnswer) -> list[float]:
    return sorted(area(loop) for loop in found.loops)


def test_opposite_wedges_touch_at_the_crossing_but_are_two_parts() -> None:
    found = region(AllOf((Nearer(AB, (AC,)), Distance(A, "<", 3))))
    assert found.parts == 2
    assert areas(found) == pytest.approx([9 * math.pi / 4] * 2)


def test_discs_that_touch_outside_are_two_parts() -> None:
    found = region(AnyOf((Distance(A, "<", 2), Distance(B, "<", 4))))
    assert found.parts == 2
    assert areas(found) == pytest.approx([4 * math.pi, 16 * math.pi])


def test_a_crescent_of_discs_that_touch_inside_is_one_part() -> None:
    found = region(AllOf((Distance(A, "<", 4), Distance(D, ">", 2))))
    assert found.parts == 1
    assert found.area == pytest.approx(12 * math.pi)
    assert found.perimeter == pytest.approx(12 * math.pi)


def test_a_ring_has_a_hole() -> None:
    found = region(AllOf((Distance(A, "<", 4), Distance(A, ">", 2))))
    assert found.parts == 1
    assert areas(found) == pytest.approx([-4 * math.pi, 16 * math.pi])


def test_an_island_in_a_ring() -> None:
    ring = AllOf((Distance(A, "<", 4), Distance(A, ">", 2)))
    found = region(AnyOf((ring, Distance(A, "<", 1))))
    assert found.parts == 2
    assert found.area == pytest.approx(13 * math.pi)


def test_four_corners_of_a_square_outside_its_incircle_touch_in_pairs() -> None:
    """The circle touches each side: the corners meet only in those points."""
    found = region(AllOf((Inside(SQUARE), Distance(A, ">", 3))))
    assert found.parts == 4
    assert areas(found) == pytest.approx([9 - 9 * math.pi / 4] * 4)


def test_a_frame_is_one_part_with_a_hole() -> None:
    found = region(AllOf((Inside(SQUARE), Distance(SidesOf(SQUARE.labels), "<", 1))))
    assert found.parts == 1
    assert areas(found) == pytest.approx([-16, 36])


@pytest.mark.parametrize(
    ("condition", "parts"),
    [
        (Nearer(A, (B,)), 1),
        (Distance(A, ">", 2), 1),
        (Distance(AB, ">", 1), 2),
        (AllOf((Distance(AB, ">", 1), Distance(AC, ">", 1))), 4),
        (AnyOf((Distance(AB, "<", 1), Distance(AC, "<", 1))), 1),
        (Nearer(AB, (AC,)), 2),
        (Not(Nearer(AB, (AC,))), 2),
        (AnyOf((Distance(A, "<", 1), Distance(B, ">", 3))), 1),
        (AnyOf((Distance(B, "<", 1), Distance(B, ">", 3))), 2),
        (Nearer(C, (AB,)), 1),
        (AllOf((Distance(A, ">", 2), Distance(B, ">", 2), Distance(C, ">", 2))), 1),
    ],
    ids=str,
)
def test_parts_of_unbounded_regions(condition: Condition, parts: int) -> None:
    found = region(condition)
    assert not found.bounded
    assert found.area == math.inf
    assert found.parts == parts
