"""Distances by dense sampling, against shapely (a general-purpose geometry library)."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from shapely.geometry import LineString
from shapely.geometry import Point as ShapelyPoint
from tests.rehearsal.strategies import bounded_curves, points

from millimark.plane.conics import ParabolaArc
from millimark.plane.curves import Arc, Curve, Line, Ray
from millimark.plane.point import Point
from millimark.rehearsal.near import circle_through, distance_to_curves, samples

FRAME = (-30.0, -30.0, 30.0, 30.0)


def test_no_curves_are_infinitely_far():
    assert np.isinf(distance_to_curves(np.zeros((3, 2)), [])).all()


@given(bounded_curves(), points)
def test_distance_agrees_with_shapely(curve: Curve, p: Point):
    line = LineString(curve.sampled(1e-5))
    ours = distance_to_curves(np.array([p]), [curve])[0]
    assert ours == pytest.approx(line.distance(ShapelyPoint(*p)), abs=2e-5)


def test_the_nearest_of_several_counts():
    curves: list[Curve] = [Line(Point(0, 0), Point(1, 0)), Ray(Point(0, 10), Point(0, 1))]
    off = distance_to_curves(np.array([[3.0, 2.0], [0.5, 9.0]]), curves)
    assert off == pytest.approx([2.0, math.hypot(0.5, 1.0)])


def test_samples_stay_in_the_frame_and_are_close():
    xy = samples(Line(Point(0, 0), Point(0.6, 0.8)), FRAME)
    assert np.abs(xy).max() <= 30.0
    assert np.hypot(*np.diff(xy, axis=0).T).max() <= 0.2 + 1e-9
    assert np.hypot(*(xy[-1] - xy[0])) == pytest.approx(2 * 30 / 0.8, abs=0.5)


def test_samples_of_a_curve_outside_are_none():
    assert len(samples(Arc(Point(100, 100), 5.0), FRAME)) == 0


def test_circle_through_a_noisy_arc():
    rng = np.random.default_rng(4)
    a = np.linspace(0.3, 2.0, 400)
    xy = np.column_stack((7 + 40 * np.cos(a), -3 + 40 * np.sin(a))) + rng.normal(0, 0.02, (400, 2))
    fitted = circle_through(xy)
    assert fitted == pytest.approx((7, -3, 40), abs=0.05)


def test_no_circle_through_a_line_or_a_few_points():
    line = np.column_stack((np.linspace(0, 9, 50), np.zeros(50)))
    assert circle_through(line) is None
    assert circle_through(line[:4]) is None


def test_an_endless_parabola_is_clipped_far_enough():
    """Points of y = x^2 / 4f and their offset along the normal, by hand."""
    curve = ParabolaArc(Point(0, 0), Point(0, 1), 10.0)
    x = np.linspace(-60, 60, 41)
    on = np.column_stack((x, x**2 / 40))
    normal = np.column_stack((-x / 20, np.ones_like(x)))
    normal /= np.hypot(*normal.T)[:, None]
    assert distance_to_curves(on, [curve]) == pytest.approx(np.zeros(41), abs=0.02)
    off = distance_to_curves(on - 3.0 * normal, [curve])
    assert off == pytest.approx(np.full(41, 3.0), abs=0.02)
    inside = samples(curve, FRAME)
    assert inside[:, 1].max() == pytest.approx(30.0**2 / 40, abs=0.2)  # it leaves by the sides
