"""Pencil that may be shading though it does not look like it.

Two readings that keep a mark from being withheld for shading that was not recognised: a
narrow band of strokes that fills the space between the pupil's own lines, which looks like a
crossing-out; and pencil in the right region that no line or arc explains.
"""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.marking.grid import Cells, Grid, Mask, disc
from millimark.marking.ink import Array

_JOIN_MM, _THIN_MM = 2.5, 1.0
_FULL, _OWN = 0.5, 0.9
"""A band is shading if it fills this share of a cell and this share of its strokes lies there."""
_BLUR_MM = 2.5
_LINE_MM = 1.2
_FAINT = 0.0125
"""Mean darkness half of what counts as shading."""


def fills_its_cell(grid: Grid, strokes: Sequence[Array], cells: Cells) -> list[bool]:
    """For each stroke (N, 2) paper mm, whether it is part of a band that fills a cell between
    the pupil's own lines: a narrow region that was shaded. A crossing-out goes over lines, or
    lies somewhere in a cell."""
    if not strokes:
        return []
    ink = grid.drawn(strokes, 0.5).astype(np.uint8)
    band = cv2.morphologyEx(ink, cv2.MORPH_CLOSE, disc(_JOIN_MM, grid))
    band = cv2.morphologyEx(np.asarray(band), cv2.MORPH_OPEN, disc(_THIN_MM, grid))
    covered = np.bincount(cells.ravel(), weights=np.asarray(band).ravel() > 0)
    full = covered > _FULL * np.bincount(cells.ravel())
    full[0] = False  # the walls
    return [_lies_in(grid, xy, cells, full) for xy in strokes]


def _lies_in(grid: Grid, xy: Array, cells: Cells, full: NDArray[np.bool_]) -> bool:
    """Whether nearly all of a stroke, walls aside, lies in one cell that is full."""
    here = cells[grid.drawn([xy], 0.0)]
    here = here[here > 0]
    if not len(here):
        return False
    counts = np.bincount(here)
    home = int(counts.argmax())
    return bool(full[home]) and float(counts[home]) >= _OWN * len(here)


def beside_tones(pencil: NDArray[np.float32], px_per_mm: float) -> NDArray[np.float32]:
    """The pencil's darkness (H, W) less that of what is wider than a line: strokes stay, an even
    tone does not."""
    size = 2 * round(_LINE_MM * px_per_mm / 2.0) + 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size))
    return np.asarray(cv2.morphologyEx(pencil, cv2.MORPH_TOPHAT, disc), np.float32)


def unexplained_share(
    grid: Grid, pencil: NDArray[np.float32], explained: Mask, region: Mask
) -> float:
    """Share of ``region`` whose surroundings hold pencil besides ``explained``; 0 without room."""
    room = region & ~explained
    if not room.any():
        return 0.0
    sigma = _BLUR_MM * grid.per_paper_mm
    amount = cv2.GaussianBlur(np.where(room, pencil, np.float32(0.0)), (0, 0), sigma)
    weight = cv2.GaussianBlur(room.astype(np.float32), (0, 0), sigma)
    notable = np.asarray(amount) / np.maximum(np.asarray(weight), 0.05) > _FAINT
    return float(notable[room].mean())
