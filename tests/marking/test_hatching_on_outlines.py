"""Strokes of hatching that are traced as part of the outline they fill say nothing of how far it
strays; a line that leaves its place for itself does.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.marking.pupil import FRAME, Hand, on_paper, question, region

from millimark.loci.conditions import Distance, PointOf
from millimark.loci.figure import Figure
from millimark.marking.beside_outline import without_hatched_ends, without_hatching
from millimark.marking.coverage import FreePencil
from millimark.marking.findings import Deviation
from millimark.marking.hatching import Hatching
from millimark.marking.side_by_side import on_own_curve
from millimark.plane.curves import Arc
from millimark.plane.point import Point

FIGURE = Figure({"A": Point(0, 0)})
Q = question(FIGURE, region(Distance(PointOf("A"), "<", 5.0)))
A, R = on_paper(Q)["A"], 50.0


def round_to(first: float, last: float, radius: float = R) -> np.ndarray:
    """Points of the circle about A, from one angle to the other (degrees, clockwise as seen)."""
    turn = np.radians(np.linspace(first, last, 80))
    return np.column_stack((A.x + radius * np.cos(turn), A.y + radius * np.sin(turn)))


def chord(sagitta: float, middle: float) -> tuple[np.ndarray, float]:
    """A chord of the circle whose middle lies ``sagitta`` mm inside it, in the direction of
    ``middle`` degrees, and half the angle that it spans."""
    half = math.degrees(math.acos(1.0 - sagitta / R))
    ends = round_to(middle - half, middle + half)[[0, -1]]
    return np.linspace(ends[0], ends[1], 60), half


def hatched(hand: Hand) -> None:
    """Strokes at 45 degrees that end 1.5 mm within the circle."""
    hand.hatch(lambda x, y: math.hypot(x - A.x, y - A.y) < R - 1.5, 3.0)


def worst(hand: Hand) -> float:
    return hand.marked(Q).elements[0].worst_mm


@pytest.mark.parametrize("sagitta", [1.4, 1.8, 2.4])
def test_a_stroke_traced_on_along_the_outline(sagitta):
    hand = Hand()
    hand.path(round_to(-70.0, 290.0))
    stroke, half = chord(sagitta, 135.0)
    hand.path(np.concatenate((stroke, round_to(135.0 + half, 135.0 + half + 5.0))))
    hatched(hand)
    assert worst(hand) < 0.4


@pytest.mark.parametrize("sagitta", [1.4, 1.8, 2.4])
def test_an_outline_traced_on_along_a_stroke(sagitta):
    """The pupil's circle ends where a stroke of hatching begins: one stroke of pencil."""
    hand = Hand()
    stroke, half = chord(sagitta, 135.0)
    hand.path(np.concatenate((round_to(-130.0, 135.0 - half), stroke[:45])))
    hatched(hand)
    assert worst(hand) < 0.6


@pytest.mark.parametrize(("waver", "kept_mm"), [(0.05, 0.5), (0.28, 7.7)])
def test_what_the_compasses_drew_turns_off_along_no_line(waver, kept_mm):
    """Where the circle ends on another line of the answer, it is traced on along that; a hand's own
    circle may run so."""
    radius = R + waver * np.sign(np.sin(np.arange(320) / 3.0))
    circle = round_to(-150.0, 40.0)
    circle = np.column_stack([np.interp(np.linspace(0, 79, 320), range(80), v) for v in circle.T])
    circle = np.array(A) + (circle - np.array(A)) * (radius / R)[:, None]
    turn = math.radians(40.0 + 90.0 - 30.0)
    tail = circle[-1] + np.outer(np.arange(0.4, 14.0, 0.4), (math.cos(turn), math.sin(turn)))
    xy = np.concatenate((circle, tail))
    off = np.hypot(*(xy - np.array(A)).T) - R
    (kept,) = on_own_curve([Deviation(xy, off)], Arc(A, R), FRAME)
    assert np.abs(kept.off).max() == pytest.approx(kept_mm, abs=0.2)


def test_an_end_that_leaves_the_circle_across_the_hatching_counts():
    hand = Hand()
    stroke, half = chord(1.8, 80.0)
    hand.path(np.concatenate((round_to(-180.0, 80.0 - half), stroke)))
    hatched(hand)
    assert worst(hand) == pytest.approx(1.8, abs=0.4)


def level(x: np.ndarray, y: float | np.ndarray) -> Deviation:
    """A piece whose right place is y = 0."""
    off = np.broadcast_to(np.asarray(y, dtype=float), x.shape).copy()
    return Deviation(np.column_stack((x, off)), off, (True, True))


def strokes_about(angle: float) -> FreePencil:
    """Strokes of hatching at ``angle`` degrees below a line."""
    way = np.array([math.cos(math.radians(angle)), math.sin(math.radians(angle))])
    first = np.array([(4.0 * k, 3.0 + (k % 4)) for k in range(-2, 12)], dtype=float)
    xy = (first[:, None] + way * np.arange(0.0, 9.0, 0.4)[:, None]).reshape(-1, 2)
    return FreePencil(xy, np.tile(way, (len(xy), 1)), np.ones(len(xy), bool))


OUTLINE = level(np.arange(0.0, 40.0, 0.4), 0.1)
X = np.arange(10.0, 24.0, 0.4)
"""A stroke that runs 2 mm off and, at its end, into the outline."""
BESIDE = level(X, np.clip((24.0 - X) / 2.0, 0.1, 2.0))


@pytest.mark.parametrize(("angle", "left"), [(0.0, 0.4), (4.0, 0.4), (60.0, 2.0)])
def test_a_stroke_beside_a_longer_one_is_hatching_if_it_runs_so(angle, left):
    kept = without_hatching((OUTLINE, BESIDE), (0, 1), Hatching(strokes_about(angle)))
    assert kept[0] is OUTLINE
    assert np.abs(kept[1].off).max(initial=0.0) == pytest.approx(left, abs=0.3)
    assert not kept[1].loose[0] or left == 2.0


def test_a_line_gone_over_twice_is_no_hatching():
    twice = level(X, 0.9)
    kept = without_hatching((OUTLINE, twice), (0, 1), Hatching(strokes_about(0.0)))
    assert kept == (OUTLINE, twice)


@pytest.mark.parametrize(("turned_deg", "left"), [(0.0, 0.3), (50.0, 1.4)])
def test_a_whole_stroke_traced_on_from_the_circle_ends_on_it_again(turned_deg, left):
    """It is a chord, along the strokes about it, or across them."""
    stroke, half = chord(1.4, 80.0)
    xy = np.concatenate((round_to(-130.0, 80.0 - half), stroke))
    turn = math.radians(80.0 + 90.0 + turned_deg)
    way = np.array([math.cos(turn), math.sin(turn)])
    inward = stroke.mean(axis=0) - np.outer(
        np.arange(2.0, 9.0, 2.0), (math.cos(math.radians(80.0)), math.sin(math.radians(80.0)))
    )
    about = (inward[:, None] + way * np.arange(-14.0, 14.0, 0.4)[:, None]).reshape(-1, 2)
    free = FreePencil(about, np.tile(way, (len(about), 1)), np.ones(len(about), bool))
    drawn = Deviation(xy, np.hypot(*(xy - np.array(A)).T) - R, (True, True))
    scrap = Deviation(stroke[28:31], drawn.off[-32:-29], (True, True))
    kept, rest = without_hatched_ends((drawn, scrap), Arc(A, R), FRAME, Hatching(free))
    assert np.abs(kept.off).max() == pytest.approx(left, abs=0.1)
    assert len(rest.off) == (0 if turned_deg == 0.0 else 3)
