"""What is drawn over an answer: lines of few corners that stay where their points are."""

from __future__ import annotations

import re
from itertools import pairwise

import numpy as np
import pytest

from millimark.drawing.lettering import text_width
from millimark.drawing.svg import SvgCanvas
from millimark.marking.overlay import RIGHT_PEN, _polyline, wrapped

BOX = (0.0, 0.0, 210.0, 297.0)


def corners(xy):
    canvas = SvgCanvas(BOX)
    _polyline(canvas, xy, RIGHT_PEN)
    paths = re.findall(r' d="([^"]*)"', canvas.svg())
    return [np.array(re.findall(r"-?[\d.]+", p), dtype=float).reshape(-1, 2) for p in paths]


def test_a_straight_line_of_many_points_has_few_corners():
    t = np.linspace(0.0, 1.0, 300)[:, None]
    (found,) = corners(np.array([20.0, 30.0]) * (1 - t) + np.array([150.0, 99.0]) * t)
    assert len(found) <= 3
    assert found[[0, -1]] == pytest.approx(np.array([[20.0, 30.0], [150.0, 99.0]]), abs=1e-3)


def test_a_whole_circle_stays_round_and_closed():
    angle = np.linspace(0.0, 2.0 * np.pi, 567)
    (found,) = corners(100.0 + 45.0 * np.column_stack((np.cos(angle), np.sin(angle))))
    assert len(found) < 300
    middles = (found[1:] + found[:-1]) / 2
    assert np.abs(np.hypot(*(middles - 100.0).T) - 45.0).max() < 0.03
    assert found[0] == pytest.approx(found[-1], abs=1e-3)


def test_a_line_with_a_gap_is_drawn_in_two():
    x = np.concatenate((np.arange(0.0, 30.0, 0.5), np.arange(50.0, 80.0, 0.5)))
    assert len(corners(np.column_stack((x, x)))) == 2


def test_words_are_wrapped_to_the_width():
    text = (
        "the arcs about A and B are as long as each other, and an unbreakable-word-of-great-length"
    )
    lines = wrapped(text, 30.0, 2.2)
    assert " ".join(lines) == text
    for line, after in pairwise(lines):
        assert text_width(line, 2.2) <= 30.0 or " " not in line
        assert text_width(f"{line} {after.split()[0]}", 2.2) > 30.0
    assert wrapped("", 30.0, 2.2) == []
