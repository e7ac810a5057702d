"""Parts of a line that are in the picture but in no stroke: pale, or cut to bits by print."""

from __future__ import annotations

import pytest
from tests.marking.pupil import Hand, on_paper, question

from millimark.loci.conditions import AtDistance, DrawLocus, Equidistant, PointOf
from millimark.loci.figure import Figure
from millimark.plane.point import Point

CENTRE = Figure({"A": Point(0, 0)})


def circle(radius_cm: float, off_mm: float, gap_deg: float, drawn: bool = True):
    """A circle, drawn ``off_mm`` too large, of which ``gap_deg`` were not traced (or not drawn)."""
    asked = question(CENTRE, DrawLocus(AtDistance(PointOf("A"), radius_cm)))
    at = on_paper(asked)["A"]
    radius = 10.0 * radius_cm + off_mm
    hand = Hand()
    hand.arc(at, radius, gap_deg, 360.0 - gap_deg)
    if drawn:
        hand.arc(at, radius, 0.0, gap_deg)
        hand.strokes.pop()
    return [m.decision for m in hand.marked(asked).marks]


@pytest.mark.parametrize("radius_cm", [1.5, 2.0, 4.0])
@pytest.mark.parametrize("off_mm", [0.2, 1.2])
def test_a_circle_goes_on_along_the_pupils_own_line(radius_cm, off_mm):
    """The way over the gap was laid along the chord from stroke to stroke, off a small circle."""
    assert circle(radius_cm, off_mm, 60.0) == ["awarded", "awarded"]


@pytest.mark.parametrize("radius_cm", [1.5, 4.0])
def test_what_is_not_drawn_is_not_carried_on(radius_cm):
    assert circle(radius_cm, 0.2, 90.0, drawn=False)[1] == "withheld"


def test_a_pale_part_is_left_to_the_teacher():
    """Too pale to be traced, or to be sure: neither drawn nor missing for certain."""
    asked = question(CENTRE, DrawLocus(AtDistance(PointOf("A"), 3.0)))
    at = on_paper(asked)["A"]
    hand = Hand()
    hand.arc(at, 30.0, 80.0, 280.0)
    hand.arc(at, 30.0, 0.0, 80.0, darkness=0.06)
    hand.strokes.pop()
    assert [m.decision for m in hand.marked(asked).marks] == ["awarded", "teacher"]


AB = Figure({"A": Point(-4, 0), "B": Point(4, 0)}, segments=(("A", "B"),))
BISECTOR = question(AB, DrawLocus(Equidistant((PointOf("A"), PointOf("B")))), arcs=False)


@pytest.mark.parametrize(("drawn", "decision"), [(True, "teacher"), (False, "withheld")])
def test_a_line_of_which_no_stroke_was_traced(drawn, decision):
    places = on_paper(BISECTOR)
    middle = Point((places["A"].x + places["B"].x) / 2, places["A"].y)
    hand = Hand()
    if drawn:
        hand.line(Point(middle.x, 40.0), Point(middle.x, 200.0))
        hand.strokes.pop()
    hand.line(Point(20.0, 180.0), Point(50.0, 195.0))
    assert hand.marked(BISECTOR).marks[-1].decision == decision


@pytest.mark.parametrize(("pale", "decision"), [(0.06, "teacher"), (0.0, "withheld")])
def test_a_line_that_goes_on_too_pale_to_be_traced(pale, decision):
    """10 mm were traced of 60: withheld as too short, once."""
    places = on_paper(BISECTOR)
    middle = Point((places["A"].x + places["B"].x) / 2, places["A"].y)
    hand = Hand()
    hand.line(Point(middle.x, middle.y - 5.0), Point(middle.x, middle.y + 5.0))
    for end in (-1.0, 1.0):
        hand.line(
            Point(middle.x, middle.y + 5.0 * end), Point(middle.x, middle.y + 30.0 * end), pale
        )
        hand.strokes.pop()
    assert hand.marked(BISECTOR).marks[-1].decision == decision
