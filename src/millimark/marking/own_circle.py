"""The circle that the compasses drew, as its longest arc says, and what leaves it.

What a tracer takes for the rest of it where strokes of hatching or letters meet it runs away from
it; where the compasses slipped, their pencil runs along it. Paper millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from millimark.marking.ink import Array, Ink, Piece
from millimark.marking.through import circle_through

_LONG_MM = 25.0
"""A shorter arc does not say where the rest of its circle is, mm."""
_STEADY, _STEADY_HATCHED = ((0.15, 1.0, 6.0),), ((0.15, 0.5, 6.0), (0.25, 0.6, 8.0))
"""Of an arc as steady as the first, rms mm: what lies so far off its circle somewhere, mm, and
turns from it by more than the third, degrees, has left it; and the same where strokes of hatching
end on it."""
_LEAST_MM, _MOST_ARC_MM = 3.5, 12.0
"""The direction of a shorter piece is not known, mm; a longer arc is no stroke of hatching, and a
small circle on which the compasses slip leaves its own beginning."""


@dataclass(frozen=True, eq=False)
class OwnCircle:
    """A circle that the compasses drew; what is ``far_mm`` off and turns by ``turned_deg`` is no
    part of it."""

    centre: Array
    radius: float
    far_mm: float
    turned_deg: float

    @staticmethod
    def of(ink: Ink, members: Sequence[int], hatched: bool) -> OwnCircle | None:
        """The circle of the longest of the pieces; None where no steady arc says it."""
        main = ink.pieces[max(members, key=lambda k: ink.lengths[k])]
        if main.shape != "arc" or main.length < _LONG_MM:
            return None
        centre, radius, rms = circle_through(main.xy)
        for steady, far_mm, turned_deg in _STEADY_HATCHED if hatched else _STEADY:
            if rms < steady:
                return OwnCircle(centre, radius, far_mm, turned_deg)
        return None

    def leaves(self, piece: Piece) -> bool:
        """Whether a piece runs away from the circle."""
        away = np.hypot(*(piece.xy - self.centre).T)
        unlike = piece.length < _LEAST_MM or (piece.shape == "arc" and piece.length > _MOST_ARC_MM)
        if unlike or np.abs(away - self.radius).max() < self.far_mm:
            return False
        return (
            abs(float(away[-1] - away[0])) > math.sin(math.radians(self.turned_deg)) * piece.length
        )
