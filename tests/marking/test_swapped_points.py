"""Points for which two lengths were exchanged, told from points that are off or missing."""

from __future__ import annotations

import pytest
from tests.marking.pupil import Hand
from tests.marking.test_points import TWO, P, cross

from millimark.plane.point import Point

MIDDLE = Point((P["A"].x + P["B"].x) / 2.0, P["A"].y)
ALONG, UP = -6.875, 37.453
"""Where circles of 50 and 60 mm about points 80 mm apart meet, from the middle of AB."""


def marked(along, up=UP, points=2):
    hand = Hand(seed=2)
    for side in (1.0, -1.0)[:points]:
        cross(hand, MIDDLE + Point(along, side * up))
    return [f.fault for f in hand.marked(TWO).faults]


def test_it_is_named_where_both_points_stand_there():
    assert marked(-ALONG) == ["sides-swapped"]


@pytest.mark.parametrize(
    ("along", "up", "points", "fault"),
    [
        (ALONG, UP, 2, []),
        (ALONG + 5.0, UP, 2, ["point-off"]),
        (-ALONG, UP - 6.0, 2, ["point-missing"]),
        (-ALONG, UP, 1, ["point-missing"]),
    ],
)
def test_other_points_are_off_or_missing(along, up, points, fault):
    assert marked(along, up, points) == fault
