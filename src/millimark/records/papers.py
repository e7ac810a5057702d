"""Papers as they are written: every saved version is kept, so undo loses nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import func, select, update
from sqlalchemy.orm import Session

from millimark.errors import RecordsError
from millimark.records.base import now
from millimark.records.models import Paper, PaperVersion, Printing

MOST_CHARACTERS = 400_000
"""Length of a paper's text; 40 questions need a tenth of it."""


@dataclass(frozen=True)
class Stale:
    """A save that was refused: another one came first. ``at`` is the version in force now."""

    at: int
    text: str
    saved_by: str


def all_papers(session: Session) -> Sequence[Paper]:
    """Every paper, the one that was changed last first."""
    return session.scalars(select(Paper).order_by(Paper.changed_at.desc(), Paper.id.desc())).all()


def paper_of(session: Session, paper_id: int) -> Paper:
    """The paper; RecordsError if there is none of this id."""
    found = session.get(Paper, paper_id)
    if found is None:
        raise RecordsError(f"There is no paper {paper_id}.", "It may have been deleted.")
    return found


def version_of(session: Session, paper_id: int, number: int | None = None) -> PaperVersion:
    """One version of a paper; the version in force without a number."""
    paper = paper_of(session, paper_id)
    wanted = paper.at if number is None else number
    found = session.scalar(
        select(PaperVersion).where(PaperVersion.paper_id == paper_id, PaperVersion.number == wanted)
    )
    if found is None:
        raise RecordsError(f"Paper {paper_id} has no version {wanted}.")
    return found


def make_paper(session: Session, text: str, who: str) -> Paper:
    """A new paper with its first version. The text need not be right yet."""
    paper = Paper(title=title_in(_checked(text)), at=1)
    session.add(paper)
    session.flush()
    session.add(PaperVersion(paper_id=paper.id, number=1, after=None, text=text, saved_by=who))
    session.flush()
    return paper


def save(session: Session, paper_id: int, text: str, who: str, seen: int) -> PaperVersion | Stale:
    """Keep ``text`` as a new version on top of version ``seen``; it comes into force.

    `Stale` if another version is in force by now; a text that changes nothing makes no
    version. What was undone before stays among the versions.
    """
    _checked(text)
    present = version_of(session, paper_id)
    if present.number != seen:
        return Stale(present.number, present.text, present.saved_by)
    if text == present.text:
        return present
    last = session.scalar(
        select(func.max(PaperVersion.number)).where(PaperVersion.paper_id == paper_id)
    )
    number = (last or 0) + 1
    if not _move(session, paper_id, seen, number, text):
        session.expire_all()
        present = version_of(session, paper_id)
        return Stale(present.number, present.text, present.saved_by)
    made = PaperVersion(paper_id=paper_id, number=number, after=seen, text=text, saved_by=who)
    session.add(made)
    session.flush()
    return made


def undo(session: Session, paper_id: int) -> PaperVersion | None:
    """Back to the version this one was written on; None at the first."""
    present = version_of(session, paper_id)
    if present.after is None:
        return None
    return _enforce(session, present, present.after)


def redo(session: Session, paper_id: int) -> PaperVersion | None:
    """Forward to the newest version written on this one; None if there is none."""
    present = version_of(session, paper_id)
    ahead = session.scalar(
        select(func.max(PaperVersion.number)).where(
            PaperVersion.paper_id == paper_id, PaperVersion.after == present.number
        )
    )
    return None if ahead is None else _enforce(session, present, ahead)


def delete_paper(session: Session, paper_id: int) -> None:
    """Delete a paper that was never printed; RecordsError if marks may hang on it."""
    paper = paper_of(session, paper_id)
    printed = session.scalar(
        select(func.count(Printing.id)).join(PaperVersion).where(PaperVersion.paper_id == paper_id)
    )
    if printed:
        raise RecordsError(
            f"'{paper.title}' was printed {printed} times: its marks would be lost.",
            "Delete its print runs first.",
        )
    session.delete(paper)


def title_in(text: str) -> str:
    """The title that a paper's text states; "" where the text cannot be read."""
    from ruamel.yaml import YAML
    from ruamel.yaml.error import YAMLError

    try:
        data = YAML(typ="safe", pure=True).load(text)
    except (YAMLError, ValueError, RecursionError):
        return ""
    title = data.get("title") if isinstance(data, dict) else None
    return " ".join(title.split())[:200] if isinstance(title, str) else ""


def _enforce(session: Session, present: PaperVersion, number: int) -> PaperVersion:
    wanted = version_of(session, present.paper_id, number)
    _move(session, present.paper_id, present.number, number, wanted.text)
    session.flush()
    session.expire_all()
    return version_of(session, present.paper_id)


def _move(session: Session, paper_id: int, seen: int, number: int, text: str) -> bool:
    """Bring version ``number`` into force if ``seen`` still is; False if not."""
    moved = session.execute(
        update(Paper)
        .where(Paper.id == paper_id, Paper.at == seen)
        .values(at=number, title=title_in(text), changed_at=now())
        .execution_options(synchronize_session="fetch")
    )
    return bool(getattr(moved, "rowcount", 0))


def _checked(text: str) -> str:
    if len(text) > MOST_CHARACTERS:
        raise RecordsError(
            f"The paper has {len(text)} characters; at most {MOST_CHARACTERS} are kept.",
            "Split it into two papers.",
        )
    return text
