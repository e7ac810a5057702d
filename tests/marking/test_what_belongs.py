"""Where lines, arcs and hatching run into each other: which pencil is the pupil's line."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from tests.marking.pupil import FRAME, Hand, on_paper, question, region
from tests.marking.test_arc_patterns import FROM, SSS, arc_at, meet

from millimark.loci.conditions import (
    AllOf,
    AtDistance,
    Distance,
    DrawLocus,
    Equidistant,
    LineOf,
    Nearer,
    PointOf,
    SegmentOf,
)
from millimark.loci.figure import Figure
from millimark.marking.arc_remains import remains_of
from millimark.marking.candidates import Candidate
from millimark.marking.ink import STEP_MM, Ink, Piece, tangents
from millimark.marking.line_ends import with_line_ends
from millimark.marking.matching import _rival
from millimark.marking.own_circle import OwnCircle
from millimark.marking.partings import parted
from millimark.plane.point import Point


def piece(xy: np.ndarray, shape: str = "line", stroke: int = 0) -> Piece:
    return Piece(xy, tangents(xy), np.full(len(xy), 0.02), 0.5, 0.5, stroke, shape)


def line(a: tuple[float, float], b: tuple[float, float], stroke: int = 0) -> Piece:
    n = round(math.dist(a, b) / STEP_MM) + 1
    return piece(np.linspace(a, b, n), "line", stroke)


# --- lines that part ---------------------------------------------------------------------
def bent(degrees: float) -> Piece:
    """40 mm along x, then 40 mm that turn aside."""
    way = np.array([math.cos(math.radians(degrees)), math.sin(math.radians(degrees))])
    first = line((0.0, 0.0), (40.0, 0.0)).xy
    return piece(np.concatenate((first, first[-1] + np.arange(1, 100)[:, None] * STEP_MM * way)))


def test_a_stroke_that_bends_where_another_line_begins_is_two():
    first, second, other = parted([bent(6.0), line((44.0, 0.1), (80.0, 0.1), 1)])
    assert first.length == pytest.approx(40.0, abs=2.0)
    assert np.abs(first.xy[:, 1]).max() < 0.1
    assert second.xy[-1, 1] == pytest.approx(bent(6.0).xy[-1, 1])
    assert other.stroke == 1


@pytest.mark.parametrize(
    "other",
    [
        line((44.0, 6.0), (80.0, 6.0), 1),  # begins elsewhere
        line((44.0, 0.5), (44.0, 30.0), 1),  # runs across
    ],
)
def test_a_bent_stroke_is_whole_where_no_line_goes_on_from_the_bend(other):
    assert len(parted([bent(6.0), other])) == 2


def test_an_arc_is_whole_though_a_line_begins_on_it():
    t = np.arange(0.0, 0.4, STEP_MM / 100.0)
    arc = piece(100.0 * np.column_stack((np.cos(t), np.sin(t))), "arc")
    middle = arc.xy[len(t) // 2]
    tangent = line(tuple(middle), tuple(middle + 30.0 * arc.tangent[len(t) // 2]), 1)
    assert len(parted([arc, tangent])) == 2


# --- ends of lines in other strokes --------------------------------------------------------
RULED = line((0.0, 0.0), (60.0, 0.0))


def joining(at: float, way_deg: float = 160.0, on_mm: float = 12.0) -> Piece:
    """A stroke that runs 15 mm aside from the place ``at`` on the x axis, the other way round, and
    on along the axis from there."""
    turn = math.radians(way_deg)
    aside = np.arange(1, 38)[:, None] * STEP_MM * np.array([math.cos(turn), math.sin(turn)])
    along = line((at + on_mm, 0.1), (at, 0.1)).xy
    return piece(np.concatenate((along, along[-1] + aside)), "arc", 1)


def test_what_goes_on_where_a_ruled_line_ends_is_that_line():
    first, other, end = with_line_ends([RULED, joining(61.0)])
    assert first is RULED
    assert end.shape == "line"
    assert end.length == pytest.approx(12.0, abs=1.0)
    assert other.length == pytest.approx(15.0, abs=1.0)


@pytest.mark.parametrize(
    "other",
    [
        joining(72.0),  # begins elsewhere
        joining(61.0, on_mm=4.0),  # too short to have a direction
        joining(61.0, way_deg=182.0),  # bends so little that all of it is the line
        joining(30.0),  # runs in the line
    ],
)
def test_a_stroke_that_does_not_go_on_from_a_line_is_whole(other):
    assert with_line_ends([RULED, other]) == [RULED, other]


def test_an_arc_that_ends_where_it_touches_a_line_is_whole():
    t = np.arange(-5.0 / 30.0, 1.0, STEP_MM / 30.0)
    arc = piece(np.column_stack((60.0 - 30.0 * np.sin(t), 30.0 - 30.0 * np.cos(t))), "arc", 1)
    assert len(with_line_ends([RULED, arc])) == 2


# --- the circle that the compasses drew -----------------------------------------------------
def circle_and(xy: np.ndarray, hatched: bool) -> bool:
    """Whether a stroke leaves the circle of 40 mm, of which half is drawn."""
    t = np.arange(0.0, math.pi, STEP_MM / 40.0)
    ink = Ink.of([piece(40.0 * np.column_stack((np.cos(t), np.sin(t))), "arc"), piece(xy)])
    own = OwnCircle.of(ink, (0,), hatched)
    assert own is not None
    return own.leaves(ink.pieces[1])


def test_a_stroke_that_runs_away_from_the_circle_leaves_it():
    away = line((40.0, 0.0), (36.5, -8.5)).xy  # 12 degrees inwards of the circle
    assert circle_and(away, hatched=True)


def test_compasses_that_slip_keep_to_their_circle():
    """A radius that grows by 6 mm in half a turn turns from its circle by less than 3 degrees."""
    t = np.arange(0.0, 0.8, STEP_MM / 40.0)
    slipped = (40.0 + 6.0 * t / math.pi)[:, None] * np.column_stack((np.cos(-t), np.sin(-t)))
    assert not circle_and(slipped, hatched=True)


def test_a_freehand_circle_says_nothing():
    t = np.arange(0.0, math.pi, STEP_MM / 40.0)
    r = 40.0 + 0.6 * np.sin(9.0 * t)
    wavy = piece(r[:, None] * np.column_stack((np.cos(t), np.sin(t))), "arc")
    assert OwnCircle.of(Ink.of([wavy]), (0,), hatched=True) is None


# --- arcs beyond lines ------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("first_deg", "off_mm", "remains"), [(14.0, 0.1, True), (14.0, 0.8, False), (24.0, 0.1, False)]
)
def test_what_carries_an_arc_on_beyond_a_line_is_its_rest(first_deg, off_mm, remains):
    """An arc of 40 mm ends at 10 degrees; the rest is 3 mm long."""

    def arc(radius: float, first: float, last: float) -> np.ndarray:
        t = np.arange(math.radians(first), math.radians(last), STEP_MM / radius)
        return radius * np.column_stack((np.cos(t), np.sin(t)))

    rest = arc(40.0 + off_mm, first_deg, first_deg + 4.5)
    across = line((39.0, 10.0), (10.0, 60.0), 2)
    ink = Ink.of([piece(arc(40.0, -10.0, 10.0), "arc"), piece(rest, "arc", 1), across])
    assert remains_of(ink, {0}) == (frozenset({1}) if remains else frozenset())


# --- on paper ---------------------------------------------------------------------------------
CENTRE = Figure({"A": Point(0, 0)})
CIRCLE = question(CENTRE, DrawLocus(AtDistance(PointOf("A"), 4.0)))


@pytest.mark.parametrize("start", [30.0, 150.0, 270.0, 350.0])
def test_a_slipped_circle_that_was_drawn_in_two_arcs_is_one_line(start):
    """The radius grows from 40 to 47 mm in one turn, with 30 degrees lifted: wherever the angles
    are counted from, the second arc goes on as the first one drifts."""
    hand, at = Hand(), on_paper(CIRCLE)["A"]
    for first, last in ((0.0, 150.0), (180.0, 340.0)):
        turn = np.radians(np.arange(first, last, 1.0))
        r = 40.0 + 7.0 * turn / (2.0 * math.pi)
        way = np.column_stack(
            (np.cos(turn + math.radians(start)), np.sin(turn + math.radians(start)))
        )
        hand.path(np.array(at) + r[:, None] * way)
    marks = hand.marked(CIRCLE)
    assert [m.decision for m in marks.marks] == ["awarded", "withheld"]
    assert marks.elements[0].worst_mm == pytest.approx(7.0 * 340.0 / 360.0, abs=0.4)
    assert [f.fault for f in marks.faults] == ["compasses-slipped"]


def test_an_arc_beside_a_slipped_circle_is_none_of_it():
    """The compasses slip over 200 degrees, by 6 mm for a whole turn, and then no more: where the
    slip would have led, another arc lies, 3 mm off all of the circle."""
    hand, at = Hand(), on_paper(CIRCLE)["A"]
    turn = np.radians(np.arange(0.0, 200.0, 1.0))
    r = 39.6 + 6.0 * turn / (2.0 * math.pi)
    hand.path(np.array(at) + r[:, None] * np.column_stack((np.cos(turn), np.sin(turn))))
    hand.arc(at, 42.9, 203.0, 154.0)
    hand.arc(at, 44.3, 5.0, 60.0, 0.5)
    assert hand.marked(CIRCLE).elements[0].worst_mm == pytest.approx(2.9, abs=0.3)


def test_short_arcs_of_other_circles_are_no_attempt_at_this_one():
    hand, at = Hand(), on_paper(CIRCLE)["A"]
    for way in (20.0, 110.0):
        turn = math.radians(way)
        hand.arc(Point(at.x + 26.0 * math.cos(turn), at.y + 26.0 * math.sin(turn)), 22.0, way, 50.0)
    assert not hand.marked(CIRCLE).elements[0].found


@pytest.mark.parametrize(("inside_mm", "second"), [(60.0, True), (30.0, False)])
def test_a_second_line_is_one_as_far_as_the_line_is_needed(inside_mm, second):
    """Of a whole circle 70 mm are needed: an arc beside these is a second answer."""
    main = Candidate((0,), 0, 250.0, 310.0, 0.2, 0.5, 0.1, 0.5, True)
    other = replace(main, pieces=(1,), score=40.0, inside_mm=inside_mm, deviation_mm=4.0)
    assert (_rival(main, [other], {0}, 70.0) is other) is second


def test_a_short_part_of_a_circle_does_not_say_how_the_compasses_would_have_slipped():
    """Over 30 mm the radius shrinks by 0.6 mm, and would by 5 mm in a whole turn: an arc that lies
    4.6 mm outside is none of it all the same."""
    hand, at = Hand(), on_paper(CIRCLE)["A"]
    turn = np.radians(np.arange(0.0, 44.0, 1.0))
    r = 40.3 - 0.8 * turn
    hand.path(np.array(at) + r[:, None] * np.column_stack((np.cos(turn), np.sin(turn))))
    hand.arc(at, 44.6, -28.0, 20.0, 0.4)
    assert hand.marked(CIRCLE).elements[0].worst_mm < 0.6


AB = Figure({"A": Point(-4, 0), "B": Point(4, 0)}, segments=(("A", "B"),))
STADIUM = question(AB, DrawLocus(AtDistance(SegmentOf("A", "B"), 2.0)))


@pytest.mark.parametrize("past_mm", [3.0, 7.0])
def test_the_compasses_arc_past_the_tangent_point_is_no_part_of_a_path(past_mm):
    hand, places = Hand(noise=0.0), on_paper(STADIUM)
    a, b = places["A"], places["B"]
    past = math.degrees(past_mm / 20.0)
    for side in (-20.0, 20.0):
        hand.line(Point(a.x, a.y + side), Point(b.x, b.y + side))
    hand.arc(a, 20.0, 90.0 - past, 180.0 + 2 * past)
    hand.arc(b, 20.0, -90.0 - past, 180.0 + 2 * past)
    marks = hand.marked(STADIUM)
    assert [m.decision for m in marks.marks] == ["awarded", "awarded"]
    assert marks.elements[0].worst_mm < 0.1


def test_a_whole_circle_where_half_of_one_is_wanted_counts_as_its_half():
    """The compasses were turned all round: the half inside is neither locus nor error."""
    hand, places = Hand(noise=0.0), on_paper(STADIUM)
    a, b = places["A"], places["B"]
    for side in (-20.0, 20.0):
        hand.line(Point(a.x, a.y + side), Point(b.x, b.y + side))
    hand.arc(a, 20.0, 20.0)
    hand.arc(b, 20.0, -90.0, 180.0)
    marks = hand.marked(STADIUM)
    assert [m.decision for m in marks.marks] == ["awarded", "awarded"]
    assert marks.elements[0].worst_mm < 0.1


def test_a_perpendicular_at_the_end_closes_no_gap_of_a_path_that_is_too_large():
    """It meets ends of the pupil's line on both sides, but the line runs on beside the path."""
    hand, places = Hand(noise=0.0), on_paper(STADIUM)
    a, b = places["A"], places["B"]
    for side in (-26.0, 26.0):
        hand.line(Point(a.x, a.y + side), Point(b.x, b.y + side))
    hand.arc(a, 26.0, 90.0, 180.0)
    hand.arc(b, 26.0, -90.0, 180.0)
    hand.line(Point(a.x, a.y - 26.0), Point(a.x, a.y + 26.0))
    assert hand.marked(STADIUM).elements[0].worst_mm == pytest.approx(6.0, abs=0.2)


