"""A line drawn freehand is one line round all its bends, and across what else lies at them."""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.marking.pupil import Hand, on_paper
from tests.marking.test_hatching_on_outlines import Q as SHADED
from tests.marking.test_lines import BISECTOR
from tests.marking.test_lines import CIRCLE as ROUND

from millimark.marking.ends import corners
from millimark.marking.findings import ElementFinding
from millimark.marking.ink import STEP_MM, Ink, Piece, tangents
from millimark.marking.same_hand import followed
from millimark.marking.targets import Target, View
from millimark.plane.curves import Arc, Line
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


def _wave(first: float, last: float, off: float = 0.0) -> np.ndarray:
    """(x, y) mm of a line along x that a hand drew, from one x to another."""
    t = np.arange(first, last, STEP_MM)
    return np.column_stack((t, off + 0.8 * np.sin(t / 3.0)))


def _ink(*lines: np.ndarray) -> tuple[Ink, View]:
    """Strokes seen from the line along x that they were drawn for."""
    pieces = [
        Piece(xy, tangents(xy), np.full(len(xy), 0.02), 0.5, 0.5, k, "loose")
        for k, xy in enumerate(lines)
    ]
    ink, along = Ink.of(pieces), Line(Point(0.0, 0.0), Point(1.0, 0.0))
    return ink, View.of(ink, Target(0, along, False, 90.0, 30.0), (-10.0, -50.0, 90.0, 50.0))


def test_the_hand_goes_on_ahead_across_what_else_lies_there():
    """A line that crosses hides a bend of 2 mm; of what begins there the line goes on ahead."""
    away = np.array([40.0, 0.5]) + np.arange(0.0, 20.0, STEP_MM)[:, None] * np.array([[0.6, 0.8]])
    ink, view = _ink(_wave(0.0, 39.0), _wave(40.6, 70.0), away)
    assert followed(ink, view, (0,), frozenset()) == (0, 1)


def test_a_line_drawn_twice_by_hand_is_followed_along_either():
    ink, view = _ink(
        _wave(0.0, 30.0), _wave(0.0, 29.0, 0.9), _wave(30.8, 60.0), _wave(30.2, 60.0, 0.9)
    )
    assert set(followed(ink, view, (0,), frozenset())) >= {0, 2}


def test_where_the_line_goes_on_already_nothing_else_does():
    """The boundaries of two regions cross where the hand lifted the pencil: the other one is no
    part of this."""
    other = np.array([30.2, 0.3]) + np.arange(0.0, 12.0, STEP_MM)[:, None] * np.array([[0.7, 0.7]])
    ink, view = _ink(_wave(0.0, 30.0), _wave(30.8, 60.0), other)
    assert followed(ink, view, (0, 1), frozenset()) == (0, 1)


@pytest.mark.parametrize(("long_mm", "line"), [(3.0, (0,)), (6.0, (0, 1))])
def test_what_goes_on_for_a_moment_only_may_be_a_letter(long_mm, line):
    ink, view = _ink(_wave(0.0, 30.0), _wave(31.0, 31.0 + long_mm))
    assert followed(ink, view, (0,), frozenset()) == line
    assert followed(ink, view, (1,), frozenset()) == ((1,) if len(line) == 1 else line)


def test_what_bridges_two_pieces_of_the_line_may_be_short():
    ink, view = _ink(_wave(0.0, 30.0), _wave(31.0, 34.0), _wave(35.0, 60.0))
    assert followed(ink, view, (0, 2), frozenset()) == (0, 1, 2)


def test_the_hand_does_not_go_back_beside_its_own_line():
    """A circle's arc ends where the side of a figure does, and runs beside it."""
    t = np.arange(0.0, 26.0, STEP_MM)
    beside = np.column_stack((29.5 - t, 0.4 + 4.0 * np.sin(math.pi * t / 26.0)))
    ink, view = _ink(_wave(0.0, 60.0), beside)
    assert followed(ink, view, (0,), frozenset()) == (0,)


@pytest.mark.parametrize(("long_mm", "line"), [(12.0, (0, 1)), (36.0, (0,))])
def test_what_leads_far_away_is_another_line(long_mm, line):
    t = np.arange(0.0, long_mm, STEP_MM)
    turn = math.radians(28.0)
    way = np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    ink, view = _ink(
        _wave(0.0, 28.6), np.array([29.0, 0.0]) + np.column_stack((t, 0.4 * np.sin(t))) @ way
    )
    assert followed(ink, view, (0,), frozenset()) == line


