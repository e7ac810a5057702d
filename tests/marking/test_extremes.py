"""The worst deviation's own uncertainty, and a line that runs on past an angle's vertex."""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.marking.pupil import Hand, on_paper, place
from tests.marking.test_lines import ANGLE, BISECTOR, bisected, decisions

from millimark.loci.answer import Element
from millimark.loci.conditions import AtDistance, PointOf
from millimark.marking import results
from millimark.marking.expected import Wanted
from millimark.marking.extremes import chained, extreme, overrun
from millimark.marking.findings import Deviation, Script
from millimark.plane.curves import Arc
from millimark.plane.point import Point

ABOUT_A = AtDistance(PointOf("A"), 4.0)


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


@pytest.mark.parametrize("past_mm", [0.0, 1.5, 6.0])
def test_an_arc_past_its_end_counts_beyond_two_millimetres(past_mm):
    """A quarter circle (the middle of a ladder) drawn past one of its ends."""
    quarter = Arc(Point(50.0, 50.0), 40.0, 0.0, math.pi / 2)
    turn = np.linspace(0.2, math.pi / 2 + past_mm / 40.0, 200)
    xy = np.array([50.0, 50.0]) + 40.0 * np.column_stack((np.cos(turn), np.sin(turn)))
    wanted = Wanted(
        Element("arc", "arc", ABOUT_A, (quarter,), (quarter,)), (quarter,), (quarter,), 0.0
    )
    assert overrun(xy, wanted) == pytest.approx(max(0.0, past_mm - 2.0), abs=0.06)


def test_a_whole_circle_has_no_end_to_run_past():
    circle = Arc(Point(0.0, 0.0), 30.0)
    turn = np.linspace(0.0, 7.0, 300)
    xy = 30.2 * np.column_stack((np.cos(turn), np.sin(turn)))
    wanted = Wanted(
        Element("circle", "arc", ABOUT_A, (circle,), (circle,)), (circle,), (circle,), 0.0
    )
    assert overrun(xy, wanted) == 0.0


def piece(first: float, last: float, loose: tuple[bool, bool] = (False, False)) -> Deviation:
    """A piece along x that rises by half a millimetre a millimetre to its peak at x = 20."""
    x = np.arange(first, last, 0.4)
    return Deviation(np.column_stack((x, 0 * x)), 5.0 - 0.5 * np.abs(x - 20.0), loose)


def test_a_peak_where_one_piece_of_a_stroke_ends_and_the_next_begins():
    """Each by itself holds less of it: a freehand line is cut at its bends."""
    one, two = piece(10.0, 20.2), piece(20.2, 30.0)
    assert extreme((one, two), None)[0] < 4.7
    assert extreme(chained({3: one, 4: two}), None)[0] > 4.7


def test_pieces_that_do_not_follow_each_other_stay_apart():
    one, two, far = piece(10.0, 19.0), piece(20.2, 30.0), piece(30.0, 34.0, (True, False))
    assert len(chained({3: one, 4: two, 5: far})) == 3
