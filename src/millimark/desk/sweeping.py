"""Once a day, while the desk runs: what is past the school's retention time goes, and so do files
that no record speaks of any more."""

from __future__ import annotations

import logging
import threading
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from sqlalchemy.exc import SQLAlchemyError

from millimark.errors import MillimarkError
from millimark.records.base import now
from millimark.records.deleting import Deleted, sweep_orphans, sweep_retention
from millimark.records.store import Store
from millimark.records.uploads import sweep_incoming

EVERY = timedelta(days=1)
_LOOK_SECONDS = 60.0
"""How often the clock is looked at: a machine that slept sweeps soon after it wakes."""


@dataclass(frozen=True)
class Swept:
    """A sweep: when, what it deleted, and what hindered it ("" if nothing)."""

    at: datetime
    deleted: Deleted = field(default_factory=Deleted)
    trouble: str = ""


class Sweeper:
    """Sweeps at the start and then every day."""

    def __init__(
        self, store: Store, every: timedelta = EVERY, look_seconds: float = _LOOK_SECONDS
    ) -> None:
        self._store, self._every, self._look = store, every, look_seconds
        self._closing = threading.Event()
        self._thread: threading.Thread | None = None
        self.last: Swept | None = None

    def start(self) -> None:
        """Sweep now, and go on in a thread."""
        self.last = self.sweep()
        self._thread = threading.Thread(target=self._going_on, name="desk-sweeper", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """No more sweeps."""
        self._closing.set()
        if self._thread is not None:
            self._thread.join(30)

    def sweep(self) -> Swept:
        """One sweep. What hinders it (a database in use) is told, and it is tried again."""
        at = now()
        try:
            sweep_incoming(self._store)
            sweep_orphans(self._store)
            return Swept(at, sweep_retention(self._store))
        except (MillimarkError, SQLAlchemyError, OSError) as error:
            logging.getLogger(__name__).warning("The daily sweep was hindered: %s", error)
            return Swept(at, trouble="It was hindered, and is tried again tomorrow.")

    def _going_on(self) -> None:
        while not self._closing.wait(self._look):
            if self.last is None or now() - self.last.at >= self._every:
                self.last = self.sweep()
