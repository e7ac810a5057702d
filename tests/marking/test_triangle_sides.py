"""A triangle with one side of the wrong length: which side, and how much."""

from __future__ import annotations

import math

import pytest
from tests.marking.pupil import Hand, question
from tests.marking.test_mistakes import BASE, FIG, SIDES, A, P, apex

from millimark.loci.conditions import DrawLocus, TriangleOn
from millimark.loci.figures_on import AngleAtEnd, SideTo
from millimark.plane.point import Point

SIDE_ANGLE = question(FIG, DrawLocus(TriangleOn(BASE, "D", (SideTo(A, 4.0), AngleAtEnd(A, 50.0)))))


def told(asked, corner):
    hand = Hand(seed=3)
    for end in "AB":
        hand.line(P[end], corner)
    return [f for f in hand.marked(asked).faults if f.fault != "no-arcs"]


@pytest.mark.parametrize(
    ("a", "b", "side", "by"),
    [(46.0, 60.0, "AD", "6.0 mm too long"), (40.0, 54.5, "BD", "5.5 mm too short")],
)
def test_the_side_is_named_with_its_size(a, b, side, by):
    (fault,) = told(SIDES, apex(a, b))
    assert fault.fault == "arc-radius"
    assert f"The side {side} is" in fault.text
    assert fault.size_mm == pytest.approx(float(by.split()[0]), abs=0.4)
    assert by.split("mm ")[1] in fault.text


def test_a_side_beside_a_right_angle_at_its_end():
    way = math.radians(50.0)
    corner = P["A"] + Point(math.cos(way), -math.sin(way)) * 45.0
    (fault,) = told(SIDE_ANGLE, corner)
    assert (fault.fault, "AD" in fault.text) == ("arc-radius", True)
    assert fault.size_mm == pytest.approx(5.0, abs=0.4)


@pytest.mark.parametrize(("a", "b"), [(40.5, 59.4), (45.0, 65.0), (41.6, 58.6), (60.0, 40.0)])
def test_no_side_is_named_where_none_stands_out(a, b):
    assert "arc-radius" not in [f.fault for f in told(SIDES, apex(a, b))]
