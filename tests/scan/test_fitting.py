"""Fits recover known shapes from noise, with honest covariances."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import least_squares

from millimark.scan.fitting import CircleFit, LineFit, NoFit, fit_circle, fit_line

MM = 1.0


def arc(cx, cy, r, a0, a1, n):
    t = np.linspace(a0, a1, n)
    return np.column_stack((cx + r * np.cos(t), cy + r * np.sin(t)))


def test_fewer_than_three_points_fix_no_circle():
    assert isinstance(fit_circle([[0, 0], [1, 1]]), NoFit)


def test_points_in_a_row_fix_no_circle():
    row = np.column_stack((np.arange(20.0), 2 * np.arange(20.0)))
    fit = fit_circle(row)
    assert isinstance(fit, NoFit)
    assert "straight" in fit.reason


def test_one_point_twice_fixes_no_line():
    assert isinstance(fit_line([[3, 4], [3, 4]]), NoFit)


def test_exact_circle_is_recovered_exactly():
    fit = fit_circle(arc(3, -2, 40, 0.3, 1.9, 50), 0.01)
    assert isinstance(fit, CircleFit)
    assert fit.radius == pytest.approx(40, abs=1e-8)
    assert fit.centre == pytest.approx((3, -2), abs=1e-8)


@settings(max_examples=40, deadline=None)
@given(
    st.floats(-100, 100), st.floats(-100, 100), st.floats(5, 90), st.floats(0, 6), st.floats(0.8, 6)
)
def test_any_circle_is_recovered_despite_a_quarter_of_strays(cx, cy, r, start, sweep):
    rng = np.random.default_rng(5)
    xy = arc(cx, cy, r, start, start + sweep, 160) + rng.normal(0, 0.02, (160, 2))
    outward = (xy[::4] - [cx, cy]) / np.hypot(*(xy[::4] - [cx, cy]).T)[:, None]
    xy[::4] += outward * rng.uniform(3, 8, (40, 1))
    fit = fit_circle(xy, 0.02)
    assert isinstance(fit, CircleFit)
    assert abs(fit.radius - r) < 5 * fit.radius_sigma + 1e-6
    assert not fit.inliers[::4].any()


def test_agrees_with_scipy_least_squares():
    """scipy.optimize.least_squares is the outside authority for the plain geometric fit."""
    rng = np.random.default_rng(11)
    xy = arc(10, 20, 33, 0, 2, 90) + rng.normal(0, 0.1, (90, 2))
    ours = fit_circle(xy, 0.1, robust=False)
    theirs = least_squares(
        lambda p: np.hypot(xy[:, 0] - p[0], xy[:, 1] - p[1]) - p[2], [9, 19, 30], xtol=1e-14
    )
    assert isinstance(ours, CircleFit)
    assert (*ours.centre, ours.radius) == pytest.approx(theirs.x, abs=1e-6)


def test_radius_intervals_cover_95_percent():
    rng = np.random.default_rng(3)
    inside = 0
    for _ in range(400):
        xy = arc(0, 0, 40, 0, 1.5, 80) + rng.normal(0, 0.05, (80, 2))
        fit = fit_circle(xy, 0.05)
        assert isinstance(fit, CircleFit)
        inside += abs(fit.radius - 40) < 1.96 * fit.radius_sigma
    assert 0.925 * 400 <= inside <= 0.98 * 400


def test_line_offset_and_angle_intervals_cover_95_percent():
    rng = np.random.default_rng(4)
    offset = angle = 0
    for _ in range(400):
        t = np.linspace(-30, 30, 100)
        xy = np.column_stack((t, 0.5 * t)) + rng.normal(0, 0.05, (100, 2))
        fit = fit_line(xy, 0.05)
        assert isinstance(fit, LineFit)
        d = fit.direction if fit.direction.x > 0 else -fit.direction
        offset += (
            abs(0.5 * fit.point.x - fit.point.y) / math.hypot(0.5, 1) < 1.96 * fit.offset_sigma()
        )
        angle += abs(d.angle() - math.atan(0.5)) < 1.96 * math.sqrt(fit.covariance[1, 1])
    assert 0.925 * 400 <= offset <= 0.98 * 400
    assert 0.925 * 400 <= angle <= 0.98 * 400


def test_line_ignores_a_crossing_stroke():
    t = np.linspace(0, 60, 120)
    line = np.column_stack((t, np.full(120, 7.0)))
    crossing = np.column_stack((np.full(40, 30.0), np.linspace(0, 20, 40)))
    fit = fit_line(np.vstack((line, crossing)), 0.02)
    assert isinstance(fit, LineFit)
    assert fit.point.y == pytest.approx(7.0, abs=1e-3)
    assert abs(fit.direction.y) < 1e-4


def test_wrong_sigma_is_a_callers_mistake():
    with pytest.raises(ValueError, match="sigma"):
        fit_line([[0, 0], [1, 1]], 0.0)


def wandering(rng, length, size, wave=9.0):
    """A hand's sideways waves along ``length`` mm, every 0.4 mm, and grain of 0.012 mm."""
    n = max(8, round(length / 0.4))
    knots = rng.standard_normal(max(4, int(length / wave * 2) + 2))
    at = np.linspace(0, len(knots) - 1, n)
    base = np.floor(at).astype(int)
    t = (1 - np.cos(np.pi * (at - base))) / 2
    waves = knots[base] * (1 - t) + knots[np.minimum(base + 1, len(knots) - 1)] * t
    return size * waves + rng.normal(0, 0.012, n)


HANDS_MM = (0.024, 0.042, 0.042, 0.096)
"""Waves of a careful, a typical (twice as frequent) and a shaky hand, mm: common practice."""


def test_radius_and_centre_of_wandering_arcs_of_any_length_are_covered():
    """Arcs of 20 to 360 degrees by hands whose waves are longer than the points are apart."""
    rng = np.random.default_rng(8)
    inside = np.zeros(3)
    count = 0
    for sweep in (20, 35, 60, 90, 140, 220, 360):
        for k in range(32):
            r = rng.uniform(30, 60)
            off = wandering(rng, math.radians(sweep) * r, HANDS_MM[k % 4])
            t = np.linspace(0, math.radians(sweep), len(off)) + 0.3
            xy = (r + off)[:, None] * np.column_stack((np.cos(t), np.sin(t)))
            fit = fit_circle(xy, 0.02, wander=True)
            count += 1
            if isinstance(fit, NoFit):
                inside += 1  # said to be unknown, which is true
                continue
            sigma = np.sqrt(np.diag(fit.covariance))
            inside += np.abs([*fit.centre, fit.radius - r]) < 1.96 * sigma
    assert ((0.93 * count <= inside) & (inside <= 0.97 * count)).all()


def test_offset_and_angle_of_wandering_lines_are_covered():
    rng = np.random.default_rng(9)
    offset = angle = count = 0
    for length in (15.0, 30.0, 60.0, 120.0):
        for k in range(40):
            off = wandering(rng, length, HANDS_MM[k % 4])
            t = np.linspace(-length / 2, length / 2, len(off))
            fit = fit_line(np.column_stack((t, off)), 0.02, wander=True)
            assert isinstance(fit, LineFit)
            count += 1
            offset += abs(fit.point.y) < 1.96 * fit.offset_sigma()
            angle += abs(fit.direction.y / fit.direction.x) < 1.96 * math.sqrt(fit.covariance[1, 1])
    assert 0.93 * count <= offset <= 0.985 * count
    assert 0.93 * count <= angle <= 0.985 * count
