"""The pencil in one frame as strokes: ridges linked, joined, then measured across.

Strokes come longest first. What is too short, too faint or too ragged to be a drawn line
is left out here; it still stands in the frame's ``pencil``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.scan.chains import chained
from millimark.scan.forks import mended
from millimark.scan.frames import Window
from millimark.scan.joining import joined, split_at_corners
from millimark.scan.medians import median
from millimark.scan.profiles import Measured, measured
from millimark.scan.reading import Stroke
from millimark.scan.ridges import ridge_points, smoothed

Array = NDArray[np.float64]
Dark = NDArray[np.float32]
Grey = NDArray[np.uint8]
Mask = NDArray[np.bool_]

SPACING_MM = 0.25
"""Distance between the points of a stroke."""
LEAST_CHAIN_MM = 0.6
LEAST_STROKE_MM = 1.8
LEAST_DARKNESS = 0.06
_TRACE, _MARGIN_MM = 0.025, 4
"""Mean darkness of a square millimetre that shows pencil, and the margin left round those."""
_GRAIN_MM = 0.012
"""Uncertainty of a pencil line's centre that averaging over neighbours does not remove."""
_RUN = 13
"""Longest disturbed run, in points, that is bridged by its chord: about 3 mm."""
_LAG = 3
_SMOOTH = 7
"""Points over which a chain's raw ridge points are averaged before they are measured across."""
_END = 3
"""Points at each end of a stroke that must be undisturbed to be kept."""
_LEAST_WHOLE, _RAGGED_DARKNESS = 0.35, 0.2
"""A pale line whose profiles hardly ever stand alone is the texture of shading, unless
blank paper lies on both its sides: then it is one of two lines drawn close together."""
_BESIDE_MM, _BLANK_SHARE = (1.3, 1.6, 1.9), 0.2
"""How far to each side paper is looked at, and how dark it may be against the line."""
_UNWHOLE = 3.0
"""How much less a centre is trusted where another line, print or smudge touches it."""


def strokes_in(window: Window, pencil: Dark, unseen: Mask) -> tuple[Stroke, ...]:
    """Every drawn line in the frame; empty for a blank one."""
    drawn = _drawn_part(pencil, window.px_per_mm)
    if drawn is None:
        return ()
    window, pencil, unseen = window.part(*drawn), pencil[drawn], unseen[drawn]
    per_mm = window.px_per_mm
    level = smoothed(pencil, unseen, per_mm)
    points = ridge_points(level, unseen, per_mm)
    chains = [
        points.xy[c]
        for c in chained(points, max(3, round(LEAST_CHAIN_MM * per_mm)))
        if float(points.height[c].mean()) > LEAST_DARKNESS * 0.75
    ]
    chains = split_at_corners(chains, per_mm)
    lines = mended(joined(chains, pencil, unseen, per_mm), per_mm)
    lengths = [sum(_length(xy) for xy in line) for line in lines]
    lines = [k for k, n in zip(lines, lengths, strict=True) if n >= LEAST_STROKE_MM * per_mm]
    return _measured_strokes(_resampled(lines, SPACING_MM * per_mm), window, pencil, unseen)


