"""Scripts as marking's own values again, with the marks as people left them, and the class
grid. What is written for the class (annotated.pdf, class-sheet.pdf …) is made from these.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from sqlalchemy import select
from sqlalchemy.orm import Session, joinedload, selectinload, undefer

from millimark.errors import RecordsError
from millimark.marking.findings import (
    Course,
    ElementFinding,
    EvidenceFinding,
    Fault,
    PageLine,
    QuestionMarks,
    RegionFinding,
)
from millimark.marking.findings import Mark as MarkedMark
from millimark.marking.findings import Script as MarkedScript
from millimark.marking.overlay import notes_again
from millimark.marking.page import MarkedPage
from millimark.marking.pictures import page_of as page_map
from millimark.marking.pictures import place_of
from millimark.marking.scripts import scripts_of
from millimark.paper.question import Paper
from millimark.paper.reading import paper_from_data
from millimark.plane.point import Point
from millimark.records.mark_tables import Mark
from millimark.records.models import Answer, Page, Script, Upload
from millimark.records.printings import layout_of, printing_of
from millimark.scan.reading import Source
from millimark.sheet.layout import Layout

Key = tuple[str, int]


@dataclass(frozen=True, eq=False)
class Marked:
    """A print run's scripts as ``marking`` gives them: what its writers take.

    ``kept`` is the page that counts by (sheet, page); ``pages`` a line for every page.
    """

    paper: Paper
    layout: Layout
    scripts: tuple[MarkedScript, ...]
    kept: dict[Key, MarkedPage]
    pages: tuple[PageLine, ...]

    @property
    def numbers(self) -> list[str]:
        """The paper's question numbers in order."""
        return [q.number for q in self.paper.questions]


def script_of(session: Session, script_id: int) -> Script:
    """The script; RecordsError if there is none of this id."""
    found = session.get(Script, script_id)
    if found is None:
        raise RecordsError(f"There is no script {script_id}.", "It may have been deleted.")
    return found


def page_of(session: Session, page_id: int) -> Page:
    """A page with its picture, overlay, notes and questions; RecordsError if there is none."""
    found = session.get(Page, page_id, options=_CONTENT)
    if found is None:
        raise RecordsError(f"There is no page {page_id}.", "Its script may have been deleted.")
    return found


def marked(session: Session, printing_id: int, pictures: bool = True) -> Marked:
    """All scripts of a print run with the marks as they stand now; without ``pictures`` the
    pages are empty and only numbers can be written."""
    layout = layout_of(session, printing_id)
    paper = paper_from_data(layout.paper)
    labels = _labels(session, printing_id)
    decided = _decided(session, printing_id)
    load = _CONTENT if pictures else (undefer(Page.questions),)
    rows = session.execute(
        select(Page, Upload)
        .join(Upload)
        .where(Upload.printing_id == printing_id)
        .order_by(Page.upload_id, Page.source_page)
        .options(*load)
    ).all()
    kept: dict[Key, MarkedPage] = {}
    lines = []
    for page, upload in rows:
        line = _line(page, upload)
        lines.append(line)
        if page.state == "read" and page.sheet is not None and page.page is not None:
            found = _marked_page(page, line, decided, pictures)
            if pictures and _touched(page, decided):
                found = replace(found, notes=_notes(found, layout))
            kept[page.sheet, page.page] = found
    scripts = tuple(
        MarkedScript(s.sheet, labels.get(s.sheet, s.pupil), s.questions)
        for s in scripts_of(layout, paper, kept)
    )
    return Marked(paper, layout, scripts, kept, tuple(lines))


def _touched(page: Page, decided: dict[tuple[int, str], list[Mark]]) -> bool:
    """Whether a person has changed, or commented on, a mark of the page."""
    return any(
        mark.version > 1
        for q in page.questions
        for mark in decided.get((page.id, q["question"]), [])
    )


