"""Figures that may stand on either side of their base: marked where the pupil drew them."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

from millimark.loci.completing import on_other_side
from millimark.marking.examine import examine
from millimark.marking.expected import Expected, expected
from millimark.marking.findings import QuestionMarks
from millimark.paper.question import Question
from millimark.scan.reading import FrameReading, PageReading
from millimark.sheet.layout import QuestionPlace

MOST_READINGS = 8
"""A question with more figures that may be turned over than three is read as it is shown."""
_LEAST_DRAWN = 0.1
"""Where lines start from one point, all of them are on it there: that says for no side."""


def readings_of(question: Question) -> tuple[Question, ...]:
    """The question, then the question with each of its figures on the other side of its base."""
    choices = []
    for ask in question.asks:
        other = on_other_side(question.figure, ask)
        choices.append((ask,) if other is None else (ask, other))
    asks = list(product(*choices))
    if len(asks) > MOST_READINGS:
        return (question,)
    return (question, *(replace(question, asks=one) for one in asks[1:]))


def examine_either(
    question: Question, place: QuestionPlace, frame: FrameReading, page: PageReading
) -> tuple[QuestionMarks, Expected]:
    """The marks, and what was expected, of the reading that gives the pupil most; of readings
    that give the same, the one whose lines are found most nearly whole, then the one shown."""
    best: tuple[QuestionMarks, Expected] | None = None
    for reading in readings_of(question):
        expect = expected(reading, place, page.print_scale)
        found = examine(reading, expect, frame, page)
        if best is None or worth(found) > worth(best[0]):
            best = found, expect
        if found.awarded == found.out_of:
            break
    if best is None:
        raise ValueError("a question has at least one reading")
    return best


def worth(found: QuestionMarks) -> tuple[int, float]:
    """Marks awarded, then what of the elements is drawn, beyond the odd millimetre."""
    drawn = (e.coverage for e in found.elements)
    return found.awarded, sum(c for c in drawn if c > _LEAST_DRAWN)
