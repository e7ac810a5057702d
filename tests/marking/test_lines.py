"""Lines and circles: found even where they are wrong, measured, and decided."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from tests.marking.pupil import FRAME, PX, Hand, on_paper, place, question
from tests.marking.strategies import radii, seeds, shifts

from millimark.loci.conditions import AtDistance, DrawLocus, Equidistant, PointOf, RayOf
from millimark.loci.figure import Figure
from millimark.plane.point import Point

AB = Figure({"A": Point(-4, 0), "B": Point(4, 0)}, segments=(("A", "B"),))
BISECTOR = question(AB, DrawLocus(Equidistant((PointOf("A"), PointOf("B")))))
CIRCLE = question(AB, DrawLocus(AtDistance(PointOf("A"), 4.0)))
ANGLE = question(
    Figure(
        {"A": Point(-3, -2), "B": Point(4, -2), "C": Point(-3 + 7 * math.cos(0.9), -2 + 7 * 0.78)},
        segments=(("A", "B"), ("A", "C")),
    ),
    DrawLocus(Equidistant((RayOf("A", "B"), RayOf("A", "C")))),
)


def decisions(marks):
    return [m.decision for m in marks.marks]


def bisected(hand, off=0.0, turn_deg=0.0, reach=50.0, radius=55.0, scale=1.0):
    """The bisector of AB with its arcs, moved and turned about its middle."""
    a, b = on_paper(BISECTOR, scale)["A"], on_paper(BISECTOR, scale)["B"]
    middle = Point((a.x + b.x) / 2 + off, a.y)
    d = Point(math.sin(math.radians(turn_deg)), math.cos(math.radians(turn_deg)))
    hand.crossing_arcs(a, b, radius, radius)
    hand.line(middle - d * reach, middle + d * reach)
    return hand.marked(BISECTOR)


def test_nothing_drawn_is_withheld_and_said():
    marks = Hand().marked(BISECTOR)
    assert decisions(marks) == ["withheld", "withheld"]
    assert all(m.reason == "Nothing was drawn." for m in marks.marks)
    assert not marks.elements[0].found


def test_right_bisector_with_arcs_gets_both_marks():
    marks = bisected(Hand())
    assert decisions(marks) == ["awarded", "awarded"]
    assert marks.elements[0].worst_mm < 0.2
    assert marks.faults == ()


@pytest.mark.parametrize("off", [-17.0, -6.0, -3.0, 3.0, 6.0, 17.0])
def test_a_wrong_line_is_found_measured_and_withheld(off):
    marks = bisected(Hand(), off)
    element = marks.elements[0]
    assert decisions(marks) == ["awarded", "withheld"]
    assert element.found
    assert element.offset_mm == pytest.approx(abs(off), abs=0.06)


@pytest.mark.parametrize("turn", [-13.0, -5.0, 5.0, 13.0])
def test_a_turned_line_is_found_with_its_angle(turn):
    element = bisected(Hand(), turn_deg=turn).elements[0]
    assert element.found
    assert element.angle_deg == pytest.approx(abs(turn), abs=0.1)


def test_a_line_at_the_limit_goes_to_the_teacher_with_its_value():
    marks = bisected(Hand(noise=0.01), off=1.99)
    assert decisions(marks) == ["awarded", "teacher"]
    assert "2.0 mm" in marks.marks[1].reason
    assert marks.for_teacher


def test_a_short_line_is_not_thirty_millimetres():
    marks = bisected(Hand(), reach=11.0)
    assert decisions(marks)[1] == "withheld"
    assert "30 mm is needed" in marks.marks[1].reason


@given(off=shifts, seed=seeds)
@settings(max_examples=25, deadline=None)
def test_worst_deviation_is_shapelys_hausdorff_distance(off, seed):
    """Outside authority: shapely's Hausdorff distance of the drawn points from the locus."""
    hand = Hand(seed, noise=0.03)
    element = bisected(hand, off, turn_deg=off / 2).elements[0]
    a, b = on_paper(BISECTOR)["A"], on_paper(BISECTOR)["B"]
    x = (a.x + b.x) / 2
    locus = shapely.LineString([(x, a.y - 500), (x, a.y + 500)])
    drawn = hand.strokes[-1].xy
    truth = max(shapely.distance(shapely.points(drawn), locus))
    assert element.worst_mm == pytest.approx(truth, abs=0.15)


