"""Causes that look alike are told apart, and none is named where there is nothing to tell."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from tests.marking.pupil import Hand, on_paper, place, question
from tests.marking.test_mistakes import across, ray

from millimark.loci.conditions import (
    AtDistance,
    Circumcircle,
    DrawLocus,
    Equidistant,
    Incircle,
    LineOf,
    Perpendicular,
    PointOf,
    PolygonOf,
    RayOf,
    RegularOn,
    RopeEnd,
    SegmentOf,
)
from millimark.loci.figure import Figure
from millimark.marking.expected import expected
from millimark.marking.faults import Setting, faults_of
from millimark.marking.findings import (
    ElementFinding,
    EvidenceFinding,
    Fault,
    PartFinding,
    RegionFinding,
)
from millimark.plane.curves import Arc
from millimark.plane.point import Point

CORNERS = Figure(
    {"A": Point(-4, -2), "B": Point(4, -2), "C": Point(-1, 4)},
    segments=(("A", "B"), ("B", "C"), ("C", "A")),
)
A = PointOf("A")
PARALLELS = question(CORNERS, DrawLocus(AtDistance(LineOf("A", "B"), 3.0)))
BISECTOR = question(CORNERS, DrawLocus(Equidistant((RayOf("A", "B"), RayOf("A", "C")))))
FROM_POINT = question(CORNERS, DrawLocus(Perpendicular(LineOf("A", "B"), PointOf("C"))))
CIRCUM = question(CORNERS, DrawLocus(Circumcircle(("A", "B", "C"))))
IN = question(CORNERS, DrawLocus(Incircle(("A", "B", "C"))))
Q = on_paper(PARALLELS)


def named(marks):
    return [f.fault for f in marks.faults if f.fault != "no-arcs"]


# --- two parallels -------------------------------------------------------------------------
def parallel(hand, off):
    y = Q["A"].y + off
    hand.line(Point(Q["A"].x - 10.0, y), Point(Q["B"].x + 10.0, y))


def test_two_parallels_that_earned_their_marks_need_no_more():
    hand = Hand()
    parallel(hand, 30.0)
    parallel(hand, -30.0)
    marks = hand.marked(PARALLELS)
    assert marks.awarded == marks.out_of
    assert named(marks) == []


def test_a_parallel_that_is_missing():
    hand = Hand()
    parallel(hand, -30.0)
    (fault,) = hand.marked(PARALLELS).faults
    assert fault.fault == "one-side"
    assert "both sides of the line" in fault.text


# --- lines: turned about their point, or shifted --------------------------------------------
HALF = math.degrees(math.atan2(6.0, 3.0)) / 2.0


@pytest.mark.parametrize("turn", [-7.5, 4.0, 6.5])
def test_a_ray_turned_about_its_vertex(turn):
    hand = Hand()
    way = math.radians(-HALF - turn)
    ray(hand, Q["A"] + Point(math.cos(way), math.sin(way)) * 8.0, HALF + turn, 60.0)
    assert named(hand.marked(BISECTOR)) == ["line-turned"]


@pytest.mark.parametrize("turn", [0.0, 1.5, -1.5])
def test_a_ray_beside_its_vertex(turn):
    hand = Hand()
    ray(hand, Q["A"] + Point(0.0, 4.5), HALF + turn)
    assert named(hand.marked(BISECTOR)) == ["line-shifted"]


def test_a_perpendicular_turned_about_its_point():
    hand = Hand()
    way = Point(math.sin(math.radians(7.0)), math.cos(math.radians(7.0)))
    hand.line(Q["C"] + way * 2.0, Q["C"] + way * 75.0)
    assert named(hand.marked(FROM_POINT)) == ["line-turned"]


def test_a_perpendicular_beside_its_point():
    hand = Hand()
    across(hand, Q["C"] + Point(4.5, 30.0), 89.0)
    (fault,) = [f for f in hand.marked(FROM_POINT).faults if f.fault != "no-arcs"]
    assert fault.fault == "misses-point"
    assert fault.size_mm == pytest.approx(4.5, abs=0.8)


# --- circles whose centre is constructed -----------------------------------------------------
@pytest.mark.parametrize("asked", [CIRCUM, IN])
@pytest.mark.parametrize(
    ("by", "off", "fault"),
    [
        (4.5, 0.3, "arc-radius"),
        (-4.5, 0.3, "arc-radius"),
        (0.2, 4.5, "needle-off"),
        (-2.0, 4.5, "needle-off"),
        (0.3, 0.5, None),
    ],
)
def test_a_constructed_circle(asked, by, off, fault):
    (circle,) = expected(asked, place(CORNERS), 1.0).wanted[0].curves
    assert isinstance(circle, Arc)
    hand = Hand()
    hand.arc(circle.centre + Point(0.6, 0.8) * off, circle.radius + by)
    marks = hand.marked(asked)
    assert named(marks) == ([fault] if fault else [])
    if fault:
        assert marks.faults[0].size_mm == pytest.approx(max(abs(by), off), abs=0.5)


# --- a path of arcs --------------------------------------------------------------------------
SHED = Figure(
    {"A": Point(0, 0), "B": Point(3, 0), "C": Point(3, 2), "D": Point(0, 2)},
    segments=(("A", "B"), ("B", "C"), ("C", "D"), ("D", "A")),
)
Q_SHED = on_paper(question(SHED, DrawLocus(AtDistance(A, 1.0))))
ROPE = question(SHED, DrawLocus(RopeEnd(A, 4.0, (PolygonOf(("A", "B", "C", "D")),))))


@pytest.mark.parametrize(
    ("by", "fault"), [(4.5, ["arc-radius"]), (-4.5, ["arc-radius"]), (0.4, [])]
)
def test_a_rope_of_the_wrong_length(by, fault):
    hand = Hand()
    for arc in expected(ROPE, place(SHED), 1.0).wanted[0].curves:
        assert isinstance(arc, Arc)
        start = math.degrees(arc.from_)
        hand.arc(arc.centre, arc.radius + by, start, math.degrees(arc.sweep))
    marks = hand.marked(ROPE)
    assert named(marks) == fault
    if fault:
        assert marks.faults[0].size_mm == pytest.approx(abs(by), abs=0.3)


def test_a_rope_that_is_not_bent():
    hand = Hand()
    hand.arc(Q_SHED["A"], 40.0)
    assert named(hand.marked(ROPE)) == ["rope-through"]


@pytest.mark.parametrize("hatched", [False, True])
def test_a_rope_that_is_bent_goes_through_no_wall(hatched):
    hand = Hand()
    for arc in expected(ROPE, place(SHED), 1.0).wanted[0].curves:
        assert isinstance(arc, Arc)
        hand.arc(arc.centre, arc.radius, math.degrees(arc.from_), math.degrees(arc.sweep))
    if hatched:
        a = Q_SHED["A"]
        hand.hatch(lambda x, y: math.hypot(x - a.x, y - a.y) < 46.0, spacing=1.5)
    assert named(hand.marked(ROPE)) == []


SQUARE = question(CORNERS, DrawLocus(RegularOn(SegmentOf("A", "B"), 4)))


def test_a_square_that_is_too_large_has_no_arcs():
    a, b, up = Q["A"] + Point(4.0, 0.0), Q["B"] + Point(-4.0, 0.0), Point(0.0, -76.0)
    hand = Hand()
    for p, q in ((a, a + up), (a + up, b + up), (b + up, b)):
        hand.line(p, q)
    assert "arc-radius" not in named(hand.marked(SQUARE))


# --- nothing about arcs that carry no mark, nor about a form that nobody can see ---------------
NO_REGION = RegionFinding(asked=False)


@pytest.mark.parametrize(("asked", "fault"), [(True, ["unequal-arcs"]), (False, [])])
def test_arcs_that_carry_no_mark_have_no_fault(asked, fault):
    arcs = EvidenceFinding("equal arcs", "no", "", radii=(47.7, 36.3), asked=asked)
    assert [f.fault for f in faults_of([], [], [arcs], NO_REGION, Setting(2.0))] == fault


def whole_round(wanted, worst, waves):
    """The whole of a round line, drawn ``worst`` mm off with ``waves``."""
    whole = PartFinding(1.0, 1.0, 1.0, 200.0, 200.0)
    return ElementFinding(
        wanted.name, "arc", True, worst_mm=worst, roughness_mm=waves, parts={"all": whole}
    )


@pytest.mark.parametrize(
    ("doubt", "fault"),
    [({}, ["freehand"]), ({"excess_mm": 2.6}, []), ({"hatch_edge": True}, []),
     ({"entangled": True}, [])],
)  # fmt: skip
def test_a_line_that_hatching_ends_on_has_no_form(doubt, fault):
    wanted = expected(PARALLELS, place(CORNERS), 1.0).wanted[0]
    wanted = replace(wanted, element=replace(wanted.element, kind="arc"))
    seen = whole_round(wanted, 0.4, 0.41)
    told = faults_of([wanted], [replace(seen, **doubt)], [], NO_REGION, Setting(2.0))
    assert [f.fault for f in told] == fault


@pytest.mark.parametrize(("waves", "fault"), [(0.35, []), (0.6, ["freehand"])])
def test_waves_within_the_tolerance_are_told_where_they_are_clear(waves, fault):
    wanted = expected(CIRCUM, place(CORNERS), 1.0).wanted[0]
    seen = whole_round(wanted, 1.4, waves)
    setting = Setting(2.0, earned=frozenset({wanted.name}))
    assert [f.fault for f in faults_of([wanted], [seen], [], NO_REGION, setting)] == fault


@pytest.mark.parametrize(("waves", "fault"), [(0.02, []), (0.5, ["polygonal"])])
def test_a_smooth_circle_is_no_polygon(waves, fault):
    wanted = expected(CIRCUM, place(CORNERS), 1.0).wanted[0]
    seen = whole_round(wanted, 2.4, waves)
    chords = Fault("polygonal", "")
    told = faults_of([wanted], [seen], [], NO_REGION, Setting(2.0), lambda _: chords)
    assert [f.fault for f in told] == fault
