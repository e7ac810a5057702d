"""Placing: everything inside its frame, labels clear of every line and of each other."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import GeometryCollection, LineString, Point, box

from millimark.paper.formats import page_format
from millimark.paper.frame_dots import CLEAR_OF_PRINT
from millimark.paper.ink import all_curves
from millimark.paper.question_pages import Drawn, PaperPlan, plan_paper
from millimark.plane.curves import Curve

from .papers import ANGLE, BISECTOR, QUESTIONS, REGION, RING, STADIUM, paper_of


def planned(*questions: dict[str, object], **more: object) -> PaperPlan:
    return plan_paper(paper_of(*questions, **more), "7K2QXW")


def line_of(curve: Curve) -> LineString:
    return LineString(curve.sampled(0.002))


def check_drawn(drawn: Drawn) -> None:
    """What must hold of any placed question, judged with shapely."""
    frame = box(*drawn.placed.frame_mm)
    inner = frame.buffer(-2.0)
    for curve in (*drawn.ink.answer, *drawn.ink.construction):
        assert inner.contains(line_of(curve)), f"ink leaves the frame: {curve}"
    for _, point in drawn.ink.points:
        assert inner.covers(LineString([point, (point.x, point.y + 1e-9)]))
    labels = [box(*label.box) for label in drawn.labels]
    assert len(labels) == len(drawn.ink.points)
    for i, label in enumerate(labels):
        assert frame.contains(label)
        for curve in all_curves(drawn.ink):
            assert label.distance(line_of(curve)) > 0.3
        for other in labels[i + 1 :]:
            assert label.distance(other) > 0.3


@pytest.mark.parametrize("question", [*QUESTIONS, RING], ids=range(6))
def test_ink_stays_in_its_frame_and_labels_are_clear(question: dict[str, object]) -> None:
    for drawn in planned(question).drawn:
        check_drawn(drawn)


@settings(max_examples=25, deadline=None)
@given(p=st.integers(8, 18), q=st.integers(8, 18), r=st.integers(8, 18), near=st.integers(4, 10))
def test_any_triangle_is_placed_with_clear_labels(p: int, q: int, r: int, near: int) -> None:
    a, b, c = sorted((p / 2, q / 2, r / 2))
    if a + b < c + 0.5:
        return
    question = {
        "given": [f"Triangle PQR has PQ = {c} cm, QR = {b} cm and PR = {a} cm."],
        "ask": [f"Draw the locus of points that are {near / 2} cm from P."],
    }
    for drawn in planned(question, page="A3", instruments={"compasses": "20 cm"}).drawn:
        check_drawn(drawn)


def test_frames_fill_their_pages_without_touching() -> None:
    plan = planned(*QUESTIONS, RING)
    x0, y0, x1, y1 = page_format("A4").content
    assert plan.page_count == 3
    for page in range(1, plan.page_count + 1):
        group = plan.on_page(page)
        assert [g.question.number for g in group] == sorted(g.question.number for g in group)
        for above, below in pairwise(group):
            assert above.placed.frame_mm[3] < below.placed.top_mm
        for drawn in group:
            left, top, right, bottom = drawn.placed.frame_mm
            assert (left, right) == (x0, x1)
            assert y0 <= drawn.placed.top_mm < top < bottom <= y1 + 1e-6
        heights = [d.placed.frame_mm[3] - d.placed.frame_mm[1] for d in group]
        assert group[-1].placed.frame_mm[3] == pytest.approx(y1) or max(heights) >= 160.0 - 1e-6


def test_a_bisector_has_room_for_a_line_of_8_cm() -> None:
    (drawn,) = planned(BISECTOR).drawn[:1]
    assert drawn.placed.frame_mm[3] - drawn.placed.frame_mm[1] > 80


@pytest.mark.parametrize("question", [*QUESTIONS, RING], ids=range(6))
def test_figure_answer_and_working_are_centred_in_their_frame(
    question: dict[str, object],
) -> None:
    (drawn,) = planned(question).drawn
    curves = (*drawn.ink.answer, *drawn.ink.construction)
    shapes = [line_of(c) for c in curves] + [Point(*p) for _, p in drawn.ink.points]
    x0, y0, x1, y1 = GeometryCollection(shapes).bounds
    left, top, right, bottom = drawn.placed.frame_mm
    assert (x0 + x1) / 2 == pytest.approx((left + right) / 2, abs=0.01)
    assert (y0 + y1) / 2 == pytest.approx((top + bottom) / 2, abs=0.01)


def test_points_are_true_to_scale_on_the_page() -> None:
    (drawn,) = planned(BISECTOR).drawn
    places = dict(drawn.ink.points)
    assert places["A"].distance(places["B"]) == pytest.approx(80.0, abs=1e-6)


def test_frame_dots_are_few_clear_of_print_and_in_no_line() -> None:
    for drawn in planned(STADIUM, ANGLE, REGION).drawn:
        given_lines = [line_of(c) for c in drawn.ink.given]
        dots = drawn.dots
        assert 8 <= len(dots) <= 60
        for dot in dots:
            disc = LineString([(dot.x, dot.y), (dot.x, dot.y + 1e-9)])
            assert all(disc.distance(line) > CLEAR_OF_PRINT - 0.5 for line in given_lines)
        for i, a in enumerate(dots):
            for b in dots[i + 1 :]:
                apart = math.hypot(a.x - b.x, a.y - b.y)
                assert apart > 10.0
                assert min(abs(a.x - b.x), abs(a.y - b.y)) > 0.5  # no rows, no columns
