"""How much of a locus is drawn, and between which bounds."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from millimark.marking.coverage import SAMPLE_MM, FreePencil, Ground, parts_covered
from millimark.marking.expected import clipped_samples
from millimark.plane.curves import Segment
from millimark.plane.point import Point

LINE = Segment(Point(20.0, 40.0), Point(80.0, 40.0))
FRAME = (0.0, 0.0, 100.0, 80.0)
EMPTY = np.zeros((400, 500), np.float32)


def covered(free=None):
    """A line of 60 mm of which the first half is drawn, with ``free`` pencil beside."""
    ground = Ground(0.0, 0.0, FRAME, 2.0, EMPTY > 1.0, EMPTY, 5.0, free=free)
    xy = np.column_stack((np.arange(20.0, 50.0, 0.4), np.full(75, 40.5)))
    needed = [clipped_samples(LINE, FRAME, SAMPLE_MM)]
    wanted = SimpleNamespace(needed=[LINE])
    return parts_covered(wanted, needed, xy, np.full(75, 0.5), 0.05, ground)["all"]


def stroke(away, turn_deg=0.0, hatch=False):
    """A stroke of 32 mm beside the other half."""
    way = np.array([np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))])
    t = np.arange(-16.0, 16.0, 0.4)
    xy = np.array([65.0, 40.0 + away]) + t[:, None] * way
    return FreePencil(xy, np.tile(way, (len(t), 1)), np.full(len(t), hatch))


def test_half_a_line_is_half_covered():
    found = covered()
    assert found.coverage == pytest.approx(0.55, abs=0.05)
    assert found.high < 0.65


@pytest.mark.parametrize("hatch", [False, True])
def test_pencil_that_no_line_took_leaves_the_other_half_in_doubt(hatch):
    found = covered(stroke(1.0, hatch=hatch))
    assert found.coverage == pytest.approx(0.55, abs=0.05)
    assert found.low < 0.6 < 0.95 < found.high


@pytest.mark.parametrize(("away", "turn_deg"), [(4.0, 0.0), (0.0, 60.0)])
def test_pencil_far_off_or_across_does_not(away, turn_deg):
    assert covered(stroke(away, turn_deg)).high < 0.65


@pytest.mark.parametrize(("hatch", "most"), [(False, 0.9), (True, 0.65)])
def test_a_stroke_of_hatching_that_crosses_at_a_small_angle_is_no_part_of_the_line(hatch, most):
    """It lies within 2 mm for 13 mm."""
    high = covered(stroke(0.0, 18.0, hatch)).high
    assert most - 0.15 < high < most


def test_where_the_line_passes_further_off_no_other_pencil_carries_it_on():
    """It strays to 4 mm over 10 mm while the ends of hatching lie in its right place."""
    x = np.arange(20.0, 80.0, 0.2)
    y = 40.0 + 4.0 * np.exp(-(((x - 50.0) / 6.0) ** 4))
    dark = EMPTY.copy()
    dark[195:206] = 0.5
    ground = Ground(0.0, 0.0, FRAME, 2.0, EMPTY > 1.0, dark, 5.0)
    needed = [clipped_samples(LINE, FRAME, SAMPLE_MM)]
    xy, wanted = np.column_stack((x, y)), SimpleNamespace(needed=[LINE])
    found = parts_covered(wanted, needed, xy, y - 40.0, 0.05, ground)["all"]
    within = float((y - 40.0 <= 2.0).mean())
    assert found.coverage == pytest.approx(within, abs=0.07)
    assert found.high < 0.95


def test_where_a_line_ends_in_a_tone_little_of_what_lies_beyond_is_certain():
    """Its last 6 mm may be the edge of the tone."""
    edge = EMPTY.copy()
    edge[195:206] = 0.3
    ground = Ground(0.0, 0.0, FRAME, 2.0, EMPTY > 1.0, edge, 5.0, lines=edge)
    x = np.arange(20.0, 72.0, 0.4)
    needed = [clipped_samples(LINE, FRAME, SAMPLE_MM)]
    xy, wanted = np.column_stack((x, np.full(len(x), 40.0))), SimpleNamespace(needed=[LINE])
    found = parts_covered(wanted, needed, xy, np.zeros(len(x)), 0.05, ground)["all"]
    assert found.coverage == pytest.approx(1.0, abs=0.02)
    assert found.low == pytest.approx(57.0 / 60.0, abs=0.02)
