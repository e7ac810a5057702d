"""Aids: the grid is square and gives nothing away; printed arcs are not asked for."""

from __future__ import annotations

import itertools

import pytest

from millimark.errors import PaperError
from millimark.paper.aids import first_arcs, grid_lines
from millimark.paper.question_pages import plan_paper, words

from .papers import ANGLE, BISECTOR, REGION, STADIUM, paper_of

POINTS = {
    "given": ["A is at (1, 2).", "B is at (6, 5)."],
    "ask": ["Draw the locus of points that are the same distance from A as from B."],
    "aid": "grid",
}


def test_the_grid_is_of_1_cm_squares_in_the_frame() -> None:
    (drawn,) = plan_paper(paper_of({**REGION, "aid": "grid"}), "7K2QXW").drawn
    x0, y0, x1, y1 = drawn.placed.frame_mm
    lines = grid_lines(drawn.placed)
    across = sorted(c.start.x for c in lines if c.start.x == c.end.x)
    down = sorted(c.start.y for c in lines if c.start.y == c.end.y)
    for places, low, high in ((across, x0, x1), (down, y0, y1)):
        assert {round(b - a, 6) for a, b in itertools.pairwise(places)} == {10.0}
        assert low <= places[0] < low + 10
        assert high - 10 < places[-1] <= high


@pytest.mark.parametrize("question", [BISECTOR, STADIUM])
def test_no_grid_line_lies_on_an_answer_that_is_level(question: dict[str, object]) -> None:
    asked = paper_of({**question, "aid": "grid", "turn": False})
    (drawn,) = plan_paper(asked, "7K2QXW").drawn
    for line in grid_lines(drawn.placed):
        for _, curves in drawn.ink.loci:
            for curve in (c for c in curves if c.kind == "segment"):
                apart = max(line.distance_to(curve.start), line.distance_to(curve.end))
                assert apart > 1.4


def test_coordinates_lie_on_the_grid() -> None:
    (drawn,) = plan_paper(paper_of(POINTS), "7K2QXW").drawn
    across = [c.start.x for c in grid_lines(drawn.placed) if c.start.x == c.end.x]
    for _, point in drawn.ink.points:
        assert min(abs(point.x - x) for x in across) < 1e-6


def test_a_grid_that_would_give_the_answer_away_is_refused() -> None:
    level = {**POINTS, "given": ["A is at (1, 2).", "B is at (7, 2)."]}  # bisector x = 4
    (drawn,) = plan_paper(paper_of({**level, "aid": []}), "7K2QXW").drawn
    with pytest.raises(PaperError, match="would lie on the answer"):
        grid_lines(drawn.placed)


def test_printed_arcs_are_drawn_and_earn_no_mark() -> None:
    with_arcs, plain = paper_of({**ANGLE, "aid": "arcs"}, ANGLE).questions
    assert {c.kind for c in with_arcs.scheme} == {"line"}
    assert "evidence" in {c.kind for c in plain.scheme}
    (drawn,) = plan_paper(paper_of({**ANGLE, "aid": "arcs"}), "7K2QXW").drawn
    assert len(first_arcs(drawn.placed)) == 1


def test_an_unknown_aid_is_refused() -> None:
    with pytest.raises(PaperError, match="grid, arcs"):
        paper_of({**BISECTOR, "aid": "dots"})


MAP = {
    "given": ["1 cm represents 2 km.", "B is 14 km from A on a bearing of 070°."],
    "ask": ["Draw the locus of points that are the same distance from A as from B."],
}


def test_for_stretch_the_scale_line_and_the_tally_of_marks_are_left_out() -> None:
    usual, stretch = (
        plan_paper(paper_of({**MAP, **more}), "7K2QXW").drawn[0]
        for more in ({}, {"aid": "stretch"})
    )
    assert usual.marks.scale_box is not None
    assert words(usual.question)["marks"] == "[2 marks]"
    assert stretch.marks.scale_box is None
    assert stretch.marks.north_box is not None
    assert words(stretch.question)["marks"] == ""
    assert stretch.question.marks == 2


def test_support_and_stretch_are_not_asked_for_at_once() -> None:
    with pytest.raises(PaperError, match="both 'arcs', for support, and 'stretch'"):
        paper_of({**MAP, "aid": ["arcs", "stretch"]})
