"""The last strokes of hatching: in a region's corners they are too few or too short to be told for
hatching by themselves, but they run as the strokes beside them do. Paper millimetres."""

from __future__ import annotations

import math
from collections.abc import Set

import numpy as np
from numpy.typing import NDArray

from millimark.marking.ink import Ink

_LONGEST_MM, _PITCH_MM = 18.0, 8.0
"""Such a stroke is shorter than the first, and lies no further from the next one, mm."""
_AS_STROKE = math.sin(math.radians(7.0))
ASIDE_RAD = math.radians(9.0)
"""A piece of a line turns from what it was drawn for by less than this."""


def last_strokes(ink: Ink, hatch: Set[int]) -> NDArray[np.bool_]:
    """Which pieces are straight, short and beside a piece of ``hatch`` that runs as they do. What
    was drawn for a line that runs so, too, is not told from them here."""
    found = np.zeros(len(ink.pieces), dtype=bool)
    if not hatch:
        return found
    strokes = sorted(hatch)
    ends = np.array([p.xy[[0, -1]] for p in ink.pieces])
    middle, along = ends.mean(axis=1), ends[:, 1] - ends[:, 0]
    along /= np.maximum(np.hypot(*along.T), 1e-9)[:, None]
    across = np.column_stack((-along[strokes, 1], along[strokes, 0]))
    for k, p in enumerate(ink.pieces):
        if k in hatch or p.shape != "line" or p.length > _LONGEST_MM:
            continue
        alike = np.abs(across @ along[k]) < _AS_STROKE
        away = middle[k] - middle[strokes]
        beside = np.abs((away * across).sum(axis=1)) < _PITCH_MM
        reach = (ink.lengths[strokes] + p.length) / 2.0
        level = np.abs((away * along[strokes]).sum(axis=1)) < reach
        found[k] = bool((alike & beside & level).any())
    return found