def test_the_end_of_a_circle_along_a_stroke_of_hatching_is_not_where_it_runs():
    """A stroke traced as the circle's end, while its beginning runs on the circle there."""
    asked = question(CENTRE, region(Distance(PointOf("A"), "<", 4.0)))
    hand, at = Hand(noise=0.02), on_paper(asked)["A"]
    turn = np.radians(np.arange(-40.0, 330.0, 1.0))
    round_ = np.array(at) + 40.0 * np.column_stack((np.cos(turn), np.sin(turn)))
    end = round_[-1] + np.linspace(0.0, 1.0, 20)[:, None] * (round_[40] - round_[-1])
    hand.path(np.vstack((round_, end)))
    for y in np.arange(-36.0, 37.0, 4.0):
        half = math.sqrt(39.0**2 - y**2)
        hand.line(Point(at.x - half, at.y + y), Point(at.x + half, at.y + y), 0.4)
    marks = hand.marked(asked)
    assert [m.decision for m in marks.marks] == ["awarded", "awarded"]
    assert marks.elements[0].worst_mm < 0.6


def test_an_arc_that_finds_a_corner_is_no_side_of_the_triangle():
    """Only one side was ruled; the arc about A runs nearly as the missing one does."""
    hand, p = Hand(), on_paper(SSS)
    corner = meet(p["A"], 50.0, p["B"], 60.0)
    arc_at(hand, p["A"], 50.0, corner, half_mm=11.0)
    arc_at(hand, p["B"], 60.0, corner, half_mm=11.0)
    hand.line(p["A"], corner)
    marks = hand.marked(SSS)
    assert [m.decision for m in marks.marks] == ["awarded", "withheld"]
    assert marks.elements[0].worst_mm < 0.2