def _drawn_part(pencil: Dark, per_mm: float) -> tuple[slice, slice] | None:
    """Rows and columns that hold all pencil, with a margin; None where there is none. Most
    answers leave much of their frame blank, and blank paper costs as much time."""
    cell = max(1, round(per_mm))
    rows, columns = (max(1, n // cell) for n in pencil.shape)
    whole = pencil[: rows * cell, : columns * cell]  # parts of cells would take far longer
    cells = np.asarray(cv2.resize(whole, (columns, rows), interpolation=cv2.INTER_AREA)) > _TRACE
    found = []
    for axis, length in ((1, pencil.shape[0]), (0, pencil.shape[1])):
        some = np.flatnonzero(cells.any(axis=axis))
        if not len(some):
            return None
        low = int(some[0] - _MARGIN_MM) * cell
        high = int(some[-1] + 1 + _MARGIN_MM) * cell + cell
        found.append(slice(max(0, low), min(length, high)))
    return found[0], found[1]


def _length(xy: Array) -> float:
    return float(_steps(xy).sum())


def _steps(xy: Array) -> Array:
    """Distances (N - 1,) between neighbouring points."""
    x, y = np.diff(xy.T)
    step: Array = np.sqrt(x * x + y * y)
    return step


@dataclass(frozen=True, eq=False)
class _Bare:
    """Lines before they are measured: points (N, 2) px at even spacing on the chains' own
    length (gaps stay empty), their unit normals (N, 2), and where each line starts in them
    (one entry more than lines)."""

    xy: Array
    normal: Array
    starts: NDArray[np.int64]


def _resampled(lines: list[list[Array]], spacing: float) -> _Bare:
    """Points every ``spacing`` px along smoothed copies of the chains, all chains at once.

    A common length runs through all chains with a jump between them, so that one
    interpolation serves them all.
    """
    if not lines:
        return _Bare(np.empty((0, 2)), np.empty((0, 2)), np.zeros(1, dtype=np.int64))
    chains = [xy for line in lines for xy in line]
    sizes = np.array([len(xy) for xy in chains])
    first = np.cumsum(np.concatenate(([0], sizes)))
    smooth = _running_mean(np.vstack(chains), first)
    step = _steps(smooth)
    step[first[1:-1] - 1] = 100.0 * spacing
    at = np.concatenate(([0.0], np.cumsum(step)))
    begin, end = at[first[:-1]], at[first[1:] - 1]
    counts = np.maximum(2, ((end - begin) / spacing).astype(np.int64) + 1)
    owner = np.repeat(np.arange(len(chains)), counts)
    place = np.arange(len(owner)) - np.repeat(np.cumsum(counts) - counts, counts)
    where = begin[owner] + place * ((end - begin) / (counts - 1))[owner]
    ahead = np.minimum(where + 2.0 * spacing, end[owner])
    behind = np.maximum(where - 2.0 * spacing, begin[owner])
    way = _at(ahead, at, smooth) - _at(behind, at, smooth)
    way /= np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)[:, None]
    of_line = np.repeat(np.arange(len(lines)), [len(line) for line in lines])
    starts = np.searchsorted(of_line[owner], np.arange(len(lines) + 1))
    return _Bare(_at(where, at, smooth), np.column_stack((-way[:, 1], way[:, 0])), starts)


def _at(where: Array, at: Array, xy: Array) -> Array:
    """Points (N, 2) at the lengths ``where`` of the polyline ``xy`` with lengths ``at``."""
    return np.column_stack([np.interp(where, at, xy[:, k]) for k in (0, 1)])


def _running_mean(xy: Array, first: NDArray[np.int64]) -> Array:
    """Mean over `_SMOOTH` neighbours of one chain, fewer near its ends (symmetric there).
    Chain c has the rows first[c] to first[c + 1]."""
    i = np.arange(len(xy))
    owner = np.repeat(np.arange(len(first) - 1), np.diff(first))
    half = np.minimum(np.minimum(i - first[owner], first[owner + 1] - 1 - i), _SMOOTH // 2)
    total = np.vstack((np.zeros(2), np.cumsum(xy, axis=0)))
    mean: Array = (total[i + half + 1] - total[i - half]) / (2 * half + 1)[:, None]
    return mean


def _measured_strokes(
    bare: _Bare, window: Window, pencil: Dark, unseen: Mask
) -> tuple[Stroke, ...]:
    if not len(bare.xy):
        return ()
    hidden = unseen.view(np.uint8)
    half = _half_widths(bare, pencil, hidden, window.px_per_mm)
    found = measured(bare.xy, bare.normal, half, pencil, hidden, window.px_per_mm)
    strokes = []
    for start, stop in pairwise(bare.starts):
        stroke = _stroke(bare.xy, bare.normal, found, slice(start, stop), window, pencil)
        if stroke is not None:
            strokes.append(stroke)
    return tuple(sorted(strokes, key=lambda s: -len(s.xy)))


def _half_widths(bare: _Bare, pencil: Dark, hidden: Grey, px_per_mm: float) -> Array:
    """Half the median width (mm) of each line's whole profiles, for each of its points.

    Measured at every third point, with a generous first guess and without recentring.
    """
    some = np.arange(0, len(bare.xy), 3)
    guess = np.full(len(some), 0.30)
    rough = measured(bare.xy[some], bare.normal[some], guess, pencil, hidden, px_per_mm, rounds=1)
    half = np.empty(len(bare.xy))
    for start, stop in pairwise(bare.starts):
        low, high = np.searchsorted(some, (start, stop))
        part = slice(low, max(high, low + 1))
        widths = rough.width[part][rough.whole[part]]
        widths = widths if len(widths) else rough.width[part]
        half[start:stop] = 0.5 * median(widths) if len(widths) else 2.0
    return half / px_per_mm


def _stroke(
    xy: Array, normal: Array, found: Measured, part: slice, window: Window, pencil: Dark
) -> Stroke | None:
    """The measured stroke; None where it is too faint or too ragged to be a line."""
    darkness = found.darkness[part]
    middling = median(darkness)
    ragged = float(found.whole[part].mean()) < _LEAST_WHOLE and middling < _RAGGED_DARKNESS
    if middling < LEAST_DARKNESS:
        return None
    if ragged and not _on_blank_paper(xy[part], normal[part], middling, window, pencil):
        return None
    part = _without_fading_ends(part, darkness, found.whole[part])
    darkness, whole = found.darkness[part], found.whole[part]
    shift = _trusted_shift(found.shift[part], whole)
    centre = _carried_through(xy[part] + shift[:, None] * normal[part], whole)
    scatter = _scatter(centre, normal[part], whole) / window.px_per_mm
    sigma = np.hypot(scatter, _GRAIN_MM) * np.where(whole, 1.0, _UNWHOLE)
    return Stroke(window.to_mm(centre), found.width[part] / window.px_per_mm, darkness, sigma)


def _on_blank_paper(
    xy: Array, normal: Array, darkness: float, window: Window, pencil: Dark
) -> bool:
    """Whether hardly anything is drawn beside a line, a little way off on either side."""
    for side in (-1.0, 1.0):
        beside = [xy + side * d * window.px_per_mm * normal for d in _BESIDE_MM]
        at = np.vstack(beside).astype(np.float32)
        seen = cv2.remap(pencil, at[:, 0], at[:, 1], cv2.INTER_LINEAR, borderValue=0.0)
        if float(np.mean(seen)) > _BLANK_SHARE * darkness:
            return False
    return True


def _without_fading_ends(part: slice, darkness: Array, whole: Mask) -> slice:
    """The part from the first to the last point that is half as dark as the line: beyond a
    line's end its blur leads a ridge astray. Disturbed points at the very ends go too."""
    good = darkness >= 0.5 * median(darkness)
    good[:_END] &= whole[:_END]
    good[-_END:] &= whole[-_END:]
    kept = np.flatnonzero(good)
    if len(kept) < 2:
        return part
    return slice(part.start + int(kept[0]), part.start + int(kept[-1]) + 1)


def _trusted_shift(shift: Array, whole: Mask) -> Array:
    """Where a profile is disturbed, the shift of its whole neighbours on either side."""
    if not whole.any():
        return shift
    at = np.arange(len(shift))
    return np.where(whole, shift, np.interp(at, at[whole], shift[whole]))


def _carried_through(centre: Array, whole: Mask) -> Array:
    """Short disturbed runs (a crossing bends the ridge) replaced by the chord between their
    whole neighbours; runs longer than `_RUN` points, and ends, are left as they are."""
    at = np.arange(len(centre))
    if whole.sum() < 2:
        return centre
    before = np.maximum.accumulate(np.where(whole, at, -1))
    after = np.minimum.accumulate(np.where(whole, at, len(at))[::-1])[::-1]
    short = ~whole & (before >= 0) & (after < len(at)) & (after - before <= _RUN)
    chord = np.column_stack([np.interp(at, at[whole], centre[whole, k]) for k in (0, 1)])
    return np.where(short[:, None], chord, centre)


def _scatter(centre: Array, normal: Array, whole: Mask) -> float:
    """Spread of single whole centres across their neighbours' line, px.

    Second differences over `_LAG` points: grain is correlated over less, a hand's
    wander over more.
    """
    if len(centre) < 3 * _LAG:
        return 0.3
    middle = slice(_LAG, -_LAG)
    bend = centre[2 * _LAG :] - 2 * centre[middle] + centre[: -2 * _LAG]
    kept = whole[2 * _LAG :] & whole[middle] & whole[: -2 * _LAG]
    second = np.abs((bend * normal[middle]).sum(axis=1))[kept]
    if len(second) < _LAG:
        return 0.3
    limit = 4.0 * 1.4826 * median(second)
    return math.sqrt(float((np.minimum(second, limit) ** 2).mean()) / 6.0)
