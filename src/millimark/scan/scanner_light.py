"""How a scanner lights a page: evenly, so that wide grey areas are pencil.

Cells and pages are as in `light`, which is for photographs.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.scan.light import ENOUGH, Box, Field, Grey, Light, Mask, blank_cells, in_cells

Array = NDArray[np.float64]

_POWERS = ((0, 0), (0, 1), (1, 0), (0, 2), (1, 1), (2, 0))
"""Powers (of y, of x) in the paper's brightness."""
_DARKEST, _BRIGHTEST = 0.98, 1.04
"""How far blank paper may depart, cell by cell, from an even surface through it."""
_CLOSED = 9
_SMOOTH = 4.5


def scanner_light(picture: Grey, printed: Grey, frames: Sequence[Box], size_mm: Box) -> Light:
    """The light on a whole straightened page; arguments as for `light.page_light`.

    The surface goes through what lies outside the answer frames, however much is shaded inside.
    """
    bright, ink = in_cells(picture, printed, size_mm)
    blank = blank_cells(~ink, frames)
    surface = _surface(bright, blank if blank.sum() > ENOUGH else ~ink)
    closed = cv2.morphologyEx(bright, cv2.MORPH_CLOSE, np.ones((_CLOSED, _CLOSED), np.uint8))
    smooth = cv2.GaussianBlur(closed.astype(np.float32), (0, 0), _SMOOTH)
    level = np.asarray(smooth, dtype=np.float32)
    np.clip(level, _DARKEST * surface, _BRIGHTEST * surface, out=level)
    return Light(np.maximum(level, 1.0, out=level), None)


def _surface(small: Grey, clear: Mask) -> Field:
    """A quadratic surface through the bright cells: dark ones lose their weight."""
    rows, columns = small.shape
    v, u = np.linspace(-1.0, 1.0, rows), np.linspace(-1.0, 1.0, columns)
    step = max(1, int(math.sqrt(rows * columns / 2500)))
    some_v, some_u = (g.ravel() for g in np.meshgrid(v[::step], u[::step], indexing="ij"))
    basis = np.column_stack([some_v**i * some_u**j for i, j in _POWERS])
    value: Array = small[::step, ::step].ravel().astype(np.float64)
    seen = clear[::step, ::step].ravel()
    seen = seen if seen.sum() > 20 else np.ones_like(seen)
    kept: Mask = seen & (value > 0.6 * float(np.percentile(value[seen], 75)))
    solution: Array = np.zeros(len(_POWERS))
    for _ in range(5):
        part = basis[kept]
        normal = part.T @ part + 1e-6 * np.eye(len(_POWERS))
        solution[:] = np.linalg.solve(normal, part.T @ value[kept])
        off: Array = value - basis @ solution
        spread = max(1.0, 1.4826 * float(np.median(np.abs(off[kept]))))
        kept = seen & (off > -1.5 * spread) & (off < 4.0 * spread)
        if kept.sum() < 20:
            break
    terms = np.zeros((3, 3))
    for (i, j), c in zip(_POWERS, solution, strict=True):
        terms[i, j] = c
    across = np.stack([u**0, u, u * u])
    down = np.stack([v**0, v, v * v])
    return np.asarray(np.maximum(down.T @ terms @ across, 1.0), dtype=np.float32)
