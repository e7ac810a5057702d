"""Arcs about the crossing of two printed lines, which carries no letter of its own."""

from __future__ import annotations

import pytest
from tests.marking.pupil import Hand, place, question

from millimark.loci.conditions import DrawLocus, Equidistant, LineOf
from millimark.loci.figure import Figure
from millimark.plane.point import Point

LINES = Figure(
    {"A": Point(-5, -1), "B": Point(5, 1), "C": Point(-4, 3), "D": Point(4, -3)},
    lines=(("A", "B"), ("C", "D")),
)
QUESTION = question(LINES, DrawLocus(Equidistant((LineOf("A", "B"), LineOf("C", "D")))))


def bisected(scale: float, about: Point, arcs: bool = True) -> Hand:
    """Both bisectors, with arcs of 40 mm about ``about`` (figure cm) and of 50 mm from the cuts."""
    hand = Hand(scale=scale)
    where = place(LINES)

    def on_paper(p: Point) -> Point:
        x, y = where.origin_mm
        return Point((x + 10 * p.x) * scale, (y - 10 * p.y) * scale)

    x = on_paper(about)
    ways = [(on_paper(LINES.points[n]) - on_paper(Point(0, 0))).unit() for n in ("B", "D", "A")]
    if arcs:
        hand.arc(x, 40.0)
    for one, two in ((ways[0], ways[1]), (ways[1], ways[2])):
        if arcs:
            hand.crossing_arcs(x + one * 40.0, x + two * 40.0, 50.0, 50.0)
        middle = (one + two).unit()
        hand.line(on_paper(Point(0, 0)) - middle * 10.0, on_paper(Point(0, 0)) + middle * 70.0)
    return hand


@pytest.mark.parametrize("scale", [1.0, 0.95])
def test_arcs_about_the_crossing_are_found(scale: float) -> None:
    marks = bisected(scale, Point(0, 0)).marked(QUESTION).marks
    assert [m.decision for m in marks] == ["awarded"] * len(QUESTION.scheme)


def test_without_arcs_the_method_is_not_shown() -> None:
    marks = bisected(1.0, Point(0, 0), arcs=False).marked(QUESTION).marks
    evidence = [m for m, c in zip(marks, QUESTION.scheme, strict=True) if c.kind == "evidence"]
    assert len(evidence) == 2
    assert all(m.decision == "withheld" for m in evidence)


def test_arcs_about_another_place_do_not_count() -> None:
    marks = bisected(1.0, Point(0.8, 0.6)).marked(QUESTION).marks
    evidence = [m for m, c in zip(marks, QUESTION.scheme, strict=True) if c.kind == "evidence"]
    assert not any(m.decision == "awarded" for m in evidence)
