"""Settings by name: each has a default, a range and a plain description."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.orm import Session

from millimark.errors import RecordsError
from millimark.records.models import Setting


@dataclass(frozen=True)
class Known:
    """A setting: whole numbers from ``least`` to ``most``, ``usual`` where none was made."""

    usual: int
    least: int
    most: int
    what: str


RETENTION_DAYS = "retention_days"
KNOWN = {
    RETENTION_DAYS: Known(
        0,
        0,
        36_500,
        "Days after which pupils' scripts and scans are deleted; 0 keeps them until they are "
        "deleted by hand. The school's data-protection policy and local law decide.",
    ),
}
"""Settings that there are."""


def get(session: Session, name: str) -> int:
    """The setting's value, its usual one where none was made."""
    known = _known(name)
    found = session.get(Setting, name)
    return known.usual if found is None else int(found.value)


def put(session: Session, name: str, value: int) -> None:
    """Make a setting; RecordsError names the range if ``value`` is outside it."""
    known = _known(name)
    if not known.least <= value <= known.most:
        raise RecordsError(
            f"{name} cannot be {value}.", f"It runs from {known.least} to {known.most}."
        )
    session.merge(Setting(name=name, value=str(value)))


def _known(name: str) -> Known:
    if name not in KNOWN:
        raise RecordsError(f"There is no setting {name!r}.", f"There are {', '.join(KNOWN)}.")
    return KNOWN[name]
