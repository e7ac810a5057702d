"""The class table from marks.json: a row for each script, the pages that were not read."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from millimark.cli.console import new_table, results
from millimark.cli.trouble import printable

Marks = dict[str, Any]


def read_marks(folder: Path) -> Marks:
    """marks.json of ``folder`` as plain data."""
    found: Marks = json.loads((folder / "marks.json").read_text(encoding="utf-8"))
    return found


def print_marks(marks: Marks) -> None:
    """Marks by question and script, what waits for the teacher, the pages not read."""
    out = results()
    if marks["scripts"]:
        out.print(_class_table(marks["scripts"]))
    waiting = sum(q["for_teacher"] for s in marks["scripts"] for q in s["questions"])
    if waiting:
        out.print(
            "* the teacher decides: a mark too close to its limit "
            f"({waiting} answer{'s' if waiting > 1 else ''})."
        )
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


def _mark_text(question: Marks) -> str:
    return f"{question['awarded']}/{question['out_of']}{'*' if question['for_teacher'] else ''}"


def _mean_of(scripts: list[Marks], number: str) -> str:
    marks = [q["awarded"] for s in scripts for q in s["questions"] if q["question"] == number]
    return f"{sum(marks) / len(marks):.1f}" if marks else ""


def _mean_total(scripts: list[Marks]) -> str:
    return f"{sum(s['total'] for s in scripts) / len(scripts):.1f}"
