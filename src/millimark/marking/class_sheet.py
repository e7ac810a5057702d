"""class-sheet.pdf: what the class knows, where it errs, and what to teach again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from millimark.drawing import look
from millimark.marking.annotate import photograph
from millimark.marking.findings import Script
from millimark.marking.page import MarkedPage
from millimark.marking.summary import OfFault, by_fault, by_question, to_teach_again
from millimark.paper.question import Paper
from millimark.paper.typesetting import typeset
from millimark.sheet.layout import Layout

_MOST_FAULTS = 6
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
            f"Question {q.question} ({q.share:.0%} of the marks): {_asked(paper, q.question)}"
            for q in to_teach_again(scripts)
        ],
        "faults": faults,
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
) -> dict[str, str]:
    sheet, q, fault = f.example
    picture = ""
    marked = kept.get((sheet, q.page or 0))
    box = _frame(layout, sheet, q.question)
    if marked is not None and box is not None:
        picture = f"fault-{f.fault}.svg"
        files[picture] = _cut_out(marked, box, layout)
    answers = "1 answer" if f.answers == 1 else f"{f.answers} answers"
    return {
        "title": f.title,
        "count": answers,
        "text": f"For example, question {q.question}: {fault.text}",
        "advice": f.advice,
        "picture": picture,
        "alt": f"An example of the fault: {fault.text}",
    }


def _frame(layout: Layout, sheet: str, question: str) -> tuple[float, float, float, float] | None:
    for s in layout.sheets:
        if s.sheet == sheet:
            for page in s.pages:
                for place in page.questions:
                    if place.question == question:
                        return place.frame_mm
    return None


def _cut_out(marked: MarkedPage, box: tuple[float, float, float, float], layout: Layout) -> str:
    """One frame of an annotated page, without the pupil's name."""
    page = next(
        p
        for s in layout.sheets
        if s.sheet == marked.sheet
        for p in s.pages
        if p.page == marked.page
    )
    whole = (0.0, 0.0, page.width_mm, page.height_mm)
    x0, y0, x1, y1 = box
    under, over = photograph(marked.picture, whole), marked.overlay
    inside = "".join(part[part.index(">") + 1 : part.rindex("</svg>")] for part in (under, over))
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f'width="{x1 - x0}mm" height="{y1 - y0}mm" viewBox="{x0} {y0} {x1 - x0} {y1 - y0}">'
        f"{inside}</svg>"
    )
