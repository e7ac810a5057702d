"""A line drawn freehand is one line round all its bends, as long as nothing else lies at them."""

from __future__ import annotations

import numpy as np
import pytest
from tests.marking.pupil import Hand, on_paper
from tests.marking.test_lines import BISECTOR

from millimark.marking.findings import ElementFinding
from millimark.marking.ink import STEP_MM, Ink, Piece, tangents
from millimark.marking.same_hand import followed
from millimark.marking.targets import Target, View
from millimark.plane.curves import Line
from millimark.plane.point import Point

_STRAYS_MM = 5.0


def _bent(sharp: bool) -> list[np.ndarray]:
    """(x, y) mm of a line along y that strays to `_STRAYS_MM` and comes back part of the way, in
    one stroke or, where it bends sharply, in three."""
    on = np.linspace(-40.0, 0.0, 60)
    line = np.column_stack((0.6 * np.sin(on / 3.0), on))
    away = np.array([[_STRAYS_MM, 4.0], [1.0, 14.0], [1.5, 30.0]])
    path = np.vstack((line, away))
    if not sharp:
        return [path]
    return [line, np.vstack((line[-1], away[:1])), away]


def _drawn(sharp: bool) -> ElementFinding:
    hand = Hand()
    a, b = on_paper(BISECTOR)["A"], on_paper(BISECTOR)["B"]
    middle = np.array(a + (b - a) * 0.5)
    for part in _bent(sharp):
        hand.path(part + middle)
    return hand.marked(BISECTOR).elements[0]


@pytest.mark.parametrize("sharp", [False, True])
def test_a_freehand_line_is_measured_as_far_as_the_hand_strayed(sharp):
    element = _drawn(sharp)
    assert element.worst_mm == pytest.approx(_STRAYS_MM, abs=0.6)
    assert element.drawn_with == "freehand"


def test_a_ruled_line_does_not_go_on_round_a_bend():
    hand = Hand()
    a, b = on_paper(BISECTOR)["A"], on_paper(BISECTOR)["B"]
    middle = a + (b - a) * 0.5
    end = middle + Point(0.0, 30.0)
    hand.line(middle - Point(0.0, 40.0), end)
    hand.line(end, end + Point(6.0, 6.0))
    assert hand.marked(BISECTOR).elements[0].worst_mm < 0.3


def _two(across: bool) -> tuple[Ink, View]:
    """Two wavy pieces that meet at a bend of 50° at (40, 0), seen from the line along x that the
    first was drawn for, and perhaps a ruled one across the bend."""
    t = np.arange(0.0, 40.0, STEP_MM)
    first = np.column_stack((t, 0.4 * np.sin(t / 3.0)))
    turn = np.radians(50.0)
    way = np.array([np.cos(turn), np.sin(turn)])
    then = first[-1] + t[:30, None] * way
    lines = [first, then] + [np.column_stack((40.0 + 0.0 * t, t - 20.0))] * across
    pieces = [
        Piece(xy, tangents(xy), np.full(len(xy), 0.02), 0.5, 0.5, k, "line")
        for k, xy in enumerate(lines)
    ]
    ink, frame = Ink.of(pieces), (-10.0, -50.0, 90.0, 50.0)
    along = Line(Point(0.0, 0.0), Point(1.0, 0.0))
    return ink, View.of(ink, Target(0, along, False, 90.0, 30.0), frame)


@pytest.mark.parametrize(("across", "line"), [(False, (0, 1)), (True, (0,))])
def test_the_hand_goes_on_round_a_bend_only_where_no_other_pencil_lies(across, line):
    ink, view = _two(across)
    assert followed(ink, view, (0,), frozenset()) == line
    assert followed(ink, view, (0,), {1}) == (0,)


def test_two_short_ruled_lines_make_a_corner():
    """The two boundaries of a region end at each other: neither is the rest of the other."""
    t = np.arange(0.0, 16.0, STEP_MM)
    turn = np.radians(50.0)
    first = np.column_stack((t, 0.0 * t))
    then = first[-1] + t[:, None] * np.array([np.cos(turn), np.sin(turn)])
    pieces = [
        Piece(xy, tangents(xy), np.full(len(xy), 0.02), 0.5, 0.5, 0, "line") for xy in (first, then)
    ]
    ink, along = Ink.of(pieces), Line(Point(0.0, 0.0), Point(1.0, 0.0))
    view = View.of(ink, Target(0, along, False, 90.0, 30.0), (-10.0, -50.0, 90.0, 50.0))
    assert followed(ink, view, (0,), frozenset()) == (0,)