@given(radius=radii, seed=seeds)
@settings(max_examples=25, deadline=None)
def test_circles_of_any_radius_are_recovered(radius, seed):
    """As drawn: the hand's own wobble is in the truth."""
    hand = Hand(seed)
    a = on_paper(CIRCLE)["A"]
    hand.arc(a, radius)
    element = hand.marked(CIRCLE).elements[0]
    reached = shapely.distance(shapely.points(hand.strokes[-1].xy), shapely.Point(a.x, a.y))
    assert element.radius_mm == pytest.approx(reached.mean(), abs=0.02)
    assert element.centre.distance(a) < 0.06
    assert element.worst_mm == pytest.approx(abs(reached - 40.0).max(), abs=0.2)


@pytest.mark.parametrize(
    ("radius", "sweep", "expected"),
    [
        (40.0, 360.0, ["awarded", "awarded"]),
        (41.5, 360.0, ["awarded", "awarded"]),
        (40.0, 100.0, ["awarded", "withheld"]),
        (40.0, 20.0, ["withheld", "withheld"]),
        (44.0, 360.0, ["withheld", "withheld"]),
        (52.0, 360.0, ["withheld", "withheld"]),
    ],
)
def test_circle_marks(radius, sweep, expected):
    """Some of it: at least a sixth; all of it: 90 % (common practice, no source)."""
    hand = Hand()
    hand.arc(on_paper(CIRCLE)["A"], radius, 10.0, sweep)
    marks = hand.marked(CIRCLE)
    assert decisions(marks) == expected
    assert marks.elements[0].found


@pytest.mark.parametrize("scale", [0.90, 0.94, 0.97, 1.05])
def test_real_millimetres_count_at_every_print_scale(scale):
    """A pupil's ruler is true: 40 mm of paper is right, whatever the printer did."""
    a = on_paper(CIRCLE, scale)["A"]
    right, copied = Hand(scale=scale), Hand(scale=scale)
    right.arc(a, 40.0)
    copied.arc(a, 40.0 * scale)
    assert decisions(right.marked(CIRCLE)) == ["awarded", "awarded"]
    wrong = copied.marked(CIRCLE)
    assert wrong.elements[0].radius_mm == pytest.approx(40.0 * scale, abs=0.06)
    if abs(scale - 1.0) > 0.051:
        assert decisions(wrong) == ["withheld", "withheld"]


@pytest.mark.parametrize("scale", [0.94, 1.05])
def test_a_bisector_follows_the_printed_points(scale):
    assert decisions(bisected(Hand(scale=scale), scale=scale)) == ["awarded", "awarded"]


def test_a_figure_turned_in_the_layout_is_matched_by_its_points():
    """The sheet map's points win over how the figure's own frame is laid."""
    where = place(AB)
    turned = type(where)("1", where.frame_mm, 10.0, where.points, where.origin_mm, turn_deg=180.0)
    hand = Hand()
    hand.arc(on_paper(CIRCLE)["A"], 40.0)
    assert decisions(hand.marked_at(CIRCLE, turned)) == ["awarded", "awarded"]


def angle_answer(hand, turn_deg=0.0, arcs=True, length=70.0):
    p = on_paper(ANGLE)
    a, u, w = p["A"], (p["B"] - p["A"]).unit(), (p["C"] - p["A"]).unit()
    middle = math.degrees((u + w).angle()) + turn_deg
    if arcs:
        e, f = a + u * 38.0, a + w * 38.0
        start = math.degrees(w.angle())
        hand.arc(a, 38.0, start - 6.0, math.degrees(u.angle()) - start + 12.0)
        hand.crossing_arcs(e, f, 32.0, 32.0)
    hand.line(a, a.polar(length, math.radians(middle)))
    return hand.marked(ANGLE)


def test_angle_bisector_with_and_without_arcs():
    """M1 arcs, A1 line within 2 mm and 2 degrees (Cambridge 0580, November 2018 [V2])."""
    assert decisions(angle_answer(Hand())) == ["awarded", "awarded"]
    without = angle_answer(Hand(), arcs=False)
    assert decisions(without) == ["withheld", "withheld"]
    assert "needs M1" in without.marks[1].reason


