"""Readings that are asked for: the value, and from where to where a reading still counts.

A length is read to 1 mm and an angle to 1° (published mark schemes, read); what depends on the
pupil's own drawing gets the question's own tolerance, and an area 5 % (common practice, no
source).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from millimark.loci.answer import Answer
from millimark.loci.conditions import Ask, BearingOf, Measure
from millimark.words.units import CM_IN, Scale
from millimark.words.writing_asks import AskWriter

READ_MM, READ_DEG, READ_SHARE = 1.0, 1.0, 0.05


@dataclass(frozen=True)
class Reading:
    """What is to be read off and written down: ``name`` ("the length of AB"), the right value
    and the band that counts, in ``unit`` ("cm", "km", "°", "cm²")."""

    name: str
    value: float
    low: float
    high: float
    unit: str
    bearing: bool = False

    @property
    def told(self) -> str:
        """The right value in words."""
        return self._figures(self.value)

    @property
    def band(self) -> str:
        """The readings that count in words."""
        return f"{self._figures(self.low)} to {self._figures(self.high)}"

    def _figures(self, value: float) -> str:
        if self.bearing:
            return f"{round(value) % 360:03d}°"
        if self.unit == "°":
            return f"{value:.0f}°"
        half = (self.high - self.low) / 2
        digits = -math.floor(math.log10(half) + 1e-9) if half > 0 else 1
        return f"{value:.{min(max(digits, 0), 3)}f} {self.unit}"


def readings(
    asks: Sequence[Ask],
    answers: Sequence[Answer],
    labels: Sequence[str],
    scale: float | None,
    tolerance: tuple[float, float],
) -> tuple[Reading, ...]:
    """A reading for each measuring ask, in order. ``tolerance``: mm and degrees that count where
    the pupil draws first."""
    drawn = any(not isinstance(ask, Measure) for ask in asks)
    near_mm = tolerance[0] if drawn else READ_MM
    near_deg = tolerance[1] if drawn else READ_DEG
    writer = AskWriter(Scale(), labels)
    found = []
    for ask, answer in zip(asks, answers, strict=True):
        if not isinstance(ask, Measure) or answer.measured is None:
            continue
        name, value = writer.quantity(ask.quantity), answer.measured.value
        if answer.measured.unit == "deg":
            bearing = isinstance(ask.quantity, BearingOf)
            found.append(Reading(name, value, value - near_deg, value + near_deg, "°", bearing))
            continue
        power = 2 if answer.measured.unit == "cm2" else 1
        off = READ_SHARE * value if power == 2 else near_mm / 10
        unit, size = _unit(value, scale, power)
        low = max(value - off, 0.0)
        found.append(
            Reading(name, value * size, low * size, (value + off) * size, unit + "²" * (power - 1))
        )
    return tuple(found)


def _unit(value: float, scale: float | None, power: int) -> tuple[str, float]:
    """The unit that a reading is written in, and how many of it a cm (cm²) of paper is."""
    if scale is None:
        return "cm", 1.0
    for unit in ("km", "m"):
        if value * scale**power >= CM_IN[unit] ** power:
            return unit, (scale / CM_IN[unit]) ** power
    return "cm", scale**power
