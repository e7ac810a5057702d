"""The pencil in one frame as strokes: ridges linked, joined, then measured across.

Strokes come longest first. What is too short, too faint or too ragged to be a drawn line
is left out here; it still stands in the frame's ``pencil``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from millimark.scan.chains import chained
from millimark.scan.frames import Window
from millimark.scan.joining import joined, split_at_corners
from millimark.scan.profiles import Measured, measured
from millimark.scan.reading import Stroke
from millimark.scan.ridges import ridge_points, smoothed

Array = NDArray[np.float64]
Dark = NDArray[np.float32]
Mask = NDArray[np.bool_]

SPACING_MM = 0.25
"""Distance between the points of a stroke."""
LEAST_CHAIN_MM = 0.6
LEAST_STROKE_MM = 1.8
LEAST_DARKNESS = 0.06
_GRAIN_MM = 0.012
"""Uncertainty of a pencil line's centre that averaging over neighbours does not remove."""
_RUN = 13
"""Longest disturbed run, in points, that is bridged by its chord: about 3 mm."""
_LAG = 3
_END = 3
"""Points at each end of a stroke that must be undisturbed to be kept."""
_UNWHOLE = 3.0
"""How much less a centre is trusted where another line, print or smudge touches it."""


def strokes_in(window: Window, pencil: Dark, unseen: Mask) -> tuple[Stroke, ...]:
    """Every drawn line in the frame; empty for a blank one."""
    per_mm = window.px_per_mm
    level = smoothed(pencil, unseen, per_mm)
    points = ridge_points(level, unseen, per_mm)
    chains = [
        points.xy[c]
        for c in chained(points, max(3, round(LEAST_CHAIN_MM * per_mm)))
        if float(points.height[c].mean()) > LEAST_DARKNESS * 0.75
    ]
    chains = split_at_corners(chains, per_mm)
    lines = joined(chains, pencil, unseen, per_mm)
    bare = [_Bare.of(line, per_mm) for line in lines]
    bare = [b for b in bare if b.length >= LEAST_STROKE_MM * per_mm and len(b.xy) >= 4]
    return _measured_strokes(bare, window, pencil, unseen)


@dataclass(frozen=True, eq=False)
class _Bare:
    """A line before it is measured: points (N, 2) px at even spacing on the chains' own
    length, their unit normals, and its drawn length in px."""

    xy: Array
    normal: Array
    length: float

    @staticmethod
    def of(line: list[Array], per_mm: float) -> _Bare:
        """Resampled at `SPACING_MM` inside each chain; gaps stay empty."""
        parts = [_resampled(xy, SPACING_MM * per_mm) for xy in line]
        length = float(sum(np.hypot(*np.diff(xy, axis=0).T).sum() for xy in line))
        xy = np.vstack([p for p, _ in parts])
        return _Bare(xy, np.vstack([n for _, n in parts]), length)


def _resampled(xy: Array, spacing: float) -> tuple[Array, Array]:
    """Points every ``spacing`` px along a smoothed copy of the chain, and their normals."""
    smooth = _running_mean(xy, 7)
    step = np.hypot(*np.diff(smooth, axis=0).T)
    at = np.concatenate(([0.0], np.cumsum(step)))
    count = max(2, int(at[-1] / spacing) + 1)
    where = np.linspace(0.0, at[-1], count)
    points = np.column_stack([np.interp(where, at, smooth[:, k]) for k in (0, 1)])
    half = spacing * 2.0
    ahead = np.column_stack([np.interp(where + half, at, smooth[:, k]) for k in (0, 1)])
    behind = np.column_stack([np.interp(where - half, at, smooth[:, k]) for k in (0, 1)])
    way = ahead - behind
    length = np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)[:, None]
    return points, np.column_stack((-way[:, 1], way[:, 0])) / length


def _running_mean(xy: Array, size: int) -> Array:
    """Mean over ``size`` neighbours, fewer near the ends (symmetric there)."""
    n = len(xy)
    half = np.minimum(np.minimum(np.arange(n), np.arange(n)[::-1]), size // 2)
    total = np.vstack((np.zeros(2), np.cumsum(xy, axis=0)))
    i = np.arange(n)
    mean: Array = (total[i + half + 1] - total[i - half]) / (2 * half + 1)[:, None]
    return mean


def _measured_strokes(
    bare: list[_Bare], window: Window, pencil: Dark, unseen: Mask
) -> tuple[Stroke, ...]:
    if not bare:
        return ()
    xy = np.vstack([b.xy for b in bare])
    normal = np.vstack([b.normal for b in bare])
    starts = np.cumsum([0, *(len(b.xy) for b in bare)])
    hidden = unseen.astype(np.float32)
    half = np.full(len(xy), 0.30)
    first = measured(xy, normal, half, pencil, hidden, window.px_per_mm)
    half = _half_widths(first, starts) / window.px_per_mm
    found = measured(xy, normal, half, pencil, hidden, window.px_per_mm)
    strokes = []
    for start, stop in pairwise(starts):
        stroke = _stroke(xy, normal, found, slice(start, stop), window)
        if stroke is not None:
            strokes.append(stroke)
    return tuple(sorted(strokes, key=lambda s: -len(s.xy)))


def _half_widths(first: Measured, starts: NDArray[np.int64]) -> Array:
    """Half the median width (px) of each line's whole profiles, for each of its points."""
    half = np.empty(len(first.width))
    for start, stop in pairwise(starts):
        part = slice(start, stop)
        widths = first.width[part][first.whole[part]]
        widths = widths if len(widths) else first.width[part]
        half[part] = 0.5 * float(np.median(widths))
    return half


def _stroke(
    xy: Array, normal: Array, found: Measured, part: slice, window: Window
) -> Stroke | None:
    """The measured stroke; None where it is too faint to be a line."""
    darkness = found.darkness[part]
    if float(np.median(darkness)) < LEAST_DARKNESS:
        return None
    part = _without_fading_ends(part, darkness, found.whole[part])
    darkness, whole = found.darkness[part], found.whole[part]
    shift = _trusted_shift(found.shift[part], whole)
    centre = _carried_through(xy[part] + shift[:, None] * normal[part], whole)
    scatter = _scatter(centre, normal[part], whole) / window.px_per_mm
    sigma = np.hypot(scatter, _GRAIN_MM) * np.where(whole, 1.0, _UNWHOLE)
    return Stroke(window.to_mm(centre), found.width[part] / window.px_per_mm, darkness, sigma)


def _without_fading_ends(part: slice, darkness: Array, whole: Mask) -> slice:
    """The part from the first to the last point that is half as dark as the line: beyond a
    line's end its blur leads a ridge astray. Disturbed points at the very ends go too."""
    good = darkness >= 0.5 * float(np.median(darkness))
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
    limit = 4.0 * 1.4826 * float(np.median(second))
    return math.sqrt(float((np.minimum(second, limit) ** 2).mean()) / 6.0)
