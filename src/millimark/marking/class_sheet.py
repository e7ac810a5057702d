"""class-sheet.pdf: what the class knows, where it errs, and what to teach again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from millimark.drawing import look
from millimark.marking.findings import Script
from millimark.marking.page import MarkedPage
from millimark.marking.pictures import answer_picture, fitted, page_of, place_of
from millimark.marking.summary import OfFault, OfQuestion, by_fault, by_question, to_teach_again
from millimark.paper.question import Paper
from millimark.paper.typesetting import typeset
from millimark.sheet.layout import Layout

_MOST_FAULTS = 6
_PICTURE_MM = (66.0, 50.0)
"""The largest example (width, height)."""
_COLOURS = {
    "ink": look.INK, "plum": look.PLUM, "slate": look.SLATE, "rule": look.RULE,
}  # fmt: skip


def write_class_sheet(
    paper: Paper,
    scripts: Sequence[Script],
    kept: Mapping[tuple[str, int], MarkedPage],
    layout: Layout,
    path: Path,
) -> None:
    """Write the class sheet; without scripts it says that there is nothing to sum up."""
    files: dict[str, str] = {}
    faults = [_fault(f, kept, layout, files) for f in by_fault(scripts)[:_MOST_FAULTS]]
    questions = by_question(scripts)
    data = {
        "title": f"{paper.title}: the class",
        "line": _line(scripts),
        "colours": _COLOURS,
        "questions": [
            {
                "number": q.question,
                "marks": f"{q.awarded} of {q.out_of}",
                "share": q.share,
                "percent": f"{100 * q.share:.0f} %",
                "waiting": str(q.for_teacher) if q.for_teacher else "",
            }
            for q in questions
        ],
        "again": [
            {"question": _weak(q), "asked": _asked(paper, q.question), "most": _most(scripts, q)}
            for q in to_teach_again(scripts)
        ],
        "faults": faults,
        "waiting": any(s.for_teacher for s in scripts),
        "columns": ["Sheet", "Pupil", *(f"Q{q.question}" for q in questions), "Total"],
        "rows": [_row(s) for s in scripts],
    }
    path.write_bytes(typeset("class-sheet", data, files, "millimark.marking"))


def _line(scripts: Sequence[Script]) -> str:
    if not scripts:
        return "No script could be marked."
    total, out_of = sum(s.total for s in scripts), sum(s.out_of for s in scripts)
    waiting = sum(s.for_teacher for s in scripts)
    told = f"{len(scripts)} scripts, {total} of {out_of} marks awarded"
    return told + (f", {waiting} for the teacher." if waiting else ".")


def _weak(q: OfQuestion) -> str:
    return f"Question {q.question} ({100 * q.share:.0f} % of the marks)"


def _most(scripts: Sequence[Script], of: OfQuestion) -> str:
    """The commonest faults of one question, at most two; "" where none stood out."""
    only = [
        replace(s, questions=tuple(q for q in s.questions if q.question == of.question))
        for s in scripts
    ]
    told = [f"{f.title[:1].lower()}{f.title[1:]} ({f.answers})" for f in by_fault(only)[:2]]
    return ", ".join(told)


def _asked(paper: Paper, number: str) -> str:
    return next((" ".join(q.ask) for q in paper.questions if q.number == number), "")


def _row(s: Script) -> list[str]:
    marks = [f"{q.awarded}{'*' if q.for_teacher else ''}" for q in s.questions]
    return [s.sheet, s.pupil or "", *marks, f"{s.total} of {s.out_of}"]


def _fault(
    f: OfFault,
    kept: Mapping[tuple[str, int], MarkedPage],
    layout: Layout,
    files: dict[str, str],
) -> dict[str, Any]:
    """One fault with its clearest example, cut out of its page: nothing else of it is there."""
    sheet, q, fault = f.example
    told: dict[str, Any] = {
        "title": f.title,
        "count": "1 answer" if f.answers == 1 else f"{f.answers} answers",
        "text": f"For example, question {q.question}: {fault.text}",
        "advice": f.advice,
        "picture": "",
        "alt": f"An example of the fault: {fault.text}",
    }
    marked = kept.get((sheet, q.page or 0))
    page = page_of(layout, sheet, q.page or 0)
    place = None if page is None else place_of(page, q.question)
    if marked is None or page is None or place is None:
        return told
    picture, box = answer_picture(marked, page, place)
    name = f"fault-{f.fault}.svg"
    files[name] = picture
    width, height = fitted(box, _PICTURE_MM)
    return told | {"picture": name, "width": width, "height": height}
