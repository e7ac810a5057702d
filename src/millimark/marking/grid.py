"""The frame as a grid of cells, on which areas are drawn and counted.

Grids have `PER_MM` cells to the page millimetre, the centre of cell (0, 0) half a cell
inside the frame's top-left corner.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.marking.ink import Array

PER_MM = 2.0

Mask = NDArray[np.bool_]
Cells = NDArray[np.int32]


@dataclass(frozen=True)
class Grid:
    """The frame's grid and how paper mm fall on it."""

    shape: tuple[int, int]
    frame: tuple[float, float, float, float]
    per_paper_mm: float

    def pixels(self, xy: Array) -> NDArray[np.int32]:
        """Grid (column, row) in 1/16 cells, as OpenCV's drawing with shift 4 takes them."""
        at = (xy - np.array(self.frame[:2])) * self.per_paper_mm - 0.5
        sixteenths: NDArray[np.int32] = np.round(np.clip(at, -4e3, 4e3) * 16.0).astype(np.int32)
        return sixteenths

    def paper(self, col: Array, row: Array) -> Array:
        """Paper mm (N, 2) of the centres of cells."""
        xy: Array = np.column_stack((col + 0.5, row + 0.5)) / self.per_paper_mm
        placed: Array = xy + np.array(self.frame[:2])
        return placed

    def drawn(self, lines: Sequence[Array], width_mm: float) -> Mask:
        """Where polylines of this width run."""
        image = np.zeros(self.shape, dtype=np.uint8)
        thick = max(1, round(width_mm * self.per_paper_mm))
        for xy in lines:
            if len(xy) > 1:
                cv2.polylines(image, [self.pixels(xy)], False, 255, thick, cv2.LINE_8, 4)
        return image > 0


def disc(radius_mm: float, grid: Grid) -> NDArray[np.uint8]:
    """A round structuring element, an odd number of cells wide."""
    size = 2 * max(1, round(radius_mm * grid.per_paper_mm)) + 1
    return np.asarray(cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size)), dtype=np.uint8)
