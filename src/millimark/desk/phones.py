"""Phones that may send photographs for one print run: invited by a code, for a lesson.

A code lets one phone in, once. What the phone carries from then on can add photographs to that
print run and nothing else. All of it lives in this process: ending the desk ends every pass.
"""

from __future__ import annotations

import hashlib
import secrets
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Lock

MINUTES = (20, 60, 120)
"""How long a phone may send, to choose from; the middle one is a lesson."""
MOST_PHONES = 8
"""Phones of one print run at the same time."""
PHOTOGRAPH_BYTES = 30_000_000
MOST_PHOTOGRAPHS = 400
MOST_BYTES = 2_000_000_000
A_MINUTE = 40
"""Photographs that one phone may send within a minute."""


@dataclass
class Invitation:
    """A code that waits for its phone. ``base`` is the desk's address for phones."""

    token: str
    run_id: int
    base: str
    minutes: int
    until: float

    @property
    def address(self) -> str:
        """What the code says."""
        return f"{self.base}/phone/in/{self.token}"


@dataclass
class Phone:
    """A phone that may send. ``uploads`` are what it sent, by number, in order."""

    number: int
    run_id: int
    pass_sha256: str
    until: float
    uploads: list[int] = field(default_factory=list)
    sent_bytes: int = 0
    moments: deque[float] = field(default_factory=deque)


@dataclass(eq=False)
class Phones:
    """Every invitation and every phone of a running desk. ``clock``: seconds, only forward."""

    clock: Callable[[], float] = time.monotonic
    _invitations: dict[int, Invitation] = field(default_factory=dict)
    _phones: list[Phone] = field(default_factory=list)
    _count: int = 0
    _lock: Lock = field(default_factory=Lock)

    def invite(self, run_id: int, base: str, minutes: int) -> Invitation:
        """A fresh code for a print run; one that was shown before is void."""
        until = self.clock() + 60.0 * minutes
        made = Invitation(secrets.token_urlsafe(18), run_id, base, minutes, until)
        with self._lock:
            self._invitations[run_id] = made
        return made

    def invitation(self, run_id: int) -> Invitation | None:
        """The code that waits for a phone, None if there is none (any more)."""
        with self._lock:
            self._forget_ended()
            return self._invitations.get(run_id)

    def invited(self, token: str) -> Invitation | None:
        """The invitation with this code, None if it was used, withdrawn or is too old."""
        with self._lock:
            self._forget_ended()
            return self._by_token(token)

    def enter(self, token: str) -> str | None:
        """Let a phone in by its code, once: the pass that it carries from now on. None for a
        code that does not count, or where `MOST_PHONES` send already."""
        with self._lock:
            self._forget_ended()
            found = self._by_token(token)
            if found is None or len(self._of_run(found.run_id)) >= MOST_PHONES:
                return None
            del self._invitations[found.run_id]
            carried = secrets.token_urlsafe(32)
            self._count += 1
            self._phones.append(Phone(self._count, found.run_id, _sha256(carried), found.until))
            return carried

    def with_pass(self, carried: str) -> Phone | None:
        """The phone that carries this pass, None if it may not send (any more)."""
        with self._lock:
            self._forget_ended()
            wanted = _sha256(carried)
            return next((p for p in self._phones if p.pass_sha256 == wanted), None)

    def of_run(self, run_id: int) -> list[Phone]:
        """The phones that may send for a print run, in the order in which they came."""
        with self._lock:
            self._forget_ended()
            return self._of_run(run_id)

    def wait_seconds(self, phone: Phone) -> float:
        """0 and the photograph counts, or how long the phone has to wait to send the next."""
        with self._lock:
            now = self.clock()
            while phone.moments and phone.moments[0] <= now - 60.0:
                phone.moments.popleft()
            if len(phone.moments) >= A_MINUTE:
                return phone.moments[0] + 60.0 - now
            phone.moments.append(now)
            return 0.0

    def minutes_left(self, until: float) -> int:
        """Whole minutes until then, at least 1 as long as it is not over."""
        return max(1, round((until - self.clock()) / 60.0))

    def end(self, run_id: int, number: int | None = None) -> None:
        """Switch off one phone of a print run; without a number all of them and the code."""
        with self._lock:
            if number is None:
                self._invitations.pop(run_id, None)
            self._phones = [
                p
                for p in self._phones
                if p.run_id != run_id or (number is not None and p.number != number)
            ]

    def _by_token(self, token: str) -> Invitation | None:
        given = token.encode()
        for each in self._invitations.values():
            if secrets.compare_digest(each.token.encode(), given):
                return each
        return None

    def _of_run(self, run_id: int) -> list[Phone]:
        return [p for p in self._phones if p.run_id == run_id]

    def _forget_ended(self) -> None:
        now = self.clock()
        self._invitations = {k: i for k, i in self._invitations.items() if i.until > now}
        self._phones = [p for p in self._phones if p.until > now]


def _sha256(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
