"""What a construction hands back, and the lengths that all constructions agree on."""

from __future__ import annotations

from dataclasses import dataclass

from millimark.working.acts import ArcEvidence

PROTRACTOR = 5.0
"""cm from centre to rim of a school protractor; common practice, no source."""
PAST = 0.8
"""cm that a ruled line runs past the crossings that fix it."""
SHORTEST = 3.5
"""cm of an unbounded line drawn on each side where the room allows: marking wants 3 cm."""

Span = tuple[float, float]
"""From where to where along a line, cm."""


@dataclass(frozen=True)
class Drawn:
    """A construction that was done: the ink of its result, how, what shows the method, why
    the method works."""

    ink: str
    method: str
    evidence: tuple[ArcEvidence, ...] = ()
    reason: str = ""
