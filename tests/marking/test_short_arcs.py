"""Construction arcs of a few millimetres across other lines: in the picture, but in no stroke."""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.marking.pupil import Hand, on_paper, question

from millimark.loci.conditions import DrawLocus, Equidistant, PointOf, RayOf
from millimark.loci.figure import Figure
from millimark.plane.point import Point

AB = Figure({"A": Point(-4, 0), "B": Point(4, 0)}, segments=(("A", "B"),))
BISECTOR = question(AB, DrawLocus(Equidistant((PointOf("A"), PointOf("B")))))
P = on_paper(BISECTOR)
A, B, M = P["A"], P["B"], Point((P["A"].x + P["B"].x) / 2, P["A"].y)


def untraced_arc(hand: Hand, centre: Point, at: Point, length: float = 7.0) -> None:
    """An arc of ``length`` mm about a centre with its middle ``at`` a place, which no stroke was
    traced through."""
    radius = centre.distance(at)
    half = math.degrees(length / 2 / radius)
    hand.arc(centre, radius, math.degrees((at - centre).angle()) - half, 2 * half)
    hand.strokes.pop()


def ruled(up: float, down: float, mismatch: float = 0.0, length: float = 7.0):
    """The perpendicular bisector with arcs that cross ``up`` and ``down`` mm from AB on it (no arcs
    for 0); those about B are ``mismatch`` mm larger."""
    hand = Hand()
    for high in (-up, down):
        if high:
            at = Point(M.x, M.y + high)
            untraced_arc(hand, A, at, length)
            untraced_arc(hand, B, at - (at - B).unit() * -mismatch, length)
    hand.line(Point(M.x, M.y - 50), Point(M.x, M.y + 50))
    return hand.marked(BISECTOR).marks[0].decision


@pytest.mark.parametrize("length", [6.5, 8.0, 12.0])
@pytest.mark.parametrize("up", [25.0, 40.0])
def test_short_arcs_on_both_sides_show_the_method(up, length):
    assert ruled(up, up, length=length) == "awarded"


@pytest.mark.parametrize("up", [12.0, 16.0, 20.0])
def test_short_arcs_that_the_line_cuts_at_a_small_angle_show_the_method(up):
    """Only their ends are clear of it."""
    assert ruled(up, up, length=8.0) == "awarded"


@pytest.mark.parametrize("up", [12.0, 20.0])
def test_such_arcs_on_one_side_do_not(up):
    assert ruled(up, 0.0, length=8.0) != "awarded"


def traced_above(up: float, below: dict[str, float], mismatch: float = 0.0) -> str:
    """The bisector with long arcs that cross ``up`` mm above AB, and short ones that no stroke was
    traced through ``below`` it, of so many mm by the letter of their centre; those about B are
    ``mismatch`` mm larger."""
    hand = Hand()
    for centre, name, more in ((A, "A", 0.0), (B, "B", mismatch)):
        at = Point(M.x, M.y - up)
        radius = centre.distance(at) + more
        half = math.degrees(7.0 / radius)
        hand.arc(centre, radius, math.degrees((at - centre).angle()) - half, 2 * half)
        at = Point(M.x, M.y + up)
        if name in below:
            untraced_arc(hand, centre, at + (at - centre).unit() * more, below[name])
    hand.line(Point(M.x, M.y - 50), Point(M.x, M.y + 50))
    return hand.marked(BISECTOR).marks[0].decision


@pytest.mark.parametrize("length", [4.5, 5.5])
@pytest.mark.parametrize("up", [20.0, 40.0])
def test_the_limbs_of_very_short_arcs_show_the_other_crossing(up, length):
    assert traced_above(up, {"A": length, "B": length}) == "awarded"


@pytest.mark.parametrize("up", [20.0, 40.0])
def test_the_limbs_of_one_arc_do_not(up):
    assert traced_above(up, {"A": 5.5}) != "awarded"


