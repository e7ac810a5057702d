"""A dense tone in a region so narrow that the rims of its boundaries take up most of it."""

from __future__ import annotations

import pytest
from tests.marking.pupil import Hand
from tests.marking.test_regions import LENS, G

from millimark.plane.point import Point

BOUND = G.x - 35.0 - 10.3
"""The pupil's bisector leaves a lens 4.7 mm wide, 42 mm long, of about 130 square millimetres."""


def in_lens(x, y):
    return x < BOUND - 0.3 and (x - G.x) ** 2 + (y - G.y) ** 2 < 49.7**2


def lens(fill):
    hand = Hand()
    hand.line(Point(BOUND, G.y - 45), Point(BOUND, G.y + 45))
    hand.arc(G, 50.0, 130.0, 100.0)
    fill(hand)
    return hand.marked(LENS)


@pytest.mark.parametrize("darkness", [0.15, 0.3])
def test_a_tone_that_fills_a_narrow_region_is_shading(darkness):
    """It was handed to the teacher: no shading was recognised."""
    marks = lens(lambda hand: hand.flat(in_lens, darkness))
    assert marks.region.filled > 0.9
    assert marks.marks[2].decision == "awarded"


def a_line(hand):
    hand.path([(BOUND - 2.2, G.y - 14.0), (BOUND - 2.4, G.y), (BOUND - 2.2, G.y + 14.0)], 0.6)


def a_third(hand):
    hand.flat(lambda x, y: in_lens(x, y) and y < G.y - 5.0, 0.3)


def two_ticks(hand):
    for y in (-4.0, 3.0):
        hand.path([(BOUND - 3.5, G.y + y), (BOUND - 0.6, G.y + y + 2.5)], 0.6)


@pytest.mark.parametrize("fill", [a_third, two_ticks])
def test_less_than_that_is_for_the_teacher(fill):
    assert lens(fill).marks[2].decision == "teacher"


def test_a_line_down_its_middle_is_no_tone():
    assert lens(a_line).marks[2].decision != "awarded"


def test_an_empty_narrow_region_is_not_shaded():
    assert lens(lambda hand: None).marks[2].decision == "withheld"
