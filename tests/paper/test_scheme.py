"""Default marks against the published allocations of the trade (labels: V, V2, M)."""

from __future__ import annotations

import pytest

from millimark.errors import PaperError
from millimark.paper.question import Criterion, Tolerance
from millimark.paper.reading import paper_from_data

from .papers import ANGLE, BISECTOR, CIRCLE, REGION, RING, STADIUM, paper_of


def scheme(question: dict[str, object], **more: object) -> tuple[Criterion, ...]:
    return paper_of({**question, **more}).questions[0].scheme


def codes(question: dict[str, object], **more: object) -> list[str]:
    return [c.code for c in scheme(question, **more)]


def test_perpendicular_bisector_2_for_arcs_and_line_in_tolerance() -> None:
    # Edexcel selection [V], OCR J560/04 and Cambridge 4024 [V2]: 2 marks, the line at least
    # about 3 cm with two pairs of arcs; one of the two without the other.
    arcs, line = scheme(BISECTOR)
    assert (arcs.kind, arcs.code, line.kind, line.code) == ("evidence", "B1", "line", "B1")
    assert line.least_mm == 30.0
    assert arcs.needs == line.needs == ()
    assert arcs.arcs is not None
    assert arcs.arcs.centres == ("A", "B")


def test_angle_bisector_m1_arcs_a1_line_within_2_mm_and_2_degrees() -> None:
    # Cambridge 0580, November 2018 [V2].
    arcs, line = scheme(ANGLE)
    assert (arcs.code, line.code) == ("M1", "A1")
    assert line.needs == (0,)
    assert line.angle
    assert "2 mm and 2°" in line.text


def test_circle_2_for_a_full_arc_1_for_a_short_one() -> None:
    # Edexcel selection [V].
    some, whole = scheme(CIRCLE)
    assert some.least_share == pytest.approx(1 / 6)  # common practice, no source
    assert whole.least_share == pytest.approx(0.9)  # common practice, no source
    assert whole.needs == (0,)


def test_region_one_for_each_boundary_one_for_the_region_dependent() -> None:
    # Edexcel selection [V], WJEC sample material [V]: B1, B1, B1 dependent; follow-through.
    marks = scheme(REGION)
    assert [c.code for c in marks] == ["B1", "B1", "B1"]
    assert [c.subject for c in marks[:2]] == [
        "bisector of angle QPR",
        "circle, centre Q, radius 5 cm",
    ]
    assert marks[2].kind == "region"
    assert marks[2].needs == (0, 1)


@pytest.mark.parametrize("question", [STADIUM, RING], ids=["segment", "rectangle"])
def test_locus_round_a_figure_straights_and_rounds(question: dict[str, object]) -> None:
    # Parallels and semicircles; straights and quarter circles [M].
    assert [c.part for c in scheme(question)] == ["straight", "round"]


def test_tolerance_of_2_mm_and_2_degrees_is_the_default() -> None:
    # AQA, Edexcel, Cambridge: 2 mm and 2 degrees by overlay [V, V2].
    assert Tolerance() == Tolerance(length_mm=2.0, angle_deg=2.0)


def test_a_questions_own_tolerance_stands_in_its_criteria() -> None:
    marks = scheme(ANGLE, tolerance={"length": "3 mm", "angle": "1.5 deg"})
    assert "3 mm and 1.5°" in marks[1].text


def test_fewer_marks_are_for_the_whole_alone() -> None:
    (line,) = scheme(BISECTOR, marks=1)
    assert (line.kind, line.least_mm) == ("line", 30.0)
    (circle,) = scheme(CIRCLE, marks=1)
    assert (circle.least_share, circle.needs) == (pytest.approx(0.9), ())


def test_more_marks_for_a_region_ask_for_the_arcs_of_its_bisector() -> None:
    marks = scheme(REGION, marks=4)
    assert [c.code for c in marks] == ["M1", "B1", "B1", "B1"]
    assert marks[0].kind == "evidence"
    assert marks[3].needs == (1, 2)


@pytest.mark.parametrize("marks", [3, 9])
def test_other_totals_are_refused_with_those_that_work(marks: int) -> None:
    with pytest.raises(PaperError, match="Totals that work here: 1 or 2"):
        scheme(CIRCLE, marks=marks)


def test_any_method_asks_for_no_arcs() -> None:
    # WJEC guidance 2024-25 [V]: formal constructions are not assessed; any valid method.
    paper = paper_of(BISECTOR, ANGLE, profile="any method")
    assert not paper.arcs_required
    for question in paper.questions:
        some, whole = question.scheme
        assert {some.kind, whole.kind} == {"line"}
        assert some.least_mm is not None
        assert whole.least_mm is not None
        assert some.least_mm < whole.least_mm
        assert whole.needs == (0,)


def test_marks_of_several_asks_follow_each_other_and_keep_their_needs() -> None:
    both = {
        "given": ["A and B are 6 cm apart."],
        "ask": [
            "Draw the locus of points that are 3 cm from A.",
            "Draw the locus of points that are 4 cm from B.",
        ],
    }
    assert [c.needs for c in scheme(both)] == [(), (0,), (), (2,)]


def test_a_boundary_that_bounds_nothing_earns_nothing() -> None:
    given = ["Rectangle PQRS is 9 cm by 6 cm."]
    ask = "Shade the region inside PQRS that is more than 3 cm from P and nearer to Q than to P."
    data = {"title": "Idle", "questions": [{"given": given, "ask": [ask]}]}
    (asked,) = paper_from_data(data).questions
    assert [c.subject for c in asked.scheme] == ["perpendicular bisector of PQ", "region"]
