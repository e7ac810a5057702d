"""Loci of several pieces: round a segment, outside a rectangle."""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.marking.pupil import Hand, on_paper, question, region

from millimark.loci.conditions import (
    AllOf,
    AtDistance,
    Distance,
    DrawLocus,
    PointOf,
    PolygonOf,
    SegmentOf,
)
from millimark.loci.figure import Figure
from millimark.plane.point import Point

AB = Figure({"A": Point(-4, 0), "B": Point(4, 0)}, segments=(("A", "B"),))
STADIUM = question(AB, DrawLocus(AtDistance(SegmentOf("A", "B"), 2.0)))
BOX = Figure(
    {"A": Point(-3, -2), "B": Point(3, -2), "C": Point(3, 2), "D": Point(-3, 2)},
    polygons=(("A", "B", "C", "D"),),
)
RING = question(BOX, DrawLocus(AtDistance(PolygonOf(("A", "B", "C", "D")), 2.0)))


def decisions(marks):
    return [m.decision for m in marks.marks]


def stadium(d=20.0, top=True, ends=True, seed=1):
    hand, p = Hand(seed), on_paper(STADIUM)
    a, b = p["A"], p["B"]
    hand.line(Point(a.x, a.y + d), Point(b.x, b.y + d))
    if top:
        hand.line(Point(a.x, a.y - d), Point(b.x, b.y - d))
    if ends:
        hand.arc(a, d, 90.0, 180.0)
        hand.arc(b, d, -90.0, 180.0)
    return hand.marked(STADIUM)


def test_right_stadium():
    marks = stadium()
    assert decisions(marks) == ["awarded", "awarded"]
    assert marks.elements[0].coverage == 1.0
    assert marks.elements[0].worst_mm < 0.2


def test_a_perpendicular_through_an_end_closes_no_gap():
    """It sets the distance off on both sides, and the ends are missing: no line goes that way."""
    hand, p = Hand(), on_paper(STADIUM)
    a, b = p["A"], p["B"]
    for y in (a.y - 20.0, a.y + 20.0):
        hand.line(Point(a.x, y), Point(b.x, y))
    for end in (a, b):
        hand.line(Point(end.x, end.y - 22.0), Point(end.x, end.y + 22.0))
    assert hand.marked(STADIUM).elements[0].worst_mm < 0.3


def test_the_rest_of_a_circle_that_was_drawn_too_small_is_no_part_of_the_line():
    """The compasses were turned all round both ends, 7 mm too close everywhere."""
    hand, p, d = Hand(), on_paper(STADIUM), 13.0
    a, b = p["A"], p["B"]
    for y in (a.y - d, a.y + d):
        hand.line(Point(a.x, y), Point(b.x, y))
    for end in (a, b):
        hand.arc(end, d, 37.0, 360.0)
    assert hand.marked(STADIUM).elements[0].worst_mm == pytest.approx(7.0, abs=0.3)


@pytest.mark.parametrize("d", [14.0, 25.0, 32.0])
def test_stadium_at_the_wrong_distance_is_found_and_withheld(d):
    marks = stadium(d)
    assert decisions(marks) == ["withheld", "withheld"]
    assert marks.elements[0].mean_mm == pytest.approx(abs(d - 20.0), abs=0.1)


def test_only_one_parallel():
    marks = stadium(top=False)
    assert decisions(marks) == ["withheld", "awarded"]
    assert marks.elements[0].parts["straight"].coverage == pytest.approx(0.5, abs=0.04)


def test_ends_missing():
    assert decisions(stadium(ends=False)) == ["awarded", "withheld"]


def test_squared_ends_stand_out_by_the_corner():
    """A square corner lies (sqrt 2 - 1) d beyond the arc (computed): 8.28 mm for d = 20 mm."""
    hand, p = Hand(noise=0.02), on_paper(STADIUM)
    a, b = p["A"], p["B"]
    ring = [(a.x - 20, a.y - 20), (b.x + 20, b.y - 20), (b.x + 20, b.y + 20), (a.x - 20, a.y + 20)]
    for one, two in zip(ring, ring[1:] + ring[:1], strict=True):
        hand.line(Point(*one), Point(*two))
    marks = hand.marked(STADIUM)
    assert decisions(marks) == ["awarded", "withheld"]
    assert marks.elements[0].worst_mm == pytest.approx((math.sqrt(2) - 1) * 20.0, abs=0.15)
    assert [f.fault for f in marks.faults] == ["squared-ends"]


def sides(hand, d, over=0.0):
    """The four sides, each drawn so far past its ends; the x and the y of the corners."""
    p = on_paper(RING)
    xs, ys = sorted({p["A"].x, p["B"].x}), sorted({p["A"].y, p["C"].y})
    for y in (ys[0] - d, ys[1] + d):
        hand.line(Point(xs[0] - over, y), Point(xs[1] + over, y))
    for x in (xs[0] - d, xs[1] + d):
        hand.line(Point(x, ys[0] - over), Point(x, ys[1] + over))
    return xs, ys


def ring(d=20.0, square=False, rounded=4):
    """The sides and as many of the corners as are ``rounded``, or all of them square."""
    hand = Hand()
    xs, ys = sides(hand, d, d if square else 0.0)
    if not square:
        for x, y, start in ((0, 0, 180), (1, 0, 270), (1, 1, 0), (0, 1, 90))[:rounded]:
            hand.arc(Point(xs[x], ys[y]), d, start, 90.0)
    if rounded < 4:
        hand.line(Point(xs[0] - d, ys[1] - 4.0), Point(xs[0] + 4.0, ys[1] + d))
    return hand.marked(RING)


