"""Plans and maps: the scale line is true, north is up, both clear of everything else."""

from __future__ import annotations

import math

import pytest
from shapely import LineString, box

from millimark.paper.alt import describe_question
from millimark.paper.ink import all_curves
from millimark.paper.map_marks import needs_north, scale_labels
from millimark.paper.question_pages import plan_paper

from .papers import BISECTOR, paper_of

CHART = {
    "given": ["1 cm represents 2 km.", "B is 14 km from A on a bearing of 070°."],
    "ask": ["Shade the region that is less than 8 km from A and nearer to B than to A."],
}
PLAN = {
    "given": ["1 cm represents 5 m.", "Rectangle PQRS is 35 m by 25 m."],
    "ask": ["Shade the region inside PQRS that is less than 15 m from P."],
}


@pytest.mark.parametrize(
    ("scale", "labels"),
    [
        (200_000.0, ("0", "2", "4", "6", "8", "10 km")),
        (50_000.0, ("0", "0.5", "1", "1.5", "2", "2.5 km")),
        (500.0, ("0", "5", "10", "15", "20", "25 m")),
        (4.0, ("0", "4", "8", "12", "16", "20 cm")),
    ],
)
def test_the_scale_lines_lengths(scale: float, labels: tuple[str, ...]) -> None:
    assert scale_labels(scale) == labels


def test_lengths_on_the_page_follow_the_scale() -> None:
    (drawn,) = plan_paper(paper_of(CHART), "7K2QXW").drawn
    places = dict(drawn.ink.points)
    a, b = places["A"], places["B"]
    assert a.distance(b) == pytest.approx(70.0, abs=1e-6)  # 14 km at 1 cm to 2 km
    assert math.degrees(math.atan2(b.x - a.x, a.y - b.y)) == pytest.approx(70.0, abs=1e-6)


def test_a_bearing_wants_a_north_arrow_and_a_triangle_none() -> None:
    assert needs_north(CHART["given"])
    assert not needs_north(PLAN["given"])
    chart, plan, plain = plan_paper(paper_of(CHART, PLAN, BISECTOR), "7K2QXW").drawn
    assert chart.marks.north_box is not None
    assert plan.marks.north_box is None
    assert plan.marks.scale_box is not None
    assert plain.marks.boxes == []


def test_map_marks_stand_in_their_frame_clear_of_ink_and_labels() -> None:
    for drawn in plan_paper(paper_of(CHART, PLAN), "7K2QXW").drawn:
        frame = box(*drawn.placed.frame_mm)
        shapes = [box(*b) for b in drawn.marks.boxes]
        for shape in shapes:
            assert frame.contains(shape)
            for curve in all_curves(drawn.ink):
                assert shape.distance(LineString(curve.sampled(0.01))) > 0.5
            for label in drawn.labels:
                assert shape.distance(box(*label.box)) > 0.3
        assert len(shapes) < 2 or shapes[0].distance(shapes[1]) > 2.0


def test_the_alternative_text_says_scale_and_north() -> None:
    said = describe_question(paper_of(CHART).questions[0])
    assert "5 cm stand for 10 km" in said
    assert "north arrow" in said
