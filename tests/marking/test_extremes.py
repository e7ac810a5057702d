"""The worst deviation's own uncertainty, and a line that runs on past an angle's vertex."""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.marking.pupil import Hand, on_paper, place
from tests.marking.test_lines import ANGLE, BISECTOR, bisected, decisions

from millimark.marking import results
from millimark.marking.findings import Script
from millimark.plane.point import Point


def published(marks):
    data = results.as_json([], [Script("S0001", None, (marks,))], {("S0001", 1): 1.0})
    return data["scripts"][0]["questions"][0]["elements"][0]


@pytest.mark.parametrize("past_mm", [0.0, 1.0, 7.0])
def test_an_overrun_of_the_vertex_beyond_two_millimetres_is_in_worst_mm(past_mm):
    """The line past the vertex is no part of the locus; an overlay lets 2 mm pass."""
    p = on_paper(ANGLE)
    u, w = (p["B"] - p["A"]).unit(), (p["C"] - p["A"]).unit()
    along = Point(u.x + w.x, u.y + w.y).unit()
    hand = Hand()
    hand.line(p["A"] - along * past_mm, p["A"] + along * 70.0)
    marks = hand.marked(ANGLE)
    element = published(marks)
    beyond = max(past_mm - 2.0, 0.0)
    assert abs(element["worst_mm"] - max(beyond, 0.1)) < 1.96 * element["uncertainty_mm"] + 0.1
    assert decisions(marks)[1] != "awarded" or beyond == 0.0 or marks.elements[0].worst_mm < 2.0
    assert marks.elements[0].worst_mm < 0.3


def test_a_steady_line_keeps_its_small_uncertainty():
    assert published(bisected(Hand()))["uncertainty_mm"] < 0.08


def wavy(seed, rough_mm=0.8):
    """A shaky bisector (waves of about 12 mm) and its true worst deviation."""
    rng = np.random.default_rng(seed)
    a, b = on_paper(BISECTOR)["A"], on_paper(BISECTOR)["B"]
    y = np.linspace(a.y - 45.0, a.y + 45.0, 800)
    x = sum(
        rng.normal(0.0, rough_mm / 2) * np.sin(2 * math.pi * y / wave + rng.uniform(0.0, 6.3))
        for wave in (9.0, 12.0, 17.0, 25.0)
    )
    hand = Hand(seed, noise=0.02)
    hand.path(np.column_stack(((a.x + b.x) / 2 + x, y)))
    return hand.marked_at(BISECTOR, place(BISECTOR.figure)), float(np.abs(x).max())


def test_the_extreme_of_a_shaky_line_is_covered_by_its_interval():
    held = 0
    for seed in range(20):
        marks, true = wavy(seed)
        element = published(marks)
        held += abs(element["worst_mm"] - true) <= 1.96 * element["uncertainty_mm"]
    assert held >= 18
