"""Construction arcs: whatever radius was chosen, equal radii, right centres, real crossings."""

from __future__ import annotations

import math

import pytest
from tests.marking.pupil import Hand, on_paper, question

from millimark.loci.conditions import DrawLocus, Equidistant, PointOf
from millimark.loci.figure import Figure
from millimark.plane.point import Point

AB = Figure({"A": Point(-4, 0), "B": Point(4, 0)}, segments=(("A", "B"),))
BISECTOR = question(AB, DrawLocus(Equidistant((PointOf("A"), PointOf("B")))))
P = on_paper(BISECTOR)
A, B, M = P["A"], P["B"], Point((P["A"].x + P["B"].x) / 2, P["A"].y)


def ruled(hand, off=0.0):
    hand.line(Point(M.x + off, M.y - 50), Point(M.x + off, M.y + 50))
    return hand.marked(BISECTOR)


def first(marks):
    return marks.marks[0].decision


@pytest.mark.parametrize("radius", [43.0, 48.0, 55.0, 63.0, 75.0])
def test_any_radius_the_pupil_chose(radius):
    hand = Hand()
    hand.crossing_arcs(A, B, radius, radius)
    marks = ruled(hand)
    assert first(marks) == "awarded"
    assert marks.evidence[0].radii == pytest.approx((radius, radius), abs=0.1)


def test_whole_circles_are_arcs_too():
    hand = Hand()
    hand.arc(A, 50.0)
    hand.arc(B, 50.0)
    assert first(ruled(hand)) == "awarded"


def test_arcs_as_dark_as_the_answer():
    hand = Hand()
    hand.crossing_arcs(A, B, 55.0, 55.0, darkness=0.55)
    assert first(ruled(hand)) == "awarded"


@pytest.mark.parametrize(
    ("gap", "decision"), [(1.0, "awarded"), (3.0, "withheld"), (8.0, "withheld")]
)
def test_unequal_radii_are_judged_on_their_own(gap, decision):
    """A line may pass a 2 mm overlay although its arcs were unequal, so they are judged apart."""
    hand = Hand()
    hand.crossing_arcs(A, B, 55.0, 55.0 - gap)
    assert first(ruled(hand)) == decision


@pytest.mark.parametrize("slip", [0.5, 1.0, 2.0])
def test_shift_of_the_bisector_by_unequal_arcs(slip):
    """Outside value: arcs of radii r1, r2 shift the bisector by (r1² - r2²) / (2 AB); for AB
    80 mm, r 55 mm and slips of 0.5, 1 and 2 mm that is 0.35, 0.69 and 1.40 mm (computed)."""
    shift = (55.0**2 - (55.0 - slip) ** 2) / (2 * 80.0)
    assert shift == pytest.approx({0.5: 0.343, 1.0: 0.681, 2.0: 1.350}[slip], abs=0.002)
    hand = Hand(noise=0.02)
    hand.crossing_arcs(A, B, 55.0, 55.0 - slip)
    assert ruled(hand, shift).elements[0].offset_mm == pytest.approx(shift, abs=0.03)


def test_arcs_that_do_not_cross_are_no_method():
    hand = Hand()
    for c, towards in ((A, B), (B, A)):
        start = 0.0 if towards is B else 180.0
        hand.arc(c, 33.0, start - 25.0, 50.0)
    marks = ruled(hand)
    assert first(marks) == "withheld"
    assert "less than half" in marks.marks[0].reason


def test_arcs_on_one_side_only():
    hand = Hand()
    up = Point(M.x, M.y - (55.0**2 - 40.0**2) ** 0.5)
    for c in (A, B):
        middle = (up - c).angle() * 57.29578
        hand.arc(c, 55.0, middle - 8.0, 16.0)
    marks = ruled(hand)
    assert first(marks) == "withheld"
    assert "one side only" in marks.marks[0].reason


@pytest.mark.parametrize(("end", "decision"), [(198.5, "teacher"), (180.0, "withheld")])
def test_the_line_of_arcs_on_one_side_may_run_to_others_beyond_the_frame(end, decision):
    """Where there is no room on the other side, a second pair is struck further on along the
    line; the frame ends at 200 mm."""
    hand = Hand()
    down = Point(M.x, M.y + (55.0**2 - 40.0**2) ** 0.5)
    for c in (A, B):
        hand.arc(c, 55.0, math.degrees((down - c).angle()) - 8.0, 16.0)
    hand.line(Point(M.x, M.y - 20.0), Point(M.x, end))
    assert first(hand.marked(BISECTOR)) == decision


