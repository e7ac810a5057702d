"""Doubt is said with its cause.

``PageReading.two_tone`` is new: scan sets it for bilevel images (two grey values in the source).
"""

from __future__ import annotations

from dataclasses import replace

from tests.marking.pupil import Hand, on_paper, place, question, region

from millimark.loci.conditions import AllOf, AtDistance, Distance, DrawLocus, Nearer, PointOf
from millimark.loci.figure import Figure
from millimark.marking.examine import examine
from millimark.marking.expected import expected
from millimark.plane.point import Point

FIGURE = Figure(points={"A": Point(0.0, 0.0), "B": Point(6.0, 0.0)})


def test_missing_shading_on_a_black_and_white_scan_is_the_teachers():
    q = question(
        FIGURE,
        region(AllOf((Distance(PointOf("A"), "<", 4.0), Nearer(PointOf("A"), (PointOf("B"),))))),
    )
    hand, at = Hand(seed=4), on_paper(q)
    hand.arc(at["A"], 40.0)
    hand.line(Point(135.0, 80.0), Point(135.0, 160.0))
    where = place(FIGURE)
    frame, page = hand.reading(q, where)
    seen = examine(q, expected(q, where, 1.0), frame, replace(page, two_tone=True))
    assert seen.marks[-1].decision == "teacher"
    assert "black and white" in seen.marks[-1].reason
    assert seen.faults == ()  # nor is it told that nothing was shaded


def test_a_mark_left_over_for_want_of_the_print_scale_says_so():
    q = question(FIGURE, DrawLocus(AtDistance(PointOf("A"), 4.0)))
    hand, at = Hand(seed=5), on_paper(q)
    hand.arc(at["A"], 41.6)
    where = place(FIGURE)
    frame, page = hand.reading(q, where)
    page = replace(page, print_scale_source="assumed", scale_sigma=0.02)
    marks = examine(q, expected(q, where, 1.0), frame, page).marks
    assert marks[-1].decision == "teacher"
    assert "print scale" in marks[-1].reason
    assert "check rule" in marks[-1].reason  # measure it and say --print-scale


def test_nothing_is_withheld_of_a_drawing_that_could_not_be_followed():
    """A blunt, grainy lead on a printed grid: most of the pencil was in no stroke."""
    q = question(FIGURE, DrawLocus(AtDistance(PointOf("A"), 4.0)))
    for followed in (True, False):
        hand = Hand(seed=6)
        hand.arc(on_paper(q)["A"], 30.0, 0.0, 300.0)
        hand.line(Point(30.0, 180.0), Point(60.0, 190.0))
        if not followed:
            del hand.strokes[0]
        last = hand.marked(q).marks[-1]
        assert last.decision == ("withheld" if followed else "teacher")
        assert ("could not be followed" in last.reason) is not followed


def test_what_a_black_and_white_scan_shows_of_a_line_is_not_all_of_it():
    """Half of a right circle was withheld as too short; a wrong one is still wrong."""
    q = question(FIGURE, DrawLocus(AtDistance(PointOf("A"), 4.0)))
    for radius, decision in ((40.2, "teacher"), (45.0, "withheld")):
        hand, where = Hand(seed=7), place(FIGURE)
        hand.arc(on_paper(q)["A"], radius, 0.0, 180.0)
        frame, page = hand.reading(q, where)
        marks = examine(q, expected(q, where, 1.0), frame, replace(page, two_tone=True)).marks
        assert marks[-1].decision == decision
