"""A needle's hole is found where it is alone on clean paper, and nothing else is taken for one."""

from __future__ import annotations

import math
from dataclasses import replace

import cv2
import numpy as np
import pytest

from millimark.marking.coverage import Ground
from millimark.marking.findings import ElementFinding
from millimark.marking.needle_holes import MOST_SIGMA_MM, needle_hole, with_needle
from millimark.plane.point import Point

mm = 1.0
PER_MM = 8.0
FRAME = (34.0, 37.0, 49.0, 52.0)
CENTRE = Point(41.03, 44.47)
SIGMA = 0.05
FINER = 5


class Sheet:
    """Pencil darkness over a frame with grain, drawn five times as fine and then made coarse."""

    def __init__(self, seed: int = 1, grain: float = 0.006) -> None:
        self.rng, self.grain = np.random.default_rng(seed), grain
        shape = (round(15 * PER_MM), round(15 * PER_MM))
        self.fine = np.zeros((shape[0] * FINER, shape[1] * FINER), dtype=np.float32)
        self.hidden = np.zeros(shape, dtype=np.bool_)

    def px(self, at: Point) -> np.ndarray:
        k = PER_MM * FINER
        return np.array([(at.x - FRAME[0]) * k - 0.5, (at.y - FRAME[1]) * k - 0.5])

    def dot(self, at: Point, width: float = 0.3, dark: float = 0.5) -> Sheet:
        x, y = self.px(at)
        rows, columns = np.indices(self.fine.shape)
        u = np.hypot(columns - x, rows - y) / (width / 2 * PER_MM * FINER)
        self.fine = np.maximum(self.fine, np.where(u < 1, dark, 0).astype(np.float32))
        return self

    def line(self, a: Point, b: Point, width: float = 0.45, dark: float = 0.4) -> Sheet:
        ends = [tuple(round(v) for v in self.px(p)) for p in (a, b)]
        drawn = np.zeros_like(self.fine)
        cv2.line(drawn, ends[0], ends[1], dark, round(width * PER_MM * FINER))
        self.fine = np.maximum(self.fine, drawn)
        return self

    def print_cross(self, at: Point, reach: float = 1.3, half: float = 0.33) -> Sheet:
        rows, columns = np.indices(self.hidden.shape)
        x = FRAME[0] + (columns + 0.5) / PER_MM - at.x
        y = FRAME[1] + (rows + 0.5) / PER_MM - at.y
        long, short = reach + 0.2, half
        self.hidden |= (abs(x) < long) & (abs(y) < short) | (abs(y) < long) & (abs(x) < short)
        return self

    def ground(self) -> Ground:
        h, w = self.hidden.shape
        coarse = cv2.resize(self.fine, (w, h), interpolation=cv2.INTER_AREA)
        coarse = cv2.GaussianBlur(coarse, (0, 0), 0.05 * PER_MM)
        noise = self.rng.normal(0, self.grain, coarse.shape)
        pencil = np.clip(coarse + noise, 0, 1).astype(np.float32)
        pencil[self.hidden] = 0.0
        return Ground(0.01, 0.0, FRAME, 2.0, self.hidden, pencil, PER_MM)


def moved(by_x: float, by_y: float) -> Point:
    return Point(CENTRE.x + by_x, CENTRE.y + by_y)


def test_clean_paper_has_no_hole():
    for seed in range(50):
        assert needle_hole(Sheet(seed).ground(), CENTRE, 0.5) is None


@pytest.mark.parametrize("width", [0.2, 0.3, 0.4])
@pytest.mark.parametrize("dark", [0.25, 0.6])
def test_a_hole_is_found_where_it_is(width: float, dark: float):
    rng = np.random.default_rng(7)
    off = []
    for seed in range(20):
        at = moved(*rng.uniform(-0.2, 0.2, 2))
        hole = needle_hole(Sheet(seed).dot(at, width, dark).ground(), CENTRE, SIGMA)
        assert hole is not None
        off.append(hole.at.distance(at))
        assert 0.01 < hole.sigma_mm < 0.1
    assert max(off) < 0.06 * mm


