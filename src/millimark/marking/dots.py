"""A dot where a line was asked for: a point marked instead of a locus."""

from __future__ import annotations

import cv2
import numpy as np

from millimark.scan.reading import FrameReading

_DARK = 0.22
_AREA_MM2 = (0.35, 4.0)
_ROUND, _FULL = 1.7, 0.55
"""A dot is at most this much longer than wide, and fills this much of its box."""
_ALONE_MM = 3.0


def lone_dot(frame: FrameReading, corner: tuple[float, float]) -> bool:
    """Whether the pencil holds a round dark blot about a millimetre across, away from lines.

    ``corner`` is the frame's top-left corner, page mm.
    """
    dark = (frame.pencil > _DARK).astype(np.uint8)
    count, _, stats, centres = cv2.connectedComponentsWithStats(dark, connectivity=8)
    lines = [s.xy for s in frame.strokes if len(s.xy) > 12]
    drawn = np.concatenate(lines) if lines else np.full((1, 2), np.inf)
    for k in range(1, count):
        w, h = float(stats[k, cv2.CC_STAT_WIDTH]), float(stats[k, cv2.CC_STAT_HEIGHT])
        area = float(stats[k, cv2.CC_STAT_AREA])
        size = area / frame.px_per_mm**2
        if not _AREA_MM2[0] < size < _AREA_MM2[1] or max(w, h) > _ROUND * min(w, h):
            continue
        at = np.array(corner) + (centres[k] + 0.5) / frame.px_per_mm
        if area > _FULL * w * h and float(np.hypot(*(drawn - at).T).min()) > _ALONE_MM:
            return True
    return False
