"""How much of the pencil no stroke was traced through: what is not there cannot be told then."""

from __future__ import annotations

import cv2
import numpy as np

from millimark.scan.reading import FrameReading

_DARK, _BROAD_MM, _LEAST_MM2 = 0.15, 1.5, 3.0
"""Pencil is darker than the first; a stroke accounts for a band of the second about it, mm; of less
than the third, mm2, no share is told."""
TOO_MUCH = 0.35
"""From this share on the drawing was not followed. Nine in ten rehearsed answers have at most 0.06,
one in thirty over 0.2; lines by a blunt, grainy lead on a printed grid 0.4 to 0.5."""


def unfollowed(frame: FrameReading, corner: tuple[float, float]) -> float:
    """Share of the dark pencil in a frame, its top-left ``corner`` at page mm, that lies on no
    stroke: lines too grainy, or too much cut by print, to be traced."""
    k = frame.px_per_mm
    dark = frame.pencil > _DARK
    if dark.sum() < _LEAST_MM2 * k * k:
        return 0.0
    followed = np.zeros(dark.shape, dtype=np.uint8)
    for stroke in frame.strokes:
        at = np.round((stroke.xy - np.array(corner)) * k * 8).astype(np.int32)
        cv2.polylines(followed, [at], False, 1.0, max(1, round(_BROAD_MM * k)), cv2.LINE_8, 3)
    return float((dark & (followed == 0)).sum() / dark.sum())
