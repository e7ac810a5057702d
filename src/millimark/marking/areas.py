"""Which connected areas of pencil are shading: not letters, blots or crossings-out.

Masks lie on the frame's `Grid`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.marking.grid import Cells, Grid, Mask, disc
from millimark.marking.ink import Array

LEAST_MM2 = 60.0
"""Shading of a roomy region covers more than this, mm²; one area of it at least 0.6 of that."""
_BAND_MM = 5.0
"""Half the width of a crossing-out, at most."""
_DARK = 0.06
_SOLID_MM = 1.5
"""Letters leave no dark disc of this radius."""
_LABEL_MM = (30.0, 14.0)
"""Length and height of what is written beside a line, with the blur around it, at most."""
_LETTER_MM = 7.0
"""A stroke of a letter is shorter than this."""
_ROOM = 0.15
"""Lettering takes up less than this share of its cell."""
_SMALL_MM2, _LEAST_SEEN_MM2 = 200.0, 15.0
_RIM_MM, _DEEP_MM, _FULL = 1.0, 1.9, 0.9
"""Of a small cell what is farther than its rim from the walls shows; a cell that is nowhere deeper
may be covered by a line; one of which this share is dark is toned."""


@dataclass(frozen=True, eq=False)
class Pencil:
    """The pencil that may be shading: its darkness on the grid where it is ``seen`` (beside the
    lines that are accounted for), and its strokes, (N, 2) paper mm each."""

    darkness: NDArray[np.float32]
    seen: Mask
    strokes: Sequence[Array]


def shading_areas(mask: NDArray[np.uint8], grid: Grid, cells: Cells, pencil: Pencil) -> Mask:
    """Connected areas of some size only: letters and blots are not shading, nor is a narrow
    band, beside a much larger area, that does not fill its cell (a try that was crossed out)."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    depth = cv2.distanceTransform(mask, cv2.DIST_L2, 3)
    room = np.bincount(cells.ravel())
    area = stats[:, cv2.CC_STAT_AREA]
    largest = float(area[1:].max()) if count > 1 else 0.0
    big = []
    for k in range(1, count):
        part = labels == k
        half = float(depth[part].max()) / grid.per_paper_mm
        cell = int(np.bincount(cells[part]).argmax())
        band = half < _BAND_MM and area[k] < 0.4 * largest and area[k] < 0.4 * room[cell]
        if area[k] < 0.6 * LEAST_MM2 * grid.per_paper_mm**2 or band:
            continue
        if area[k] > _ROOM * room[cell] or not _is_lettering(part, grid, pencil):
            big.append(k)
    kept: Mask = np.isin(labels, big)
    return kept


def toned_cells(grid: Grid, cells: Cells, pencil: Pencil) -> Mask:
    """Small cells of which all that shows between their walls is dark: too little of them shows
    to be an area by itself."""
    room = cv2.distanceTransform((cells > 0).astype(np.uint8), cv2.DIST_L2, 3) / grid.per_paper_mm
    mm2 = 1.0 / grid.per_paper_mm**2
    full = []
    for label in np.flatnonzero(np.bincount(cells.ravel()) * mm2 < _SMALL_MM2):
        cell = cells == label
        shows = cell & pencil.seen & (room > _RIM_MM)
        if label == 0 or shows.sum() * mm2 < _LEAST_SEEN_MM2 or room[cell].max() < _DEEP_MM:
            continue
        if (pencil.darkness[shows] > _DARK).mean() > _FULL:
            full.append(label)
    return np.asarray(np.isin(cells, full), dtype=bool)


def _is_lettering(part: Mask, grid: Grid, pencil: Pencil) -> bool:
    """Whether an area is as small as a label, nowhere solid, and made of short strokes only."""
    rows, cols = np.nonzero(part)
    _, size, _ = cv2.minAreaRect(np.column_stack((cols, rows)).astype(np.float32))
    length, height = sorted((v / grid.per_paper_mm for v in size), reverse=True)
    if length > _LABEL_MM[0] or height > _LABEL_MM[1]:
        return False
    dark = (part & pencil.seen & (pencil.darkness > _DARK)).astype(np.uint8)
    if np.asarray(cv2.erode(dark, disc(_SOLID_MM, grid))).any():
        return False
    return not any(
        len(xy) > 1 and _reach(xy) > _LETTER_MM and _mostly(part, grid, xy) for xy in pencil.strokes
    )


def _reach(xy: Array) -> float:
    return float(np.hypot(*(xy[-1] - xy[0])))


def _mostly(part: Mask, grid: Grid, xy: Array) -> bool:
    return float(part[grid.drawn([xy], 0.0)].mean()) > 0.5
