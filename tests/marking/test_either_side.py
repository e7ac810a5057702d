"""A figure that may stand on either side of its base is marked on the side where it was drawn."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from millimark.loci.completing import corners_on
from millimark.loci.conditions import DrawLocus, TriangleOn
from millimark.marking.batch import mark_batch
from millimark.marking.either_side import readings_of, worth
from millimark.marking.findings import ElementFinding, Mark, QuestionMarks, RegionFinding
from millimark.paper.reading import paper_from_data
from millimark.rehearsal.rehearse import rehearse

ASKS = {
    "Construct triangle ABC with AC = 5 cm and BC = 6 cm": "triangle ABC",
    "Construct an angle of 50° at A on AB": "angle of 50° at A on AB",
}


def paper_data(ask: str, side: str) -> dict[str, object]:
    question = {"given": ["AB is horizontal and 7 cm long."], "ask": [f"{ask}{side}."]}
    return {"title": "One side", "questions": [question]}


@pytest.mark.parametrize("ask", ASKS)
def test_the_other_side_is_right_unless_the_question_names_one(tmp_path: Path, ask: str) -> None:
    """A pupil draws below; the paper that says nothing, or below, awards it; 'above' does not."""
    rehearse(paper_from_data(paper_data(ask, " below AB")), 1, 7, tmp_path)
    layout = json.loads((tmp_path / "layout.json").read_text())
    totals = {}
    for i, side in enumerate(("", " below AB", " above AB")):
        layout["paper"]["questions"][0]["ask"] = [f"{ask}{side}."]
        path = tmp_path / f"layout-{i}.json"
        path.write_text(json.dumps(layout))
        mark_batch([tmp_path / "scans"], path, tmp_path / f"marked{side}")
        marks = json.loads((tmp_path / f"marked{side}" / "marks.json").read_text())
        totals[side] = [script["total"] for script in marks["scripts"]]
        names = {
            e["element"] for s in marks["scripts"] for q in s["questions"] for e in q["elements"]
        }
        assert names == {ASKS[ask]}
    assert totals[""] == totals[" below AB"]
    assert totals[""] == [2]
    assert totals[" above AB"] == [0]


def test_readings_turn_every_figure_over() -> None:
    both = {
        "title": "Two",
        "questions": [
            {"given": ["AB is horizontal and 5 cm long."],
             "ask": ["Construct triangle ABC with AC = 5 cm and BC = 6 cm.",
                     "Draw the locus of points 2 cm from A.",
                     "Construct square ABDE."]},
        ],
    }  # fmt: skip
    (question,) = paper_from_data(both).questions
    found = readings_of(question)
    assert len(found) == 4
    assert found[0] is question
    heights = []
    for reading in found:
        first = reading.asks[0]
        assert isinstance(first, DrawLocus)
        assert isinstance(first.locus, TriangleOn)
        heights.append(corners_on(question.figure, first.locus)[0].y > 0)
    assert heights == [True, True, False, False]


def test_a_point_of_both_sides_says_for_neither() -> None:
    """A ray drawn at 60° for 120° meets either answer at its vertex only: the side that the paper
    shows is the one it is measured against."""

    def found(coverage: float, awarded: bool = False) -> QuestionMarks:
        element = ElementFinding("angle", "line", True, coverage=coverage)
        mark = Mark("A1", "", "awarded" if awarded else "withheld", "")
        return QuestionMarks("1", (mark,), (element,), (), RegionFinding(False), (), 1)

    assert worth(found(0.03)) == worth(found(0.01))
    assert worth(found(0.5)) > worth(found(0.03))
    assert worth(found(0.1, awarded=True)) > worth(found(0.5))
