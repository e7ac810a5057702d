"""Lengths as they are printed into centimetres on the paper."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from millimark.errors import GivensError
from millimark.words.facts import Fact, Quantity, ScaleIs

# Centimetres in one unit; inch and its multiples by the international yard of 1959, 0.9144 m.
CM_IN = {
    "mm": 0.1, "cm": 1.0, "m": 100.0, "km": 100_000.0,
    "in": 2.54, "ft": 30.48, "yd": 91.44, "mile": 160_934.4,
}  # fmt: skip
_PAPER_UNITS = ("mm", "cm", "in")


def in_cm(quantity: Quantity) -> float:
    """The quantity's own size in cm; a length of zero stays zero."""
    if quantity.unit == "mm":
        return quantity.value / 10  # exact where value * 0.1 is not
    return quantity.value * CM_IN[quantity.unit]


@dataclass(frozen=True)
class Scale:
    """``real`` in the world for each ``paper`` on the page; both None: true size."""

    paper: Quantity | None = None
    real: Quantity | None = None

    @property
    def factor(self) -> float:
        """Real centimetres for each centimetre of paper; 1 without a scale."""
        if self.paper is None or self.real is None:
            return 1.0
        return in_cm(self.real) / in_cm(self.paper)

    @property
    def unit(self) -> str:
        """The unit that lengths are in: the real one."""
        return self.real.unit if self.real else "cm"

    def cm(self, quantity: Quantity) -> float:
        """Centimetres on the paper for a length of the words.

        Under a scale to metres, kilometres, feet or miles, a length in mm, cm or inches
        is one on the paper.
        """
        if self.real and self.unit not in _PAPER_UNITS and quantity.unit in _PAPER_UNITS:
            return in_cm(quantity)
        if self.paper and self.real and quantity.unit == self.real.unit:
            return quantity.value / self.real.value * in_cm(self.paper)
        return in_cm(quantity) / self.factor

    def coordinate(self, value: float) -> float:
        """Centimetres on the paper for a bare coordinate, which is in ``unit``."""
        return self.cm(Quantity(value, self.unit))


def scale_of(facts: Iterable[Fact]) -> Scale:
    """The one scale that is given, or true size."""
    found = {(f.paper, f.real) for f in facts if isinstance(f, ScaleIs)}
    if not found:
        return Scale()
    if len(found) > 1:
        raise GivensError(f"{len(found)} different scales are given.", "Keep one of them.")
    ((paper, real),) = found
    if paper.value <= 0 or real.value <= 0:
        raise GivensError("A scale needs two lengths above zero.", "Write '1 cm represents 2 km'.")
    return Scale(paper, real)