def _notes(found: MarkedPage, layout: Layout) -> str:
    """The page's notes with what people decided; as they were where the sheet map lost the page."""
    page = page_map(layout, found.sheet, found.page)
    if page is None or not found.notes:
        return found.notes
    places = [
        (place, q) for q in found.questions if (place := place_of(page, q.question)) is not None
    ]
    return notes_again(found.notes, (0.0, 0.0, page.width_mm, page.height_mm), places)


def measured(session: Session, printing_id: int) -> list[tuple[Page, Upload, MarkedPage]]:
    """Every page of a print run that was read (or read twice), as measured, no pictures."""
    rows = session.execute(
        select(Page, Upload)
        .join(Upload)
        .where(Upload.printing_id == printing_id, Page.state != "unread")
        .order_by(Page.id)
        .options(undefer(Page.questions))
    ).all()
    return [
        (page, upload, _marked_page(page, _line(page, upload), {}, pictures=False))
        for page, upload in rows
    ]


_CONTENT = (
    undefer(Page.questions),
    undefer(Page.picture),
    undefer(Page.overlay),
    undefer(Page.notes),
)


def _labels(session: Session, printing_id: int) -> dict[str, str | None]:
    """By sheet: the pupil's name or number as it is now, None where there is no pupil."""
    scripts = session.scalars(
        select(Script).where(Script.printing_id == printing_id).options(joinedload(Script.pupil))
    )
    return {s.sheet: s.pupil.label if s.pupil else None for s in scripts}


def _decided(session: Session, printing_id: int) -> dict[tuple[int, str], list[Mark]]:
    """By (page id, question): the marks in order."""
    answers = session.scalars(
        select(Answer)
        .join(Script)
        .where(Script.printing_id == printing_id)
        .options(selectinload(Answer.marks).selectinload(Mark.changes))
    )
    return {(a.page_id, a.question): list(a.marks) for a in answers}


def _line(page: Page, upload: Upload) -> PageLine:
    return PageLine(
        Source(upload.name, page.source_page),
        "read" if page.state == "read" else "unread",
        page.reason,
        page.sheet,
        page.page,
        page.print_scale,
        page.print_scale_source,  # type: ignore[arg-type] # written from a ScaleSource
        page.registration_mm,
    )


def _marked_page(
    page: Page, line: PageLine, decided: dict[tuple[int, str], list[Mark]], pictures: bool
) -> MarkedPage:
    return MarkedPage(
        line,
        page.sheet or "",
        page.page or 0,
        tuple(
            _question(q, page, decided.get((page.id, q["question"]), [])) for q in page.questions
        ),
        (page.picture or b"") if pictures else b"",
        (page.overlay or "") if pictures else "",
        (page.notes or "") if pictures else "",
        Point(page.spot_x or 0.0, page.spot_y or 0.0),
    )


def _question(data: dict[str, Any], page: Page, marks: Sequence[Mark]) -> QuestionMarks:
    scale = page.print_scale or 1.0
    return QuestionMarks(
        data["question"],
        tuple(_mark(m) for m in marks),
        tuple(_element(e, scale) for e in data["elements"]),
        tuple(
            EvidenceFinding(
                e["evidence"],
                e.get("verdict", "yes" if e["found"] else "no"),
                e.get("reason", ""),
                tuple(r for r in e.get("radii_mm", ()) if r is not None),
            )
            for e in data["evidence"]
        ),
        _region(data["region"]),
        tuple(
            Fault(f["fault"], f["text"], f["size_mm"], f.get("confidence"), f.get("element"))
            for f in data["faults"]
        ),
        page.page,
    )


def _mark(mark: Mark) -> MarkedMark:
    """The mark with who looked at it last and what they wrote."""
    last = mark.changes[-1] if mark.changes else None
    return MarkedMark(
        mark.code,
        mark.criterion,
        mark.decision,
        mark.reason,
        mark.follow_through,
        person=last.who if last else "",
        said=last.why if last else "",
        overruled=mark.decision != mark.machine,
    )