BISECTOR = Equidistant((PointOf("A"), PointOf("B")))


def arcs_broken_at_the_line(hand: Hand, a: Point, b: Point, gap_mm: float) -> None:
    """Arcs of 55 mm about two points, each traced in two parts that end beside the bisector."""
    x = (a.x + b.x) / 2
    up = math.sqrt(55.0**2 - (x - a.x) ** 2)
    for centre in (a, b):
        for side in (-up, up):
            middle = math.degrees((Point(x, a.y + side) - centre).angle())
            for way in (-1.0, 1.0):
                near, far = (math.degrees(way * mm / 55.0) for mm in (gap_mm, 8.0))
                hand.arc(centre, 55.0, middle + near, far - near, 0.45)


@pytest.mark.parametrize("gap_mm", [0.0, 1.6])
def test_a_line_through_the_crossings_is_the_line_though_it_lies_among_hatching(gap_mm):
    """Hatching as long and as dark as the bisector and parallel to it, all on one side; a stroke of
    it that is longer than its neighbours would pass for the line."""
    asked = question(AB, DrawLocus(BISECTOR), region(Nearer(PointOf("A"), (PointOf("B"),))))
    hand, places = Hand(), on_paper(asked)
    a, b = places["A"], places["B"]
    x = (a.x + b.x) / 2
    arcs_broken_at_the_line(hand, a, b, gap_mm)
    hand.line(Point(x, a.y - 40.0), Point(x, a.y + 40.0), 0.45)
    for k in range(1, 12):
        reach = 50.0 if k == 3 else 40.0
        hand.line(Point(x - 4.0 * k, a.y - reach), Point(x - 4.0 * k, a.y + reach), 0.45)
    found = hand.marked(asked).elements[0]
    assert found.found
    assert found.worst_mm < 0.3


