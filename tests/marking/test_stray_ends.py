"""A long line's end goes where pencil along the line goes, not where a tangent arc does."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from millimark.marking.ends import corners
from millimark.marking.ink import STEP_MM, Ink, Piece, apart, tangents
from millimark.marking.stray_ends import without_stray_ends


def piece(xy: np.ndarray, stroke: int = 0) -> Piece:
    return Piece(xy, tangents(xy), np.full(len(xy), 0.02), 0.5, 0.5, stroke, "line")


def astray(away_mm: float = 2.4) -> Piece:
    """A line of 70 mm whose last 10 mm bend off by ``away_mm``."""
    x = np.arange(0.0, 70.0, STEP_MM)
    y = away_mm * (np.maximum(x - 60.0, 0.0) / 10.0) ** 1.5
    return piece(np.column_stack((x, y)))


def carried_on() -> Piece:
    x = np.arange(61.5, 80.0, STEP_MM)
    return piece(np.column_stack((x, np.zeros(len(x)))), 1)


def test_an_end_astray_is_cut_off_where_other_pencil_carries_the_line_on():
    line, rest, end = without_stray_ends([astray(), carried_on()])
    assert np.abs(line.xy[:, 1]).max() < 0.3
    assert rest.xy[0] == pytest.approx((61.5, 0.0))
    assert end.xy[-1, 1] > 2.0
    assert len(line.xy) + len(end.xy) == len(astray().xy)


def test_a_bent_line_alone_is_left_as_it_is():
    (line,) = without_stray_ends([astray()])
    assert len(line.xy) == len(astray().xy)


def test_a_wavy_line_keeps_its_ends():
    x = np.arange(0.0, 70.0, STEP_MM)
    wavy = piece(np.column_stack((x, 0.4 * np.sin(x / 5.0))))
    assert len(without_stray_ends([wavy, carried_on()])) == 2


def circle(hook_mm: float) -> Piece:
    """A whole circle of 40 mm that begins along a stroke of hatching, ``hook_mm`` inside it."""
    t = np.arange(0.02, 2.0 * np.pi - 0.02, STEP_MM / 40.0)
    inward = hook_mm * np.maximum(0.0, 1.0 - np.arange(len(t)) * STEP_MM / 1.6)
    r = 40.0 - inward
    return replace(piece(np.column_stack((r * np.cos(t), r * np.sin(t)))), shape="arc")


def test_a_circle_that_begins_along_the_hatching_is_cut_where_its_other_end_takes_over():
    kept, end = without_stray_ends([circle(1.2)])
    assert np.abs(np.hypot(*kept.xy.T) - 40.0).max() < 0.25
    assert end.length < 2.0


def test_the_end_of_an_arc_that_nothing_carries_on_is_left():
    whole = circle(1.2)
    half = replace(whole, xy=whole.xy[:300], tangent=whole.tangent[:300], sigma=whole.sigma[:300])
    assert len(without_stray_ends([half])) == 1


def test_an_arc_that_slips_keeps_its_ends():
    t = np.arange(0.0, 2.0 * np.pi, STEP_MM / 40.0)
    r = 40.0 - 4.0 * t / (2.0 * np.pi)
    slipped = replace(piece(np.column_stack((r * np.cos(t), r * np.sin(t)))), shape="arc")
    assert len(without_stray_ends([slipped])) == 1


def arc(hook_mm: float) -> Piece:
    """An arc of 40 mm over 40 mm, whose first 2 mm turn off inwards by ``hook_mm``."""
    t = np.arange(0.0, 1.0, STEP_MM / 40.0)
    r = 40.0 - hook_mm * np.maximum(0.0, 1.0 - np.arange(len(t)) * STEP_MM / 2.0)
    return replace(piece(np.column_stack((r * np.cos(t), r * np.sin(t)))), shape="arc")


def stroke_at(place: np.ndarray, way: np.ndarray) -> Piece:
    """A stroke of hatching of 8 mm that starts at a place."""
    steps = np.arange(0.0, 8.0, STEP_MM)[:, None]
    return piece(place + steps * way / np.hypot(*way), 1)


@pytest.mark.parametrize("hooked", [arc(1.4), piece(arc(1.4).xy)])
def test_an_end_that_turns_off_into_a_stroke_of_hatching_is_cut_off(hooked):
    into = stroke_at(hooked.xy[0], hooked.xy[0] - hooked.xy[3])
    kept, _, end = without_stray_ends([hooked, into])
    assert np.abs(np.hypot(*kept.xy.T) - 40.0).max() < 0.3
    assert end.length < 2.5


def test_an_end_that_turns_off_beside_a_stroke_across_is_left():
    hooked = arc(1.4)
    across = stroke_at(hooked.xy[0], np.array([1.0, 0.0]))
    assert len(without_stray_ends([hooked, across])) == 2
    assert len(without_stray_ends([hooked])) == 1


def test_an_end_that_other_pencil_lies_on_is_cut_off_where_it_turns_off():
    hooked = arc(1.4)
    sigma = hooked.sigma.copy()
    sigma[:4] *= 3.0
    kept, end = without_stray_ends([replace(hooked, sigma=sigma)])
    assert np.abs(np.hypot(*kept.xy.T) - 40.0).max() < 0.3
    assert len(without_stray_ends([replace(arc(0.3), sigma=sigma)])) == 1
    assert end.length < 2.5


def test_what_follows_an_end_that_turned_off_is_another_stroke():
    """The leg of a letter that stands at a line's end is none of the line."""
    hooked = piece(arc(1.4).xy[::-1])
    sigma = hooked.sigma.copy()
    sigma[-4:] *= 3.0
    leg = replace(stroke_at(hooked.xy[-1], hooked.xy[-1] - hooked.xy[-4]), stroke=0)
    before = replace(stroke_at(hooked.xy[0], hooked.xy[0] - hooked.xy[3]), stroke=0)
    pieces = [before, replace(hooked, sigma=sigma), leg, replace(leg, stroke=1)]
    first, line, follows, other, end = without_stray_ends(pieces)
    assert first.stroke == line.stroke == 0
    assert other.stroke == 1
    assert len({line.stroke, other.stroke, follows.stroke, end.stroke}) == 4
    assert {line.trace, follows.trace, end.trace} == {0}


def test_where_one_trace_was_cut_there_is_no_corner():
    t = np.arange(0.0, 20.0, STEP_MM)[:, None]
    line = piece(t * np.array([1.0, 0.0]))
    turned = [piece(line.xy[-1] + t * np.array([0.5, 0.87]), 1)]
    assert len(corners(Ink.of([line, *turned]), [0, 1])) == 1
    of_one = apart([replace(turned[0], stroke=0)], 1)
    assert len(corners(Ink.of([line, *of_one]), [0, 1])) == 0
