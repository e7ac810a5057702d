"""Short arcs where sides, lines and other arcs run into them: what shows the method, what may."""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.marking.pupil import FRAME, Hand, on_paper, place, question
from tests.marking.test_arc_patterns import SIXTY, SSS, arc_at, first, meet
from tests.marking.test_centres import QUESTIONS, P, cross
from tests.marking.test_centres import place as point_of

from millimark.loci.conditions import (
    CircleOf,
    DrawLocus,
    Equidistant,
    PointOf,
    SegmentOf,
    TriangleOn,
)
from millimark.loci.constructions import Tangents
from millimark.loci.figure import Figure, GivenCircle
from millimark.loci.figures_on import SideTo
from millimark.marking.arc_or_side import own_line_aside
from millimark.marking.arcs_about import arcs_about
from millimark.marking.coverage import _Covered, _together
from millimark.marking.ink import STEP_MM, Ink, Piece, tangents
from millimark.marking.unfollowed import unfollowed
from millimark.plane.point import Point


def short(hand: Hand, centre: Point, at: Point, before_mm: float, after_mm: float) -> None:
    """An arc about ``centre`` from so far before a place on it to so far after it."""
    r = centre.distance(at)
    start = math.degrees((at - centre).angle() - before_mm / r)
    hand.arc(centre, r, start, math.degrees((before_mm + after_mm) / r), 0.45)


def triangle(half_mm: float | None, past_mm: float = 0.0, asked=SSS, sides=(50.0, 60.0)) -> Hand:
    """A triangle on AB with arcs of ``half_mm`` either side of its corner, and sides ruled on
    past it."""
    hand, p = Hand(noise=0.02), on_paper(asked)
    corner = meet(p["A"], sides[0], p["B"], sides[1])
    for end in (p["A"], p["B"]):
        if half_mm is not None:
            short(hand, end, corner, half_mm, half_mm)
        hand.line(end, corner + (corner - end).unit() * past_mm)
    return hand


@pytest.mark.parametrize("half_mm", [2.6, 3.5, 5.0])
@pytest.mark.parametrize("past_mm", [0.0, 3.0])
def test_arcs_of_five_to_ten_millimetres_are_seen_past_the_corner(half_mm, past_mm):
    assert first(triangle(half_mm, past_mm), SSS) == "awarded"


@pytest.mark.parametrize(
    ("past_mm", "decision"), [(0.0, "withheld"), (2.0, "teacher"), (5.0, "teacher")]
)
def test_sides_that_are_ruled_too_far_may_be_arcs_at_most(past_mm, decision):
    """At a corner of 79 degrees they run within 11 degrees of the arcs."""
    assert first(triangle(None, past_mm), SSS) == decision


WIDE = Figure({"A": Point(-3.9, -2), "B": Point(3.9, -2)}, segments=(("A", "B"),))
NEARLY_RIGHT = question(
    WIDE,
    DrawLocus(
        TriangleOn(SegmentOf("A", "B"), "C", (SideTo(PointOf("A"), 5.0), SideTo(PointOf("B"), 6.3)))
    ),
)
"""The angle at C is 86 degrees: each arc runs within 4 degrees of the other side."""


def test_an_arc_beside_a_side_is_a_stroke_of_its_own():
    """4 mm too long a radius, so that both can be told apart: it is judged, not left in doubt."""
    hand, p = Hand(noise=0.02), on_paper(NEARLY_RIGHT)
    corner = meet(p["A"], 51.0, p["B"], 64.3)
    for end in (p["A"], p["B"]):
        short(hand, end, corner, 7.0, 7.0)
        hand.line(end, meet(p["A"], 50.0, p["B"], 63.0))
    assert first(hand, NEARLY_RIGHT) == "awarded"


def test_nearly_right_angled_sides_alone_are_never_awarded_the_arcs():
    for past in (0.0, 2.0, 3.0, 4.0, 6.0):
        assert first(triangle(None, past, NEARLY_RIGHT, (50.0, 63.0)), NEARLY_RIGHT) != "awarded"