def test_angle_bisector_out_by_three_degrees_loses_the_accuracy_mark():
    marks = angle_answer(Hand(), turn_deg=3.0, length=35.0)
    assert decisions(marks) == ["awarded", "withheld"]
    assert marks.elements[0].angle_deg == pytest.approx(3.0, abs=0.2)


@pytest.mark.parametrize(("noise", "tool"), [(0.04, "ruler"), (0.45, "freehand")])
def test_a_ruled_line_is_told_from_a_freehand_one(noise, tool):
    assert bisected(Hand(noise=noise)).elements[0].drawn_with == tool


def test_an_arc_of_the_compasses_is_told_and_its_offset_has_an_honest_uncertainty():
    errors = []
    for seed in range(12):
        hand, a = Hand(seed), on_paper(CIRCLE)["A"]
        hand.arc(Point(a.x + 1.5, a.y), 40.0)
        element = hand.marked(CIRCLE).elements[0]
        assert element.drawn_with == "compasses"
        errors.append((element.offset_mm - 1.5) / element.offset_sigma_mm)
    assert 0.1 < math.sqrt(sum(e * e for e in errors) / len(errors)) < 2.0


def test_a_line_drawn_twice_says_how_much_of_it():
    hand = Hand()
    a, b = on_paper(BISECTOR)["A"], on_paper(BISECTOR)["B"]
    x = (a.x + b.x) / 2
    for off in (-0.4, 0.4):
        hand.line(Point(x + off, a.y - 50), Point(x + off, a.y + 50))
    assert hand.marked(BISECTOR).elements[0].twice_mm > 80.0


def test_an_arc_drawn_as_two_chords_is_an_attempt_at_it():
    hand, a = Hand(), on_paper(CIRCLE)["A"]
    on = [Point(a.x + 40.0 * math.cos(t), a.y + 40.0 * math.sin(t)) for t in (0.0, 0.7, 1.4)]
    hand.line(on[0], on[1])
    hand.line(on[1], on[2])
    element = hand.marked(CIRCLE).elements[0]
    assert element.found
    assert element.worst_mm == pytest.approx(40.0 * (1.0 - math.cos(0.35)), abs=0.4)


def test_a_freehand_line_that_weaves_about_a_ruled_one_is_a_second_answer():
    hand = Hand()
    a, b = on_paper(BISECTOR)["A"], on_paper(BISECTOR)["B"]
    x = (a.x + b.x) / 2
    hand.crossing_arcs(a, b, 55.0, 55.0)
    hand.line(Point(x, a.y - 40), Point(x, a.y + 40))
    t = np.linspace(-38.0, 38.0, 300)
    for part in np.array_split(np.column_stack((x + 3.2 * np.sin(t / 5.0), a.y + t)), 6):
        hand.path(part)
    assert decisions(hand.marked(BISECTOR))[1] == "teacher"


def test_a_circle_that_touches_a_printed_line_is_not_pulled_away_from_it():
    """The print hides half of the pencil along 10 mm, and the ridge of the rest lies 0.5 mm off."""
    hand, a = Hand(noise=0.02), on_paper(CIRCLE)["A"]
    t = np.linspace(math.pi, 3.0 * math.pi, 700)
    away = a.x + 40.0 - (a.x + 40.0 * np.cos(t))
    r = 40.0 - 0.5 * np.clip(1.0 - away / 0.35, 0.0, 1.0)
    hand.path(np.column_stack((a.x + r * np.cos(t), a.y + r * np.sin(t))))
    (drawn,) = hand.strokes
    beside = a.x + 40.0 - drawn.xy[:, 0] < 0.6
    hand.strokes = [replace(drawn, sigma=np.where(beside, 0.06, 0.02))]
    across = (np.arange(hand.unseen.shape[1]) + 0.5) / PX + FRAME[0]
    assert hand.marked(CIRCLE).elements[0].worst_mm > 0.4
    hand.unseen[:, np.abs(across - (a.x + 40.4)) < 0.3] = True
    assert hand.marked(CIRCLE).elements[0].worst_mm < 0.15
