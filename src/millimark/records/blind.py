"""Blind marking: people decide alone, then their decisions are compared.

None sees the machine's decision or another's. Agreement beyond chance is Cohen's kappa
(Educational and Psychological Measurement 20, 1960): (po - pe) / (1 - pe).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from sqlalchemy import func, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session, selectinload

from millimark.errors import RecordsError
from millimark.records import marks
from millimark.records.base import now
from millimark.records.mark_tables import BlindSheet, Mark, SecondOpinion
from millimark.records.marks import Changed, Conflict, check_marker
from millimark.records.models import Answer, Script

Opinion = Literal["awarded", "withheld"]


@dataclass(frozen=True)
class BlindMark:
    """A mark as a blind marker sees it: what it is for, and where to look; no decision.

    ``mine`` is what this marker decided already, or None; ``my_why`` their reason.
    """

    mark_id: int
    script_id: int
    sheet: str
    question: str
    code: str
    criterion: str
    page_id: int
    mine: Opinion | None
    my_why: str = ""


@dataclass(frozen=True)
class Differing:
    """A mark on which two differ, with their reasons and the mark as it stands. ``settled``: it was
    changed, or kept with a comment, after both had decided."""

    mark: Mark
    first: Opinion
    first_why: str
    second: Opinion
    second_why: str
    settled: bool


@dataclass(frozen=True)
class Comparison:
    """Two over the marks that both decided.

    ``kappa`` is None where chance alone would agree fully (both gave one decision only).
    ``with_machine``: of the marks that the machine decided, how many each of the two confirmed.
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


def to_decide(session: Session, round_id: int, marker: str) -> list[BlindMark]:
    """Every mark of a round for a blind marker: question by question, sheet by sheet."""
    who = check_marker(marker)
    rows = session.execute(
        select(Mark, Answer, Script, SecondOpinion)
        .join(Mark.answer)
        .join(Answer.script)
        .join(BlindSheet, BlindSheet.script_id == Script.id)
        .outerjoin(
            SecondOpinion, (SecondOpinion.mark_id == Mark.id) & (SecondOpinion.marker == who)
        )
        .where(BlindSheet.round_id == round_id)
        .order_by(Answer.position, Script.sheet, Mark.position)
    )
    return [
        BlindMark(
            mark.id,
            script.id,
            script.sheet,
            answer.question,
            mark.code,
            mark.criterion,
            answer.page_id,
            opinion.decision if opinion is not None else None,
            opinion.why if opinion is not None else "",
        )
        for mark, answer, script, opinion in rows
    ]


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
    mark = marks.mark_of(session, mark_id)
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
    found.stood, found.seen = mark.decision, mark.version
    session.flush()
    return found


def markers(session: Session, round_id: int) -> dict[str, int]:
    """Who decided marks of a round blind, by name, and how many marks each."""
    rows = session.execute(
        select(SecondOpinion.marker, func.count())
        .join(Mark)
        .join(Answer)
        .join(BlindSheet, BlindSheet.script_id == Answer.script_id)
        .where(BlindSheet.round_id == round_id)
        .group_by(SecondOpinion.marker)
        .order_by(SecondOpinion.marker)
    )
    return {str(marker): int(marks_of) for marker, marks_of in rows}


def compare(session: Session, round_id: int, first: str | None, second: str) -> Comparison:
    """Decisions on the marks of a round that both decided. ``first`` None: the marks as they stood
    when ``second`` decided; those that still waited for a person then are left out."""
    others = _opinions(session, round_id, check_marker(second))
    ones = _stood(others) if first is None else _given(session, round_id, check_marker(first))
    both = [(mark, ones[mark.id], _side(o)) for mark, o in others if mark.id in ones]
    pairs = [(a.decision, b.decision) for _, a, b in both]
    by_machine = [(m, a, b) for m, a, b in both if m.machine != "teacher"]
    return Comparison(
        both=len(pairs),
        agreed=sum(a == b for a, b in pairs),
        kappa=kappa(pairs),
        differing=tuple(
            Differing(m, a.decision, a.why, b.decision, b.why, m.version > max(a.seen, b.seen))
            for m, a, b in both
            if a.decision != b.decision
        ),
        machine_decided=len(by_machine),
        with_machine=(
            sum(m.machine == a.decision for m, a, _ in by_machine),
            sum(m.machine == b.decision for m, _, b in by_machine),
        ),
    )


@dataclass(frozen=True)
class _Side:
    """One of the two over one mark; ``seen`` the mark's version at that moment."""

    decision: Opinion
    why: str
    seen: int


def _side(opinion: SecondOpinion) -> _Side:
    return _Side(opinion.decision, opinion.why, opinion.seen or 1)


def _given(session: Session, round_id: int, marker: str) -> dict[int, _Side]:
    return {mark.id: _side(o) for mark, o in _opinions(session, round_id, marker)}


def _stood(opinions: Sequence[tuple[Mark, SecondOpinion]]) -> dict[int, _Side]:
    """The marks as they stood when these opinions were given, with the reason of that time."""
    found = {}
    for mark, opinion in opinions:
        seen = opinion.seen or 1
        stood = opinion.stood or mark.machine
        if stood == "teacher":
            continue
        said = [c for c in mark.changes if c.version <= seen and c.why]
        why = f"{said[-1].why} ({said[-1].who})" if said else mark.reason
        found[mark.id] = _Side(stood, why, seen)
    return found


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


def _opinions(session: Session, round_id: int, marker: str) -> Sequence[tuple[Mark, SecondOpinion]]:
    rows = session.execute(
        select(Mark, SecondOpinion)
        .join(SecondOpinion, SecondOpinion.mark_id == Mark.id)
        .join(Mark.answer)
        .join(Answer.script)
        .join(BlindSheet, BlindSheet.script_id == Script.id)
        .where(BlindSheet.round_id == round_id, SecondOpinion.marker == marker)
        .order_by(Answer.position, Script.sheet, Mark.position)
        .options(selectinload(Mark.changes))
    )
    return [(mark, opinion) for mark, opinion in rows]
