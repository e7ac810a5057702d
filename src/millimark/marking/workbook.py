"""marks.xlsx: one row for each pupil, one for each mark, one for each fault."""

from __future__ import annotations

import datetime
import io
import re
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from millimark.marking.findings import Script
from millimark.marking.results import safe_cell
from millimark.marking.summary import by_fault, by_question

_EPOCH = datetime.datetime(1980, 1, 1)  # the earliest date that a zip archive can hold


def write_workbook(title: str, scripts: Sequence[Script], path: Path) -> None:
    """Write the workbook; the same marks give the same bytes."""
    from openpyxl import Workbook

    book = Workbook()
    book.properties.title = title
    book.properties.creator = "Millimark"
    book.properties.created = book.properties.modified = _EPOCH
    sheet = book.active
    if sheet is not None:
        book.remove(sheet)
    _fill(book, "Marks", *_marks(scripts))
    _fill(book, "Reasons", *_reasons(scripts))
    _fill(book, "Questions", *_questions(scripts))
    _fill(book, "Faults", *_faults(scripts))
    buffer = io.BytesIO()
    book.save(buffer)
    path.write_bytes(_dateless(buffer.getvalue()))


Table = tuple[list[str], list[list[Any]]]


def _fill(book: Any, name: str, headings: list[str], rows: list[list[Any]]) -> None:
    """One worksheet: bold headings that stay in view, columns as wide as they need."""
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    sheet = book.create_sheet(name)
    sheet.append(headings)
    for row in rows:
        sheet.append([safe_cell(v) if isinstance(v, str) else v for v in row])
    for cell in sheet[1]:
        cell.font = Font(bold=True)
    sheet.freeze_panes = "A2"
    for k, heading in enumerate(headings, start=1):
        longest = max([len(heading), *(len(str(r[k - 1])) for r in rows)])
        sheet.column_dimensions[get_column_letter(k)].width = min(longest + 2, 90)


def _marks(scripts: Sequence[Script]) -> Table:
    numbers = list(dict.fromkeys(q.question for s in scripts for q in s.questions))
    rows: list[list[Any]] = []
    for s in scripts:
        awarded = {q.question: q.awarded for q in s.questions}
        marks = [awarded.get(n) for n in numbers]
        rows.append([s.sheet, s.pupil or "", *marks, s.total, s.out_of, s.for_teacher])
    headings = ["Sheet", "Pupil", *(f"Question {n}" for n in numbers)]
    return [*headings, "Total", "Out of", "For teacher"], rows


def _reasons(scripts: Sequence[Script]) -> Table:
    rows = [
        [s.sheet, s.pupil or "", q.question, m.code, m.criterion, m.decision, m.told]
        for s in scripts
        for q in s.questions
        for m in q.marks
    ]
    return ["Sheet", "Pupil", "Question", "Mark", "For", "Decision", "Reason"], rows


def _questions(scripts: Sequence[Script]) -> Table:
    rows = [
        [q.question, q.awarded, q.out_of, round(q.share, 3), q.for_teacher]
        for q in by_question(scripts)
    ]
    return ["Question", "Awarded", "Out of", "Share", "For teacher"], rows


def _faults(scripts: Sequence[Script]) -> Table:
    rows = [[f.title, f.answers, f.advice] for f in by_fault(scripts)]
    return ["Fault", "Answers", "To practise"], rows


# The library stamps the time of saving into the properties whatever it is told.
_STAMP = re.compile(rb"(<dcterms:modified[^>]*>)[^<]*(</dcterms:modified>)")
_UNSTAMPED = rb"\g<1>1980-01-01T00:00:00Z\g<2>"


def _dateless(data: bytes) -> bytes:
    """The same archive with every member dated alike."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            member = zipfile.ZipInfo(name, _EPOCH.timetuple()[:6])
            member.compress_type = zipfile.ZIP_DEFLATED
            new.writestr(member, _STAMP.sub(_UNSTAMPED, old.read(name)))
    return out.getvalue()
