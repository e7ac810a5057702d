"""Shading beyond the true region, where the pupil's own lines bound more than that."""

from __future__ import annotations

import math

import pytest
from tests.marking.pupil import Hand, on_paper, place, question, region
from tests.marking.test_regions import answer

from millimark.loci.conditions import PointOf, PolygonOf, WithinRope
from millimark.loci.figure import Figure
from millimark.marking.expected import expected
from millimark.marking.findings import RegionFinding
from millimark.marking.shading import region_verdict
from millimark.plane.curves import Arc
from millimark.plane.point import Point

SHED = Figure(
    {"A": Point(0, 0), "B": Point(4, 0), "C": Point(4, 3), "D": Point(0, 3)},
    polygons=(("A", "B", "C", "D"),),
)
ROPE = question(SHED, region(WithinRope(PointOf("A"), 5.0, (PolygonOf(("A", "B", "C", "D")),))))
P = on_paper(ROPE)
A, C = P["A"], P["C"]


def in_shed(x, y, by=0.5):
    return A.x - by < x < C.x + by and C.y - by < y < A.y + by


def test_a_rope_through_the_wall_does_not_bound_the_region():
    """One full circle of the rope, all of it shaded outside the shed: it was awarded, as the
    arc from the needle at A was carried on round both corners."""
    hand = Hand()
    hand.arc(A, 50.0)
    hand.hatch(lambda x, y: math.hypot(x - A.x, y - A.y) < 49.5 and not in_shed(x, y), 4.0)
    marks = hand.marked(ROPE)
    assert marks.region.spill_mm2 > 150.0
    assert marks.marks[-1].decision != "awarded"


@pytest.mark.parametrize("by", [0.0, 1.0])
def test_the_rope_round_its_corners_does(by):
    hand = Hand()
    arcs = [c for c in expected(ROPE, place(SHED), 1.0).wanted[0].curves if isinstance(c, Arc)]
    for arc in arcs:
        start, sweep = math.degrees(arc.from_), math.degrees(arc.sweep)
        hand.arc(arc.centre, arc.radius + by, start, sweep)

    def reached(x, y):
        return not in_shed(x, y) and any(
            c.distance(Point(x, y)) < r + by - 0.5
            and (c is arcs[0].centre or not (x < A.x and y > A.y))
            and (c is not arcs[0].centre or x < A.x or y > A.y)
            for c, r in ((a.centre, a.radius) for a in arcs)
        )

    hand.hatch(reached, 4.0)
    marks = hand.marked(ROPE)
    assert [m.decision for m in marks.marks] == ["awarded", "awarded"]
    assert marks.region.spill_mm2 == 0.0


def test_shading_beyond_the_true_region_is_measured():
    """A bisector 7 mm off: of the strip beyond the true one, what is past the hand's reach."""
    marks = answer(-1, off=7.0)
    assert marks.region.beyond_mm2 == pytest.approx(1.5 * 36.0, abs=20.0)
    assert marks.region.follow_through
    assert marks.marks[2].decision == "awarded"
    assert answer(-1).region.beyond_mm2 == 0.0


@pytest.mark.parametrize(
    ("follow_through", "beyond", "verdict"),
    [(False, 50.0, "yes"), (False, 150.0, "unsure"), (True, 150.0, "yes")],
)
def test_right_lines_earn_no_shading_beyond_the_true_region(follow_through, beyond, verdict):
    found = RegionFinding(True, True, 0.9, 1.0, 0.9, True, follow_through, 1000.0)
    assert region_verdict(RegionFinding(**{**vars(found), "beyond_mm2": beyond}))[0] == verdict
