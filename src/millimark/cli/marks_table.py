"""The class table from marks.json: a row for each script, the pages that were not read."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from millimark.cli.console import new_table, results
from millimark.cli.trouble import printable
from millimark.marking.scripts import NOT_SCANNED

Marks = dict[str, Any]


def read_marks(folder: Path) -> Marks:
    """marks.json of ``folder`` as plain data."""
    found: Marks = json.loads((folder / "marks.json").read_text(encoding="utf-8"))
    return found


def print_marks(marks: Marks) -> None:
    """Marks by question and script, what waits for the teacher, the pages that were not scanned or
    not read."""
    out = results()
    if marks["scripts"]:
        out.print(_class_table(marks["scripts"]))
    questions = [q for s in marks["scripts"] for q in s["questions"]]
    waiting = sum(q["for_teacher"] and not _missing(q) for q in questions)
    if waiting:
        out.print(
            "* the teacher decides: a mark too close to its limit, or not to be seen for certain "
            f"({waiting} answer{'s' if waiting > 1 else ''})."
        )
    for reason in dict.fromkeys(_missing(q) for q in questions):
        if reason:
            out.print(printable(f"- not marked: {reason}"), soft_wrap=True)
    for page in marks["pages"]:
        if page["status"] == "unread":
            where = f"{page['source']}, page {page['source_page']}"
            out.print(printable(f"Not read: {where}: {page['reason']}"), soft_wrap=True)


def _class_table(scripts: list[Marks]) -> Any:
    numbers = list(dict.fromkeys(q["question"] for s in scripts for q in s["questions"]))
    headings = ["Sheet", "Pupil", *(f"Q{n}" for n in numbers), "Total"]
    table = new_table(*headings, right=tuple(range(2, len(headings))))
    for script in scripts:
        cells = {q["question"]: _mark_text(q) for q in script["questions"]}
        table.add_row(
            script["sheet"],
            script["pupil"] or "",
            *(cells.get(n, "") for n in numbers),
            f"{script['total']}/{script['out_of']}",
        )
    table.add_section()
    table.add_row("", "Mean", *(_mean_of(scripts, n) for n in numbers), _mean_total(scripts))
    return table


def _missing(question: Marks) -> str:
    """Why there is nothing to mark where the question's page was not scanned; else empty."""
    reasons = {m["reason"] for m in question["marks"]}
    alone = reasons.pop() if len(reasons) == 1 else ""
    return alone if NOT_SCANNED in alone else ""


def _mark_text(question: Marks) -> str:
    if _missing(question):
        return "-"
    return f"{question['awarded']}/{question['out_of']}{'*' if question['for_teacher'] else ''}"


def _mean_of(scripts: list[Marks], number: str) -> str:
    marks = [q["awarded"] for s in scripts for q in s["questions"] if q["question"] == number]
    return f"{sum(marks) / len(marks):.1f}" if marks else ""


def _mean_total(scripts: list[Marks]) -> str:
    return f"{sum(s['total'] for s in scripts) / len(scripts):.1f}"