def test_lines_that_cross_by_chance_have_no_limbs():
    """Straight lines at angles of no circle about A or B, through the other crossing."""
    hand = Hand()
    for centre in (A, B):
        at = Point(M.x, M.y - 30.0)
        half = math.degrees(7.0 / centre.distance(at))
        hand.arc(centre, centre.distance(at), math.degrees((at - centre).angle()) - half, 2 * half)
    for turn in (10.0, 170.0):
        way = Point(math.cos(math.radians(turn)), math.sin(math.radians(turn))) * 4.0
        hand.line(Point(M.x, M.y + 30.0) - way, Point(M.x, M.y + 30.0) + way)
        hand.strokes.pop()
    hand.line(Point(M.x, M.y - 50), Point(M.x, M.y + 50))
    assert hand.marked(BISECTOR).marks[0].decision != "awarded"


@pytest.mark.parametrize("up", [20.0, 30.0])
def test_unequal_arcs_that_are_seen_whole_are_withheld(up):
    assert traced_above(up, {"A": 8.0, "B": 8.0}, 5.0) == "withheld"


def test_arcs_on_one_side_do_not():
    assert ruled(40.0, 0.0) != "awarded"


def test_no_arcs_are_none():
    assert ruled(0.0, 0.0) == "withheld"


@pytest.mark.parametrize("mismatch", [4.0, 7.0])
def test_radii_that_differ_are_not_awarded(mismatch):
    assert ruled(40.0, 40.0, mismatch) != "awarded"


def test_marks_beside_the_line_are_no_arcs():
    """Short straight marks at angles that no circle about A or B has there."""
    hand = Hand()
    for high in (-40.0, 40.0):
        for turn in (10.0, -15.0):
            at = np.array([M.x, M.y + high])
            way = np.array([math.cos(math.radians(turn)), math.sin(math.radians(turn))])
            hand.path([at - 3.5 * way, at + 3.5 * way])
            hand.strokes.pop()
    hand.line(Point(M.x, M.y - 50), Point(M.x, M.y + 50))
    assert hand.marked(BISECTOR).marks[0].decision != "awarded"


ARMS = Figure(
    {"A": Point(-5, -3), "B": Point(4, -3), "C": Point(0, 4)}, segments=(("A", "B"), ("A", "C"))
)
HALVES = question(ARMS, DrawLocus(Equidistant((RayOf("A", "B"), RayOf("A", "C")))))


def test_short_arcs_across_both_arms_and_at_the_crossing():
    places = on_paper(HALVES)
    vertex = places["A"]
    hand = Hand()
    cuts = [vertex + (places[n] - vertex).unit() * 35.0 for n in ("B", "C")]
    for cut in cuts:
        untraced_arc(hand, vertex, cut)
    middle = (places["B"] - vertex).unit() + (places["C"] - vertex).unit()
    far = vertex + middle.unit() * 62.0
    for cut in cuts:
        untraced_arc(hand, cut, far)
    hand.line(vertex, vertex + middle.unit() * 75.0)
    assert [m.decision for m in hand.marked(HALVES).marks] == ["awarded", "awarded"]


@pytest.mark.parametrize("width", [0.5, 0.7, 1.0])
def test_a_thick_line_alone_is_no_crossing_of_flat_arcs(width):
    """Beside the middle of a thick line its own pencil is dark where flat arcs would part from
    it."""
    hand = Hand()
    hand.flat(lambda x, y: abs(x - M.x) < width / 2 and abs(y - M.y) < 50.0, 0.7)
    hand.line(Point(M.x, M.y - 50), Point(M.x, M.y + 50), 0.7)
    assert hand.marked(BISECTOR).marks[0].decision == "withheld"


@pytest.mark.parametrize("high", [10.0, 14.0, 18.0])
def test_flat_arcs_along_the_line_are_never_none(high):
    """Arcs of little more than half of AB part from the line so slowly that none may be traced for
    itself."""
    hand = Hand()
    for up in (-high, high):
        for centre in (A, B):
            untraced_arc(hand, centre, Point(M.x, M.y + up), 20.0)
    hand.line(Point(M.x, M.y - 50), Point(M.x, M.y + 50))
    assert hand.marked(BISECTOR).marks[0].decision in ("teacher", "awarded")
