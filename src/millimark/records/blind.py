"""Blind marking: two people decide alone, then their decisions are compared.

Neither sees the machine's decision or the other's. Agreement beyond chance is Cohen's kappa
(Educational and Psychological Measurement 20, 1960): (po - pe) / (1 - pe).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from sqlalchemy import select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from millimark.errors import RecordsError
from millimark.records import marks
from millimark.records.base import now
from millimark.records.mark_tables import Mark, SecondOpinion
from millimark.records.marks import Changed, Conflict, check_marker
from millimark.records.models import Answer, Page, Script

Opinion = Literal["awarded", "withheld"]


@dataclass(frozen=True)
class BlindMark:
    """A mark as a blind marker sees it: what it is for, and where to look; no decision.

    ``mine`` is what this marker decided already, or None.
    """

    mark_id: int
    script_id: int
    sheet: str
    question: str
    code: str
    criterion: str
    page_id: int
    mine: Opinion | None


@dataclass(frozen=True)
class Differing:
    """A mark on which two markers differ, with their reasons and the mark as it stands."""

    mark: Mark
    first: Opinion
    first_why: str
    second: Opinion
    second_why: str


@dataclass(frozen=True)
class Comparison:
    """Two markers over the marks that both decided.

    ``kappa`` is None where chance alone would agree fully (both gave one decision only).
    ``with_machine``: of the marks that the machine decided, how many each marker confirmed.
    """

    both: int
    agreed: int
    kappa: float | None
    differing: tuple[Differing, ...]
    machine_decided: int
    with_machine: tuple[int, int]

    @property
    def share(self) -> float:
        """Share of the marks on which the two agree; 0 where there are none."""
        return self.agreed / self.both if self.both else 0.0


def to_decide(session: Session, printing_id: int, marker: str) -> list[BlindMark]:
    """Every mark of a print run for a blind marker, undecided ones first, then question by
    question and sheet by sheet."""
    who = check_marker(marker)
    rows = session.execute(
        select(Mark, Answer, Script, SecondOpinion)
        .join(Mark.answer)
        .join(Answer.script)
        .outerjoin(
            SecondOpinion, (SecondOpinion.mark_id == Mark.id) & (SecondOpinion.marker == who)
        )
        .where(Script.printing_id == printing_id)
        .order_by(Answer.position, Script.sheet, Mark.position)
    )
    found = [
        BlindMark(
            mark.id,
            script.id,
            script.sheet,
            answer.question,
            mark.code,
            mark.criterion,
            answer.page_id,
            opinion.decision if opinion is not None else None,
        )
        for mark, answer, script, opinion in rows
    ]
    return sorted(found, key=lambda m: m.mine is not None)


def decide(
    session: Session, mark_id: int, marker: str, decision: Opinion, why: str = ""
) -> SecondOpinion:
    """What ``marker`` thinks of a mark; deciding again replaces their own opinion.

    The mark itself does not change: see `settle`.
    """
    if decision not in ("awarded", "withheld"):
        raise RecordsError(
            f"{decision!r} is no decision of a blind marker.", "Award the mark or withhold it."
        )
    if len(why) > marks.LONGEST_REASON:
        raise RecordsError(f"The reason is longer than {marks.LONGEST_REASON} characters.")
    who = check_marker(marker)
    marks.mark_of(session, mark_id)
    found = _opinion(session, mark_id, who)
    if found is None:
        found = SecondOpinion(mark_id=mark_id, marker=who, decision=decision, why=why.strip())
        try:
            with session.begin_nested():
                session.add(found)
        except IntegrityError:  # the same marker at two desks at once
            found = _opinion(session, mark_id, who)
            if found is None:
                raise
    found.decision, found.why, found.at = decision, why.strip(), now()
    session.flush()
    return found


def markers(session: Session, printing_id: int) -> Sequence[str]:
    """Who marked this print run blind, by name."""
    return session.scalars(
        select(SecondOpinion.marker)
        .join(Mark)
        .join(Answer)
        .join(Script)
        .where(Script.printing_id == printing_id)
        .distinct()
        .order_by(SecondOpinion.marker)
    ).all()


def compare(session: Session, printing_id: int, first: str, second: str) -> Comparison:
    """Two markers' decisions on the marks that both decided."""
    ones = _opinions(session, printing_id, check_marker(first))
    others = _opinions(session, printing_id, check_marker(second))
    both = [(ones[i], others[i]) for i in ones if i in others]
    pairs: list[tuple[Opinion, Opinion]] = [(a.decision, b.decision) for (_, a), (_, b) in both]
    by_machine = [(m, a, b) for (m, a), (_, b) in both if m.machine != "teacher"]
    return Comparison(
        both=len(pairs),
        agreed=sum(a == b for a, b in pairs),
        kappa=kappa(pairs),
        differing=tuple(
            Differing(mark, a.decision, a.why, b.decision, b.why)
            for (mark, a), (_, b) in both
            if a.decision != b.decision
        ),
        machine_decided=len(by_machine),
        with_machine=(
            sum(m.machine == a.decision for m, a, _ in by_machine),
            sum(m.machine == b.decision for m, _, b in by_machine),
        ),
    )


def kappa(pairs: Sequence[tuple[str, str]]) -> float | None:
    """Cohen's kappa of paired decisions; None without pairs or where chance agrees fully."""
    n = len(pairs)
    if n == 0:
        return None
    po = sum(a == b for a, b in pairs) / n
    one, other = Counter(a for a, _ in pairs), Counter(b for _, b in pairs)
    pe = sum(one[k] * other[k] for k in one) / n**2
    return None if pe == 1.0 else (po - pe) / (1.0 - pe)


def settle(
    session: Session, mark_id: int, to: Opinion, who: str, why: str, seen: int
) -> Changed | Conflict:
    """Put what was agreed after comparing into the mark itself, as a change like any other."""
    return marks.change(session, mark_id, to, who, why, seen)


def _opinion(session: Session, mark_id: int, marker: str) -> SecondOpinion | None:
    return session.scalar(
        select(SecondOpinion).where(
            SecondOpinion.mark_id == mark_id, SecondOpinion.marker == marker
        )
    )


def _opinions(
    session: Session, printing_id: int, marker: str
) -> dict[int, tuple[Mark, SecondOpinion]]:
    rows = session.execute(
        select(Mark, SecondOpinion)
        .join(SecondOpinion, SecondOpinion.mark_id == Mark.id)
        .join(Mark.answer)
        .join(Answer.script)
        .join(Page, Answer.page_id == Page.id)
        .where(Script.printing_id == printing_id, SecondOpinion.marker == marker)
        .order_by(Answer.position, Script.sheet, Mark.position)
    )
    return {mark.id: (mark, opinion) for mark, opinion in rows}
