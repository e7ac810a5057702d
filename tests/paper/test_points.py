"""Points that are to be marked: what they are worth, where they are printed and drawn."""

from __future__ import annotations

import pytest

from millimark.errors import PaperError
from millimark.paper.question import Question
from millimark.paper.question_pages import plan_paper
from millimark.paper.reading import paper_from_data

SEVEN = "AB is 7 cm long."
SIDES = "Triangle ABC has AB = 8 cm, BC = 7 cm and AC = 6 cm."


def question(ask: str, *given: str, **more: object) -> Question:
    asked = {"given": list(given), "ask": [ask], **more}
    return paper_from_data({"title": "One", "questions": [asked]}).questions[0]


@pytest.mark.parametrize(
    ("ask", "given", "codes", "least"),
    [
        ("Mark the midpoint of AB.", (SEVEN,), ["M1", "A1"], 1),
        ("Divide AB into 5 equal parts.", (SEVEN,), ["B1", "B1"], 4),
        ("Mark the points that are 5 cm from A and 4 cm from B.", (SEVEN,), ["M1", "A1"], 2),
        ("Mark the centroid of triangle ABC.", (SIDES,), ["M1", "M1", "A1"], 1),
    ],
)
def test_points_are_worth_their_method_and_their_place(
    ask: str, given: tuple[str, ...], codes: list[str], least: int
) -> None:
    asked = question(ask, *given)
    assert [c.code for c in asked.scheme] == codes
    last = asked.scheme[-1]
    assert (last.kind, last.least_points) == ("points", least)
    assert last.needs == tuple(range(len(codes) - 1))


def test_two_bearings_that_fix_a_point_are_worth_a_mark_each_and_the_point() -> None:
    """M1 M1 A1: WJEC specimen material, read."""
    asked = question(
        "Mark the point that is on a bearing of 120° from A and on a bearing of 200° from B.",
        "1 cm represents 1 km.",
        "B is 7 km from A on a bearing of 070°.",
    )
    assert [(c.code, c.kind) for c in asked.scheme] == [
        ("M1", "line"),
        ("M1", "line"),
        ("A1", "points"),
    ]


@pytest.mark.parametrize("marks", [1, 2])
def test_other_totals(marks: int) -> None:
    assert len(question("Mark the midpoint of AB.", SEVEN, marks=marks).scheme) == marks


def test_own_criteria_speak_of_the_points() -> None:
    scheme = ["B1 2 of the points", "B1 all of the points, needs 1"]
    asked = question("Divide AB into 5 equal parts.", SEVEN, scheme=scheme)
    assert [c.least_points for c in asked.scheme] == [2, 4]
    asked = question(
        "Mark the midpoint of AB.", SEVEN, scheme=["M1 arcs for the point", "A1 the point, needs 1"]
    )
    assert [c.kind for c in asked.scheme] == ["evidence", "points"]
    with pytest.raises(PaperError, match="5 of the points cannot be marked: there are 4"):
        question("Divide AB into 5 equal parts.", SEVEN, scheme=["B1 5 of the points"])


def test_the_points_stand_in_the_frame_and_are_drawn_as_crosses() -> None:
    paper = paper_from_data(
        {
            "title": "One",
            "questions": [{"given": [SEVEN], "ask": ["Divide AB into 5 equal parts."]}],
        }
    )
    (drawn,) = plan_paper(paper, "AAAAAA").drawn
    ends = dict(drawn.ink.points)
    along = [p.distance(ends["A"]) / ends["A"].distance(ends["B"]) for p in drawn.ink.asked]
    assert along == pytest.approx([0.2, 0.4, 0.6, 0.8])
    x0, y0, x1, y1 = drawn.placed.frame_mm
    assert all(x0 < p.x < x1 and y0 < p.y < y1 for p in drawn.ink.asked)
    assert not drawn.ink.answer  # what leads to the points is construction
    assert drawn.ink.construction
