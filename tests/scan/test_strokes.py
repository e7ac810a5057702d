"""Pencil drawn at a known place is found there, to hundredths of a millimetre."""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.scan import easel

from millimark.scan.fitting import CircleFit, LineFit, fit_circle, fit_line
from millimark.scan.page import read_page

LAYOUT = easel.layout_of()


def frame_of(master, **scanning):
    reading = read_page(
        easel.scan(master, **scanning).image, LAYOUT, lambda page, per_mm: easel.known(per_mm)
    )
    return reading.frames[0]


def length(stroke):
    return float(np.hypot(*np.diff(stroke.xy, axis=0).T).sum())


def together(strokes):
    return np.vstack([s.xy for s in strokes]), np.concatenate([s.sigma for s in strokes])


def near_line(stroke, a, b):
    d = np.subtract(b, a) / math.dist(a, b)
    return np.abs((stroke.xy - a) @ [-d[1], d[0]])


def offset(fit, a, b):
    """Signed distance of the fitted line from the middle of ab."""
    middle = (np.array(a) + b) / 2
    return float((middle - fit.point) @ [-fit.direction.y, fit.direction.x])


def test_blank_frame_has_no_strokes_and_no_pencil():
    frame = frame_of(easel.blank())
    assert frame.strokes == ()
    assert float(frame.pencil.mean()) < 0.01


def test_picture_and_masks_share_one_grid():
    frame = frame_of(easel.blank())
    assert frame.picture.shape == frame.pencil.shape == frame.unseen.shape
    assert frame.picture.shape == (
        round(110 * frame.px_per_mm),
        round(108 * frame.px_per_mm),
    )
    k = frame.px_per_mm
    assert frame.unseen[int(50 * k), int(25 * k)]  # the printed point A
    assert not frame.unseen[int(30 * k), int(70 * k)]


CAPTURES = {
    "300 dpi": {},
    "300 dpi, skewed, JPEG": {"turn_deg": 1.7, "quality": 70},
    "200 dpi, noisy": {"dpi": 200.0, "noise": 5.0},
    "150 dpi": {"dpi": 150.0},
    "600 dpi upside down": {"dpi": 600.0, "turn_deg": 180.0},
    "bilevel": {"bilevel": True, "noise": 10.0},
}


@pytest.mark.parametrize("capture", CAPTURES)
def test_circle_and_line_are_recovered(capture):
    master = easel.blank().copy()
    tooth = easel.tooth(3)
    a, b = (25.0, 62.0), (120.0, 133.0)
    easel.arc(master, easel.MASTER, (74, 95), 40, 0.5, 0.7, grain=tooth, soft=0.1)
    easel.straight(master, easel.MASTER, a, b, 0.5, 0.7, grain=tooth, soft=0.1)
    frame = frame_of(master, **CAPTURES[capture])
    on_circle, on_line = [], []
    for stroke in frame.strokes:
        if np.median(np.abs(np.hypot(*(stroke.xy - [74, 95]).T) - 40)) < 0.5:
            on_circle.append(stroke)
        if np.median(near_line(stroke, a, b)) < 0.5:
            on_line.append(stroke)
    circle = fit_circle(*together(on_circle))
    line = fit_line(*together(on_line))
    assert isinstance(circle, CircleFit)
    assert isinstance(line, LineFit)
    assert abs(circle.radius - 40) < 0.03
    assert math.dist(circle.centre, (74, 95)) < 0.03
    assert abs(offset(line, a, b)) < 0.03
    pieces = 1 if capture != "bilevel" else 8
    assert len(on_circle) <= pieces
    assert len(on_line) <= pieces
    assert sum(map(length, on_circle)) == pytest.approx(2 * math.pi * 40, abs=6 * pieces)
    assert sum(map(length, on_line)) == pytest.approx(math.dist(a, b), abs=2.5 * pieces)


@pytest.mark.parametrize("width", [0.3, 0.5, 0.7, 0.9])
@pytest.mark.parametrize("ink", [0.2, 0.45, 0.8])
def test_width_and_darkness_do_not_move_a_line(width, ink):
    master = easel.blank().copy()
    a, b = (30.0, 50.0), (118.0, 141.0)
    easel.straight(master, easel.MASTER, a, b, width, ink)
    stroke = frame_of(master).strokes[0]
    fit = fit_line(stroke.xy, stroke.sigma)
    assert abs(offset(fit, a, b)) < 0.01
    assert fit.rms < 0.03
    assert np.median(stroke.width) == pytest.approx(width, abs=0.12)
    assert np.median(stroke.darkness) == pytest.approx(ink, abs=0.25 * ink)


def test_a_grey_smudge_on_one_side_hardly_moves_a_line():
    master = easel.blank().copy()
    a, b = (74.0, 45.0), (74.0, 145.0)
    easel.straight(master, easel.MASTER, a, b, 0.5, 0.6)
    easel.straight(master, easel.MASTER, (75.5, 60), (75.5, 130), 3.0, 0.10, soft=1.0)
    stroke = frame_of(master).strokes[0]
    assert abs(offset(fit_line(stroke.xy, stroke.sigma), a, b)) < 0.03


def test_line_through_printed_points_and_dots_is_one_stroke():
    master = easel.blank().copy()
    a, b = (45.0 - 15.0, 90.0 - 6.0), (95.0 + 15.0, 110.0 + 6.0)  # through A and B
    easel.straight(master, easel.MASTER, a, b, 0.5, 0.6, grain=easel.tooth(5), soft=0.1)
    frame = frame_of(master)
    assert len(frame.strokes) == 1
    assert length(frame.strokes[0]) == pytest.approx(math.dist(a, b), abs=2.5)
    assert abs(offset(fit_line(frame.strokes[0].xy), a, b)) < 0.02