# --- places that cannot be seen -------------------------------------------------------------
def ruled_on(aside_mm: float) -> Ink:
    """A printed line ends at (0, 0); a line of 30 mm runs on from it, ``aside_mm`` below."""
    x = np.arange(4.0, 34.0, STEP_MM)
    xy = np.column_stack((x, np.full(len(x), aside_mm)))
    return Ink.of([Piece(xy, tangents(xy), np.full(len(xy), 0.02), 0.5, 0.5, 0, "line")])


@pytest.mark.parametrize("aside_mm", [-1.5, 0.0, 1.2])
def test_a_line_that_was_ruled_on_is_taken_where_it_is(aside_mm):
    ink, ahead = ruled_on(aside_mm), Point(1.0, 0.0)
    at = Point(20.0, 0.0)
    left = aside_mm if ahead.left().y > 0 else -aside_mm
    assert own_line_aside(ink, at, ahead, ()) == pytest.approx(left, abs=1e-6)
    assert own_line_aside(ink, at, ahead, (0,)) == 0.0
    assert own_line_aside(ink, Point(20.0, 20.0), ahead, ()) == 0.0


def test_a_centre_that_a_short_arc_does_not_fix_is_in_doubt():
    """7 mm of an arc of 30 mm, turned by 10 degrees: 5 mm off, or one end led aside by 0.6 mm."""
    for length, doubt in ((7.0, "unsure"), (30.0, "no")):
        t = np.arange(0.0, length / 30.0, STEP_MM / 30.0)
        turn = math.radians(10.0)
        xy = 30.0 * np.column_stack((np.cos(t), np.sin(t)))
        middle = xy[len(xy) // 2]
        turned = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
        xy = (xy - middle) @ turned.T + middle
        ink = Ink.of([Piece(xy, tangents(xy), np.full(len(xy), 0.02), 0.5, 0.5, 0, "arc")])
        (arcs,) = arcs_about(ink, Point(0.0, 0.0))
        assert arcs.centred == doubt


# --- second lines -----------------------------------------------------------------------------
def test_the_line_to_the_centre_is_no_second_tangent():
    given = GivenCircle("O", Point(-3, 0), 3.0, "O")
    circle = Figure({"O": Point(-3, 0), "P": Point(4, 0)}, circles=(given,))
    asked = question(circle, DrawLocus(Tangents(CircleOf("O"), PointOf("P"))), arcs=False)
    hand, p = Hand(), on_paper(asked)
    half = math.asin(30.0 / 70.0)
    for side in (-1.0, 1.0):
        way = Point(-math.cos(half), side * math.sin(half))
        hand.line(p["P"], p["P"] + way * (70.0 * math.cos(half) + 5.0))
    hand.line(p["P"], p["O"])
    assert [m.decision for m in hand.marked(asked).marks][-1] == "awarded"


# --- what passes for arcs, and what may be lost ------------------------------------------------
BISECTOR = question(WIDE, DrawLocus(Equidistant((PointOf("A"), PointOf("B")))))


def test_a_line_half_way_between_two_points_is_no_pair_of_arcs_about_them():
    """It touches the circles about both whose radius is half the way."""
    hand, p = Hand(noise=0.02), on_paper(BISECTOR)
    x = (p["A"].x + p["B"].x) / 2
    hand.line(Point(x, p["A"].y - 7.0), Point(x, p["A"].y + 7.0), 0.4)
    assert first(hand, BISECTOR) != "awarded"


@pytest.mark.parametrize(("darkness", "decision"), [(0.1, "teacher"), (0.3, "withheld")])
def test_arcs_may_be_lost_where_the_line_itself_is_pale(darkness, decision):
    hand, p = Hand(), on_paper(BISECTOR)
    x = (p["A"].x + p["B"].x) / 2
    hand.line(Point(x, p["A"].y - 40.0), Point(x, p["A"].y + 40.0), darkness)
    assert first(hand, BISECTOR) == decision


@pytest.mark.parametrize(("drawn", "decision"), [(True, "teacher"), (False, "withheld")])
def test_a_last_arc_that_was_not_traced_is_looked_for_where_it_would_cross(drawn, decision):
    """60 degrees: the step's arc about A is there, that about the cut is in the picture alone; the
    line is wrong and says nothing for it."""
    hand, p = Hand(noise=0.02), on_paper(SIXTY)
    cut = p["A"] + (p["B"] - p["A"]).unit() * 45.0
    tip = meet(p["A"], 45.0, cut, 45.0)
    arc_at(hand, p["A"], 45.0, cut)
    arc_at(hand, p["A"], 45.0, tip)
    hand.line(p["A"], Point(p["A"].x + 45.0, p["A"].y - 60.0))
    if drawn:
        short(hand, cut, tip, 1.9, 1.9)
        hand.strokes.pop()
    assert first(hand, SIXTY) == decision


def altitude(hand: Hand, corner: str, cuts_seen: bool = True, pair_seen: bool = True) -> None:
    """The line from a corner square to the opposite side, and the arcs that find it."""
    one, two = (P[name] for name in "ABC" if name != corner)
    along, top = (two - one).unit(), P[corner]
    foot = one + along * (top - one).dot(along)
    reach = top.distance(foot) + 5.0
    half = math.sqrt(reach**2 - top.distance(foot) ** 2)
    cuts = [foot - along * half, foot + along * half]
    tip = foot + (foot - top).unit() * math.sqrt(40.0**2 - half**2)
    for cut in cuts:
        if cuts_seen:
            arc_at(hand, top, reach, cut, half_mm=5.0)
        if pair_seen:
            arc_at(hand, cut, 40.0, tip, half_mm=4.0)
    hand.line(top, foot + (foot - top).unit() * 4.0, 0.4)


@pytest.mark.parametrize(("pair", "decision"), [(True, "teacher"), (False, "withheld")])
def test_a_crossing_past_the_end_of_a_line_speaks_for_arcs_whose_cuts_are_lost(pair, decision):
    """The cuts lie flat to a printed side; the crossing pair is plain. The cross that marks the
    orthocentre is no such pair."""
    hand, asked = Hand(noise=0.02), QUESTIONS["orthocentre"]
    altitude(hand, "C")
    altitude(hand, "A", cuts_seen=False, pair_seen=pair)
    circumcentre = point_of("circumcentre")
    total = P["A"] + P["B"] + P["C"]
    cross(hand, total - circumcentre * 2.0)
    marks = hand.marked(asked).marks
    assert [m.decision for m in marks[:2]] == ["awarded", decision]


# --- what a share is of -------------------------------------------------------------------------
def test_the_bounds_of_a_coverage_hold_it():
    """What is read generously may be carried on for less: that is no reason to withhold a mark."""
    part = _together([_Covered(100, plain=100, strict=95, generous=80, within=100, within_most=90)])
    assert part.low <= part.coverage <= part.high


def test_a_lone_cross_or_dot_was_followed():
    """A point that was marked is no drawing that could not be followed; a grainy line is."""
    asked = question(WIDE, DrawLocus(Equidistant((PointOf("A"), PointOf("B")))))
    hand, p = Hand(), on_paper(asked)
    at = Point((p["A"].x + p["B"].x) / 2, p["A"].y)
    hand.flat(lambda x, y: math.hypot(x - at.x, y - at.y) < 1.3, 0.6)
    frame, _ = hand.reading(asked, place(asked.figure))
    assert unfollowed(frame, FRAME[:2]) == 0.0
    hand.line(at, Point(at.x, at.y - 60.0))
    hand.strokes.clear()
    frame, _ = hand.reading(asked, place(asked.figure))
    assert unfollowed(frame, FRAME[:2]) > 0.5
