"""The table of what people did about pages that could not be read. `models` has the others."""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from sqlalchemy import CheckConstraint, ForeignKey, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from millimark.records.base import Base, now

Act = Literal["turned", "named", "retaken", "aside", "back"]


class PageStep(Base):
    """One step of mending a page of an upload (page 0: the whole file, which did not open).

    ``told`` is the reason that stood before; ``turn`` how far it was turned, degrees clockwise,
    to be looked at; ``sheet`` and ``page`` what it was named; ``retake_id`` the upload of a new
    photograph.
    """

    __tablename__ = "page_steps"
    __table_args__ = (
        CheckConstraint("act IN ('turned', 'named', 'retaken', 'aside', 'back')", name="act"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    upload_id: Mapped[int] = mapped_column(ForeignKey("uploads.id", ondelete="CASCADE"), index=True)
    source_page: Mapped[int]
    act: Mapped[Act] = mapped_column(String(12))
    told: Mapped[str | None] = mapped_column(Text)
    turn: Mapped[int] = mapped_column(default=0)
    sheet: Mapped[str | None] = mapped_column(String(12))
    page: Mapped[int | None]
    retake_id: Mapped[int | None] = mapped_column(
        ForeignKey("uploads.id", ondelete="SET NULL"), index=True
    )
    who: Mapped[str] = mapped_column(String(120))
    why: Mapped[str] = mapped_column(Text, default="")
    at: Mapped[datetime] = mapped_column(default=now)