def test_crossing_lines_stay_two_straight_strokes():
    master = easel.blank().copy()
    a, b, c, d = (30.0, 60.0), (118.0, 120.0), (30.0, 125.0), (118.0, 65.0)
    for start, end in ((a, b), (c, d)):
        easel.straight(master, easel.MASTER, start, end, 0.6, 0.6)
    strokes = frame_of(master).strokes
    assert len(strokes) == 2
    for stroke in strokes:
        assert length(stroke) > 104
        off = min(near_line(stroke, a, b).max(), near_line(stroke, c, d).max())
        assert off < 0.15


def test_corner_is_two_strokes():
    master = easel.blank().copy()
    easel.straight(master, easel.MASTER, (40, 60), (100, 60), 0.5, 0.6)
    easel.straight(master, easel.MASTER, (100, 60), (100, 130), 0.5, 0.6)
    strokes = frame_of(master).strokes
    assert sorted(round(length(s) / 10) for s in strokes) == [6, 7]


def test_parallel_lines_a_millimetre_and_a_half_apart_are_told_apart():
    master = easel.blank().copy()
    for y in (80.0, 81.5):
        easel.straight(master, easel.MASTER, (30, y), (118, y), 0.5, 0.6)
    strokes = frame_of(master).strokes
    assert len(strokes) == 2
    assert sorted(float(np.median(s.xy[:, 1])) for s in strokes) == pytest.approx(
        [80.0, 81.5], abs=0.03
    )


def test_a_pale_line_drawn_twice_is_no_texture_of_shading():
    """Two thirds of a millimetre apart, neither stands alone; paper lies on both sides of them."""
    master = easel.blank().copy()
    for y in (80.0, 80.65):
        easel.straight(master, easel.MASTER, (30, y), (118, y), 0.45, 0.15)
    strokes = frame_of(master, dpi=200).strokes
    assert sum(length(s) for s in strokes) > 80.0
    assert all(79.8 < float(np.median(s.xy[:, 1])) < 80.85 for s in strokes)


def test_hatching_gives_its_lines():
    master = easel.blank().copy()
    for k in range(10):
        y = 60.0 + 3.0 * k
        easel.straight(master, easel.MASTER, (50, y), (80, y + 8), 0.4, 0.4)
    strokes = frame_of(master).strokes
    assert len(strokes) == 10
    assert all(length(s) > 28 for s in strokes)


def test_light_even_shading_is_kept_as_pencil_but_not_as_strokes():
    master = easel.blank().copy()
    easel.straight(master, easel.MASTER, (50, 90), (90, 90), 30.0, 0.12)
    frame = frame_of(master)
    k = round(frame.px_per_mm)
    assert float(frame.pencil[45 * k : 55 * k, 40 * k : 60 * k].mean()) > 0.06
    assert float(frame.pencil[5 * k : 20 * k, 5 * k : 100 * k].mean()) < 0.02
    assert all(np.abs(s.xy[:, 1] - 90).min() > 10 for s in frame.strokes)


def test_stated_sigma_matches_the_scatter_of_grainy_lines():
    master = easel.blank().copy()
    a, b = (25.0, 62.0), (120.0, 133.0)
    easel.straight(master, easel.MASTER, a, b, 0.5, 0.7, grain=easel.tooth(9), soft=0.1)
    stroke = frame_of(master).strokes[0]
    fit = fit_line(stroke.xy, stroke.sigma)
    inner = slice(4, -4)
    ratio = np.abs(fit.residual[inner] / stroke.sigma[inner])
    assert 0.85 < float((ratio < 1.96).mean()) <= 1.0


PHOTOS = {
    "tilted, in shadow": {"tilt_deg": (22.0, 8.0), "shadow": 0.45},
    "curled, lens": {"tilt_deg": (8.0, -10.0), "curl_mm": 5.0, "curl_deg": 80.0, "lens": -0.02},
}


@pytest.mark.parametrize("photo", PHOTOS)
def test_circle_is_recovered_from_a_photograph(photo):
    master = easel.blank().copy()
    easel.arc(master, easel.MASTER, (74, 95), 40, 0.5, 0.7, grain=easel.tooth(3), soft=0.1)
    seen = easel.photograph(master, **PHOTOS[photo])
    reading = read_page(seen.image, LAYOUT, lambda page, per_mm: easel.known(per_mm))
    strokes = reading.frames[0].strokes
    circle = fit_circle(strokes[0].xy, strokes[0].sigma)
    assert isinstance(circle, CircleFit)
    assert abs(circle.radius - 40) < 0.03
    assert math.dist(circle.centre, (74, 95)) < 0.03
    assert sum(map(length, strokes)) == pytest.approx(2 * math.pi * 40, abs=8)


def test_shading_under_a_shadow_is_pencil_and_the_shadow_is_not():
    master = easel.blank().copy()
    grain = easel.tooth(6)
    easel.straight(master, easel.MASTER, (35, 95), (60, 95), 24.0, 0.25, grain=grain)
    seen = easel.photograph(master, shadow=0.45)
    frame = read_page(seen.image, LAYOUT, lambda page, per_mm: easel.known(per_mm)).frames[0]
    k = round(frame.px_per_mm)
    assert float(frame.pencil[45 * k : 65 * k, 18 * k : 38 * k].mean()) > 0.10
    for clear in (frame.pencil[5 * k : 30 * k], frame.pencil[75 * k : 105 * k]):
        assert float(clear.mean()) < 0.02