def test_the_hand_does_not_go_on_along_what_was_ruled():
    ruled = np.column_stack((np.arange(31.0, 70.0, STEP_MM), np.full(98, -0.6)))
    ink, view = _ink(_wave(0.0, 30.0), ruled)
    assert followed(ink, view, (0,), frozenset()) == (0,)


@pytest.mark.parametrize(("bent", "tips"), [(False, 1), (True, 0)])
def test_a_bend_that_another_stroke_takes_is_no_corner(bent, tips):
    """Two courses that would cross 1.5 mm ahead of both; the hand cut the corner."""
    t = np.arange(1.5, 12.0, STEP_MM)
    first, last = np.column_stack((-t, 0.0 * t)), np.column_stack((0.3 * t, t))
    middle = np.linspace(first[0], last[0], 6)
    ink, _ = _ink(*([first, last, middle] if bent else [first, last]))
    assert len(corners(ink, range(len(ink.pieces)))) == tips


def test_a_freehand_circle_is_followed_past_the_hatching_that_ends_on_it():
    hand, a = Hand(), on_paper(SHADED)["A"]
    t = np.linspace(0.0, 2.0 * math.pi, 721)
    r = 50.0 - 4.5 * np.exp(-(((t - 2.0) / 0.1) ** 2)) + 0.5 * np.sin(9.0 * t)
    xy = np.column_stack((a.x + r * np.cos(t), a.y + r * np.sin(t)))
    for part in np.array_split(xy, 9):
        hand.path(part[1:-1])

    def inside(x: float, y: float) -> bool:
        way = math.atan2(y - a.y, x - a.x) % (2.0 * math.pi)
        return math.hypot(x - a.x, y - a.y) < float(np.interp(way, t, r)) - 0.2

    hand.hatch(inside)
    element = hand.marked(SHADED).elements[0]
    assert element.worst_mm == pytest.approx(float(np.abs(r - 50.0).max()), abs=0.4)


@pytest.mark.parametrize(
    ("waves_mm", "start_deg", "pieces"),
    [
        (0.8, 0.0, 4),
        (0.8, 90.0, 4),
        (0.8, 170.0, 4),
        (0.8, 350.0, 4),
        (0.25, 0.0, 3),
        (0.05, 0.0, 1),
    ],
)
def test_a_hand_goes_on_round_a_circle_wherever_its_angles_are_counted_from(
    waves_mm, start_deg, pieces
):
    """A hand's waves may be small; what the compasses drew does not go on so."""
    t = np.radians(start_deg) + np.arange(0.0, 2.0, STEP_MM / 40.0)
    r = 40.0 + waves_mm * np.sin(40.0 * t / 3.0)
    xy = r[:, None] * np.column_stack((np.cos(t), np.sin(t)))
    parts = np.array_split(xy, 4 if waves_mm > 0.5 else 3)
    drawn = [
        Piece(part, tangents(part), np.full(len(part), 0.02), 0.5, 0.5, k, "arc")
        for k, part in enumerate(parts)
    ]
    ink, around = Ink.of(drawn), Arc(Point(0.0, 0.0), 40.0)
    view = View.of(ink, Target(0, around, False, 251.0, 100.0), (-60.0, -60.0, 60.0, 60.0))
    assert set(followed(ink, view, (0,), frozenset())) == set(range(pieces))


def test_a_freehand_circle_in_many_strokes_is_one_answer_beside_what_the_compasses_drew():
    """The circle of 52 mm helps to construct; each stroke of the other is shorter than it."""
    hand, a = Hand(), on_paper(ROUND)["A"]
    t = np.linspace(0.0, 2.0 * math.pi, 721)
    r = 40.0 + 3.0 * np.sin(3.0 * t) + 0.8 * np.sin(17.0 * t)
    xy = np.column_stack((a.x + r * np.cos(t), a.y + r * np.sin(t)))
    for part in np.array_split(xy, 9):
        hand.path(part[1:-1])
    hand.arc(a, 52.0)
    assert hand.marked(ROUND).elements[0].worst_mm == pytest.approx(3.8, abs=0.4)


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
