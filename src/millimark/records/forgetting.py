"""A deleted pupil's name in what is kept of others: names of files, reasons that people wrote."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import InstrumentedAttribute, Session

from millimark.records.mark_tables import MarkChange, SecondOpinion
from millimark.records.mend_tables import PageStep
from millimark.records.models import Page, Upload

IN_PLACE = "(deleted)"
_WORDS: tuple[InstrumentedAttribute[Any], ...] = (
    MarkChange.why,
    SecondOpinion.why,
    PageStep.why,
    PageStep.told,
    Page.reason,
    Upload.reason,
    Upload.name,
)
"""Every column that holds words of people or names of their files."""


def forget_names(session: Session, names: Sequence[str]) -> int:
    """Put `IN_PLACE` where one of the names stands as a whole, in any case; in how many texts."""
    count = 0
    for name in sorted(set(names), key=len, reverse=True):
        whole = re.compile(rf"(?<!\w){re.escape(name)}(?!\w)", re.IGNORECASE)
        for column in _WORDS:
            found = select(column.class_).where(column.icontains(name, autoescape=True))
            for row in session.scalars(found).all():
                before = getattr(row, column.key)
                after = whole.sub(IN_PLACE, before)
                if after != before:
                    setattr(row, column.key, after)
                    count += 1
    session.flush()
    return count
