"""Arcs at a corner of a figure: there they run into the sides, and a tracer follows either.

Where arcs of asked radii cross, the sides of the triangle end. Pieces are cut at that place, so
that the end of an arc that was traced as the rest of a side is seen for itself. Paper mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from millimark.marking.ink import STEP_MM, Ink, Piece
from millimark.plane.point import Point

NEAR_MM = 3.0
"""What passes or ends so near to a corner is at it, mm."""
_LEAST_MM = 2.4
"""No part that is cut off is shorter, mm."""


@dataclass(frozen=True, eq=False)
class CutInk:
    """Ink whose pieces were cut: ``whole`` is the index before of what each piece is part of."""

    ink: Ink
    whole: tuple[int, ...]

    def before(self, pieces: frozenset[int]) -> frozenset[int]:
        """By their index before: those all of whose parts are among the ``pieces``. Pieces that
        were added since are none."""
        others = {old for k, old in enumerate(self.whole) if k not in pieces}
        return frozenset(self.whole) - others


def cut_at(ink: Ink, places: Sequence[Point]) -> CutInk:
    """The ink with every piece that passes a place cut there; itself where none does."""
    pieces: list[Piece] = []
    whole: list[int] = []
    for k, piece in enumerate(ink.pieces):
        parts = _parted(piece, places)
        pieces += parts
        whole += [k] * len(parts)
    return CutInk(Ink.of(pieces), tuple(whole))


def _parted(piece: Piece, places: Sequence[Point]) -> list[Piece]:
    least = round(_LEAST_MM / STEP_MM)
    for at in places:
        off = np.hypot(*(piece.xy - np.array(at)).T)
        i = int(np.argmin(off))
        if off[i] < NEAR_MM and least <= i < len(off) - least:
            halves = (piece.part(0, i + 1), piece.part(i, len(off)))
            return [part for half in halves for part in _parted(half, places)]
    return [piece]
