"""The border's registration marks: found at reduced size, measured at full size.

Image coordinates: pixel centres at integers, origin top-left, (x, y). Corners of a mark
are in the order top-left, top-right, bottom-right, bottom-left of the printed mark.
"""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.scan.medians import medians

Array = NDArray[np.float64]
Grey = NDArray[np.uint8]
Seen = tuple[NDArray[np.int64], Array]
"""Ids (M,) and rough corners (M, 4, 2) px."""

DICTIONARY = cv2.aruco.DICT_4X4_50
"""The marks' dictionary: 4 x 4 cells inside a border one cell wide, so 6 cells a side."""
_CELLS = 6
_SEARCH_SIDES = (1300, 2600)
"""Longest side (px) of the reduced images that are searched, in turn."""
_ENOUGH = 4
_MARGIN, _WIDE_MARGIN = 24, 48
"""Pixels of the reduced image round a mark that are searched with it: more than half a window; and
6 mm more, by which a scanned page may lie askew."""
_WINDOWS, _QUICK_WINDOWS = (15, 31), (11, 11)
"""Least and greatest side (px) of the squares whose mean tells black from white."""
_ALONG = np.linspace(0.14, 0.86, 14)
"""Where along an edge it is measured: corners are rounded by ink and lens, so not near them."""
_REACH = 0.62
"""How far to both sides of an edge the profile goes, in cells: the border is one cell wide."""
_SAMPLES = 25
_NOTHING: Seen = (np.empty(0, dtype=np.int64), np.empty((0, 4, 2)))


@dataclass(frozen=True, eq=False)
class FoundMarks:
    """``ids`` (M,) int; ``corners`` (M, 4, 2) px; ``sigma`` (M,) px of a corner coordinate."""

    ids: NDArray[np.int64]
    corners: Array
    sigma: Array

    def __len__(self) -> int:
        return len(self.ids)


def find_marks(
    grey: Grey, known: Set[int] = frozenset(), likely: Array | None = None
) -> FoundMarks:
    """Every registration mark in the image; an empty result where there is none.

    ``known`` are those on the page, and ``likely`` (M, 4, 2) px roughly where their corners are if
    the whole page was scanned. Where all of them are seen there, or else at a quick look, the
    image is not searched beyond.
    """
    if known and likely is not None:
        seen = _once_each(*_searched_round(grey, likely, _WIDE_MARGIN))
        if known <= set(seen[0].tolist()):
            return _measured(grey, *seen)
    quick = _quickly_seen(grey) if known else _NOTHING
    all_there = bool(known) and known <= set(quick[0].tolist())
    found = _searched_round(grey, quick[1], _MARGIN) if all_there else _searched(grey)
    return _measured(grey, *_once_each(*found))


def _quickly_seen(grey: Grey) -> Seen:
    """The marks in the image halved until it is small: halving takes a tenth of the time."""
    small, step = grey, 1
    while max(small.shape) > _SEARCH_SIDES[0] and min(small.shape) > 1:
        small, step = _reduced(small, 2), step * 2
    return _once_each(*_detected(small, step, _QUICK_WINDOWS, max(small.shape)))


def _searched_round(grey: Grey, corners: Array, margin: int) -> Seen:
    """The marks near the rough ``corners`` (M, 4, 2): what `_searched` sees of the whole image."""
    step = _step(grey, _SEARCH_SIDES[0])
    ends = np.array(grey.shape[::-1]) // step
    found = []
    for mark in (corners + 0.5) / step:
        x0, y0 = np.maximum(np.floor(mark.min(axis=0)).astype(int) - margin, 0)
        x1, y1 = np.minimum(np.ceil(mark.max(axis=0)).astype(int) + margin, ends)
        part = _reduced(grey[y0 * step : y1 * step, x0 * step : x1 * step], step)
        ids, at = _detected(part, step, _WINDOWS, int(ends.max()))
        found.append((ids, at + step * np.array([x0, y0])))
    return np.concatenate([ids for ids, _ in found]), np.concatenate([at for _, at in found])


