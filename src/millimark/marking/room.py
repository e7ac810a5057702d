"""Where on a frame there is room to write: places that cover least of the pupil's work."""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.plane.point import Point

Box = tuple[float, float, float, float]


class Room:
    """What is taken in ``box`` (page mm), on cells `CELL` mm wide; grows as things are placed."""

    CELL = 1.0

    def __init__(self, box: Box, busy: NDArray[np.bool_]) -> None:
        """``busy`` (H, W): taken, at any resolution, over the whole box."""
        self.box = box
        w = max(1, round((box[2] - box[0]) / self.CELL))
        h = max(1, round((box[3] - box[1]) / self.CELL))
        full = cv2.threshold(busy.view(np.uint8), 0.0, 255.0, cv2.THRESH_BINARY)[1]
        share = cv2.resize(full, (w, h), interpolation=cv2.INTER_AREA)
        self.taken: NDArray[np.float64] = (np.asarray(share) > 0.01 * 255.0).astype(np.float64)
        self._total: NDArray[np.float64] | None = None

    def take(self, box: Box, weight: float = 3.0) -> None:
        """Note that something now stands in ``box``."""
        c0, r0, c1, r1 = self._cells(box)
        self.taken[r0:r1, c0:c1] += weight
        self._total = None

    def take_points(self, xy: NDArray[np.float64], weight: float) -> None:
        """Note that something stands at each of the points (N, 2)."""
        cell = np.floor((xy - np.array(self.box[:2])) / self.CELL).astype(int)
        inside = ((cell >= 0) & (cell < self.taken.shape[::-1])).all(axis=1)
        np.add.at(self.taken, (cell[inside, 1], cell[inside, 0]), weight)
        self._total = None

    def cost(self, box: Box) -> float:
        """How much of the work ``box`` would cover, in cells; outside counts ten times."""
        c0, r0, c1, r1 = self._cells(box)
        inside = float(self.taken[r0:r1, c0:c1].sum())
        area = (box[2] - box[0]) * (box[3] - box[1]) / self.CELL**2
        return inside + 10.0 * max(0.0, area - (c1 - c0) * (r1 - r0) - 4 * (r1 - r0 + c1 - c0))

    def emptiest(self, width: float, height: float, margin: float = 1.5) -> tuple[Point, float]:
        """Top-left corner of the ``width`` x ``height`` box that covers least, and its cost.

        Of equal places the one nearest to a corner of the box comes first.
        """
        if self._total is None:
            rows, cols = self.taken.shape
            self._total = np.zeros((rows + 1, cols + 1))
            self._total[1:, 1:] = self.taken.cumsum(0).cumsum(1)
        total = self._total
        w, h = int(np.ceil(width / self.CELL)), int(np.ceil(height / self.CELL))
        rows, cols = self.taken.shape
        if w >= cols or h >= rows:
            return Point(self.box[0] + margin, self.box[1] + margin), float(self.taken.sum())
        covered = total[h:, w:] - total[:-h, w:]
        covered -= total[h:, :-w]
        covered += total[:-h, :-w]
        r, c = (np.minimum(np.arange(n), np.arange(n)[::-1]) for n in covered.shape)
        best = int(np.argmin(covered + 0.02 * (r[:, None] + c)))
        row, col = divmod(best, covered.shape[1])
        x = min(
            max(self.box[0] + col * self.CELL, self.box[0] + margin), self.box[2] - width - margin
        )
        y = min(
            max(self.box[1] + row * self.CELL, self.box[1] + margin), self.box[3] - height - margin
        )
        return Point(x, y), float(covered[row, col])

    def _cells(self, box: Box) -> tuple[int, int, int, int]:
        rows, cols = self.taken.shape
        x0, y0, x1, y1 = ((v - self.box[k % 2]) / self.CELL for k, v in enumerate(box))
        c0, c1 = min(max(math.floor(x0), 0), cols), min(max(math.ceil(x1), 0), cols)
        r0, r1 = min(max(math.floor(y0), 0), rows), min(max(math.ceil(y1), 0), rows)
        return c0, r0, c1, r1
