"""Marks as people decide them: every change with who, when and why; the borderline first.

A change says which version of the mark it saw. Of two at once one wins, and the other gets a
`Conflict` with what stands now; nothing is overwritten unseen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import get_args

from sqlalchemy import Select, func, select, update
from sqlalchemy.orm import Session, contains_eager

from millimark.errors import RecordsError
from millimark.records.mark_tables import Decision, Mark, MarkChange
from millimark.records.models import Answer, Page, Script

LONGEST_REASON = 2_000


@dataclass(frozen=True)
class Changed:
    """A change that was made: the mark's new version and what it says now."""

    mark_id: int
    version: int
    decision: Decision


@dataclass(frozen=True)
class Conflict:
    """A change that was refused: the mark is at ``version`` by now, not at the one seen.

    ``who``, ``why`` and ``at`` are those of the change that came first.
    """

    mark_id: int
    version: int
    decision: Decision
    who: str
    why: str
    at: datetime | None


def mark_of(session: Session, mark_id: int) -> Mark:
    """The mark; RecordsError if there is none of this id."""
    found = session.get(Mark, mark_id)
    if found is None:
        raise RecordsError(f"There is no mark {mark_id}.", "Its script may have been deleted.")
    return found


def change(
    session: Session, mark_id: int, to: Decision, who: str, why: str, seen: int
) -> Changed | Conflict:
    """Decide a mark anew, or comment on it by giving the decision that it has.

    ``seen`` is the version that ``who`` looked at. RecordsError if ``who`` is empty, ``to`` is
    no decision, or a changed decision has no reason.
    """
    _check(to, who, why)
    before = mark_of(session, mark_id)
    session.refresh(before)
    if before.version != seen:
        return _conflict(session, before)
    if to != before.decision and not why.strip():
        raise RecordsError("A changed mark needs a reason.", "Say in a few words why.")
    moved = session.execute(
        update(Mark)
        .where(Mark.id == mark_id, Mark.version == seen)
        .values(decision=to, version=seen + 1)
        .execution_options(synchronize_session=False)
    )
    if not getattr(moved, "rowcount", 0):
        session.refresh(before)
        return _conflict(session, before)
    session.add(
        MarkChange(
            mark_id=mark_id,
            version=seen + 1,
            before=before.decision,
            after=to,
            who=who.strip(),
            why=why.strip(),
        )
    )
    session.flush()
    session.refresh(before)
    session.expire(before, ["changes"])
    return Changed(mark_id, seen + 1, to)


def history(session: Session, mark_id: int) -> Sequence[MarkChange]:
    """Every change of a mark, the first first. Before them stood ``mark.machine``."""
    mark_of(session, mark_id)
    return session.scalars(
        select(MarkChange).where(MarkChange.mark_id == mark_id).order_by(MarkChange.version)
    ).all()


def borderline(session: Session, printing_id: int) -> Sequence[Mark]:
    """Marks that wait for a person, question by question, then sheet by sheet, with
    ``mark.answer`` (and its script and page) loaded."""
    return session.scalars(_of_printing(printing_id).where(Mark.decision == "teacher")).all()


def review_queue(session: Session, printing_id: int) -> Sequence[Mark]:
    """Every mark of a print run: first those that wait for a person, then those that nobody
    has looked at, then the rest; within each question by question, sheet by sheet."""
    found = list(session.scalars(_of_printing(printing_id)))
    return sorted(found, key=lambda m: (m.decision != "teacher", m.version > 1))


def waiting(session: Session, printing_id: int) -> int:
    """How many marks wait for a person."""
    return (
        session.scalar(
            select(func.count(Mark.id))
            .join(Answer)
            .join(Script)
            .where(Script.printing_id == printing_id, Mark.decision == "teacher")
        )
        or 0
    )


def _of_printing(printing_id: int) -> Select[Mark]:
    return (
        select(Mark)
        .join(Mark.answer)
        .join(Answer.script)
        .join(Page, Answer.page_id == Page.id)
        .where(Script.printing_id == printing_id)
        .options(
            contains_eager(Mark.answer).contains_eager(Answer.script),
            contains_eager(Mark.answer).contains_eager(Answer.page),
        )
        .order_by(Answer.position, Script.sheet, Mark.position)
    )


def _check(to: str, who: str, why: str) -> None:
    if to not in get_args(Decision):
        raise RecordsError(f"{to!r} is no decision.", f"There are {', '.join(get_args(Decision))}.")
    check_marker(who)
    if len(why) > LONGEST_REASON:
        raise RecordsError(
            f"The reason has {len(why)} characters; at most {LONGEST_REASON} are kept.",
            "Shorten it.",
        )


def check_marker(who: str) -> str:
    """A marker's name without blanks around it; RecordsError if it is empty or too long."""
    plain = who.strip()
    if not plain or len(plain) > 120:
        raise RecordsError(
            f"'{plain[:30]}' cannot say who marks.", "Give a name or initials, at most 120 letters."
        )
    return plain


def _conflict(session: Session, mark: Mark) -> Conflict:
    last = session.scalar(
        select(MarkChange)
        .where(MarkChange.mark_id == mark.id)
        .order_by(MarkChange.version.desc())
        .limit(1)
    )
    return Conflict(
        mark.id,
        mark.version,
        mark.decision,
        last.who if last else "",
        last.why if last else "",
        last.at if last else None,
    )
