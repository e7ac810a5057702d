"""Where construction arcs cross though one was not traced there: their limbs in the picture.

Paper millimetres.
"""

from __future__ import annotations

import numpy as np

from millimark.marking.arcs_about import NEAR_CROSSING_MM, ArcsAbout, crossing
from millimark.marking.faint import LOOKS, Picture, runs_by
from millimark.marking.ink import Ink
from millimark.marking.round_about import behind_strokes
from millimark.plane.point import Point

_LIMBS = 3
"""Two arcs that cross have four limbs; so many are clear of the line that runs through."""


class Limbs:
    """The limbs of arcs, looked for behind the long strokes of the ``ink``; none where pieces that
    are ``barred`` (hatching, a crossing-out) come near, nor before the closest look."""

    def __init__(self, ink: Ink, barred: frozenset[int], picture: Picture) -> None:
        self.ink, self.picture = ink, picture
        self.others = ink.points(sorted(barred))
        self._behind: dict[Point, Picture] = {}

    def cross(self, p: ArcsAbout, q: ArcsAbout, side: int) -> bool:
        """Whether limbs of both arcs are seen at their crossing on that side."""
        at = crossing(p, q, side) if self.picture.look == LOOKS[-1] else None
        if at is None or (np.hypot(*(self.others - np.array(at)).T) < NEAR_CROSSING_MM).any():
            return False
        limbs = [runs_by(self._seen(arcs.centre), arcs.centre, arcs.radius, at) for arcs in (p, q)]
        return all(map(any, limbs)) and sum(map(sum, limbs)) >= _LIMBS

    def _seen(self, centre: Point) -> Picture:
        """The picture without the long strokes that cross the circles about a centre."""
        if centre not in self._behind:
            self._behind[centre] = behind_strokes(self.ink, self.picture, centre)
        return self._behind[centre]
