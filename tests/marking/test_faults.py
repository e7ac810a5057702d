"""Likely causes: the planted one is named with its size, and none where none was planted."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from tests.marking.pupil import Hand, on_paper
from tests.marking.strategies import seeds
from tests.marking.test_lines import BISECTOR, CIRCLE, bisected
from tests.marking.test_paths import stadium

from millimark.marking.courses import Course, explained
from millimark.plane.point import Point

A = on_paper(CIRCLE)["A"]


def named(marks):
    return [f.fault for f in marks.faults]


def around(radius):
    """A circle about A whose radius is a function of the angle in radians."""
    t = np.linspace(0.0, 2 * math.pi, 400)
    r = np.array([radius(a) for a in t])
    hand = Hand()
    hand.path(np.column_stack((A.x + r * np.cos(t), A.y + r * np.sin(t))))
    return hand.marked(CIRCLE)


@pytest.mark.parametrize("off", [-6.0, -3.0, 3.0, 6.0])
def test_wrong_opening(off):
    marks = around(lambda a: 40.0 + off)
    (fault,) = marks.faults
    assert fault.fault == "arc-radius"
    assert fault.size_mm == pytest.approx(abs(off), abs=0.1)
    assert fault.confidence > 0.9


@pytest.mark.parametrize("drift", [-5.0, 4.0, 7.0])
def test_slipped_compasses(drift):
    (fault,) = around(lambda a: 40.0 + drift * a / (2 * math.pi)).faults
    assert fault.fault == "compasses-slipped"
    assert fault.size_mm == pytest.approx(abs(drift), rel=0.25)


def test_a_needle_that_stood_off():
    hand = Hand()
    hand.arc(Point(A.x + 4.0, A.y + 1.0), 40.0)
    (fault,) = hand.marked(CIRCLE).faults
    assert fault.fault == "needle-off"
    assert fault.size_mm == pytest.approx(math.hypot(4.0, 1.0), abs=0.3)


def test_free_hand():
    assert named(around(lambda a: 40.0 + 1.2 * math.sin(7 * a) + 0.6 * math.sin(15 * a))) == [
        "freehand"
    ]


def test_half_a_circle():
    hand = Hand()
    hand.arc(A, 40.0, 0.0, 180.0)
    assert named(hand.marked(CIRCLE)) == ["incomplete"]


@pytest.mark.parametrize(
    ("drawn", "fault"),
    [
        ({"d": 26.0}, "distance"),
        ({"top": False}, "one-side"),
        ({"ends": False}, "ends-missing"),
        ({}, None),
    ],
)
def test_paths(drawn, fault):
    assert named(stadium(**drawn)) == ([fault] if fault else [])


@pytest.mark.parametrize(
    ("drawn", "fault"),
    [({"off": 5.0}, "line-shifted"), ({"turn_deg": 6.0}, "line-turned"), ({}, None)],
)
def test_lines(drawn, fault):
    assert named(bisected(Hand(), **drawn)) == ([fault] if fault else [])


def test_arcs_of_different_radii():
    hand, p = Hand(), on_paper(BISECTOR)
    hand.crossing_arcs(p["A"], p["B"], 56.0, 50.0)
    hand.line(Point(A.x + 40.0, A.y - 50.0), Point(A.x + 40.0, A.y + 50.0))
    (fault,) = hand.marked(BISECTOR).faults
    assert fault.fault == "unequal-arcs"
    assert fault.size_mm == pytest.approx(6.0, abs=0.2)


@given(seed=seeds)
@settings(max_examples=30, deadline=None)
def test_a_careful_course_needs_no_explanation(seed):
    rng = np.random.default_rng(seed)
    t = np.linspace(0.0, 250.0, 625)
    wave = np.interp(t, np.arange(0.0, 260.0, 8.0), rng.normal(0.0, 0.2, 33))
    needle = rng.normal(0.0, 0.25, 2)
    u = wave + needle[0] * np.cos(t / 40.0) + needle[1] * np.sin(t / 40.0)
    assert abs(explained(Course(t, u, 1 / 40.0)).size) < 1.5
