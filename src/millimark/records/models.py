"""The tables, one class each. Times are UTC; deleting a row deletes what hangs from it.

    TeachingClass ─ Pupil ───────────────┐
    Paper ─ PaperVersion ─ Printing ─ Script ─ Answer ─ Mark ─ MarkChange
                              │          │        │       └── SecondOpinion
                              └─ Upload ┬ Page ───┘
                                        └ PageStep
    Setting

The tables of marks are in `mark_tables`, that of mending pages in `mend_tables`. A pupil's name
stands in `Pupil` (and in the layout of a printing for their class) and nowhere else.
`docs/records.md` says what each table keeps and for how long.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any, Literal

from sqlalchemy import (
    CheckConstraint,
    Float,
    ForeignKey,
    Index,
    LargeBinary,
    String,
    Text,
    UniqueConstraint,
    text,
)
from sqlalchemy.orm import Mapped, mapped_column, relationship

from millimark.records.base import Base, now
from millimark.records.mark_tables import Mark
from millimark.records.mend_tables import PageStep

UploadState = Literal["waiting", "working", "done", "failed"]
PageState = Literal["read", "unread", "twice"]


class TeachingClass(Base):
    """A class of pupils. ``sourced_id`` is its OneRoster identifier, if it came from one."""

    __tablename__ = "classes"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(120), unique=True)
    sourced_id: Mapped[str | None] = mapped_column(String(255))
    made_at: Mapped[datetime] = mapped_column(default=now)

    pupils: Mapped[list[Pupil]] = relationship(
        back_populates="teaching_class",
        order_by="Pupil.position",
        cascade="all, delete-orphan",
        passive_deletes=True,
    )


class Pupil(Base):
    """A pupil of a class. ``number`` is theirs within the class; ``name`` may be left out.

    ``position`` is the place in the class list as it was given.
    """

    __tablename__ = "pupils"
    __table_args__ = (UniqueConstraint("class_id", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    class_id: Mapped[int] = mapped_column(ForeignKey("classes.id", ondelete="CASCADE"))
    number: Mapped[str] = mapped_column(String(60))
    name: Mapped[str | None] = mapped_column(String(120))
    position: Mapped[int]
    sourced_id: Mapped[str | None] = mapped_column(String(255))
    made_at: Mapped[datetime] = mapped_column(default=now)

    teaching_class: Mapped[TeachingClass] = relationship(back_populates="pupils")

    @property
    def label(self) -> str:
        """What stands on a sheet: the name, or the number where there is none."""
        return self.name or self.number


class Paper(Base):
    """A paper that is being written. ``at`` is the number of the version in force.

    ``title`` is that of the version in force, "" while it cannot be read from the text.
    """

    __tablename__ = "papers"

    id: Mapped[int] = mapped_column(primary_key=True)
    title: Mapped[str] = mapped_column(String(200), default="")
    at: Mapped[int] = mapped_column(default=1)
    made_at: Mapped[datetime] = mapped_column(default=now)
    changed_at: Mapped[datetime] = mapped_column(default=now)

    versions: Mapped[list[PaperVersion]] = relationship(
        back_populates="paper",
        order_by="PaperVersion.number",
        cascade="all, delete-orphan",
        passive_deletes=True,
    )


class PaperVersion(Base):
    """A paper's YAML text as it was saved once; never altered.

    ``after`` is the number of the version it was written on top of, None for the first.
    """

    __tablename__ = "paper_versions"
    __table_args__ = (UniqueConstraint("paper_id", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    paper_id: Mapped[int] = mapped_column(ForeignKey("papers.id", ondelete="CASCADE"))
    number: Mapped[int]
    after: Mapped[int | None]
    text: Mapped[str] = mapped_column(Text)
    saved_by: Mapped[str] = mapped_column(String(120))
    saved_at: Mapped[datetime] = mapped_column(default=now)

    paper: Mapped[Paper] = relationship(back_populates="versions")


class Printing(Base):
    """A print run: one version of a paper for a class, or for a number of blank sheets.

    ``layout`` is the content of layout.json; ``folder`` the name (not a path) of the folder
    with the PDFs among the store's printings; ``paper_code`` what every page carries.
    """

    __tablename__ = "printings"

    id: Mapped[int] = mapped_column(primary_key=True)
    version_id: Mapped[int] = mapped_column(ForeignKey("paper_versions.id"), index=True)
    class_id: Mapped[int | None] = mapped_column(ForeignKey("classes.id", ondelete="SET NULL"))
    title: Mapped[str] = mapped_column(String(200))
    sheets: Mapped[int]
    paper_code: Mapped[str] = mapped_column(String(40))
    folder: Mapped[str] = mapped_column(String(40), unique=True)
    layout: Mapped[dict[str, Any]] = mapped_column(deferred=True)
    made_at: Mapped[datetime] = mapped_column(default=now)

    version: Mapped[PaperVersion] = relationship()
    teaching_class: Mapped[TeachingClass | None] = relationship()
    scripts: Mapped[list[Script]] = relationship(
        back_populates="printing",
        order_by="Script.sheet",
        cascade="all, delete-orphan",
        passive_deletes=True,
    )
    uploads: Mapped[list[Upload]] = relationship(
        back_populates="printing",
        order_by="Upload.id",
        cascade="all, delete-orphan",
        passive_deletes=True,
    )


class Script(Base):
    """One sheet of a printing, and whose it is (None: not known, or deleted)."""

    __tablename__ = "scripts"
    __table_args__ = (UniqueConstraint("printing_id", "sheet"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    printing_id: Mapped[int] = mapped_column(ForeignKey("printings.id", ondelete="CASCADE"))
    pupil_id: Mapped[int | None] = mapped_column(
        ForeignKey("pupils.id", ondelete="SET NULL"), index=True
    )
    sheet: Mapped[str] = mapped_column(String(12))

    printing: Mapped[Printing] = relationship(back_populates="scripts")
    pupil: Mapped[Pupil | None] = relationship()
    answers: Mapped[list[Answer]] = relationship(
        back_populates="script",
        order_by="Answer.position",
        cascade="all, delete-orphan",
        passive_deletes=True,
    )
    pages: Mapped[list[Page]] = relationship(
        back_populates="script",
        order_by="Page.page",
        cascade="save-update, merge, delete",
        passive_deletes=True,
    )


class Upload(Base):
    """A file of scans that was accepted: it lies in the store under its hash.

    ``name`` is what the sender called it: text to show, never a path. ``stored`` is False once
    the file was deleted (a pupil on it was); ``pages`` is None until it was opened.
    ``claimed_by`` names the worker while state is 'working'; ``beat_at`` its last sign of life.
    """

    __tablename__ = "uploads"
    __table_args__ = (
        UniqueConstraint("printing_id", "sha256"),
        CheckConstraint("state IN ('waiting', 'working', 'done', 'failed')", name="state"),
        Index("ix_uploads_state", "state"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    printing_id: Mapped[int] = mapped_column(ForeignKey("printings.id", ondelete="CASCADE"))
    name: Mapped[str] = mapped_column(String(255))
    sha256: Mapped[str] = mapped_column(String(64), index=True)
    size: Mapped[int]
    stored: Mapped[bool] = mapped_column(default=True)
    print_scale: Mapped[float | None] = mapped_column(Float)
    state: Mapped[UploadState] = mapped_column(String(12), default="waiting")
    reason: Mapped[str | None] = mapped_column(Text)
    pages: Mapped[int | None]
    claimed_by: Mapped[str | None] = mapped_column(String(120))
    beat_at: Mapped[datetime | None]
    accepted_at: Mapped[datetime] = mapped_column(default=now)
    done_at: Mapped[datetime | None]

    printing: Mapped[Printing] = relationship(back_populates="uploads")
    read_pages: Mapped[list[Page]] = relationship(
        back_populates="upload",
        order_by="Page.source_page",
        cascade="all, delete-orphan",
        passive_deletes=True,
    )
    steps: Mapped[list[PageStep]] = relationship(
        foreign_keys=PageStep.upload_id,
        order_by=PageStep.id,
        cascade="all, delete-orphan",
        passive_deletes=True,
    )


class Page(Base):
    """One page of an upload, done with: read, unread with its reason, or 'twice' (another
    scan of the same page counts, as ``reason`` says).

    ``questions`` are the page's questions as marks.json has them; ``picture`` the straightened
    page as a JPEG; ``overlay`` and ``notes`` SVG in page millimetres; ``spot_x``/``spot_y``
    where there is room for the total, page mm.
    """

    __tablename__ = "pages"
    __table_args__ = (
        UniqueConstraint("upload_id", "source_page"),
        CheckConstraint("state IN ('read', 'unread', 'twice')", name="state"),
        Index(
            "uq_pages_counting",
            "script_id",
            "page",
            unique=True,
            sqlite_where=text("state = 'read'"),
            postgresql_where=text("state = 'read'"),
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    upload_id: Mapped[int] = mapped_column(ForeignKey("uploads.id", ondelete="CASCADE"))
    script_id: Mapped[int | None] = mapped_column(
        ForeignKey("scripts.id", ondelete="CASCADE"), index=True
    )
    source_page: Mapped[int]
    state: Mapped[PageState] = mapped_column(String(12))
    reason: Mapped[str | None] = mapped_column(Text)
    sheet: Mapped[str | None] = mapped_column(String(12))
    page: Mapped[int | None]
    print_scale: Mapped[float | None] = mapped_column(Float)
    print_scale_source: Mapped[str | None] = mapped_column(String(12))
    registration_mm: Mapped[float | None] = mapped_column(Float)
    spot_x: Mapped[float | None] = mapped_column(Float)
    spot_y: Mapped[float | None] = mapped_column(Float)
    questions: Mapped[list[dict[str, Any]]] = mapped_column(deferred=True, default=list)
    picture: Mapped[bytes | None] = mapped_column(LargeBinary, deferred=True)
    overlay: Mapped[str | None] = mapped_column(Text, deferred=True)
    notes: Mapped[str | None] = mapped_column(Text, deferred=True)
    done_at: Mapped[datetime] = mapped_column(default=now)

    upload: Mapped[Upload] = relationship(back_populates="read_pages")
    script: Mapped[Script | None] = relationship(back_populates="pages")


class Answer(Base):
    """A script's answer to one question; its findings are those of ``page``."""

    __tablename__ = "answers"
    __table_args__ = (UniqueConstraint("script_id", "question"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    script_id: Mapped[int] = mapped_column(ForeignKey("scripts.id", ondelete="CASCADE"))
    page_id: Mapped[int] = mapped_column(ForeignKey("pages.id", ondelete="CASCADE"), index=True)
    question: Mapped[str] = mapped_column(String(40))
    position: Mapped[int]

    script: Mapped[Script] = relationship(back_populates="answers")
    page: Mapped[Page] = relationship()
    marks: Mapped[list[Mark]] = relationship(
        back_populates="answer",
        order_by="Mark.position",
        cascade="all, delete-orphan",
        passive_deletes=True,
    )


class Setting(Base):
    """One setting by its name, as text."""

    __tablename__ = "settings"

    name: Mapped[str] = mapped_column(String(60), primary_key=True)
    value: Mapped[str] = mapped_column(Text)


TABLES = Base.metadata.sorted_tables
"""Every table, those that others point to first."""
