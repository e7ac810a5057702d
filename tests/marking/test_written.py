"""Answer lines: the value is the teacher's; handwriting is no part of the drawing."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.marking.pupil import Hand, place

from millimark.loci.conditions import DrawLocus, LengthOf, Measure, PointOf, SegmentOf
from millimark.loci.conditions import Equidistant as Same
from millimark.loci.figure import Figure
from millimark.loci.solve import solve
from millimark.paper.question import Question, Tolerance
from millimark.paper.scheme import default_scheme
from millimark.plane.point import Point

AB = Figure({"A": Point(-4, 0), "B": Point(4, 0)}, segments=(("A", "B"),))
LINE = (140.0, 186.0, 178.0, 197.0)


def asked(*asks) -> Question:  # type: ignore[no-untyped-def]
    answers = tuple(solve(AB, a) for a in asks)
    bare = Question("1", None, (), (), AB, asks, 0, Tolerance(), (), answers)
    scheme = default_scheme(answers, Tolerance(), {}, readings=bare.readings)
    return replace(bare, scheme=scheme, marks=len(scheme))


LENGTH = asked(Measure(LengthOf(SegmentOf("A", "B"))))
BOTH = asked(DrawLocus(Same((PointOf("A"), PointOf("B")))), Measure(LengthOf(SegmentOf("A", "B"))))


def write(hand: Hand) -> None:
    """A seven: two strokes on the answer line."""
    s = hand.scale
    hand.line(Point(150 * s, 188 * s), Point(155 * s, 188 * s))
    hand.line(Point(155 * s, 188 * s), Point(152 * s, 195 * s))


def marked(hand: Hand, question: Question):  # type: ignore[no-untyped-def]
    return hand.marked_at(question, replace(place(AB), answer_lines=(LINE,)))


@pytest.mark.parametrize(("scale", "told"), [(1.0, "8.0 cm is right"), (0.95, "7.6 cm is right")])
def test_the_teacher_is_told_the_value_on_this_paper(scale: float, told: str) -> None:
    """80 mm printed at 95 % are 76 mm by a real ruler."""
    hand = Hand(scale=scale)
    write(hand)
    marks = marked(hand, LENGTH)
    (mark,) = marks.marks
    assert mark.decision == "teacher"
    assert told in mark.reason
    assert marks.readings[0].written
    assert not marks.faults


def test_an_empty_frame_has_no_reading() -> None:
    marks = marked(Hand(), LENGTH)
    assert [m.decision for m in marks.marks] == ["withheld"]


def test_a_value_beside_its_line_is_looked_for_by_the_teacher() -> None:
    hand = Hand()
    hand.line(Point(60, 100), Point(66, 104))
    hand.line(Point(66, 104), Point(62, 112))
    (mark,) = marked(hand, LENGTH).marks
    assert mark.decision == "teacher"
    assert "look beside it" in mark.reason


def test_handwriting_is_not_taken_for_the_line() -> None:
    hand = Hand()
    write(hand)
    marks = marked(hand, BOTH)
    assert [m.decision for m in marks.marks] == ["withheld", "withheld", "teacher"]
    assert not marks.elements[0].found
