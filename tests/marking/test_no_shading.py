"""What covers area and is no shading: a line ruled alone, and what is written beside it."""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.marking.pupil import Hand, on_paper, question, region

from millimark.loci.conditions import AllOf, Distance, Nearer, PointOf
from millimark.loci.figure import Figure
from millimark.marking.ink import Ink, pieces_of
from millimark.marking.ruled_alone import ruled_alone
from millimark.plane.point import Point

AB = Figure({"A": Point(-4, 0), "B": Point(4, 0)}, segments=(("A", "B"),))
Q = question(
    AB, region(AllOf((Nearer(PointOf("A"), (PointOf("B"),)), Distance(PointOf("A"), "<", 5.0))))
)
P = on_paper(Q)
A, M = P["A"], Point((P["A"].x + P["B"].x) / 2, P["A"].y)

FIVE_CM = (
    ((2.4, 0.0), (0.4, 0.0), (0.2, 1.8), (1.6, 1.6), (2.4, 2.7), (1.6, 4.0), (0.1, 3.9)),
    ((5.6, 1.6), (4.4, 1.4), (3.7, 2.6), (4.4, 3.9), (5.6, 3.7)),
    ((6.8, 4.0), (6.8, 1.5), (7.9, 1.6), (8.1, 4.0)),
    ((8.1, 2.0), (9.2, 1.6), (9.5, 4.0)),
)
"""'5cm', 4 mm high: its strokes, mm."""


def bounded():
    """The right bisector and circle, and nothing else."""
    hand = Hand()
    hand.line(Point(M.x, M.y - 62), Point(M.x, M.y + 62))
    hand.arc(A, 50.0)
    return hand


def radius(hand, degrees):
    """A radius ruled from A, and its length written beside it."""
    t = math.radians(degrees)
    end = Point(A.x + 49 * math.cos(t), A.y + 49 * math.sin(t))
    hand.line(A, end, 0.4)
    at = Point(A.x + 24 * math.cos(t) + 2.0, A.y + 24 * math.sin(t) + 3.0)
    for stroke in FIVE_CM:
        hand.path([(at.x + x, at.y + y) for x, y in stroke], 0.5)


def in_region(x, y):
    return x < M.x - 1 and (x - A.x) ** 2 + (y - A.y) ** 2 < 49**2


@pytest.mark.parametrize("degrees", [100.0, 160.0, 200.0])
def test_a_radius_and_its_length_are_no_shading(degrees):
    """It was handed to the teacher: 'your shading fills only 2 % of the region'."""
    hand = bounded()
    radius(hand, degrees)
    marks = hand.marked(Q)
    assert not marks.region.shaded
    assert marks.marks[2].decision == "withheld"
    assert "not-shaded" in [f.fault for f in marks.faults]


def test_a_radius_outside_the_region_takes_nothing_from_its_shading():
    """They were 35 % of the shading of a small region, all of it outside."""
    small = question(AB, region(AllOf((Distance(PointOf("A"), "<", 5.0),
                                       Distance(PointOf("B"), "<", 4.0)))))  # fmt: skip
    b, hand = P["B"], Hand()
    hand.arc(A, 50.0)
    hand.arc(b, 40.0)
    radius(hand, 120.0)

    def lens(x, y):
        return math.hypot(x - A.x, y - A.y) < 49.5 and math.hypot(x - b.x, y - b.y) < 39.5

    hand.hatch(lens, 5.0)
    marks = hand.marked(small)
    assert marks.region.inside > 0.95
    assert [m.decision for m in marks.marks] == ["awarded"] * 3


@pytest.mark.parametrize("apart", [3.0, 5.0, 8.0])
def test_two_strokes_side_by_side_are_not_passed_over(apart):
    """Part of the region is hatched."""
    hand = bounded()
    for k in (-0.5, 0.5):
        y = A.y + k * apart
        hand.line(Point(A.x - 30, y), Point(A.x + 30, y + 1.0), 0.4)
    free = Ink.of(pieces_of(hand.strokes[2:], 1.0))
    assert ruled_alone(free, {0, 1}) == frozenset()
    assert hand.marked(Q).marks[2].decision == "teacher"


def test_a_small_patch_of_tone_is_for_the_teacher():
    """As small as a label, but dense: part of the region was shaded."""
    hand = bounded()
    hand.flat(lambda x, y: abs(x - A.x + 24.0) < 6.0 and abs(y - A.y - 22.0) < 4.0, 0.3)
    marks = hand.marked(Q)
    assert marks.region.shaded
    assert marks.marks[2].decision == "teacher"


def test_a_small_patch_of_hatching_is_for_the_teacher():
    """Strokes longer than letters are."""
    hand = bounded()
    for k in range(4):
        hand.path([(A.x - 30 + 3.5 * k, A.y + 30), (A.x - 24 + 3.5 * k, A.y + 22)], 0.5)
    assert hand.marked(Q).marks[2].decision == "teacher"


def test_halves_of_one_line_are_no_company_for_each_other():
    hand = Hand()
    hand.line(Point(60, 100), Point(80, 110))
    hand.line(Point(84, 112), Point(104, 122))
    assert ruled_alone(Ink.of(pieces_of(hand.strokes, 1.0)), {0, 1}) == {0, 1}


def test_no_pencil_no_lines():
    assert ruled_alone(Ink.of([]), set()) == frozenset()


@pytest.mark.parametrize(("spacing", "decision"), [(4.0, "teacher"), (60.0, "withheld")])
def test_hatching_too_pale_to_be_traced_is_left_to_the_teacher(spacing, decision):
    """Strokes as pale as a hard, sharp pencil's; two of them are no hatching."""
    hand = bounded()
    traced = len(hand.strokes)
    for y in np.arange(-40.0, 41.0, spacing):
        left = A.x - math.sqrt(48.0**2 - y**2)
        hand.line(Point(left, A.y + y), Point(M.x - 2.0, A.y + y), 0.07)
    del hand.strokes[traced:]
    assert hand.marked(Q).marks[-1].decision == decision
