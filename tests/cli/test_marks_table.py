"""The class table on the screen: what was not scanned is no mark near its limit."""

from __future__ import annotations

import pytest

from millimark.cli.marks_table import print_marks


def question(number: str, awarded: int, decision: str, reason: str) -> dict:
    return {
        "question": number,
        "awarded": awarded,
        "out_of": 2,
        "for_teacher": decision == "teacher",
        "marks": [{"decision": decision, "reason": reason}] * 2,
    }


def test_a_page_that_was_not_scanned_is_named_and_counts_as_no_doubt(
    capsys: pytest.CaptureFixture[str],
) -> None:
    missing = "Page 2 of sheet S0001 was not among the scans."
    questions = [
        question("1", 2, "awarded", "Your line is right."),
        question("2", 1, "teacher", "Your line strays 1.9 mm; the limit is 2 mm."),
        question("3", 0, "teacher", missing),
        question("4", 0, "teacher", missing),
    ]
    script = {"sheet": "S0001", "pupil": None, "total": 3, "out_of": 8, "questions": questions}
    print_marks({"scripts": [script], "pages": []})
    shown = capsys.readouterr().out
    assert "(1 answer)" in shown
    assert shown.count(missing) == 1
    (row,) = (line for line in shown.splitlines() if "S0001 " in line and "3/8" in line)
    assert row.split()[1:5] == ["2/2", "1/2*", "-", "-"]
