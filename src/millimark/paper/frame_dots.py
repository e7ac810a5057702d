"""Pale dots inside an answer frame: known places that hold a curled page's map together.

Few, small and in no line with each other, so that they neither disturb nor guide a hand:
a rank-1 lattice (golden-section steps), moved until it is as clear of answer and working
as it can be. None is left out for the answer's sake: a gap would give it away.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from millimark.paper.formats import Box
from millimark.paper.furniture import FRAME_DOT_DIAMETER
from millimark.sheet.layout import Dot

AREA_EACH = 900.0  # mm² of frame for each dot
CLEAR_OF_PRINT = 2.5  # mm from printed lines, labels and the frame
CLEAR_OF_ANSWER = 1.2  # mm that are aimed at
_TRIES = 64
# Roberts' R2 sequence: fractional parts of multiples of 1/g and 1/g², g the plastic number.
_G = 1.32471795724474602596
_STEP = np.array([1 / _G, 1 / _G**2])


def frame_dots(
    frame: Box, printed: NDArray[np.float64], answer: NDArray[np.float64]
) -> tuple[Dot, ...]:
    """Dots for one frame. ``printed`` and ``answer`` are points (N, 2) on ink, page mm."""
    size = np.array([frame[2] - frame[0], frame[3] - frame[1]]) - 2 * CLEAR_OF_PRINT
    corner = np.array(frame[:2]) + CLEAR_OF_PRINT
    n = max(8, round(float(size[0] * size[1]) / AREA_EACH))
    best, least = np.empty((0, 2)), np.inf
    for attempt in range(_TRIES):
        phase = (attempt * np.array([0.618034, 0.324718])) % 1.0
        lattice = (phase + np.outer(np.arange(1, n + 1), _STEP)) % 1.0
        xy = corner + lattice * size
        near = _distances(xy, answer)
        cost = float(np.maximum(0.0, CLEAR_OF_ANSWER - near).sum())
        if cost < least - 1e-9:
            best, least = xy, cost
        if least == 0.0:
            break
    best = best[_distances(best, printed) >= CLEAR_OF_PRINT]
    return tuple(Dot(round(float(x), 3), round(float(y), 3), FRAME_DOT_DIAMETER) for x, y in best)


def _distances(xy: NDArray[np.float64], ink: NDArray[np.float64]) -> NDArray[np.float64]:
    """Distance from each of (N, 2) points to the nearest of (M, 2); inf without ink."""
    if len(ink) == 0:
        return np.full(len(xy), np.inf)
    d: NDArray[np.float64] = np.hypot(
        xy[:, None, 0] - ink[None, :, 0], xy[:, None, 1] - ink[None, :, 1]
    ).min(axis=1)
    return d