def test_a_dot_too_far_for_the_circle_is_not_its_hole():
    sheet = Sheet().dot(moved(0.9, 0.0)).ground()
    assert needle_hole(sheet, CENTRE, SIGMA) is None
    assert needle_hole(sheet, CENTRE, 0.5) is not None


def test_a_centre_that_is_hardly_known_tells_nothing():
    sheet = Sheet().dot(CENTRE).ground()
    assert needle_hole(sheet, CENTRE, 1.01 * MOST_SIGMA_MM) is None
    assert needle_hole(sheet, CENTRE, math.nan) is None


def test_of_two_dots_neither_is_taken():
    sheet = Sheet().dot(moved(-0.6, 0.0)).dot(moved(0.6, 0.0))
    assert needle_hole(sheet.ground(), CENTRE, 0.5) is None


@pytest.mark.parametrize("turn", [0.0, 0.4, 1.1, 1.6])
def test_pencil_is_no_hole(turn: float):
    way = Point(math.cos(turn), math.sin(turn))
    along = Sheet().line(CENTRE - way * 6.0, CENTRE + way * 6.0)
    assert needle_hole(along.ground(), CENTRE, 0.3) is None
    end = Sheet().line(CENTRE, CENTRE + way * 6.0)
    assert needle_hole(end.ground(), CENTRE, 0.3) is None
    across = Point(-way.y, way.x)
    crossing = along.line(CENTRE - across * 5.0, CENTRE + across * 5.0)
    assert needle_hole(crossing.ground(), CENTRE, 0.3) is None


@pytest.mark.parametrize("length", [0.6, 0.9, 1.5])
def test_a_tick_and_a_pencilled_dot_are_no_holes(length: float):
    tick = Sheet().line(moved(-length / 2, 0.0), moved(length / 2, 0.1))
    assert needle_hole(tick.ground(), CENTRE, 0.2) is None
    assert needle_hole(Sheet().dot(CENTRE, length + 0.2).ground(), CENTRE, 0.2) is None


def test_a_hole_on_a_pencil_line_is_left_alone():
    sheet = Sheet().line(moved(-6, 0), moved(6, 0)).dot(CENTRE, dark=0.7)
    assert needle_hole(sheet.ground(), CENTRE, SIGMA) is None


def test_what_comes_out_from_under_print_is_no_hole():
    """The stub of a line that runs on past a printed corner looks like a dot."""
    for reach in (0.45, 0.5, 0.6, 0.7):
        sheet = Sheet().line(CENTRE, moved(reach, reach)).print_cross(CENTRE)
        assert needle_hole(sheet.ground(), CENTRE, 0.3) is None


def test_a_hole_beside_a_printed_cross_is_found():
    at = moved(1.4, 1.3)
    sheet = Sheet().print_cross(CENTRE).dot(at)
    hole = needle_hole(sheet.ground(), at, SIGMA)
    assert hole is not None
    assert hole.at.distance(at) < 0.05 * mm


@pytest.mark.parametrize("centre", [Point(34.0, 37.0), Point(48.9, 45.0), Point(500.0, -90.0)])
def test_centres_at_and_off_the_frames_edge_do_no_harm(centre: Point):
    assert needle_hole(Sheet().ground(), centre, 0.3) is None


def test_only_circles_with_a_centre_have_a_needle():
    ground = Sheet().dot(CENTRE).ground()
    circle = ElementFinding("circle", "arc", True, centre=CENTRE, offset_sigma_mm=SIGMA)
    assert with_needle(circle, ground, two_tone=False).needle is not None
    assert with_needle(circle, ground, two_tone=True).needle is None
    assert with_needle(replace(circle, centre=None), ground, two_tone=False).needle is None
    line = ElementFinding("line", "line", True, offset_sigma_mm=SIGMA)
    assert with_needle(line, ground, two_tone=False).needle is None
