"""Crossings-out: narrow bands of short strokes to and fro, over something that is not meant.

A band is told from hatched shading by its narrowness, from lettering by its length.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.marking.ink import Array, Ink

LONGEST_STROKE_MM = 13.0
"""One to-and-fro of a crossing-out is shorter than this."""
_PER_MM = 2.0
_JOIN_MM, _THIN_MM = 1.8, 1.2
_WIDEST_MM = 5.0
"""Half the width of the widest band."""
_LEAST_MM = 14.0
_LEAST_STROKES = 6
_MIDDLE_MM, _PITCH = 2.2, 7
"""The middle of a stroke of a zigzag lies this near to what it strikes out; such strokes come
at least every 2 x 7 points along it (about 5 mm)."""
_SLENDER = 3.5
"""Least length of a band over its width."""


@dataclass(frozen=True, eq=False)
class Scribble:
    """Where there are crossings-out: ``mask`` (H, W), cell (0, 0) at ``origin`` paper mm."""

    mask: NDArray[np.bool_]
    origin: tuple[float, float]

    def share(self, xy: Array) -> float:
        """Share of the points (N, 2) that lie in a crossing-out; 0 for none."""
        if not len(xy):
            return 0.0
        at = np.floor((xy - np.array(self.origin)) * _PER_MM).astype(int)
        h, w = self.mask.shape
        inside = (at[:, 0] >= 0) & (at[:, 0] < w) & (at[:, 1] >= 0) & (at[:, 1] < h)
        hit = self.mask[np.clip(at[:, 1], 0, h - 1), np.clip(at[:, 0], 0, w - 1)]
        return float((hit & inside).mean())


def scribbles(ink: Ink) -> Scribble | None:
    """The crossings-out among the short pieces; None where there are none."""
    short = [p for p in ink.pieces if p.length < LONGEST_STROKE_MM]
    if len(short) < _LEAST_STROKES:
        return None
    xy = np.concatenate([p.xy for p in short])
    low = xy.min(axis=0) - 8.0
    size = np.ceil((xy.max(axis=0) + 8.0 - low) * _PER_MM).astype(int)
    image = np.zeros((int(size[1]), int(size[0])), dtype=np.uint8)
    for p in short:
        at = np.round((p.xy - low) * _PER_MM * 16 - 8).astype(np.int32)
        cv2.polylines(image, [at], False, 255, 1, cv2.LINE_8, 4)
    band = cv2.morphologyEx(image, cv2.MORPH_CLOSE, _disc(_JOIN_MM))
    band = cv2.morphologyEx(band, cv2.MORPH_OPEN, _disc(_THIN_MM))
    mask = _narrow(np.asarray(band) > 0, [(p.xy - low) * _PER_MM for p in short])
    return Scribble(mask, (float(low[0]), float(low[1]))) if mask.any() else None


def _narrow(band: NDArray[np.bool_], strokes: list[Array]) -> NDArray[np.bool_]:
    """The connected parts that are long, narrow and made of strokes across."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(band.astype(np.uint8))
    depth = cv2.distanceTransform(band.astype(np.uint8), cv2.DIST_L2, 3)
    kept = np.zeros_like(band)
    for label in range(1, count):
        part = labels == label
        half = float(depth[part].max()) / _PER_MM
        area = float(stats[label, cv2.CC_STAT_AREA]) / _PER_MM**2
        width = max(2 * half, 0.1)
        if half > _WIDEST_MM or area / width < max(_LEAST_MM, _SLENDER * width):
            continue
        if _spanned(part, half, strokes):
            kept |= np.asarray(cv2.dilate(part.astype(np.uint8), _disc(0.8))) > 0
    return kept


def _spanned(part: NDArray[np.bool_], half_mm: float, strokes: list[Array]) -> bool:
    """Whether the part is made of strokes that go from side to side of it, and no others."""
    across = spanning = 0
    cells = np.argwhere(part)[:, ::-1].astype(np.float64)
    along = np.linalg.eigh(np.cov(cells.T))[1][:, 1]
    for xy in strokes:
        middle = xy[len(xy) // 2].astype(int)
        if not part[min(middle[1], part.shape[0] - 1), min(middle[0], part.shape[1] - 1)]:
            continue
        d = (xy[-1] - xy[0]) / _PER_MM
        size = float(np.hypot(d[0], d[1]))
        across += 1
        spanning += size < 2.2 * half_mm + 2.5 and abs(float(d @ along)) < 0.85 * size
    return across >= _LEAST_STROKES and spanning >= 0.75 * across


def struck_through(ink: Ink, line: Sequence[int]) -> list[int]:
    """The short pieces that zigzag across the line of pieces ``line``; [] if it is not struck out.

    They must cross it with their middles on it, turn by turn along more than half of it.
    """
    from scipy.spatial import cKDTree

    own = set(line)
    short = [k for k, p in enumerate(ink.pieces) if p.length <= LONGEST_STROKE_MM and k not in own]
    if len(short) < _LEAST_STROKES:
        return []
    xy, tangent = ink.points(line), np.concatenate([ink.pieces[k].tangent for k in line])
    three = np.array(
        [ink.pieces[k].xy[[0, len(ink.pieces[k].xy) // 2, -1]] for k in short]
    )  # first, middle and last point of each
    distance, at = cKDTree(xy).query(three)
    normal = np.stack((-tangent[at, 1], tangent[at, 0]), axis=-1)
    side = ((three - xy[at]) * normal).sum(axis=-1)
    across = (distance[:, 1] <= _MIDDLE_MM) & (side[:, 0] * side[:, 2] < 0.0)
    across &= np.minimum(np.abs(side[:, 0]), np.abs(side[:, 2])) > 0.6
    bins = {
        b
        for middle in at[across, 1].tolist()
        for b in range(max(0, middle - _PITCH), min(len(xy), middle + _PITCH))
    }
    enough = across.sum() >= _LEAST_STROKES and len(bins) > 0.55 * len(xy)
    return [k for k, yes in zip(short, across, strict=True) if yes] if enough else []


def _disc(radius_mm: float) -> NDArray[np.uint8]:
    size = 2 * max(1, round(radius_mm * _PER_MM)) + 1
    return np.asarray(cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size)), dtype=np.uint8)