def _searched(grey: Grey) -> Seen:
    """The marks in reduced images, in finer ones where there are few."""
    best = _NOTHING
    for side in _SEARCH_SIDES:
        step = _step(grey, side)
        small = _reduced(grey, step)
        found = _detected(small, step, _WINDOWS, max(small.shape))
        if len(found[0]) > len(best[0]):
            best = found
        if len(best[0]) >= _ENOUGH or step == 1:
            break
    return best


def _step(grey: Grey, side: int) -> int:
    """By how much the image is reduced to a longest side of about ``side``."""
    longest = int(max(grey.shape))
    return max(1, round(longest / side))


def _reduced(grey: Grey, step: int) -> Grey:
    """The image at 1/step of its size."""
    if step == 1:
        return grey
    size = (grey.shape[1] // step, grey.shape[0] // step)
    even = grey[: size[1] * step, : size[0] * step]
    return np.asarray(cv2.resize(even, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)


def _detected(small: Grey, step: int, windows: tuple[int, int], side: int) -> Seen:
    """Ids and rough corners, in full-size pixels, in (a part of) an image at 1/step of the size
    whose longest side is ``side``."""
    parameters = cv2.aruco.DetectorParameters()
    parameters.adaptiveThreshWinSizeMin, parameters.adaptiveThreshWinSizeMax = windows
    parameters.adaptiveThreshWinSizeStep = 16
    parameters.minMarkerPerimeterRate = 0.02 * side / max(small.shape)
    parameters.maxMarkerPerimeterRate = 0.6 * side / max(small.shape)
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_NONE
    dictionary = cv2.aruco.getPredefinedDictionary(DICTIONARY)
    corners, ids, _ = cv2.aruco.ArucoDetector(dictionary, parameters).detectMarkers(small)
    if ids is None or len(ids) == 0:
        return _NOTHING
    full = (np.asarray(corners, dtype=np.float64).reshape(-1, 4, 2) + 0.5) * step - 0.5
    return np.asarray(ids, dtype=np.int64).ravel(), full


def _once_each(ids: NDArray[np.int64], corners: Array) -> Seen:
    """Ids seen more than once are dropped: none of them can be trusted."""
    values, counts = np.unique(ids, return_counts=True)
    keep = np.isin(ids, values[counts == 1])
    order = np.argsort(ids[keep])
    return ids[keep][order], corners[keep][order]


def _measured(grey: Grey, ids: NDArray[np.int64], corners: Array) -> FoundMarks:
    """Corners as crossings of the marks' fitted edges; marks whose edges fail are dropped."""
    if len(ids) == 0:
        return FoundMarks(ids, corners, np.empty(0))
    for _ in range(2):  # the second pass samples square to the edges just found
        offset, slope, spread = _edge_lines(grey, corners)
        refined, moved = _crossings(corners, offset, slope)
        side = np.hypot(*np.moveaxis(corners - np.roll(corners, -1, axis=1), 2, 0)).mean(axis=1)
        good = np.isfinite(refined).all(axis=(1, 2)) & (moved < 0.5 * side / _CELLS + 1.0)
        ids, corners, spread = ids[good], refined[good], spread[good]
        if len(ids) == 0:
            break
    return FoundMarks(ids, corners, np.maximum(spread, 0.02))


def _edge_lines(grey: Grey, corners: Array) -> tuple[Array, Array, Array]:
    """For each edge the line offset + slope * (s - 1/2), px outward along its normal.

    Arrays (M, 4); ``spread`` (M,) px the standard error of an edge's place.
    """
    start, end = corners, np.roll(corners, -1, axis=1)
    side = np.hypot(*np.moveaxis(end - start, 2, 0))
    along = (end - start) / side[..., None]
    outward = np.stack((along[..., 1], -along[..., 0]), axis=-1)
    reach = side.mean(axis=1)[:, None] / _CELLS * _REACH
    steps = np.linspace(-1.0, 1.0, _SAMPLES)
    at = start[:, :, None, :] + _ALONG[None, None, :, None] * (end - start)[:, :, None, :]
    where = (
        at[:, :, :, None, :]
        + (reach[:, :, None] * steps)[:, :, None, :, None] * outward[:, :, None, None, :]
    )
    place, usable = _edge_places(_sampled(grey, where), steps)
    return _robust_lines(place * reach[:, :, None], usable)


def _sampled(grey: Grey, where: Array) -> Array:
    """Grey values at (..., 2) px, bilinear, edges repeated."""
    flat = where.reshape(-1, where.shape[-2], 2).astype(np.float32)
    values = cv2.remap(
        grey, flat[..., 0], flat[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    return np.asarray(values, dtype=np.float64).reshape(where.shape[:-1])


def _edge_places(profile: Array, steps: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Where each profile (..., S) passes from black (inside) to white, in units of the reach.

    The area under the profile between its two levels gives the place without a bias from
    any symmetric blur. A profile without contrast or with a level out of place is unusable.
    """
    quarter = len(steps) // 4
    black = medians(profile[..., :quarter])
    white = medians(profile[..., -quarter:])
    contrast = white - black
    safe = np.where(contrast > 1.0, contrast, 1.0)
    level = np.clip((profile - black[..., None]) / safe[..., None], -0.1, 1.1)
    place = 1.0 - level.mean(axis=-1) * 2.0 * len(steps) / (len(steps) - 1)
    place += 1.0 / (len(steps) - 1)
    rough = np.abs(np.diff(level, axis=-1)).sum(axis=-1)
    typical = np.median(contrast, axis=(-2, -1), keepdims=True)
    usable = (contrast > 0.5 * typical) & (contrast > 20.0) & (rough < 2.0)
    return place, usable & (np.abs(place) < 0.8)


def _robust_lines(place: Array, usable: NDArray[np.bool_]) -> tuple[Array, Array, Array]:
    """Weighted straight lines through (M, 4, S) edge places; NaN where too few are usable."""
    s = np.broadcast_to(_ALONG - 0.5, place.shape)
    weight = usable.astype(np.float64)
    offset = slope = np.zeros(place.shape[:2])
    for _ in range(4):
        total = weight.sum(axis=-1)
        total = np.where(total >= 5.0, total, np.nan)
        mean_s, mean_p = (weight * s).sum(-1) / total, (weight * place).sum(-1) / total
        ds = s - mean_s[..., None]
        slope = (weight * ds * place).sum(-1) / np.maximum((weight * ds**2).sum(-1), 1e-9)
        offset = mean_p - slope * mean_s
        off = np.abs(place - offset[..., None] - slope[..., None] * s)
        scale = 1.4826 * medians(np.where(usable, np.nan_to_num(off, nan=1e9), 1e9))
        limit = 3.0 * np.clip(scale, 0.03, 2.0)[..., None]
        weight = usable * (off < limit)
    rms = np.sqrt(((weight * off**2).sum(-1) / total).mean(axis=-1))
    return offset, slope, rms / np.sqrt(len(_ALONG) / 2.0)


def _crossings(corners: Array, offset: Array, slope: Array) -> tuple[Array, Array]:
    """Corners where neighbouring edge lines cross, and how far (px) they moved at most."""
    start, end = corners, np.roll(corners, -1, axis=1)
    side = np.hypot(*np.moveaxis(end - start, 2, 0))
    along = (end - start) / side[..., None]
    outward = np.stack((along[..., 1], -along[..., 0]), axis=-1)
    a = start + (offset - 0.5 * slope)[..., None] * outward
    b = end + (offset + 0.5 * slope)[..., None] * outward
    normal = np.stack((b[..., 1] - a[..., 1], a[..., 0] - b[..., 0]), axis=-1)
    level = (normal * a).sum(-1)
    before, level_before = np.roll(normal, 1, axis=1), np.roll(level, 1, axis=1)
    det = before[..., 0] * normal[..., 1] - before[..., 1] * normal[..., 0]
    det = np.where(np.abs(det) > 1e-9, det, np.nan)
    x = (level_before * normal[..., 1] - level * before[..., 1]) / det
    y = (before[..., 0] * level - normal[..., 0] * level_before) / det
    refined = np.stack((x, y), axis=-1)
    moved = np.nan_to_num(np.hypot(*np.moveaxis(refined - corners, 2, 0)), nan=np.inf).max(axis=1)
    return refined, moved