def shaded_along(
    hand: Hand, at: Point, reach_mm: float, dark_mm: float, half: Callable[[float], float]
) -> None:
    """Hatching along x, two strokes of which, ``dark_mm`` below ``at``, were drawn over each other
    and are as dark as a line: ``half`` is how long a stroke is to either side."""
    for y in np.arange(-reach_mm, reach_mm + 0.1, 2.0):
        dark = 0.6 if abs(y - dark_mm) < 0.1 else 0.4
        hand.line(Point(at.x - half(y), at.y + y), Point(at.x + half(y), at.y + y), dark)


def test_a_dark_stroke_in_the_midst_of_hatching_is_no_side():
    """One side of the path was left out: no stroke between the others is it."""
    asked = question(AB, region(Distance(SegmentOf("A", "B"), "<", 2.0)))
    hand, places = Hand(noise=0.02), on_paper(asked)
    a, b = places["A"], places["B"]
    hand.line(Point(a.x, a.y - 20.0), Point(b.x, b.y - 20.0))
    hand.arc(a, 20.0, 90.0, 180.0)
    hand.arc(b, 20.0, -90.0, 180.0)
    middle = Point((a.x + b.x) / 2, a.y)
    shaded_along(hand, middle, 16.0, 8.0, lambda y: 40.0 + math.sqrt(19.5**2 - y**2))
    assert hand.marked(asked).elements[0].worst_mm < 0.3


