"""Figures on printed points on a paper: what they are worth, and what a paper cannot have yet."""

from __future__ import annotations

import pytest

from millimark.errors import PaperError
from millimark.paper.question import Question
from millimark.paper.reading import paper_from_data

SEVEN = "AB is 7 cm long."


def question(ask: str, *given: str) -> Question:
    paper = paper_from_data({"title": "One", "questions": [{"given": list(given), "ask": [ask]}]})
    return paper.questions[0]


@pytest.mark.parametrize(
    ("ask", "element"),
    [
        ("Construct triangle ABC with AC = 5 cm and BC = 6 cm.", "triangle ABC"),
        ("Construct square ABCD.", "square ABCD"),
        ("Construct an equilateral triangle on AB.", "equilateral triangle on AB"),
    ],
)
def test_a_figure_is_worth_its_arcs_and_the_whole(ask: str, element: str) -> None:
    """Two marks for a triangle of three sides, within 2 mm: Cambridge 2022 (transcribed)."""
    asked = question(ask, SEVEN)
    assert [(c.code, c.kind) for c in asked.scheme] == [("M1", "evidence"), ("A1", "line")]
    assert asked.scheme[1].subject == element
    assert asked.scheme[1].needs == (0,)
    assert asked.scheme[1].least_share == 0.9


@pytest.mark.parametrize(
    ("ask", "given"),
    [
        ("Construct an angle of 60° at A on AB.", ()),
        ("Construct the perpendicular to AB at P.", ("P is on AB, 3 cm from A.",)),
        ("Construct the perpendicular from P to AB.", ("P is 5 cm from A and 4 cm from B.",)),
        ("Construct the parallel to AB through P.", ("P is 5 cm from A and 4 cm from B.",)),
    ],
)
def test_a_construction_is_worth_its_arcs_and_its_line(ask: str, given: tuple[str, ...]) -> None:
    """M1 arcs, A1 line: common practice, from memory."""
    asked = question(ask, SEVEN, *given)
    assert [(c.code, c.kind, c.needs) for c in asked.scheme] == [
        ("M1", "evidence", ()),
        ("A1", "line", (0,)),
    ]
    assert asked.scheme[1].angle
    assert asked.scheme[1].least_mm == 30.0


@pytest.mark.parametrize(
    "ask", ["Draw an angle of 60° at A on AB.", "Construct an angle of 40° at A on AB."]
)
def test_an_angle_that_may_be_measured_is_worth_a_line(ask: str) -> None:
    asked = question(ask, SEVEN)
    assert [c.least_mm for c in asked.scheme] == [10.0, 30.0]


def test_medians_are_worth_their_bisections_and_a_line_each() -> None:
    triangle = "Triangle ABC has AB = 8 cm, BC = 7 cm and AC = 6 cm."
    asked = question("Construct the medians of triangle ABC.", triangle)
    assert asked.marks == 6


@pytest.mark.parametrize("turn", [0, 25, 90, -60])
def test_the_figure_stands_above_its_base_however_it_is_turned(turn: int) -> None:
    paper = paper_from_data(
        {
            "title": "One",
            "questions": [
                {"given": [SEVEN], "ask": ["Construct square ABCD."], "turn": f"{turn} deg"},
            ],
        }
    )
    (asked,) = paper.questions
    (answer,) = asked.answers
    assert sum(c.length for c in answer.curves) == pytest.approx(21.0)
    a, b = asked.figure.points["A"], asked.figure.points["B"]
    middle = answer.curves[1].point_at(3.5)
    assert middle.distance(a) == pytest.approx(middle.distance(b))
    assert middle.y > (a.y + b.y) / 2 or abs(turn) == 90


def test_a_triangle_that_cannot_be_drawn_is_refused_by_its_rule() -> None:
    with pytest.raises(PaperError, match="cannot be drawn with sides"):
        question("Construct triangle ABC with AC = 2 cm and BC = 3 cm.", SEVEN)
