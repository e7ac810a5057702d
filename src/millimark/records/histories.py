"""A pupil over time: every script of theirs with its marks, faults, and what people changed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session, selectinload

from millimark.paper.reading import paper_from_data
from millimark.records.classes import pupil_of
from millimark.records.mark_tables import Mark
from millimark.records.models import Answer, Script
from millimark.records.printings import layout_of
from millimark.records.scripts import page_of


@dataclass(frozen=True)
class Sat:
    """One script of a pupil, scanned or not: marks awarded, possible on the whole paper, waiting;
    ``faults`` (question, likely cause) of answers short of a mark; ``changed`` marks that a
    person changed or commented on."""

    script_id: int
    printing_id: int
    title: str
    printed_at: datetime
    sheet: str
    scanned: bool
    awarded: int
    out_of: int
    waiting: int
    first_mark: int | None
    faults: tuple[tuple[str, str], ...]
    changed: int

    @property
    def percent(self) -> int:
        """Marks awarded in a hundred; 0 on a paper of no marks."""
        return round(100 * self.awarded / self.out_of) if self.out_of else 0


def history(session: Session, pupil_id: int) -> tuple[Sat, ...]:
    """Every script of a pupil, the newest first; empty if they have none. RecordsError if there is
    no such pupil."""
    pupil_of(session, pupil_id)
    found = session.scalars(
        select(Script)
        .where(Script.pupil_id == pupil_id)
        .order_by(Script.printing_id.desc())
        .options(selectinload(Script.answers).selectinload(Answer.marks))
    )
    return tuple(_sat(session, script) for script in found)


def _sat(session: Session, script: Script) -> Sat:
    marks = [mark for answer in script.answers for mark in answer.marks]
    paper = paper_from_data(layout_of(session, script.printing_id).paper)
    return Sat(
        script.id,
        script.printing_id,
        script.printing.title,
        script.printing.made_at,
        script.sheet,
        bool(script.answers),
        sum(m.decision == "awarded" for m in marks),
        sum(q.marks for q in paper.questions),
        sum(m.decision == "teacher" for m in marks),
        _first(marks),
        _faults(session, script),
        sum(m.version > 1 for m in marks),
    )


def _first(marks: list[Mark]) -> int | None:
    """The mark to look at first: one that waits, else the first."""
    return next((m.id for m in sorted(marks, key=lambda m: m.decision != "teacher")), None)


def _faults(session: Session, script: Script) -> tuple[tuple[str, str], ...]:
    pages = {answer.page_id for answer in script.answers}
    found = {
        q["question"]: [f["text"] for f in q["faults"]]
        for page_id in pages
        for q in page_of(session, page_id).questions
    }
    short = [a for a in script.answers if any(m.decision != "awarded" for m in a.marks)]
    return tuple((a.question, text) for a in short for text in found.get(a.question, []))
