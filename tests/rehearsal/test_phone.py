"""The photograph's map: it inverts exactly, paper does not stretch, and the picture obeys it."""

from __future__ import annotations

import math

import numpy as np
import pytest

from millimark.rehearsal.graphite import draw
from millimark.rehearsal.pencil import PencilStroke
from millimark.rehearsal.phone import Bend, Light, Pose, Shot, View, aim, photograph

A4 = (210.0, 297.0)
BENDS = [
    Bend("flat", 0.0, 0.0),
    Bend("cylinder", 0.2, 0.08),
    Bend("wave", 1.5, 0.05, 180.0, 1.0),
    Bend("corner", 0.96, 0.2),
]
POSE = Pose(math.radians(25), 1.1, 0.03, 420.0, 0.9, -0.02, False)
DIM = Light(0.2, 0.0, (1.0, 0.97, 0.9), 0.05, 1.5)


def places(n: int = 300) -> np.ndarray:
    return np.random.default_rng(6).uniform((0, 0), A4, (n, 2))


@pytest.mark.parametrize("bend", BENDS, ids=lambda b: b.kind)
def test_back_undoes_forwards(bend: Bend):
    view = View(Shot(bend, POSE, DIM, (0.0, 0.0)), A4)
    q = places()
    assert np.abs(view.back(view(q)) - q).max() < 1e-6


@pytest.mark.parametrize("bend", BENDS[1:], ids=lambda b: b.kind)
def test_paper_bends_and_does_not_stretch(bend: Bend):
    t, across, height = bend.profile()
    steps = np.hypot(np.diff(across), np.diff(height))
    assert steps == pytest.approx(np.diff(t), rel=1e-9)
    assert np.ptp(height[np.abs(t) < 140]) > 1.0  # mm: it does bend


def test_what_stands_higher_looks_larger():
    """From straight above, a pinhole shows a place X across and Z up at X / (D - Z)."""
    bend = Bend("cylinder", 0.0, 0.09)
    view = View(Shot(bend, Pose(0, 0, 0, 400.0, 0.9, 0.0, False), DIM, (0.0, 0.0)), A4)
    t, across, height = bend.profile()
    away = np.array([-90.0, -40.0, 0.0, 55.0, 95.0])
    q = np.column_stack((105.0 + away, np.full(5, 148.5)))
    seen = view(q)[:, 0]
    pinhole = np.interp(away, t, across) / (400.0 - np.interp(away, t, height))
    scale = (seen[-1] - seen[0]) / (pinhole[-1] - pinhole[0])
    assert seen - seen[2] == pytest.approx(scale * (pinhole - pinhole[2]), abs=1e-6)
    assert np.ptp(np.interp(away, t, height)) > 2.0  # mm: or the test says nothing


def test_the_whole_sheet_is_in_the_picture():
    for seed in range(30):
        shot = aim(np.random.default_rng(seed), upside_down=bool(seed % 2))
        view = View(shot, A4)
        edge = np.array([[x, y] for x in (0, 105, 210) for y in (0, 148, 297)], dtype=float)
        px = view(edge)
        assert (px > 0).all()
        assert (px < (view.shape[1], view.shape[0])).all()
        assert shot.pose.tilt <= math.radians(30)


def test_upside_down_is_upside_down():
    up = View(aim(np.random.default_rng(4), False), A4)
    down = View(aim(np.random.default_rng(4), True), A4)
    ends = np.array([[105.0, 20.0], [105.0, 280.0]])
    assert np.sign(np.diff(up(ends)[:, 1])) == -np.sign(np.diff(down(ends)[:, 1]))


def test_a_line_stands_where_the_grid_says():
    """Across a nearly level line, at the photograph's own grid points along it."""
    px_per_mm, y = 20.0, 155.0
    page = np.full((int(297 * px_per_mm), int(210 * px_per_mm)), 247, np.uint8)
    rng = np.random.default_rng(2)
    draw(page, [PencilStroke(np.array([[20.0, y], [190.0, y]]), "answer", width=0.6,
                             darkness=0.7)], 1.0, px_per_mm, rng)  # fmt: skip
    shot = Shot(BENDS[1], POSE, DIM, (0.0, 0.0))
    capture = photograph(page, px_per_mm, A4, 1.0, shot, rng)
    grid = capture.grid
    assert grid is not None
    row = grid[(grid[:, 1] == y) & (grid[:, 0] > 30) & (grid[:, 0] < 180)]
    grey = capture.image[..., 1].astype(float)
    off = []
    fine = np.linspace(0.0, 1.0, 400)
    line_x = np.interp(fine, np.linspace(0, 1, len(row)), row[:, 2])
    line_y = np.interp(line_x, row[:, 2], row[:, 3])
    for x, at in zip(line_x, line_y, strict=True):
        column = grey[:, round(x)]
        rows = np.arange(round(at) - 8, round(at) + 9)
        dark = np.clip(np.median(column[rows]) - column[rows] - 8, 0, None)
        if dark.sum() > 0:
            slope = np.gradient(line_y, line_x)[0]
            off.append((dark * rows).sum() / dark.sum() - at - slope * (round(x) - x))
    assert len(off) > 350
    assert abs(np.mean(off)) / 12 < 0.01  # mm: about 12 px to the millimetre