def test_hatching_whose_outline_was_left_out_is_no_circle():
    """None of its strokes is, nor do they make a polygon of it."""
    asked = question(CENTRE, region(Distance(PointOf("A"), "<", 4.0)))
    hand, places = Hand(noise=0.02), on_paper(asked)
    shaded_along(hand, places["A"], 38.0, 30.0, lambda y: math.sqrt(39.5**2 - y**2))
    marks = hand.marked(asked)
    assert not marks.elements[0].found
    assert not marks.faults


def test_a_stroke_of_hatching_is_no_second_answer_beside_an_arc():
    """The lens between two circles is so narrow that three strokes shade it, and one of them is
    more than half as long as the arcs; the strokes are darker than these, too."""
    feet = Figure({"A": Point(-4.7, 0), "B": Point(4.7, 0)})
    near = AllOf((Distance(PointOf("A"), "<", 5.0), Distance(PointOf("B"), "<", 5.0)))
    asked = question(feet, region(near))
    hand, places = Hand(), on_paper(asked)
    a, b = places["A"], places["B"]
    hand.arc(a, 50.0, -21.0, 42.0, 0.3)
    hand.arc(b, 50.0, 159.0, 42.0, 0.3)
    for right, up, down in ((-1.5, 2.0, 5.0), (0.0, 10.0, 10.0), (1.5, 5.0, 2.0)):
        x = (a.x + b.x) / 2 + right
        hand.line(Point(x - 1.0, a.y - up), Point(x + 1.0, a.y + down), 0.4)
    marks = hand.marked(asked)
    assert [e.rival_mm for e in marks.elements] == [None, None]
    assert [m.decision for m in marks.marks[:2]] == ["awarded", "awarded"]


