"""How much of the pencil no stroke was traced through: what is not there cannot be told then."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.scan.reading import FrameReading

_DARK, _BROAD_MM, _LEAST_MM2 = 0.15, 1.5, 8.0
"""Pencil is darker than the first; a stroke accounts for a band of the second about it, mm; less
than the third, mm2, on no stroke is what printing leaves: of 20 mm of a thin line there is more."""
_DOT_MM, _DOT_MM2, _FULL = 4.0, 1.0, 0.55
"""A patch no longer and no broader than the first, mm, larger than the second, mm2, that fills more
than the third of its box is a dot: a point that was marked."""
TOO_MUCH = 0.35
"""From this share on the drawing was not followed. Nine in ten rehearsed answers have at most 0.06,
one in thirty over 0.2; lines by a blunt, grainy lead on a printed grid 0.4 to 0.5."""


def unfollowed(frame: FrameReading, corner: tuple[float, float]) -> float:
    """Share of the dark pencil in a frame, its top-left ``corner`` at page mm, that lies on no
    stroke: lines too grainy, or too much cut by print, to be traced."""
    k = frame.px_per_mm
    dark = (frame.pencil > _DARK).astype(np.uint8)
    lost = dark.copy()
    for stroke in frame.strokes:
        at = np.round((stroke.xy - np.array(corner)) * k * 8).astype(np.int32)
        cv2.polylines(lost, [at], False, 0.0, max(1, round(_BROAD_MM * k)), cv2.LINE_8, 3)
    least = _LEAST_MM2 * k * k
    if cv2.countNonZero(lost) < least:
        return 0.0
    dots = _in_dots(dark, k)
    left = cv2.countNonZero(lost) - sum(cv2.countNonZero(lost[box]) for box in dots)
    total = cv2.countNonZero(dark) - sum(cv2.countNonZero(dark[box]) for box in dots)
    return left / total if left >= least else 0.0


def _in_dots(dark: NDArray[np.uint8], px_per_mm: float) -> list[tuple[slice, slice]]:
    """The boxes, rows and columns, of the points that were marked."""
    _, _, boxes, _ = cv2.connectedComponentsWithStats(dark)
    found = []
    for left, top, width, height, area in boxes[1:]:
        small = max(width, height) < _DOT_MM * px_per_mm
        full = area > _DOT_MM2 * px_per_mm**2 and area > _FULL * width * height
        if small and full:
            found.append((slice(top, top + height), slice(left, left + width)))
    return found
