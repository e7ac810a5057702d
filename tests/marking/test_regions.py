"""Shading: on the right side of the pupil's own lines."""

from __future__ import annotations

import pytest
from tests.marking.pupil import Hand, on_paper, question, region

from millimark.loci.conditions import AllOf, Distance, Nearer, PointOf
from millimark.loci.figure import Figure
from millimark.plane.point import Point

AB = Figure({"A": Point(-4, 0), "B": Point(4, 0)}, segments=(("A", "B"),))
NEAR_A = AllOf((Nearer(PointOf("A"), (PointOf("B"),)), Distance(PointOf("A"), "<", 5.0)))
Q = question(AB, region(NEAR_A))
P = on_paper(Q)
A, M = P["A"], Point((P["A"].x + P["B"].x) / 2, P["A"].y)


def answer(shade, off=0.0, radius=50.0, flat=False, inset=1.0, spacing=3.0):
    """Own bisector moved by ``off``, own circle; shaded where ``shade`` (-1: right side) says."""
    hand = Hand()
    hand.line(Point(M.x + off, M.y - 62), Point(M.x + off, M.y + 62))
    hand.arc(A, radius)

    def inside(x, y):
        side = (x - M.x - off) * shade > inset
        return side and (x - A.x) ** 2 + (y - A.y) ** 2 < (radius - inset) ** 2

    if shade:
        hand.flat(inside) if flat else hand.hatch(inside, spacing)
    return hand.marked(Q)


def decisions(marks):
    return [m.decision for m in marks.marks]


@pytest.mark.parametrize("flat", [False, True])
def test_right_region(flat):
    marks = answer(-1, flat=flat)
    assert decisions(marks) == ["awarded", "awarded", "awarded"]
    assert marks.region.right_side
    assert marks.region.overlap > 0.85


@pytest.mark.parametrize("flat", [False, True])
def test_wrong_side(flat):
    marks = answer(1, flat=flat)
    assert decisions(marks) == ["awarded", "awarded", "withheld"]
    assert not marks.region.right_side
    assert "wrong-side" in [f.fault for f in marks.faults]


def test_boundary_only():
    marks = answer(0)
    assert decisions(marks) == ["awarded", "awarded", "withheld"]
    assert not marks.region.shaded


@pytest.mark.parametrize(("off", "radius"), [(7.0, 50.0), (0.0, 44.0)])
def test_follow_through_on_the_pupils_own_lines(off, radius):
    marks = answer(-1, off=off, radius=radius)
    assert decisions(marks).count("withheld") == 1
    assert marks.marks[2].decision == "awarded"
    assert marks.marks[2].follow_through


def test_region_needs_one_boundary():
    marks = answer(-1, off=9.0, radius=42.0)
    assert decisions(marks) == ["withheld"] * 3
    assert "needs one of" in marks.marks[2].reason


@pytest.mark.parametrize("spacing", [1.5, 3.0, 5.0, 6.5])
def test_hatching_wide_or_narrow(spacing):
    assert answer(-1, spacing=spacing).marks[2].decision == "awarded"


def test_hatching_that_overshoots_slightly():
    assert answer(-1, inset=-1.0).marks[2].decision == "awarded"


def test_the_whole_circle_shaded_is_not_awarded():
    hand = Hand()
    hand.line(Point(M.x, M.y - 62), Point(M.x, M.y + 62))
    hand.arc(A, 50.0)
    hand.hatch(lambda x, y: (x - A.x) ** 2 + (y - A.y) ** 2 < 49**2)
    marks = hand.marked(Q)
    assert marks.marks[2].decision != "awarded"
