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


SHOWN = {
    "centroid": "equal arcs for the midpoint of {} side of ABC",
    "circumcentre": "equal arcs for the bisector of {} side of ABC",
    "incentre": "arcs for the bisector of {} angle of ABC",
    "orthocentre": "arcs for {} altitude of ABC",
}


@pytest.mark.parametrize("kind", SHOWN)
def test_a_centre_wants_one_construction_and_then_a_second_whichever_they_are(kind: str) -> None:
    asked = question(f"Mark the {kind} of triangle ABC.", SIDES)
    assert [c.text for c in asked.scheme] == [
        f"Construction shown: {SHOWN[kind].format('one')}",
        f"Construction shown: {SHOWN[kind].format('a second')}",
        f"The {kind} of triangle ABC, marked within 2 mm",
    ]
    arcs = [c.arcs for c in asked.scheme if c.arcs is not None]
    assert [(a.least, a.beyond, len(a.parts), a.of_choice) for a in arcs] == [
        (1, 0, 3, True),
        (2, 1, 3, True),
    ]
    assert len({part.centres for part in arcs[0].parts}) == 3
    drawn = [s.element for s in asked.working.steps] if asked.working else []
    assert len(drawn) == 3  # the model answer draws two lines, then the point
    assert drawn[-1] == f"{kind} of triangle ABC"


def test_a_point_as_far_from_three_points_wants_any_two_pairs_of_them() -> None:
    asked = question(
        "Mark the point that is the same distance from A, B and C.",
        "A and B are 8 cm apart.",
        "C is 6 cm from A and 7 cm from B.",
    )
    assert [c.text for c in asked.scheme] == [
        "Construction shown: equal arcs from any two of the points A, B and C",
        "Construction shown: equal arcs from another two of the points A, B and C",
        "The point the same distance from A, B and C, marked within 2 mm",
    ]


def test_lines_that_the_words_name_are_wanted_themselves() -> None:
    asked = question(
        "Mark the point where the perpendicular bisector of AB meets the bisector of angle ABC.",
        SIDES,
    )
    arcs = [c.arcs for c in asked.scheme if c.arcs is not None]
    assert [(a.kind, a.centres) for a in arcs] == [
        ("equal-arcs", ("A", "B")),
        ("arm-arcs", ("B", "A", "C")),
    ]


@pytest.mark.parametrize("side", ["AB", "BC", "AC"])
def test_a_line_that_is_asked_for_before_is_one_of_the_two(side: str) -> None:
    asks = [
        f"Construct the perpendicular bisector of {side}.",
        "Mark the circumcentre of triangle ABC.",
    ]
    asked = paper_from_data({"title": "One", "questions": [{"given": [SIDES], "ask": asks}]})
    first, line, second, point = asked.questions[0].scheme
    assert (first.text, line.code) == (
        f"Construction shown: equal arcs from {side[0]} and {side[1]}",
        "B1",
    )
    assert second.text == "Construction shown: equal arcs for the bisector of a second side of ABC"
    assert second.arcs is not None
    assert (second.arcs.least, second.arcs.beyond) == (1, 0)
    assert tuple(side) not in {part.centres for part in second.arcs.parts}
    assert len(second.arcs.parts) == 2
    assert point.needs == (2,)


def test_lines_that_all_stand_there_leave_the_point_alone() -> None:
    asks = ["Construct the medians of triangle ABC.", "Mark the centroid of triangle ABC."]
    asked = paper_from_data({"title": "One", "questions": [{"given": [SIDES], "ask": asks}]})
    last = asked.questions[0].scheme[-1]
    assert (last.code, last.needs) == ("B1", ())
    assert last.text == "The centroid of triangle ABC, marked within 2 mm"


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
    twice = ["M1 arcs for the point", "M1 arcs for the point", "A1 the point, needs 1 and 2"]
    asked = question("Mark the incentre of triangle ABC.", SIDES, scheme=twice)
    usual = question("Mark the incentre of triangle ABC.", SIDES)
    assert [c.arcs for c in asked.scheme] == [c.arcs for c in usual.scheme]
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
