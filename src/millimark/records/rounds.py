"""Rounds of second marking: all sheets of a print run, or some drawn at random."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import func, select
from sqlalchemy.orm import Session, selectinload

from millimark.errors import RecordsError
from millimark.records import blind
from millimark.records.mark_tables import BlindRound, BlindSheet, Mark
from millimark.records.marks import check_marker
from millimark.records.models import Answer, Script
from millimark.records.printings import printing_of


@dataclass(frozen=True)
class Standing:
    """A round and how far it is: its marks, and how many of them each blind marker decided."""

    round: BlindRound
    sheets: int
    marks: int
    markers: dict[str, int]


def begin(session: Session, printing_id: int, who: str, most: int | None = None) -> BlindRound:
    """Begin a round: every sheet that is marked, or ``most`` of them drawn at random.

    RecordsError if none is marked yet or ``most`` is less than 1.
    """
    printing_of(session, printing_id)
    found = list(
        session.scalars(
            select(Script.id)
            .where(Script.printing_id == printing_id, Script.answers.any())
            .order_by(Script.sheet)
        )
    )
    if not found:
        raise RecordsError("No sheet of this print run is marked yet.", "Send the scans first.")
    if most is not None and most < 1:
        raise RecordsError(f"{most} sheets cannot be marked again.", "Choose at least one.")
    if most is not None and most < len(found):
        found = sorted(random.SystemRandom().sample(found, most))
    made = BlindRound(printing_id=printing_id, begun_by=check_marker(who))
    made.sheets = [BlindSheet(script_id=script) for script in found]
    session.add(made)
    session.flush()
    return made


def round_of(session: Session, printing_id: int, round_id: int) -> BlindRound:
    """The round; RecordsError if this print run has none of this id."""
    found = session.get(BlindRound, round_id)
    if found is None or found.printing_id != printing_id:
        raise RecordsError(
            f"There is no round {round_id} of second marking in this print run.", "Begin one."
        )
    return found


def rounds_of(session: Session, printing_id: int) -> Sequence[Standing]:
    """The rounds of a print run, the newest first."""
    found = session.scalars(
        select(BlindRound)
        .where(BlindRound.printing_id == printing_id)
        .order_by(BlindRound.id.desc())
        .options(selectinload(BlindRound.sheets))
    )
    return [standing(session, each) for each in found]


def standing(session: Session, round_: BlindRound) -> Standing:
    """How far a round is."""
    count = session.scalar(
        select(func.count(Mark.id))
        .join(Answer)
        .join(BlindSheet, BlindSheet.script_id == Answer.script_id)
        .where(BlindSheet.round_id == round_.id)
    )
    return Standing(round_, len(round_.sheets), count or 0, blind.markers(session, round_.id))
