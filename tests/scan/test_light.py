"""The light of a photographed page: shadow belongs to it, a tone with an outline does not."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from tests.scan import easel

from millimark.scan.light import CELLS_PER_MM, Light, page_light
from millimark.scan.page import read_page
from millimark.scan.scanner_light import scanner_light

SIZE = (0.0, 0.0, 148.0, 210.0)
FRAME = (20.0, 40.0, 128.0, 150.0)
PX = 6.0
X, Y = np.meshgrid((np.arange(148 * 6) + 0.5) / PX, (np.arange(210 * 6) + 0.5) / PX)
NOTHING_PRINTED = np.full(X.shape, 255, np.uint8)


def falloff(lost=0.3):
    return 1.0 - lost * (0.7 * X / 148 + 0.3 * Y / 210)


def shadow(depth, half_mm):
    """A band's shadow across the frame, its edge about ``4 * half_mm`` wide."""
    away = np.abs(0.8 * X + 0.6 * Y - 110.0) - 25.0
    return 1.0 - depth / (1.0 + np.exp(np.clip(away / half_mm, -50, 50)))


def tone(depth, soft_mm=0.7):
    """An even grey disc of radius 20 mm inside the frame."""
    disc = (np.hypot(X - 75.0, Y - 95.0) < 20.0).astype(np.float32)
    return 1.0 - depth * cv2.GaussianBlur(disc, (0, 0), max(soft_mm * PX, 0.01))


def ring():
    """A pencil line round the tone."""
    return 1.0 - 0.55 * (np.abs(np.hypot(X - 75.0, Y - 95.0) - 20.0) < 0.25)


def photographed(*layers, noise=1.5):
    grey = 230.0 * np.prod(layers, axis=0)
    rng = np.random.default_rng(4)
    return np.clip(grey + rng.normal(0, noise, grey.shape), 0, 255).astype(np.uint8)


def lit(picture):
    return page_light(picture, NOTHING_PRINTED, [FRAME], SIZE)


def level_error(light, field):
    """Relative error of the level that 95 % of the frame's cells stay within."""
    cells = cv2.resize(230.0 * field, light.level.shape[::-1], interpolation=cv2.INTER_AREA)
    x0, y0, x1, y1 = (round(v * CELLS_PER_MM) for v in FRAME)
    off = np.abs(light.level / cells - 1.0)[y0:y1, x0:x1]
    return float(np.percentile(off, 95))


@pytest.mark.parametrize("half_mm", [2.5, 4.0, 12.0])
@pytest.mark.parametrize("depth", [0.2, 0.5])
def test_a_shadow_belongs_to_the_light(depth, half_mm):
    field = falloff() * shadow(depth, half_mm)
    light = lit(photographed(field))
    assert light.toned.sum() == 0
    assert level_error(light, field) < 0.01


@pytest.mark.parametrize("line", [True, False])
@pytest.mark.parametrize("depth", [0.06, 0.1, 0.3])
def test_a_tone_with_an_outline_does_not(depth, line):
    field = falloff() * shadow(0.35, 4.0)
    light = lit(photographed(field, tone(depth), *([ring()] if line else [])))
    area = light.toned.sum() / CELLS_PER_MM**2
    assert np.pi * 19.5**2 < area < np.pi * 23.5**2  # and what lines may hide round it
    assert level_error(light, field) < 0.02


def test_a_tone_is_found_half_under_a_dark_shadow():
    """What the light does not follow into the shadow is no part of the tone's depth."""
    patch = (np.hypot(X - 95.0, Y - 60.0) < 32.0).astype(np.float32)
    dark = 1.0 - 0.5 * cv2.GaussianBlur(patch, (0, 0), 2.0 * PX)
    light = lit(photographed(tone(0.3), falloff() * dark, ring()))
    assert light.toned[95 * CELLS_PER_MM, 75 * CELLS_PER_MM]


def test_a_tone_that_fades_away_passes_for_a_shadow():
    assert lit(photographed(falloff(), tone(0.1, soft_mm=6.0))).toned.sum() == 0


def test_a_page_with_nothing_clear_on_it_gives_a_level_all_the_same():
    rng = np.random.default_rng(1)
    light = lit(rng.integers(0, 255, X.shape).astype(np.uint8))
    assert np.isfinite(light.level).all()


def test_a_smooth_tone_in_a_shadow_is_pencil_on_a_photograph():
    """From file to darkness: a finger's smear of 12 % under a hand's shadow."""
    master = easel.blank().copy()
    easel.straight(master, easel.MASTER, (35, 95), (60, 95), 24.0, 0.12)
    seen = easel.photograph(master, shadow=0.45)
    layout = easel.layout_of()
    frame = read_page(seen.image, layout, lambda page, per_mm: easel.known(per_mm)).frames[0]
    k = round(frame.px_per_mm)
    inside = frame.pencil[45 * k : 65 * k, 18 * k : 38 * k]
    assert float(inside.mean()) == pytest.approx(0.12, abs=0.025)
    assert frame.toned[45 * k : 65 * k, 18 * k : 38 * k].mean() > 0.95
    assert float(frame.pencil[75 * k : 105 * k].mean()) < 0.02
    assert not frame.toned[75 * k : 105 * k].any()


def test_on_a_scan_a_faint_tone_over_most_of_the_frame_is_pencil():
    """It was taken for the paper itself where it covered more of the frame than paper did."""
    wide = (np.abs(X - 74.0) < 48.0) & (np.abs(Y - 95.0) < 48.0)
    picture = photographed(falloff(0.04), 1.0 - 0.06 * wide)
    light = scanner_light(picture, NOTHING_PRINTED, [FRAME], SIZE)
    dark = 1.0 - cv2.resize(picture, light.level.shape[::-1]) / light.level
    assert float(dark[120:260, 70:220].mean()) > 0.03


@pytest.mark.parametrize("box", [(20.0, 40.0, 128.0, 150.0), (0.0, 13.3571, 90.25, 60.0)])
def test_light_is_spread_over_a_frame_linearly_from_cell_to_cell(box):
    level = np.random.default_rng(5).uniform(120, 250, (420, 296)).astype(np.float32)
    shape = (round((box[3] - box[1]) * 8), round((box[2] - box[0]) * 8))
    seen, toned = Light(level, None).over(box, 8.0, shape)
    x, y = (box[k] + (np.arange(shape[1 - k]) + 0.5) / 8.0 for k in (0, 1))
    at_x, at_y = (np.clip(v * CELLS_PER_MM - 0.5, 0.0, None) for v in (x, y))
    i, j = np.floor(at_y).astype(int), np.floor(at_x).astype(int)
    v, u = (at_y - i)[:, None], at_x - j
    rows = (1 - v) * level[i] + v * level[i + 1]
    expected = (1 - u) * rows[:, j] + u * rows[:, j + 1]
    assert toned is None
    assert seen == pytest.approx(expected, abs=0.01)
