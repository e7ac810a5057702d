"""Marked points: crosses, dots and ticks, on strokes and pixels whose truth is their formula."""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.marking.pupil import FRAME, PX, Hand, on_paper, question

from millimark.loci.conditions import AtDistance, EqualParts, MarkPoints, PointOf, SegmentOf
from millimark.loci.figure import Figure
from millimark.plane.point import Point

AB = Figure({"A": Point(-4, 0), "B": Point(4, 0)}, segments=(("A", "B"),))
PARTS = question(AB, MarkPoints((EqualParts(SegmentOf("A", "B"), 4),)))
TWO = question(
    AB, MarkPoints((AtDistance(PointOf("A"), 5.0), AtDistance(PointOf("B"), 6.0))), arcs=False
)
P = on_paper(PARTS)
PLACES = [Point(P["A"].x + 20.0 * k, P["A"].y) for k in (1, 2, 3)]


def cross(hand: Hand, at: Point, half: float = 2.0, lean: float = 45.0) -> None:
    for turn in (lean, lean + 90.0):
        way = Point(math.cos(math.radians(turn)), math.sin(math.radians(turn))) * half
        hand.line(at - way, at + way)


def dot(hand: Hand, at: Point, radius: float = 0.6) -> None:
    """A blot in the picture; it leaves no stroke."""
    h, w = hand.shade.shape
    x = FRAME[0] + (np.arange(w) + 0.5) / PX - at.x
    y = FRAME[1] + (np.arange(h) + 0.5) / PX - at.y
    hand.shade[np.hypot(*np.meshgrid(x, y)) < radius] = 0.6


def tick(hand: Hand, at: Point) -> None:
    """A short stroke across the printed line, which hides its middle."""
    for way in (-1, 1):
        hand.line(Point(at.x, at.y + way * 0.4), Point(at.x, at.y + way * 3.0))


@pytest.mark.parametrize("mark", [cross, dot, tick])
@pytest.mark.parametrize(
    ("off", "decisions"),
    [(0.0, ["awarded"] * 2), (1.3, ["awarded"] * 2), (2.0, ["awarded", "teacher"]),
     (3.5, ["awarded", "withheld"])],
)  # fmt: skip
def test_one_point_is_off_along_the_line(mark, off: float, decisions: list[str]) -> None:  # type: ignore[no-untyped-def]
    hand = Hand()
    for k, at in enumerate(PLACES):
        mark(hand, Point(at.x + (off if k == 1 else 0.0), at.y))
    marks = hand.marked(PARTS)
    assert [m.decision for m in marks.marks] == decisions
    assert marks.points[1].off_mm == pytest.approx(off, abs=0.25)
    assert [f.fault for f in marks.faults] == (["point-off"] if off > 3.0 else [])


def test_points_that_are_not_marked_are_not_found() -> None:
    hand = Hand()
    cross(hand, PLACES[0])
    marks = hand.marked(PARTS)
    assert [p.found for p in marks.points] == [True, False, False]
    assert [m.decision for m in marks.marks] == ["withheld", "withheld"]
    assert [f.fault for f in marks.faults] == ["point-missing"]


def test_an_empty_frame_is_blank() -> None:
    marks = Hand().marked(PARTS)
    assert [f.fault for f in marks.faults] == ["blank"]
    assert {m.decision for m in marks.marks} == {"withheld"}


def test_a_crossing_of_the_construction_marks_its_point() -> None:
    hand, p = Hand(), on_paper(TWO)
    hand.arc(p["A"], 50.0)
    hand.arc(p["B"], 60.0)
    marks = hand.marked(TWO)
    assert [m.decision for m in marks.marks] == ["awarded"] * 2
    assert max(q.off_mm for q in marks.points) < 0.3


def test_a_dot_on_a_crossing_is_still_a_mark() -> None:
    """The tracer goes round a dot: lines end before it."""
    hand, p = Hand(), on_paper(TWO)
    at = Point(p["A"].x + 33.125, p["A"].y - math.sqrt(50.0**2 - 33.125**2))
    below = Point(at.x, 2 * p["A"].y - at.y)
    for place in (at, below):
        for turn in (20.0, 200.0, 80.0, 260.0):
            way = Point(math.cos(math.radians(turn)), math.sin(math.radians(turn)))
            hand.line(place + way * 1.0, place + way * 20.0)
    assert [m.decision for m in hand.marked(TWO).marks] == ["awarded"] * 2


def test_one_mark_serves_one_point() -> None:
    """The two points stand 9 mm apart; a mark at one is near enough to be the other's attempt."""
    near = question(AB, MarkPoints((AtDistance(PointOf("A"), 4.05), AtDistance(PointOf("B"), 4.0))))
    hand = Hand()
    cross(hand, Point(P["A"].x + 40.25, P["A"].y - 4.5), 1.2)
    assert sum(p.found for p in hand.marked(near).points) == 1


def test_a_cross_beside_the_line_marks_where_its_arms_cross() -> None:
    """3.5 mm off; one of its arms, carried on, would meet the printed line at the right place."""
    hand = Hand()
    for k, at in enumerate(PLACES):
        cross(hand, Point(at.x + 2.5, at.y - 2.5) if k == 1 else at)
    marks = hand.marked(PARTS)
    assert [m.decision for m in marks.marks] == ["awarded", "withheld"]
    assert marks.points[1].off_mm == pytest.approx(3.5, abs=0.25)
