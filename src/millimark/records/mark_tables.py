"""The tables of marks: each as it stands, every change of it, and what blind markers decided in
which round.
`models` has the others and the picture of how they hang together."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Literal

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from millimark.records.base import Base, now

if TYPE_CHECKING:
    from millimark.records.models import Answer

Decision = Literal["awarded", "withheld", "teacher"]


class Mark(Base):
    """One mark of the scheme as it stands now.

    ``machine`` is what measuring decided; ``decision`` what counts. ``version`` goes up with
    every change: whoever changes a mark says which version they saw.
    """

    __tablename__ = "marks"
    __table_args__ = (
        UniqueConstraint("answer_id", "position"),
        CheckConstraint("decision IN ('awarded', 'withheld', 'teacher')", name="decision"),
        Index("ix_marks_decision", "decision"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    answer_id: Mapped[int] = mapped_column(ForeignKey("answers.id", ondelete="CASCADE"))
    position: Mapped[int]
    code: Mapped[str] = mapped_column(String(12))
    criterion: Mapped[str] = mapped_column(Text)
    decision: Mapped[Decision] = mapped_column(String(12))
    machine: Mapped[Decision] = mapped_column(String(12))
    reason: Mapped[str] = mapped_column(Text)
    follow_through: Mapped[bool] = mapped_column(default=False)
    version: Mapped[int] = mapped_column(default=1)

    answer: Mapped[Answer] = relationship(back_populates="marks")
    changes: Mapped[list[MarkChange]] = relationship(
        back_populates="mark",
        order_by="MarkChange.id",
        cascade="all, delete-orphan",
        passive_deletes=True,
    )
    opinions: Mapped[list[SecondOpinion]] = relationship(
        back_populates="mark",
        order_by="SecondOpinion.id",
        cascade="all, delete-orphan",
        passive_deletes=True,
    )


class MarkChange(Base):
    """One change of a mark: ``before`` to ``after`` (alike for a comment), who, when and why.

    ``version`` is the mark's version that the change made.
    """

    __tablename__ = "mark_changes"
    __table_args__ = (UniqueConstraint("mark_id", "version"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    mark_id: Mapped[int] = mapped_column(ForeignKey("marks.id", ondelete="CASCADE"))
    version: Mapped[int]
    before: Mapped[Decision] = mapped_column(String(12))
    after: Mapped[Decision] = mapped_column(String(12))
    who: Mapped[str] = mapped_column(String(120))
    why: Mapped[str] = mapped_column(Text)
    at: Mapped[datetime] = mapped_column(default=now)

    mark: Mapped[Mark] = relationship(back_populates="changes")


class SecondOpinion(Base):
    """What one marker decided without seeing the machine's or another's decision.

    ``stood`` is what the mark said at that moment, unseen by them, at its version ``seen``; None
    for opinions of the first releases, which did not keep it.
    """

    __tablename__ = "second_opinions"
    __table_args__ = (
        UniqueConstraint("mark_id", "marker"),
        CheckConstraint("decision IN ('awarded', 'withheld')", name="decision"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    mark_id: Mapped[int] = mapped_column(ForeignKey("marks.id", ondelete="CASCADE"))
    marker: Mapped[str] = mapped_column(String(120))
    decision: Mapped[Literal["awarded", "withheld"]] = mapped_column(String(12))
    why: Mapped[str] = mapped_column(Text, default="")
    at: Mapped[datetime] = mapped_column(default=now)
    stood: Mapped[Decision | None] = mapped_column(String(12))
    seen: Mapped[int | None]

    mark: Mapped[Mark] = relationship(back_populates="opinions")


class BlindRound(Base):
    """A second marking of a print run, of all its sheets or of some drawn at random."""

    __tablename__ = "blind_rounds"

    id: Mapped[int] = mapped_column(primary_key=True)
    printing_id: Mapped[int] = mapped_column(
        ForeignKey("printings.id", ondelete="CASCADE"), index=True
    )
    begun_by: Mapped[str] = mapped_column(String(120))
    begun_at: Mapped[datetime] = mapped_column(default=now)

    sheets: Mapped[list[BlindSheet]] = relationship(
        order_by="BlindSheet.script_id", cascade="all, delete-orphan", passive_deletes=True
    )


class BlindSheet(Base):
    """A sheet that a round holds."""

    __tablename__ = "blind_sheets"

    round_id: Mapped[int] = mapped_column(
        ForeignKey("blind_rounds.id", ondelete="CASCADE"), primary_key=True
    )
    script_id: Mapped[int] = mapped_column(
        ForeignKey("scripts.id", ondelete="CASCADE"), primary_key=True, index=True
    )
