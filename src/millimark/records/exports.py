"""Results of a print run as files: CSV, a workbook, OneRoster, and the PDFs for the class."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from millimark.errors import RecordsError
from millimark.marking import results
from millimark.records.models import Pupil
from millimark.records.oneroster import Scored, results_zip
from millimark.records.printings import printing_of
from millimark.records.scripts import Marked, grid, marked


def as_csv(session: Session, printing_id: int) -> bytes:
    """marks.csv with the marks as they stand: a row for each script."""
    found = marked(session, printing_id, pictures=False)
    return _written(lambda path: results.write_csv(found.scripts, found.numbers, path))


def as_json(session: Session, printing_id: int) -> bytes:
    """marks.json (see ``millimark schema marks``) with the marks as they stand."""
    found = marked(session, printing_id, pictures=False)
    scales = {key: page.line.print_scale or 1.0 for key, page in found.kept.items()}
    data = results.as_json(found.pages, found.scripts, scales)
    return _written(lambda path: results.write_json(data, path))


def as_workbook(session: Session, printing_id: int) -> bytes:
    """marks.xlsx: scripts, reasons, questions and faults."""
    from millimark.marking.workbook import write_workbook

    found = marked(session, printing_id, pictures=False)
    return _written(lambda path: write_workbook(found.paper.title, found.scripts, path))


def as_annotated(session: Session, printing_id: int) -> bytes:
    """annotated.pdf: every page that counts, with what was measured drawn over it."""
    from millimark.marking.annotate import write_annotated

    m = marked(session, printing_id)
    return _written(lambda path: write_annotated(m.paper, m.scripts, m.kept, m.layout, path))


def as_class_sheet(session: Session, printing_id: int) -> bytes:
    """class-sheet.pdf: what the class knows, where it errs, what to teach again."""
    from millimark.marking.class_sheet import write_class_sheet

    m = marked(session, printing_id)
    return _written(lambda path: write_class_sheet(m.paper, m.scripts, m.kept, m.layout, path))


def as_feedback(session: Session, printing_id: int, sheet: str | None = None) -> bytes:
    """feedback.pdf: a sheet for each pupil with their drawing, marks and what to practise; of one
    ``sheet`` alone if it is given. RecordsError if nothing of it was read."""
    from millimark.marking.feedback import feedback_sheets

    m = marked(session, printing_id)
    if sheet is not None:
        m = script_of(m, sheet)
    if not m.scripts:
        raise RecordsError("No script is marked here yet.", "Send the scans first.")
    return feedback_sheets(m.paper, m.scripts, m.kept, m.layout)


def as_oneroster(session: Session, printing_id: int, grading_period: str = "") -> bytes:
    """Results as a OneRoster 1.1 zip: one line item, a result for each pupil with a script.

    RecordsError if the class did not come from a roster, so that nobody there would be found.
    """
    printing = printing_of(session, printing_id)
    owner = printing.teaching_class
    if owner is None or owner.sourced_id is None:
        raise RecordsError(
            f"'{printing.title}' was not printed for a class that came from OneRoster.",
            "Export CSV or XLSX, or import the class from the roster before printing.",
        )
    table = grid(session, printing_id)
    pupils = session.scalars(select(Pupil).where(Pupil.class_id == owner.id))
    known = {pupil.id: pupil.sourced_id for pupil in pupils}
    scored = [
        Scored(student, row.awarded, row.waiting)
        for row in table.rows
        if row.cells
        and row.pupil_id is not None
        and (student := known.get(row.pupil_id)) is not None
    ]
    return results_zip(
        f"millimark-{printing.folder}",
        printing.title,
        owner.sourced_id,
        sum(table.out_of.values()),
        scored,
        printing.made_at.date(),
        grading_period,
    )


def script_of(found: Marked, sheet: str) -> Marked:
    """The same for one sheet alone: for a pupil's own feedback."""
    return Marked(
        found.paper,
        found.layout,
        tuple(s for s in found.scripts if s.sheet == sheet),
        {key: page for key, page in found.kept.items() if key[0] == sheet},
        tuple(line for line in found.pages if line.sheet == sheet),
    )


def _written(write: Callable[[Path], object]) -> bytes:
    """What ``write`` puts into a file of its own."""
    with tempfile.TemporaryDirectory(prefix="millimark-") as folder:
        path = Path(folder) / "made"
        write(path)
        return path.read_bytes()