def test_ring_outside_a_rectangle():
    marks = ring()
    assert decisions(marks) == ["awarded", "awarded"]
    assert marks.elements[0].coverage == 1.0


def test_square_corners_round_a_rectangle():
    assert decisions(ring(square=True)) == ["awarded", "withheld"]


def test_a_straight_end_is_measured_to_its_corners():
    """A ruled line square to the sides stands for the round end, d beyond the segment's own."""
    hand, p, d = Hand(), on_paper(STADIUM), 20.0
    a, b = p["A"], p["B"]
    for y in (a.y - d, a.y + d):
        hand.line(Point(a.x, y), Point(b.x + d, y))
    hand.line(Point(b.x + d, b.y - d), Point(b.x + d, b.y + d))
    hand.arc(a, d, 90.0, 180.0)
    element = hand.marked(STADIUM).elements[0]
    assert element.worst_mm == pytest.approx(d * (math.sqrt(2.0) - 1.0), abs=0.25)


def test_a_corner_cut_off_from_side_to_side_is_measured_where_it_is_cut():
    """The line touches both sides 4 mm before their ends: it lies d - (d - 4) / sqrt 2 mm within
    the arc about the corner (computed)."""
    cut = ring(rounded=3).elements[0]
    assert cut.worst_mm == pytest.approx(20.0 - 16.0 / math.sqrt(2.0), abs=0.15)


def test_a_stroke_of_hatching_within_a_rounded_corner_is_no_corner():
    """The corner was drawn by hand, in three strokes; the chord within it is longer than each."""
    hand, p = Hand(), on_paper(RING)
    corner = Point(min(q.x for q in p.values()), max(q.y for q in p.values()))
    sides(hand, 20.0)
    t = np.radians(np.linspace(90.0, 180.0, 91))
    r = 20.0 + 0.7 * np.sin(7.0 * t)
    xy = np.column_stack((corner.x + r * np.cos(t), corner.y + r * np.sin(t)))
    for part in (xy[:28], xy[31:58], xy[62:]):
        hand.path(part)
    hand.line(Point(corner.x - 18.5, corner.y + 2.0), Point(corner.x - 2.0, corner.y + 18.5))
    assert hand.marked(RING).elements[0].worst_mm < 1.3


def test_ring_at_the_wrong_distance():
    assert decisions(ring(26.0)) == ["withheld", "withheld"]


NEAR_A = AllOf((Distance(SegmentOf("A", "B"), "<", 2.0), Distance(PointOf("A"), "<", 4.0)))


def test_arcs_struck_to_set_off_a_distance_where_no_line_is_needed_are_no_part_of_the_line():
    """About B, on either side: on the far side they lie on the locus, on the near side inside."""
    asked = question(AB, region(NEAR_A))
    hand, p = Hand(), on_paper(asked)
    a, b = p["A"], p["B"]
    for side in (-20.0, 20.0):
        hand.line(Point(a.x, a.y + side), Point(a.x + 36.0, a.y + side))
        hand.arc(b, 20.0, math.degrees(math.copysign(math.pi / 2, side)) - 22.0, 44.0)
    hand.arc(a, 20.0, 90.0, 180.0)
    hand.arc(a, 40.0, -32.0, 64.0)
    hand.hatch(lambda x, y: abs(y - a.y) < 19.0 and -18.0 < x - a.x < 33.0, 6.0)
    stadium = next(e for e in hand.marked(asked).elements if e.kind == "path")
    assert stadium.worst_mm < 0.5


@pytest.mark.parametrize("lost_mm", [0.0, 2.0])
def test_what_closes_a_gap_of_a_path_belongs_to_it_however_far_off(lost_mm):
    """Sides of a triangle's surround at a sharp corner, joined straight across; of what joins them
    a little is lost at the corner."""
    from millimark.marking.companions import closing
    from millimark.marking.ink import STEP_MM, Ink, Piece, tangents

    def ruled(a, b, stroke):
        n = round(math.dist(a, b) / STEP_MM)
        xy = np.linspace(a, b, n + 1)
        return Piece(xy, tangents(xy), np.full(n + 1, 0.02), 0.5, 0.5, stroke, "line")

    sides = [ruled((0, 0), (60, 0), 0), ruled((75, -26), (45, -78), 1)]
    across, hatch, loose = (
        ruled((60.5 + 0.51 * lost_mm, -0.3 - 0.86 * lost_mm), (75.2, -25.0), 2),
        ruled((20, -1), (40, -20), 3),
        ruled((60, -1), (70, 20), 4),
    )
    ink = Ink.of([*sides, across, hatch, loose])
    t = np.radians(np.arange(-90.0, 30.0, 3.0))
    end = np.column_stack((60.0 + 17.0 * np.cos(t), -17.0 - 17.0 * np.sin(t)))
    path = np.vstack((np.column_stack((np.arange(60.0), np.zeros(60))), end))
    assert closing(ink, [0, 1], frozenset(), path, ()) == [2]
    assert closing(ink, [0, 1], frozenset({2}), path, ()) == []
    assert closing(ink, [0, 1], frozenset(), path, [Point(68.0, -12.4)]) == []
    there = Ink.of([*sides, across, Piece(end, tangents(end), t, 0.5, 0.5, 5, "arc")])
    assert closing(there, [0, 1, 3], frozenset(), path, ()) == []
