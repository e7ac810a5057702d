"""The score: what moves when. Tracks of key frames for each instrument, ink, marks and cues.

Times are seconds from the start. Places are page millimetres, angles radians clockwise as
seen (y is down). Between two keys a track goes evenly where it draws and eased where it
only moves; before its first key an instrument is not to be seen.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal

from millimark.plane.curves import Curve
from millimark.plane.point import Point

Instrument = Literal["compasses", "ruler", "protractor", "pencil"]
SIZES: dict[Instrument, int] = {"compasses": 5, "ruler": 4, "protractor": 4, "pencil": 3}
"""Values of a key, the last of them how much is seen (0 to 1). Compasses: needle x, y,
opening, angle to the pencil. Ruler: place of its zero, angle of its edge. Protractor: its centre,
angle of its base line. Pencil: its tip."""


@dataclass(frozen=True)
class Key:
    """A track's values at ``t``; ``even`` says how it came here from the key before."""

    t: float
    values: tuple[float, ...]
    even: bool = False


@dataclass(frozen=True)
class InkOn:
    """A curve that is drawn from ``start`` to ``end``; role "construction" or "answer"."""

    curve: Curve
    role: str
    start: float
    end: float
    act: int


@dataclass(frozen=True)
class MarkOn:
    """A mark that shows from ``start`` on; ``letter`` "" for a crossing that is only used, else
    it stands with the middle of its foot at ``letter_at`` (once the director has found it)."""

    at: Point
    letter: str
    start: float
    act: int
    letter_at: Point | None = None


@dataclass(frozen=True)
class Cue:
    """What is said from ``start`` to ``end``; ``chapter`` is the element it belongs to."""

    text: str
    start: float
    end: float
    chapter: str


@dataclass
class Score:
    """The whole demonstration."""

    tracks: dict[Instrument, list[Key]] = field(default_factory=dict)
    inks: list[InkOn] = field(default_factory=list)
    marks: list[MarkOn] = field(default_factory=list)
    cues: list[Cue] = field(default_factory=list)
    shading: tuple[float, float] | None = None
    length: float = 0.0

    def state(self, instrument: Instrument, t: float) -> tuple[float, ...]:
        """An instrument's values at ``t``; unseen (last value 0) before its first key."""
        keys = self.tracks.get(instrument, [])
        if not keys:
            return (0.0,) * SIZES[instrument]
        if t <= keys[0].t:
            return (*keys[0].values[:-1], keys[0].values[-1] if t == keys[0].t else 0.0)
        for before, after in pairwise(keys):
            if t <= after.t:
                share = done(t, before.t, after.t)
                if not after.even:
                    share = eased(share)
                pairs = zip(before.values, after.values, strict=True)
                return tuple(a + (b - a) * share for a, b in pairs)
        return keys[-1].values

    def cue_at(self, t: float) -> int:
        """The number of the cue that is said at ``t``, the earlier of two that meet there; the
        last one said where there is a gap."""
        return max((i for i, cue in enumerate(self.cues) if cue.start < t - 1e-6), default=0)


def done(t: float, start: float, end: float) -> float:
    """How much of the time from ``start`` to ``end`` has gone by, 0 to 1."""
    if end <= start:
        return 1.0 if t >= end else 0.0
    return min(max((t - start) / (end - start), 0.0), 1.0)


def eased(share: float) -> float:
    """Slow at both ends: 3 s² - 2 s³."""
    return share * share * (3.0 - 2.0 * share)


def nearest_turn(angle: float, to: float) -> float:
    """``angle`` plus the whole turns that bring it nearest to ``to``."""
    return angle + 2 * math.pi * round((to - angle) / (2 * math.pi))
