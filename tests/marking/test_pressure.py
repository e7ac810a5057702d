"""What was traced as one stroke is two where it bends at another one and changes its darkness."""

from __future__ import annotations

import numpy as np
import pytest
from tests.marking.pupil import Hand, on_paper
from tests.marking.test_lines import BISECTOR

from millimark.marking.ink import STEP_MM
from millimark.marking.pressure import strokes_in
from millimark.plane.point import Point

SIGMA = np.full(61, 0.02)
ACROSS = np.column_stack((np.full(20, 12.0), np.linspace(-4.0, 4.0, 20)))


def bent(turn_deg: float) -> np.ndarray:
    """Points (61, 2) of 12 mm along x and 12 mm that turn off at (12, 0)."""
    t = np.arange(0.0, 12.2, STEP_MM)[:, None]
    turn = np.radians(turn_deg)
    first, way = t * np.array([1.0, 0.0]), np.array([np.cos(turn), np.sin(turn)])
    return np.vstack((first, first[-1] + t[1:] * way))


def grain(pale: float, seed: int = 3) -> np.ndarray:
    """Darkness (61,) that steps from 0.5 to ``pale`` at the bend, as grainy as pencil is."""
    dark = np.where(np.arange(61) < 30, 0.5, pale)
    return dark * np.random.default_rng(seed).normal(1.0, 0.06, 61)


def test_a_stroke_that_bends_and_pales_at_another_one_is_two():
    (first, cut), (again, last) = strokes_in(bent(25.0), grain(0.36), SIGMA, STEP_MM, [ACROSS])
    assert (first, last) == (0, 60)
    assert cut == again
    assert cut == pytest.approx(30, abs=3)


@pytest.mark.parametrize(
    ("turn_deg", "pale", "others"),
    [(25.0, 0.5, [ACROSS]), (3.0, 0.36, [ACROSS]), (25.0, 0.36, []), (25.0, 0.36, [ACROSS + 6])],
)
def test_it_is_one_as_dark_or_as_straight_or_with_nothing_there(turn_deg, pale, others):
    assert strokes_in(bent(turn_deg), grain(pale), SIGMA, STEP_MM, others) == [(0, 60)]


@pytest.mark.parametrize(
    ("end", "rest", "strokes"), [(0.25, 0.5, 2), (0.37, 0.5, 1), (0.5, 0.25, 1)]
)
def test_a_far_paler_end_is_another_stroke_though_none_is_seen(end, rest, strokes):
    """A line that ends on an arc is one ridge with it; a darker end has another one lying on it."""
    dark = np.where(np.arange(61) < 46, rest, end)
    dark = dark * np.random.default_rng(3).normal(1.0, 0.06, 61)
    assert len(strokes_in(bent(3.0), dark, SIGMA, STEP_MM, [])) == strokes


def test_where_two_strokes_lie_on_each_other_for_a_while_neither_ends():
    dark = grain(0.5) * np.where(np.abs(np.arange(61) - 36) < 6, 1.6, 1.0)
    assert strokes_in(bent(25.0), dark, SIGMA, STEP_MM, [ACROSS]) == [(0, 60)]


def test_a_scrap_is_one():
    assert strokes_in(bent(25.0)[:3], grain(0.3)[:3], SIGMA[:3], STEP_MM, [ACROSS]) == [(0, 2)]


def test_the_rest_of_a_line_that_was_traced_with_a_paler_arc_is_measured_without_it():
    """At a knot of arcs the tracer left the line, and took an arc for the beginning of its rest."""
    hand = Hand()
    a, b = on_paper(BISECTOR)["A"], on_paper(BISECTOR)["B"]
    knot = a + (b - a) * 0.5 + Point(0.0, 30.0)
    hand.line(knot - Point(0.0, 70.0), knot)
    arm, rest = knot - Point(2.4, 6.0), knot + Point(0.0, 7.0)
    hand.path([arm, knot, rest])
    stroke = hand.strokes[-1]
    stroke.darkness[: round(0.48 * len(stroke.darkness))] *= 0.6
    hand.line(knot - Point(7.0, 1.0), knot + Point(7.0, -1.0), 0.35)
    element = hand.marked(BISECTOR).elements[0]
    assert element.worst_mm < 0.5
    assert max(d.xy[:, 1].max() for d in element.profile) > rest.y - 1.0
