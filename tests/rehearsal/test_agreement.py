"""The comparison itself: it counts what it should, so that tests that lean on it can fail."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from tests.rehearsal.agreement import compare

TRUTH: dict[str, Any] = {
    "sheets": [{"sheet": "S0001", "pages": [{"page": 1, "questions": [{
        "question": "1", "awarded": 1, "out_of": 2,
        "deserved": [
            {"criterion": "some", "decision": "awarded", "clear": True,
             "margin_mm": 1.0, "margin_share": None, "margin_deg": None},
            {"criterion": "whole", "decision": "withheld", "clear": False,
             "margin_mm": 0.1, "margin_share": None, "margin_deg": None},
        ],
        "faults": [{"fault": "length-wrong", "element": "c", "size": 3.0}],
        "elements": [{"element": "c", "found": True, "worst_mm": 3.0, "mean_mm": 2.9,
                      "drawn_mm": 270.0,
                      "radius_mm": 43.0, "angle_deg": None, "coverage": 0.0,
                      "offset_mm": None, "centre_mm": [50.0, 60.0]}],
    }]}]}]
}  # fmt: skip
MARKS: dict[str, Any] = {
    "scripts": [{"sheet": "S0001", "questions": [{
        "question": "1",
        "marks": [{"decision": "awarded", "reason": "a"}, {"decision": "withheld", "reason": "b"}],
        "elements": [{"element": "c", "found": True, "worst_mm": 3.1, "mean_mm": 2.9,
                      "radius_mm": 43.04, "angle_deg": None, "coverage": 0.0,
                      "offset_mm": None, "centre_mm": [50.03, 60.04], "uncertainty_mm": 0.04}],
        "faults": [{"fault": "arc-radius"}],
    }]}]
}  # fmt: skip


def changed(first: str, second: str) -> dict[str, Any]:
    marks = copy.deepcopy(MARKS)
    decisions = marks["scripts"][0]["questions"][0]["marks"]
    decisions[0]["decision"], decisions[1]["decision"] = first, second
    return marks


def test_full_agreement():
    got = compare(MARKS, TRUTH)
    assert (got.decisions, got.handed, got.wrong, got.borderline_wrong) == (2, 0, [], [])
    assert got.faults_found_share == 1.0


def test_errors_are_measured_minus_true():
    got = compare(MARKS, TRUTH)
    assert got.rms("radius_mm") == pytest.approx(0.04)
    assert got.rms("centre_mm") == pytest.approx(0.05)
    assert got.rms("worst_mm") == pytest.approx(0.1)
    assert got.covered() == 0.0  # 0.1 mm off with 0.04 stated


@pytest.mark.parametrize(
    ("decisions", "wrong", "borderline", "handed"),
    [
        (("withheld", "withheld"), 1, 0, 0),
        (("awarded", "awarded"), 0, 1, 0),
        (("teacher", "withheld"), 0, 0, 1),
        (("teacher", "teacher"), 0, 0, 2),
    ],
)
def test_disagreements(decisions: tuple[str, str], wrong: int, borderline: int, handed: int):
    got = compare(changed(*decisions), TRUTH)
    assert (len(got.wrong), len(got.borderline_wrong), got.handed) == (wrong, borderline, handed)
    assert got.answers_handed == (1 if handed else 0)
    assert ("WRONG" in got.summary()) == bool(wrong)


def test_an_answer_that_is_missing_is_told():
    got = compare({"scripts": []}, TRUTH)
    assert got.missing == ["S0001 q1"]


def test_an_invented_fault_is_counted():
    truth = copy.deepcopy(TRUTH)
    truth["sheets"][0]["pages"][0]["questions"][0]["faults"] = []
    got = compare(MARKS, truth)
    assert got.invented_share == 1.0
