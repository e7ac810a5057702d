"""Strokes to pieces: what is smooth stays whole, corners and gaps cut."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.marking.pupil import Hand
from tests.marking.strategies import seeds

from millimark.marking.ink import STEP_MM, pieces_of
from millimark.marking.primitives import Ink, primitives_of
from millimark.plane.point import Point
from millimark.scan.reading import Stroke


def test_a_dot_and_nothing_give_no_pieces():
    dot = Stroke(np.array([[1.0, 1.0], [1.2, 1.0], [1.4, 1.0]]), *(np.ones(3) for _ in range(3)))
    assert pieces_of([], 1.0) == []
    assert pieces_of([dot], 1.0) == []


def test_zigzag_is_cut_at_its_corners():
    hand = Hand()
    hand.path([(20, 60), (30, 80), (34, 60), (44, 80)])
    pieces = pieces_of(hand.strokes, 1.0)
    assert [p.shape for p in pieces] == ["line"] * 3
    assert [round(p.length) for p in pieces] == pytest.approx([22, 20, 22], abs=2)


def test_a_line_that_runs_into_an_arc_is_two_pieces():
    hand = Hand(noise=0.04)
    t = np.linspace(0.0, np.pi / 2, 60)
    arc = np.column_stack((80 + 20 * np.sin(t), 80 - 20 * np.cos(t)))
    hand.path(np.vstack(([[40.0, 60.0]], arc)))
    assert [p.shape for p in pieces_of(hand.strokes, 1.0)] == ["line", "arc"]


def test_a_gap_inside_a_stroke_is_no_pencil():
    x = np.concatenate((np.arange(0.0, 20.0, 0.2), np.arange(28.0, 50.0, 0.2)))
    xy = np.column_stack((x, np.full(len(x), 70.0)))
    stroke = Stroke(xy, *(np.full(len(x), v) for v in (0.5, 0.5, 0.02)))
    pieces = pieces_of([stroke], 1.0)
    assert [round(p.length) for p in pieces] == [20, 22]
    assert {p.stroke for p in pieces} == {0}


def test_paper_is_page_times_print_scale():
    hand = Hand(noise=0.0)
    hand.line(Point(20, 60), Point(120, 60))
    (piece,) = pieces_of(hand.strokes, 0.94)
    assert piece.length == pytest.approx(94.0, abs=STEP_MM)


@given(seed=seeds, radius=st.floats(20.0, 70.0), sweep=st.floats(110.0, 350.0))
@settings(max_examples=40, deadline=None)
def test_an_arc_in_two_strokes_is_one_primitive(seed, radius, sweep):
    hand = Hand(seed, noise=0.04)
    centre = Point(105.0, 120.0)
    hand.arc(centre, radius, 10.0, sweep / 2)
    hand.arc(centre, radius, 11.0 + sweep / 2, sweep / 2)
    primitives = primitives_of(Ink.of(pieces_of(hand.strokes, 1.0)))
    longest = max(primitives, key=lambda p: p.length)
    assert longest.circle is not None
    assert longest.length > 0.95 * np.radians(sweep) * radius - 2.0
    assert longest.circle.radius == pytest.approx(
        radius, abs=0.05 + 5 * longest.circle.radius_sigma
    )


def test_hatching_is_known_and_two_parallels_are_not():
    hand = Hand()
    for k in range(8):
        hand.line(Point(40 + 3 * k, 60), Point(60 + 3 * k, 90))
    assert all(p.hatch for p in primitives_of(Ink.of(pieces_of(hand.strokes, 1.0))))
    pair = Hand()
    pair.line(Point(40, 60), Point(120, 60))
    pair.line(Point(40, 100), Point(120, 100))
    assert not any(p.hatch for p in primitives_of(Ink.of(pieces_of(pair.strokes, 1.0))))


def test_a_line_struck_through_is_cancelled():
    hand = Hand()
    hand.line(Point(40, 80), Point(80, 80))
    hand.path([(42 + 2.5 * k, 76 if k % 2 else 84) for k in range(15)])
    hand.line(Point(40, 120), Point(90, 120))
    primitives = primitives_of(Ink.of(pieces_of(hand.strokes, 1.0)))
    kept = [p for p in primitives if not p.cancelled]
    assert [round(p.length) for p in kept] == [50]
