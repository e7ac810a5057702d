"""Who may try a password, and who has to wait: guessing is slowed, a teacher is not locked out.

Every caller waits for their own wrong passwords. Callers that the desk has never let in share a
pace besides, so that many addresses together guess no faster; a browser that signed in here
before, and this machine itself, do not share it. (A known pattern: OWASP, "Slow Down Online
Guessing Attacks with Device Cookies", from memory.)
"""

from __future__ import annotations

import ipaddress
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Lock

FREE_TRIES = 3
"""A caller's wrong passwords in a row before waiting begins."""
LONGEST_WAIT = 300.0
"""Seconds."""
STRANGERS_AT_ONCE = 20
STRANGERS_EVERY = 6.0
"""Seconds after which strangers together have one more try: 14,400 a day at most."""
_MOST_CALLERS = 4096
_IPV6_HOME = 64
"""Bits of an IPv6 address that one household or one machine shares."""


@dataclass(frozen=True)
class Caller:
    """Who tries: an address or a known browser; ``known`` callers do not share the pace."""

    name: str
    known: bool = False


def caller_at(address: str | None) -> Caller:
    """The caller at a network address. IPv6 counts by its first 64 bits; None, which no server
    says, is one stranger."""
    try:
        found = ipaddress.ip_address((address or "").partition("%")[0])
    except ValueError:
        return Caller("unknown")
    if found.version == 6 and found.ipv4_mapped is not None:
        found = found.ipv4_mapped
    if found.version == 6 and not found.is_loopback:
        home = ipaddress.ip_network((int(found), _IPV6_HOME), strict=False)
        return Caller(str(home.network_address))
    return Caller(str(found), found.is_loopback)


@dataclass
class _Tries:
    wrong: int = 0
    until: float = 0.0


@dataclass(eq=False)
class Waits:
    """Counts tries. ``clock`` gives seconds that only go forward."""

    clock: Callable[[], float] = time.monotonic
    _tries: OrderedDict[str, _Tries] = field(default_factory=OrderedDict)
    _left: float = STRANGERS_AT_ONCE
    _at: float | None = None
    _lock: Lock = field(default_factory=Lock)

    def seconds(self, caller: Caller) -> float:
        """How long this caller waits before the next try; 0 as a rule."""
        with self._lock:
            return self._seconds(caller)

    def begin(self, caller: Caller) -> bool:
        """Whether the caller may try now. It counts as wrong until `succeed` says otherwise, so
        that tries at the same moment are no way round."""
        with self._lock:
            if self._seconds(caller) > 0:
                return False
            if not caller.known:
                self._left -= 1.0
            tries = self._tries.setdefault(caller.name, _Tries())
            self._tries.move_to_end(caller.name)
            tries.wrong += 1
            if tries.wrong >= FREE_TRIES:
                pause = min(LONGEST_WAIT, 2.0 ** (tries.wrong - FREE_TRIES + 1))
                tries.until = self.clock() + pause
            while len(self._tries) > _MOST_CALLERS:
                self._tries.popitem(last=False)
            return True

    def succeed(self, caller: Caller) -> None:
        """The try was right: nothing is held against the caller, nor against strangers."""
        with self._lock:
            self._tries.pop(caller.name, None)
            if not caller.known:
                self._left = min(STRANGERS_AT_ONCE, self._left + 1.0)

    def _seconds(self, caller: Caller) -> float:
        now = self.clock()
        tries = self._tries.get(caller.name)
        own = max(0.0, tries.until - now) if tries else 0.0
        if caller.known:
            return own
        since = now - (now if self._at is None else self._at)
        self._left = min(STRANGERS_AT_ONCE, self._left + since / STRANGERS_EVERY)
        self._at = now
        return max(own, (1.0 - self._left) * STRANGERS_EVERY if self._left < 1.0 else 0.0)
