"""for-teacher.pdf: every mark that waits, with its picture and its reason, question by question.

One question is judged over the whole class before the next begins, as markers are advised to:
so the pupil's other answers sway nobody. Names are left out for the same reason.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from millimark.drawing import look
from millimark.marking.findings import Mark, QuestionMarks, Script
from millimark.marking.page import MarkedPage
from millimark.marking.pictures import answer_picture, fitted, page_of, place_of
from millimark.paper.question import Paper
from millimark.paper.typesetting import typeset
from millimark.sheet.layout import Layout

_COLOURS = {
    "ink": look.INK, "plum": look.PLUM, "slate": look.SLATE, "rule": look.RULE,
    "steel": look.STEEL,
}  # fmt: skip
_PICTURE_MM = (92.0, 84.0)
"""The largest picture (width, height)."""


def write_for_teacher(
    paper: Paper,
    scripts: Sequence[Script],
    kept: Mapping[tuple[str, int], MarkedPage],
    layout: Layout,
    path: Path,
) -> bool:
    """Write the marks that wait; False, and no file, if none does."""
    files: dict[str, str] = {}
    questions = []
    for number in (q.number for q in paper.questions):
        answers = [(s.sheet, q) for s in scripts for q in s.questions if q.question == number]
        waiting = [(sheet, q) for sheet, q in answers if q.for_teacher]
        if waiting:
            rows = [_answer(sheet, q, kept, layout, files) for sheet, q in waiting]
            questions.append({"number": number, "answers": rows})
    if not questions:
        return False
    count = sum(s.for_teacher for s in scripts)
    data = {
        "title": f"{paper.title}: marks for the teacher",
        "line": f"{count} {'mark waits' if count == 1 else 'marks wait'} for you, "
        "question by question.",
        "colours": _COLOURS,
        "questions": questions,
    }
    path.write_bytes(typeset("for-teacher", data, files, "millimark.marking"))
    return True


def _answer(
    sheet: str,
    answer: QuestionMarks,
    kept: Mapping[tuple[str, int], MarkedPage],
    layout: Layout,
    files: dict[str, str],
) -> dict[str, Any]:
    """One answer with the marks that wait; without a picture where its page was not scanned."""
    row: dict[str, Any] = {
        "sheet": sheet,
        "marks": [_mark(m) for m in answer.marks if m.decision == "teacher"],
        "picture": "",
        "alt": f"Question {answer.question} of sheet {sheet} as scanned, with what was measured.",
    }
    marked = kept.get((sheet, answer.page or 0))
    page = None if marked is None else page_of(layout, sheet, marked.page)
    place = None if page is None else place_of(page, answer.question)
    if marked is None or page is None or place is None:
        return row
    name = f"{sheet}-{answer.question}.svg"
    files[name], box = answer_picture(marked, page, place)
    width, height = fitted(box, _PICTURE_MM)
    return row | {"picture": name, "width": width, "height": height}


def _mark(mark: Mark) -> dict[str, str]:
    return {"code": mark.code, "subject": mark.criterion, "why": mark.told}
