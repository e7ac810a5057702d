"""Membership by the pupil's lines: without any, it is the exact region of ``loci``."""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.rehearsal.questions import REGION, triangle

from millimark.loci.conditions import PointOf, PolygonOf, WithinRope
from millimark.loci.figure import Figure
from millimark.loci.solve import holds, solve
from millimark.plane.point import Point
from millimark.plane.similarity import page_frame
from millimark.rehearsal.featured import printed_figure
from millimark.rehearsal.pencil import PencilStroke
from millimark.rehearsal.sides import inside, own_lines

TO_PAPER = page_frame(Point(60.0, 120.0), turn_deg=25.0)


def places(n: int = 400) -> np.ndarray:
    return np.random.default_rng(8).uniform((-2, -2), (10, 8), (n, 2))


def test_no_lines_drawn_is_the_exact_region():
    figure = triangle()
    cm = places()
    ours = inside(REGION.condition, printed_figure(figure, TO_PAPER), TO_PAPER.points(cm))
    exact = [holds(figure, REGION.condition, Point(*p)) for p in cm]
    assert ours.tolist() == exact
    assert 20 < ours.sum() < 380


def test_area_agrees_with_the_analytic_area():
    figure = triangle()
    x, y = np.meshgrid(np.arange(-1, 9, 0.02) + 0.01, np.arange(-1, 7, 0.02) + 0.01)
    cm = np.column_stack((x.ravel(), y.ravel()))
    ours = inside(REGION.condition, printed_figure(figure, TO_PAPER), TO_PAPER.points(cm))
    region = solve(figure, REGION).region
    assert region is not None
    assert ours.sum() * 0.02**2 == pytest.approx(region.area, rel=0.005)


def test_a_dot_for_a_line_bounds_nothing():
    figure = triangle()
    printed = printed_figure(figure, TO_PAPER)
    elements = solve(figure, REGION).elements
    a = np.linspace(0, 2 * math.pi, 30)
    ring = np.array([80.0, 100.0]) + 0.3 * np.column_stack((np.cos(a), np.sin(a)))
    dots = [PencilStroke(ring, "answer", e.name) for e in elements]
    assert own_lines(elements, dots, printed) == ()


def test_the_pupils_own_arc_moves_the_boundary():
    figure = triangle()
    printed = printed_figure(figure, TO_PAPER)
    elements = solve(figure, REGION).elements
    arc = next(e for e in elements if e.kind == "arc")
    q = np.array(printed.points["Q"])
    a = np.linspace(0, 2 * math.pi, 200)
    wide = PencilStroke(q + 60.0 * np.column_stack((np.cos(a), np.sin(a))), "answer", arc.name)
    own = own_lines(elements, [wide], printed)
    cm = places()
    got = inside(REGION.condition, printed, TO_PAPER.points(cm), own)
    before = inside(REGION.condition, printed, TO_PAPER.points(cm))
    gained = got & ~before
    far = np.hypot(*(TO_PAPER.points(cm) - q).T)
    assert gained.any()
    assert ((far[gained] >= 50) & (far[gained] < 60)).all()
    assert not (before & ~got).any()


def test_a_line_ruled_elsewhere_is_the_border():
    figure = triangle()
    printed = printed_figure(figure, TO_PAPER)
    elements = solve(figure, REGION).elements
    line = next(e for e in elements if e.kind == "line")
    p, q, r = (np.array(printed.points[n]) for n in "PQR")
    end = q + 0.25 * (r - q)
    ruled = PencilStroke(np.linspace(p, end, 50), "answer", line.name)
    own = own_lines(elements, [ruled], printed)
    low = q + 0.15 * (r - q) + 0.05 * (p - q)
    high = q + 0.35 * (r - q) + 0.05 * (p - q)
    assert inside(REGION.condition, printed, np.array([low, high]), own).tolist() == [True, False]


def test_a_grid_asked_near_the_border_only_is_the_exact_region():
    """A rope round a corner: this module does not follow it and looks it up sparingly."""
    corners = {"A": Point(0, 0), "B": Point(4, 0), "C": Point(4, 3), "D": Point(0, 3)}
    shed = Figure(corners, polygons=(tuple(corners),))
    rope = WithinRope(PointOf("A"), 5.0, (PolygonOf(tuple(corners)),))
    x, y = np.meshgrid(np.arange(-5.5, 6.0, 0.11), np.arange(-5.5, 6.0, 0.11))
    cm = np.column_stack((x.ravel(), y.ravel()))
    got = inside(rope, printed_figure(shed, TO_PAPER), TO_PAPER.points(cm))
    exact = np.array([holds(shed, rope, Point(*p)) for p in cm[::7]])
    assert (got[::7] == exact).all()
    # 3/4 of the circle of 5, a quarter each of 1 and 2 round the next corners: 20 pi
    assert got.sum() * 0.11**2 == pytest.approx(20 * math.pi, rel=0.01)
