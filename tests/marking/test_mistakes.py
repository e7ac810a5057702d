"""Misconceptions on paper: each is named, none where the answer is right or merely poor."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.marking.pupil import FRAME, Hand, on_paper, question

from millimark.loci.conditions import (
    AngleOn,
    AtDistance,
    DrawLocus,
    LineOf,
    OnBearing,
    Parallel,
    Perpendicular,
    PointOf,
    RayOf,
    SegmentOf,
    TriangleOn,
)
from millimark.loci.figure import Figure
from millimark.loci.figures_on import AngleAtEnd, SideTo
from millimark.marking.feedback_words import PRACTICE
from millimark.marking.misreading import shared_misreading, with_misreading
from millimark.marking.mistake_words import MISTAKES
from millimark.marking.summary import ADVICE
from millimark.plane.curves import Arc
from millimark.plane.point import Point
from millimark.rehearsal.faults import MISCONCEPTIONS

FIG = Figure({"A": Point(-4, -1), "B": Point(4, -1), "C": Point(-2, 3)}, segments=(("A", "B"),))
A, B, C = PointOf("A"), PointOf("B"), PointOf("C")
LINE, BASE = LineOf("A", "B"), SegmentOf("A", "B")
PERPENDICULAR = question(FIG, DrawLocus(Perpendicular(LINE, C)))
AT_END = question(FIG, DrawLocus(Perpendicular(LINE, A)))
PARALLEL = question(FIG, DrawLocus(Parallel(LINE, C)))
ANGLE = question(FIG, DrawLocus(AngleOn(RayOf("A", "B"), 54.0)))
BEARING = question(FIG, DrawLocus(OnBearing(A, 64.0)))
SCALED = replace(question(FIG, DrawLocus(AtDistance(A, 2.0))), scale=2e5)
SIDES = question(FIG, DrawLocus(TriangleOn(BASE, "D", (SideTo(A, 4.0), SideTo(B, 6.0)))))
ANGLES = question(FIG, DrawLocus(TriangleOn(BASE, "D", (AngleAtEnd(A, 40.0), AngleAtEnd(B, 65.0)))))
P = on_paper(PERPENDICULAR)


def ray(hand, start, degrees, length=70.0):
    """Degrees anticlockwise as seen from the way A to B."""
    way = math.radians(-degrees)
    hand.line(start, Point(start.x + length * math.cos(way), start.y + length * math.sin(way)))


def across(hand, at, degrees, half=40.0):
    way = Point(math.cos(math.radians(-degrees)), math.sin(math.radians(-degrees)))
    hand.line(at + way * -half, at + way * half)


MIDDLE = Point((P["A"].x + P["B"].x) / 2, P["A"].y)
CASES = {
    "through-midpoint": (PERPENDICULAR, lambda h: across(h, MIDDLE, 90.0)),
    "parallel-drawn": (PERPENDICULAR, lambda h: across(h, P["C"], 0.0)),
    "perpendicular-drawn": (PARALLEL, lambda h: across(h, P["C"], 90.0)),
    "sixty-drawn": (AT_END, lambda h: ray(h, P["A"], 60.0)),
    "wrong-scale": (ANGLE, lambda h: ray(h, P["A"], 126.0)),
    "counted-back": (ANGLE, lambda h: ray(h, P["A"], 46.0)),
    "bearing-reversed": (BEARING, lambda h: ray(h, P["A"], 90 - 244.0)),
    "bearing-anticlockwise": (BEARING, lambda h: ray(h, P["A"], 90 - 296.0)),
    "bearing-from-east": (BEARING, lambda h: ray(h, P["A"], 90 - 26.0)),
    "scale-ignored": (SCALED, lambda h: h.arc(P["A"], 40.0)),
    "one-centre": (
        SIDES,
        lambda h: [h.arc(P["A"], r, -90.0, 70.0) for r in (40.0, 60.0)],
    ),
    "sides-swapped": (
        SIDES,
        lambda h: [h.line(P[end], apex(60.0, 40.0)) for end in "AB"],
    ),
    "one-vertex": (ANGLES, lambda h: [ray(h, P["A"], t) for t in (40.0, 65.0)]),
}


def apex(ra, rb):
    """Above AB, ``ra`` mm from A and ``rb`` mm from B."""
    d = P["B"].x - P["A"].x
    along = (d * d + ra * ra - rb * rb) / (2 * d)
    return Point(P["A"].x + along, P["A"].y - math.sqrt(ra * ra - along * along))


@pytest.mark.parametrize("code", CASES)
def test_it_is_named_with_its_confidence(code):
    asked, draw = CASES[code]
    hand = Hand(seed=4)
    draw(hand)
    fault = hand.marked(asked).faults[0]
    assert fault.fault == code
    assert fault.confidence > 0.75


RIGHT = {
    "perpendicular": (PERPENDICULAR, lambda h, off: across(h, P["C"] + Point(off, 0), 90.0)),
    "parallel": (PARALLEL, lambda h, off: across(h, P["C"] + Point(0, off), 0.0)),
    "angle": (ANGLE, lambda h, off: ray(h, P["A"] + Point(off, 0), 54.0)),
    "bearing": (BEARING, lambda h, off: ray(h, P["A"] + Point(off, 0), 26.0)),
    "circle": (SCALED, lambda h, off: h.arc(P["A"], 20.0 + off)),
    "triangle": (
        SIDES,
        lambda h, off: [h.line(P[end], apex(40.0 + off, 60.0)) for end in "AB"],
    ),
}


@pytest.mark.parametrize("off", [0.0, 3.2, 6.0])
@pytest.mark.parametrize("what", RIGHT)
def test_none_is_named_on_a_right_or_a_poor_answer(what, off):
    asked, draw = RIGHT[what]
    hand = Hand(seed=5)
    draw(hand, off)
    assert not {f.fault for f in hand.marked(asked).faults} & set(MISCONCEPTIONS)


def test_a_line_that_follows_no_rule_is_no_misconception():
    for degrees in (17.0, 33.0, 71.0, 108.0, 143.0):
        hand = Hand(seed=6)
        ray(hand, P["A"] + Point(9.0, -7.0), degrees)
        assert not {f.fault for f in hand.marked(ANGLE).faults} & set(MISCONCEPTIONS)


def test_a_line_beside_its_point_misses_it():
    hand = Hand()
    across(hand, P["C"] + Point(5.0, 0.0), 90.0)
    fault = hand.marked(PERPENDICULAR).faults[0]
    assert (fault.fault, fault.size_mm) == ("misses-point", pytest.approx(5.0, abs=0.2))


def test_chords_for_a_circle():
    hand = Hand()
    t = np.radians(np.arange(0, 361, 30))
    hand.path(np.column_stack((P["A"].x + 40 * np.cos(t), P["A"].y + 40 * np.sin(t))))
    circle = question(FIG, DrawLocus(AtDistance(A, 4.0)))
    assert [f.fault for f in hand.marked(circle).faults] == ["polygonal"]


def test_every_misconception_has_its_words():
    assert set(MISCONCEPTIONS) <= set(MISTAKES)
    assert set(MISTAKES) <= set(ADVICE) & set(PRACTICE)


# --- lengths over a whole script ---------------------------------------------------------
@pytest.mark.parametrize(
    ("lengths", "by"),
    [
        ((4.3, 4.1, 4.6), 4.3),
        ((4.3, 4.1), 4.2),
        ((1.2, 1.4, 1.0, 1.3), 1.25),
        ((-1.2, -1.4, -1.0), -1.2),
        ((4.2, 0.1, -0.2), None),
        ((4.2, -3.0, 6.5), None),
        ((0.3, -0.4, 0.2, 0.4), None),
        ((0.6, 0.5, 0.7), None),
        ((4.2,), None),
        ((), None),
    ],
)
def test_an_amount_that_all_lengths_share(lengths, by):
    found = shared_misreading(lengths)
    assert (found.by_mm if found else None) == (by if by is None else pytest.approx(by))


def test_it_is_told_instead_of_the_wrong_lengths():
    answers = []
    for length in (3.0, 4.0, 5.0):
        hand = Hand(seed=round(length))
        hand.arc(P["A"], 10 * length + 4.2)
        answers.append(hand.marked(question(FIG, DrawLocus(AtDistance(A, length)))))
    assert [a.faults[0].fault for a in answers] == ["arc-radius"] * 3
    told = with_misreading(answers)
    assert [[f.fault for f in a.faults] for a in told] == [["ruler-end"]] * 3
    assert told[0].faults[0].size_mm == pytest.approx(4.2, abs=0.1)
    assert told[0].faults[0].confidence > 0.9


def test_the_scene_fits_the_frame():
    assert Arc(P["A"], 40.0).centre.x - 40.0 > FRAME[0]
