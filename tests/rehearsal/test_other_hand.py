"""Marking agrees with the second simulator, of another make, at another print scale.

Its answers are clearly right or clearly wrong, so every decision must be right; a few may
go to the teacher.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from tests.rehearsal.other_hand import PAPER, Case, Scanner, draw_sheets, sheets_of_cases

from millimark.marking.batch import mark_batch
from millimark.paper.printing import print_paper
from millimark.paper.reading import read_paper

SHEETS = sheets_of_cases()


@pytest.fixture(scope="module", params=[0.95], ids=lambda s: f"{s:.0%}")
def marks(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> dict[str, Any]:
    folder: Path = tmp_path_factory.mktemp("other")
    (folder / "paper.yaml").write_text(PAPER, encoding="utf-8")
    print_paper(read_paper(folder / "paper.yaml"), folder, [None] * len(SHEETS))
    scanner = Scanner(dpi=200, print_scale=request.param)
    layout, pdf = folder / "layout.json", folder / "question-paper.pdf"
    draw_sheets(layout, pdf, folder / "scans", SHEETS, scanner)
    mark_batch([folder / "scans"], layout, folder / "marks", jobs=1)
    return json.loads((folder / "marks" / "marks.json").read_text(encoding="utf-8"))


def decided(marks: dict[str, Any]) -> list[tuple[Case, list[str]]]:
    """Each case with the decisions on its marks."""
    found = []
    for cases, script in zip(SHEETS, marks["scripts"], strict=True):
        questions = {q["question"]: q for q in script["questions"]}
        for number, case in cases.items():
            found.append((case, [m["decision"] for m in questions[number]["marks"]]))
    return found


def test_no_decision_is_wrong(marks: dict[str, Any]):
    wrong = [
        f"{case.question} {case.name}: {decisions}, deserved {case.marks}"
        for case, decisions in decided(marks)
        for earned, decision in zip(case.marks, decisions, strict=True)
        if decision != "teacher" and (decision == "awarded") != earned
    ]
    assert not wrong


def test_few_decisions_go_to_the_teacher(marks: dict[str, Any]):
    every = [d for _, decisions in decided(marks) for d in decisions]
    assert every.count("teacher") <= 0.1 * len(every)


def test_the_print_scale_is_read_off_the_scans(marks: dict[str, Any]):
    for page in marks["pages"]:
        assert page["status"] == "read"
        assert page["print_scale"] == pytest.approx(0.95, abs=1e-3)