@pytest.mark.parametrize(
    ("along", "aside", "decision"), [(0.45, 0.0, "awarded"), (0.0, 2.8, "teacher")]
)
def test_a_needle_set_down_anew_for_each_place(along, aside, decision):
    """A's needle stood ``along`` AB before and behind its point: as one circle the arcs seem to be
    centred further off than it ever stood. Where it stood ``aside`` in both places, they are."""
    hand = Hand(noise=0.03)
    high = (41.0**2 - 40.0**2) ** 0.5
    for way in (-1.0, 1.0):
        at = Point(M.x, M.y + way * high)
        for needle in (Point(A.x + way * along, A.y + aside), B):
            half = math.degrees(5.0 / 41.0)
            hand.arc(needle, 41.0, math.degrees((at - needle).angle()) - half, 2 * half, 0.45)
    assert first(ruled(hand)) == decision


@pytest.mark.parametrize(
    ("radius", "decision"), [(74.0, "teacher"), (51.0, "withheld")], ids=["well apart", "near"]
)
def test_two_pairs_of_equal_arcs_on_one_side(radius, decision):
    """Where the paper ends on the other side, both pairs are struck on one with two openings: an
    uncommon way, which arcs of other bisectors may look like, so a person looks."""
    hand = Hand()
    for r in (46.0, radius):
        up = Point(M.x, M.y - (r**2 - 40.0**2) ** 0.5)
        for c in (A, B):
            hand.arc(c, r, math.degrees((up - c).angle()) - 7.0, 14.0)
    assert first(ruled(hand)) == decision


def test_arcs_centred_six_millimetres_off_are_not_about_the_points():
    hand = Hand()
    hand.crossing_arcs(Point(A.x, A.y + 6.0), Point(B.x, B.y + 6.0), 55.0, 55.0)
    assert first(ruled(hand)) == "withheld"


def test_no_arcs():
    marks = ruled(Hand())
    assert first(marks) == "withheld"
    assert not marks.evidence[0].found
    assert marks.marks[1].decision == "awarded"


def test_an_arc_three_millimetres_from_the_answer_is_not_the_answer():
    """A construction arc near the bisector's place: the ruled line is measured, not the arc."""
    hand = Hand()
    hand.crossing_arcs(A, B, 55.0, 55.0)
    hand.arc(Point(M.x - 97.0, M.y), 100.0, -20.0, 40.0, 0.4)
    assert ruled(hand).elements[0].worst_mm < 0.3


@pytest.mark.parametrize(("moved", "decision"), [(1.0, "awarded"), (1.9, "teacher")])
def test_a_needle_set_down_anew_for_the_other_side(moved, decision):
    """B's needle was put down again for the second crossing, a little along AB;
    its arcs have two radii about B, and the pair was withheld as crossing on one side only."""
    hand = Hand()
    ruled(hand)
    a, b = P["A"], P["B"]
    for c, toward in ((a, 0.0), (b, 180.0)):
        for side in (1, -1):
            start = toward + side * math.degrees(math.acos(40.0 / 55.0)) * (1 if c is a else -1)
            at = Point(c.x + (moved * side if c is b else 0.0), c.y)
            hand.arc(at, 55.0, start - 8.0, 16.0, 0.45)
    assert first(hand.marked(BISECTOR)) == decision


@pytest.mark.parametrize(("gap_mm", "radius"), [(8.0, 50.0), (30.0, 50.0), (8.0, 60.0)])
def test_arcs_of_unequal_radii_are_withheld_whatever_the_other_side_shows(gap_mm, radius):
    """An arc about B of another radius than A's that was lost near the crossing on the other side
    would not be equal there either."""
    hand = Hand()
    ruled(hand)
    along = (80.0**2 + 55.0**2 - radius**2) / 160.0
    high = math.sqrt(55.0**2 - along**2)
    for side in (1, -1):
        at = Point(A.x + along, A.y + side * high)
        turn = math.degrees((at - A).angle())
        hand.arc(A, 55.0, turn - 8.0, 16.0, 0.45)
        start = math.degrees((at - B).angle())
        gap = side * math.degrees(gap_mm / radius) if side > 0 else 4.5
        hand.arc(B, radius, start - gap, 9.0 * -side, 0.45)
    assert first(hand.marked(BISECTOR)) == "withheld"


@pytest.mark.parametrize(("gap_mm", "decision"), [(8.0, "teacher"), (30.0, "withheld")])
def test_arcs_that_come_near_each_other_on_the_other_side_are_for_the_teacher(gap_mm, decision):
    """A freehand answer ran into one of the upper arcs, which was lost near the
    crossing, and the method was withheld."""
    hand = Hand()
    ruled(hand)
    turn = math.degrees(math.acos(40.0 / 55.0))
    for side in (1, -1):
        hand.arc(A, 55.0, side * turn - 8.0, 16.0, 0.45)
    hand.arc(B, 55.0, 180.0 - turn - 8.0, 16.0, 0.45)
    short = math.degrees(gap_mm / 55.0)
    hand.arc(B, 55.0, 180.0 + turn + short, 9.0, 0.45)
    assert first(hand.marked(BISECTOR)) == decision