def _element(data: dict[str, Any], scale: float) -> ElementFinding:
    """An element as far as the records keep it: of its course only the mean offset. Its places are
    kept in page mm, and found in paper mm: ``scale`` of them to one."""
    course = data.get("course_mm")
    kept = () if course is None else (Course(np.zeros(1), np.array([course]), 0.0),)
    return ElementFinding(
        data["element"],
        data["kind"],
        data["found"],
        worst_mm=data["worst_mm"],
        worst_needed_mm=data.get("worst_needed_mm"),
        mean_mm=data["mean_mm"],
        uncertainty_mm=data["uncertainty_mm"],
        coverage=data["coverage"] or 0.0,
        offset_mm=data["offset_mm"],
        angle_deg=data["angle_deg"],
        offset_sigma_mm=data.get("offset_sigma_mm"),
        centre=_on_paper(data["centre_mm"], scale),
        needle=_on_paper(data.get("needle_mm"), scale),
        twice_mm=data.get("drawn_twice_mm") or 0.0,
        radius_mm=data["radius_mm"],
        radius_asked_mm=data.get("asked_mm"),
        course=kept,
        radius_sigma_mm=data.get("radius_sigma_mm"),
        roughness_mm=data.get("roughness_mm"),
    )


def _on_paper(at: Sequence[float] | None, scale: float) -> Point | None:
    return None if at is None else Point(at[0] * scale, at[1] * scale)


def _region(data: dict[str, Any]) -> RegionFinding:
    return RegionFinding(
        data["asked"],
        data["shaded"],
        overlap=data["overlap"] or 0.0,
        inside=data.get("inside") or 0.0,
        filled=data.get("filled") or 0.0,
        right_side=data["right_side"],
    )


# --- the class grid -------------------------------------------------------------------
@dataclass(frozen=True)
class Cell:
    """One answer: marks awarded, possible, and waiting for a person; ``mark_id`` is the one to look
    at first: one that waits, else the first (None where the answer has none)."""

    awarded: int
    out_of: int
    waiting: int
    mark_id: int | None = None


@dataclass(frozen=True)
class Row:
    """One sheet: whose it is (None: nobody's), its cells by question; a question that was not
    among the scans has none."""

    script_id: int
    sheet: str
    pupil_id: int | None
    pupil: str | None
    cells: dict[str, Cell]

    @property
    def awarded(self) -> int:
        """Marks awarded on the sheet."""
        return sum(c.awarded for c in self.cells.values())

    @property
    def waiting(self) -> int:
        """Marks of the sheet that wait for a person."""
        return sum(c.waiting for c in self.cells.values())


@dataclass(frozen=True)
class Grid:
    """The class at a glance: questions in the paper's order with what each is worth, and a row
    for every sheet of the print run, scanned or not."""

    title: str
    questions: tuple[str, ...]
    out_of: dict[str, int]
    rows: tuple[Row, ...]


def grid(session: Session, printing_id: int) -> Grid:
    """The class grid of a print run."""
    printing = printing_of(session, printing_id)
    paper = paper_from_data(layout_of(session, printing_id).paper)
    scripts = session.scalars(
        select(Script)
        .where(Script.printing_id == printing_id)
        .order_by(Script.sheet)
        .options(joinedload(Script.pupil), selectinload(Script.answers).selectinload(Answer.marks))
    ).all()
    rows = tuple(
        Row(
            s.id,
            s.sheet,
            s.pupil_id,
            s.pupil.label if s.pupil else None,
            {a.question: _cell(a.marks) for a in s.answers},
        )
        for s in scripts
    )
    worth = {q.number: q.marks for q in paper.questions}
    return Grid(printing.title, tuple(worth), worth, rows)


def _cell(marks: Sequence[Mark]) -> Cell:
    return Cell(
        sum(m.decision == "awarded" for m in marks),
        len(marks),
        sum(m.decision == "teacher" for m in marks),
        next((m.id for m in sorted(marks, key=lambda m: m.decision != "teacher")), None),
    )