def test_the_end_of_a_bisector_that_was_traced_with_a_circle_is_the_bisectors():
    """A short stroke of hatching leads from the circle to the line beyond their crossing."""
    asked = question(AB, DrawLocus(AtDistance(PointOf("A"), 4.5)), DrawLocus(BISECTOR), arcs=False)
    hand, places = Hand(noise=0.02), on_paper(asked)
    a, b = places["A"], places["B"]
    x, up = (a.x + b.x) / 2, math.sqrt(45.0**2 - 40.0**2)
    hand.line(Point(x, a.y - up + 1.0), Point(x, a.y + 60.0))
    turn = np.radians(np.arange(120.0, -14.0, -1.0))
    arc = np.array(a) + 45.0 * np.column_stack((np.cos(turn), np.sin(turn)))
    hand.path(np.vstack((arc, (x, a.y - up - 4.0), (x, a.y - up - 12.0))))
    circle, bisector = hand.marked(asked).elements
    assert circle.worst_mm < 0.3
    assert bisector.worst_mm < 0.3


def test_arcs_that_cross_outside_the_frame_are_left_to_the_teacher():
    """Only their ends can be seen at its edge; without them the mark is withheld."""
    for drawn, decision in ((True, "teacher"), (False, "withheld")):
        hand, p = Hand(), on_paper(FROM)
        off = Point(p["P"].x + 4.0, p["P"].y)  # wrong, or the line would speak for the arcs
        hand.line(off, Point(off.x, FRAME[3] - 20.0))
        for side in (-1.0, 1.0):
            arc_at(hand, p["P"], 45.0, Point(p["P"].x + side * 28.0, p["A"].y))
            if drawn:
                end = Point(p["P"].x + side * 3.0, FRAME[3])
                hand.line(end, Point(end.x + side * 6.0, end.y - 8.0), 0.45)
        assert hand.marked(FROM).marks[0].decision == decision


AB = Figure({"A": Point(-4, 0), "B": Point(4, 0)}, lines=(("A", "B"),))
PARALLELS = question(AB, DrawLocus(AtDistance(LineOf("A", "B"), 3.0)))


@pytest.mark.parametrize("wide_deg", [16.0, 23.0])
def test_arcs_struck_to_set_off_a_distance_are_no_line(wide_deg):
    """One parallel is ruled; of the other only the arcs are there, on two perpendiculars."""
    hand, p = Hand(), on_paper(PARALLELS)
    a, b = p["A"], p["B"]
    hand.line(Point(a.x - 30.0, a.y + 30.4), Point(b.x + 30.0, b.y + 30.4))
    for at, half in ((a, wide_deg), (b, 8.0)):
        hand.line(Point(at.x, at.y + 33.0), Point(at.x, at.y - 32.5))
        hand.arc(at, 29.5, 270.0 - half, 2.0 * half)
    element = hand.marked(PARALLELS).elements[0]
    assert element.worst_mm == pytest.approx(0.4, abs=0.2)
    assert element.coverage < 0.6
