"""Classes and their pupils."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from millimark.errors import RecordsError
from millimark.records.class_lists import Listed, check_list, plain_name
from millimark.records.models import Pupil, TeachingClass

LONGEST_NAME = 120


@dataclass(frozen=True)
class Taken:
    """What taking a list into a class did; pupils missing from the list were left alone."""

    class_id: int
    added: int
    renamed: int
    missing: int


def all_classes(session: Session) -> Sequence[TeachingClass]:
    """Every class, by name."""
    return session.scalars(select(TeachingClass).order_by(TeachingClass.name)).all()


def class_of(session: Session, class_id: int) -> TeachingClass:
    """The class; RecordsError if there is none of this id."""
    found = session.get(TeachingClass, class_id)
    if found is None:
        raise RecordsError(f"There is no class {class_id}.", "It may have been deleted.")
    return found


def pupil_of(session: Session, pupil_id: int) -> Pupil:
    """The pupil; RecordsError if there is none of this id."""
    found = session.get(Pupil, pupil_id)
    if found is None:
        raise RecordsError(f"There is no pupil {pupil_id}.", "They may have been deleted.")
    return found


def make_class(
    session: Session, name: str, pupils: Sequence[Listed] = (), sourced_id: str | None = None
) -> TeachingClass:
    """A new class with these pupils in order; RecordsError if the name is taken or empty."""
    made = TeachingClass(name=_free_name(session, name), sourced_id=sourced_id)
    session.add(made)
    session.flush()
    if pupils:
        take_list(session, made.id, pupils)
    return made


def rename_class(session: Session, class_id: int, name: str) -> TeachingClass:
    """Give a class another name."""
    found = class_of(session, class_id)
    if name.strip() != found.name:
        found.name = _free_name(session, name)
    return found


def take_list(session: Session, class_id: int, pupils: Sequence[Listed]) -> Taken:
    """Add the listed pupils; those already there (same number, or same OneRoster identifier)
    take the listed name. Nobody is removed: deleting is a step of its own.
    """
    check_list(pupils, "the class list")
    found = class_of(session, class_id)
    present = list(found.pupils)
    by_number = {p.number: p for p in present}
    by_source = {p.sourced_id: p for p in present if p.sourced_id}
    known: set[int] = set()
    added = renamed = 0
    last = max((p.position for p in present), default=0)
    for listed in pupils:
        pupil = by_source.get(listed.sourced_id or "") or by_number.get(listed.number)
        if pupil is None:
            last += 1
            session.add(_pupil(found, listed, last))
            added += 1
            continue
        known.add(pupil.id)
        renamed += int(listed.name is not None and listed.name != pupil.name)
        pupil.name = listed.name or pupil.name
        pupil.sourced_id = listed.sourced_id or pupil.sourced_id
    session.flush()
    session.refresh(found)
    return Taken(class_id, added, renamed, sum(p.id not in known for p in present))


def add_pupil(session: Session, class_id: int, number: str, name: str | None = None) -> Pupil:
    """One more pupil at the end of a class."""
    found = class_of(session, class_id)
    given = plain_name(number, "the new pupil")
    if not given:
        raise RecordsError("A pupil needs a number.", "A name may be left out, a number not.")
    if any(p.number == given for p in found.pupils):
        raise RecordsError(
            f"Number {given} is taken in {found.name}.", "Give the pupil another number."
        )
    last = session.scalar(select(func.max(Pupil.position)).where(Pupil.class_id == class_id)) or 0
    listed = Listed(given, plain_name(name or "", "the new pupil") or None)
    pupil = _pupil(found, listed, last + 1)
    session.add(pupil)
    session.flush()
    session.refresh(found, ["pupils"])
    return pupil


def rename_pupil(session: Session, pupil_id: int, name: str | None) -> Pupil:
    """Another name, or none: the number then stands for the pupil."""
    pupil = pupil_of(session, pupil_id)
    pupil.name = plain_name(name or "", f"pupil {pupil.number}") or None
    return pupil


def _pupil(owner: TeachingClass, listed: Listed, position: int) -> Pupil:
    return Pupil(
        class_id=owner.id,
        number=listed.number,
        name=listed.name,
        position=position,
        sourced_id=listed.sourced_id,
    )


def _free_name(session: Session, name: str) -> str:
    plain = " ".join(name.split())
    if not plain or len(plain) > LONGEST_NAME or not plain.isprintable():
        raise RecordsError(
            f"'{plain[:30]}' cannot be a class's name.",
            f"Give 1 to {LONGEST_NAME} printable characters.",
        )
    if session.scalar(select(TeachingClass.id).where(TeachingClass.name == plain)) is not None:
        raise RecordsError(f"There is a class '{plain}' already.", "Give this one another name.")
    return plain
