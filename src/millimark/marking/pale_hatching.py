"""Strokes of hatching that are too pale to be traced or to darken their surroundings.

Along its own direction a pale stroke adds up, and the paper's grain does not. Grids of cells, page
millimetres.
"""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.marking.grid import Grid, Mask

_ANGLES, _LONG_MM = 18, 8.0
"""Directions that are tried, and the length over which a stroke is followed, mm."""
_LEAST, _TIMES = 0.008, 5.0
"""Mean darkness along a stroke above the paper beside it: at least the first, and so many times
what the grain gives."""
_APART_MM, _STROKES = 1.2, 5
"""So many strokes, further apart than the first, mm, are hatching."""
_SHORTEST_MM = 6.0


def pale_strokes(grid: Grid, pencil: NDArray[np.float32], region: Mask) -> bool:
    """Whether several pale strokes run side by side in the ``region``."""
    if region.sum() < (_LONG_MM * grid.per_paper_mm) ** 2:
        return False
    along = [_along(pencil, region, math.pi * k / _ANGLES, grid) for k in range(_ANGLES)]
    strong = [
        0.0 if seen is None else float(np.square(np.maximum(seen, 0.0)).mean()) for seen in along
    ]
    best = int(np.argmax(strong))
    seen = along[best]
    if seen is None:
        return False
    return _side_by_side(seen > 0.0, math.pi * best / _ANGLES, grid) >= _STROKES


def _along(
    pencil: NDArray[np.float32], region: Mask, angle: float, grid: Grid
) -> NDArray[np.float32] | None:
    """By how much the mean darkness along a line in this direction is over that of strokes (H, W);
    None where no line lies wholly in the region."""
    line = _line(angle, _LONG_MM * grid.per_paper_mm)
    full = np.asarray(cv2.filter2D(region.astype(np.float32), cv2.CV_32F, line)) > 0.99
    if not full.any():
        return None
    inside = np.where(region, pencil, np.float32(0.0))
    mean = np.asarray(cv2.filter2D(inside, cv2.CV_32F, line), dtype=np.float32)
    usual = float(np.median(mean[full]))
    grain = 1.4826 * float(np.median(np.abs(mean[full] - usual)))
    return np.where(full, mean - np.float32(usual + max(_LEAST, _TIMES * grain)), np.float32(-1.0))


def _line(angle: float, length: float) -> NDArray[np.float32]:
    """A kernel that takes the mean along a line."""
    half = math.ceil(length / 2.0)
    kernel = np.zeros((2 * half + 1, 2 * half + 1), np.float32)
    way = np.array([math.cos(angle), math.sin(angle)]) * length / 2.0
    a, b = (np.round((half + s * way) * 16).astype(int) for s in (-1.0, 1.0))
    cv2.line(kernel, (int(a[0]), int(a[1])), (int(b[0]), int(b[1])), 1.0, 1, cv2.LINE_AA, 4)
    mean: NDArray[np.float32] = kernel / kernel.sum()
    return mean


def _side_by_side(stroke: Mask, angle: float, grid: Grid) -> int:
    """How many strokes in about this direction there are, one beside the other."""
    count, labels, _, middles = cv2.connectedComponentsWithStats(stroke.astype(np.uint8))
    across = []
    for n in range(1, count):
        rows, columns = np.nonzero(labels == n)
        if math.hypot(np.ptp(rows), np.ptp(columns)) < (_SHORTEST_MM - 4.0) * grid.per_paper_mm:
            continue
        x, y = middles[n]
        across.append(-x * math.sin(angle) + y * math.cos(angle))
    gaps = np.diff(np.sort(across)) / grid.per_paper_mm
    return 1 + int((gaps > _APART_MM).sum()) if across else 0
