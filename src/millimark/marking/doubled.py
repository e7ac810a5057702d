"""Lines drawn twice: where a second line runs in the first, the two are one line.

A pupil who goes over a line again, a little to one side, leaves a band of graphite that reads
as one broad line, and so it is judged: its place is the middle of the graphite across it. The
band is looked for in the picture itself, since two lines half a millimetre apart are one ridge.
Paper millimetres.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.marking.coverage import Ground
from millimark.marking.hatching import Hatching
from millimark.marking.ink import STEP_MM, Array, Ink, Piece, tangents

BESIDE_MM = 1.0
"""Lines whose centres run no further apart than this, mm, are one line."""
_REACH_MM, _ACROSS_MM = 1.6, 0.08
_ALONG_MM = (-0.3, -0.15, 0.0, 0.15, 0.3)
"""The profile reaches this far to either side of a line, in these steps, and is averaged over
these places along it, mm."""
_EDGE, _FAINT = 0.4, 0.05
"""The band ends where it is paler than this share of its peak (and where there is no pencil)."""
_SLIT_MM = 0.65
"""A paler slit inside the band, between its two lines, is no wider than this, mm."""
_WIDER_MM = BESIDE_MM + 0.8
"""A band wider than this, mm, is none: another line crosses, or shading touches it there."""
_LEAST_MM, _SHARE = 6.0, 0.8
"""A second line is longer than this, mm, or as long as this share of a shorter piece; the band is
broad over at least this share of it, of what can be seen."""
_GAP_MM, _UNSEEN_MM = 0.8, 9.0
"""It is nowhere narrow for longer than the first, mm (hatching that ends on a line broadens it
here and there), nor unseen for longer than the second."""
_SEEN_MM, _EVEN_MM = 3.2, 0.3
"""So much of a second line must be seen, mm (of a shorter piece `_SHARE` of it), and half of it is
within the second in its width."""
_AS_DARK, _SECOND_MM = 0.7, 0.16
"""Where there may be shading the second line, looked for within the second of its place, is at
least so dark as a share of the first: shading that touches the line is paler."""
_STEADY_MM = 3.0
"""The middle is the median over this length, mm: lines that cross do not move it."""
_BROADER, _NARROWEST_MM, _WIDEST_MM = 1.35, 0.62, 0.85
"""A band this much broader than the line is elsewhere is two lines; never a narrower one than
the second, always one over the third, mm: pencil lines are 0.3 to 0.7 mm (common practice, no
source)."""


@dataclass(frozen=True, eq=False)
class Bands:
    """Across each point of a piece: ``shift`` (N,) mm to the middle of the graphite, positive to
    the left of the way; ``width`` (N,) mm of the band, 0 where it has no edge in reach; and how
    dark it is at its other line, if the piece is one of two, as a share of its peak (N,)."""

    shift: Array
    width: Array
    second: Array


def centred(ink: Ink, pieces: Iterable[int], ground: Ground) -> tuple[Ink, dict[int, float]]:
    """The ink with the given pieces moved to the middle of their band where they are drawn twice,
    and how much of each piece is (mm; pieces drawn once are left out)."""
    moved: dict[int, Piece] = {}
    twice: dict[int, float] = {}
    hatching = Hatching(ground.free)
    for k in sorted(set(pieces)):
        piece = ink.pieces[k]
        bands = bands_across(piece, ground)
        broad = bands.width > _broad(bands.width)
        if ground.lines is not None and broad.any():
            broad &= (bands.second > _AS_DARK) & ~hatching.accompanies(piece.xy, piece.tangent)
        doubled = _lasting(broad, bands.width)
        if not doubled.any():
            continue
        at = np.flatnonzero(doubled & broad)
        shift = np.interp(np.arange(len(broad)), at, bands.shift[at])
        normal = np.column_stack((-piece.tangent[:, 1], piece.tangent[:, 0]))
        xy = piece.xy + np.where(doubled, shift, 0.0)[:, None] * normal
        moved[k] = replace(piece, xy=xy, tangent=tangents(xy))
        twice[k] = float(doubled.sum()) * STEP_MM
    if not moved:
        return ink, twice
    return Ink.of([moved.get(k, p) for k, p in enumerate(ink.pieces)]), twice


def bands_across(piece: Piece, ground: Ground) -> Bands:
    """The band of graphite across each point of a piece; its middle made steady along it."""
    offsets = np.arange(-_REACH_MM, _REACH_MM + 1e-9, _ACROSS_MM)
    profile = _profiles(piece, offsets, ground)
    low, high = _edges(profile, offsets)
    inside = (offsets >= low[:, None]) & (offsets <= high[:, None])
    mass = np.where(inside, profile, 0.0)
    total = np.maximum(mass.sum(axis=1), 1e-9)
    width = high - low + _ACROSS_MM
    closed = (low > offsets[1]) & (high < offsets[-2]) & (width < _WIDER_MM)
    width = np.where(closed, width, 0.0)
    half = max(1, round(_STEADY_MM / STEP_MM) // 2)
    shift = _median(mass @ offsets / total, half)
    return Bands(shift, width, _darkness_at(profile, offsets, 2.0 * shift))


def _darkness_at(profile: Array, offsets: Array, at: Array) -> Array:
    """The most darkness (N,) of each profile near a place ``at`` (N,) mm, as a share of its
    peak."""
    near = np.abs(offsets - at[:, None]) <= _SECOND_MM
    most: Array = np.where(near, profile, 0.0).max(axis=1) / np.maximum(profile.max(axis=1), 1e-9)
    return most


def _broad(width: Array) -> float:
    """From which width, mm, the band of this piece is two lines."""
    seen = width[width > 0.0]
    single = float(np.percentile(seen, 10)) if len(seen) else _WIDEST_MM
    return float(np.clip(_BROADER * single, _NARROWEST_MM, _WIDEST_MM))


def _profiles(piece: Piece, offsets: Array, ground: Ground) -> Array:
    """Darkness (N, S) across the piece, averaged along it; what print hides counts as none."""
    normal = np.column_stack((-piece.tangent[:, 1], piece.tangent[:, 0]))
    px = (piece.xy - np.array(ground.frame[:2])) * ground.px_per_paper_mm - 0.5
    along = np.repeat(_ALONG_MM, len(offsets)) * ground.px_per_paper_mm
    across = np.tile(offsets, len(_ALONG_MM)) * ground.px_per_paper_mm
    steps = np.stack((np.ones_like(along), along, across)).astype(np.float32)
    x, y = (
        np.column_stack((px[:, k], piece.tangent[:, k], normal[:, k])).astype(np.float32) @ steps
        for k in (0, 1)
    )
    dark = np.asarray(cv2.remap(ground.pencil, x, y, cv2.INTER_LINEAR, borderValue=0.0))
    values = dark.reshape(len(px), len(_ALONG_MM), len(offsets))
    mean: Array = values.mean(axis=1, dtype=np.float64)
    return mean


def _edges(profile: Array, offsets: Array) -> tuple[Array, Array]:
    """Where (N,) the band round the middle of each profile ends on either side, slits bridged."""
    middle = len(offsets) // 2
    core = max(1, round(0.3 / _ACROSS_MM))
    peak = profile[:, middle - core : middle + core + 1].max(axis=1)
    dark = profile > np.maximum(_EDGE * peak, _FAINT)[:, None]
    slit = max(1, round(_SLIT_MM / _ACROSS_MM))
    high = _last_dark(dark[:, middle:], slit)
    low = _last_dark(dark[:, middle::-1], slit)
    return offsets[middle - low], offsets[middle + high]


def _last_dark(dark: NDArray[np.bool_], slit: int) -> NDArray[np.int_]:
    """Index (N,) of the last dark sample going outward before a pale run longer than ``slit``."""
    n = dark.shape[1]
    at = np.arange(n)
    last = np.maximum.accumulate(np.where(dark, at, 0), axis=1)
    ended = (at - last) > slit
    stop = np.where(ended.any(axis=1), np.argmax(ended, axis=1), n - 1)
    found: NDArray[np.int_] = last[np.arange(len(dark)), stop]
    return found


def _median(values: Array, half: int) -> Array:
    """Running median over 2 ``half`` + 1 neighbours, fewer near the ends."""
    padded = np.pad(values, half, mode="edge")
    windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * half + 1)
    middle: Array = np.median(windows, axis=1)
    return middle


def _lasting(broad: NDArray[np.bool_], width: Array) -> NDArray[np.bool_]:
    """The stretches that are broad over most of a second line's least length: what is unseen
    breaks none, what is narrow only if it is longer than a moment. They are of one width; what
    crosses at a small angle is not."""
    unseen = width == 0.0
    kept = np.zeros_like(broad)
    at = np.flatnonzero(broad)
    if not len(at):
        return kept
    narrow = np.concatenate(([0], np.cumsum(~broad & ~unseen)))
    breaks = np.diff(narrow[at]) > round(_GAP_MM / STEP_MM)
    breaks |= np.diff(at) > round(_UNSEEN_MM / STEP_MM)
    least = min(_LEAST_MM / STEP_MM, _SHARE * len(broad))
    for run in np.split(at, np.flatnonzero(breaks) + 1):
        size = run[-1] + 1 - run[0]
        seen = size - int(unseen[run[0] : run[-1] + 1].sum())
        low, high = np.percentile(width[run], (25, 75))
        long = size >= least and len(run) >= min(_SEEN_MM / STEP_MM, _SHARE * len(broad))
        if long and len(run) >= _SHARE * seen and high - low < _EVEN_MM:
            kept[run[0] : run[-1] + 1] = True
    return kept
