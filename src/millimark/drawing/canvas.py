"""The drawing protocol: page millimetres, origin top-left, y down.

Geometry is drawn once, on a ``Canvas``; SVG for the typesetter and screens, pixels for
rehearsals, and a recorder for tests are its consumers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal, Protocol

from millimark.plane.curves import Curve
from millimark.plane.point import Point


@dataclass(frozen=True)
class Pen:
    """A line: width in mm (ISO 128 series), colour '#rrggbb', dashes in mm (on, off, …).

    ``round_ends``: ends reach half a width past the curve, as a round nib's do.
    """

    width: float
    colour: str
    dash: tuple[float, ...] = ()
    opacity: float = 1.0
    round_ends: bool = False


@dataclass(frozen=True)
class Paint:
    """A filled area: a flat colour, or hatching at ``hatch_mm`` spacing, 0 for flat."""

    colour: str
    opacity: float = 1.0
    hatch_mm: float = 0.0
    hatch_deg: float = 45.0


@dataclass(frozen=True)
class Lettering:
    """Text: cap height in mm (ISO 3098 series), colour, anchor and weight."""

    height: float
    colour: str
    anchor: Literal["start", "middle", "end"] = "start"
    italic: bool = False
    bold: bool = False


class Canvas(Protocol):
    """What can be drawn on. All places in page mm; bounded curves only."""

    def stroke(self, curves: Sequence[Curve], pen: Pen) -> None:
        """Draw connected or separate curves with one pen."""

    def fill(self, loops: Sequence[Sequence[Curve]], paint: Paint) -> None:
        """Fill the area inside closed loops (even-odd)."""

    def write(self, text: str, at: Point, lettering: Lettering) -> None:
        """Write one line of text, its baseline at ``at``."""


@dataclass
class Recording:
    """A canvas that remembers what was drawn on it, in order: the test double."""

    strokes: list[tuple[tuple[Curve, ...], Pen]] = field(default_factory=list)
    fills: list[tuple[tuple[tuple[Curve, ...], ...], Paint]] = field(default_factory=list)
    texts: list[tuple[str, Point, Lettering]] = field(default_factory=list)

    def stroke(self, curves: Sequence[Curve], pen: Pen) -> None:
        self.strokes.append((tuple(curves), pen))

    def fill(self, loops: Sequence[Sequence[Curve]], paint: Paint) -> None:
        self.fills.append((tuple(tuple(loop) for loop in loops), paint))

    def write(self, text: str, at: Point, lettering: Lettering) -> None:
        self.texts.append((text, at, lettering))
