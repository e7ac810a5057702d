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
    dark = _without_dots(frame.pencil > _DARK, k)
    followed = np.zeros(dark.shape, dtype=np.uint8)
    for stroke in frame.strokes:
        at = np.round((stroke.xy - np.array(corner)) * k * 8).astype(np.int32)
        cv2.polylines(followed, [at], False, 1.0, max(1, round(_BROAD_MM * k)), cv2.LINE_8, 3)
    left = int((dark & (followed == 0)).sum())
    return left / int(dark.sum()) if left >= _LEAST_MM2 * k * k else 0.0


def _without_dots(dark: NDArray[np.bool_], px_per_mm: float) -> NDArray[np.bool_]:
    """The dark pixels (H, W) without the points that were marked."""
    _, labels, boxes, _ = cv2.connectedComponentsWithStats(dark.astype(np.uint8))
    _, _, width, height, area = boxes.T
    small = np.maximum(width, height) < _DOT_MM * px_per_mm
    full = (area > _DOT_MM2 * px_per_mm**2) & (area > _FULL * width * height)
    rest = ~(small & full)
    rest[0] = False
    return np.asarray(rest[labels])
