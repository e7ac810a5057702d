"""Where a pupil's line is, if it was drawn in several strokes: what a perfect marker would see.

Two rules, the same that docs/measurement.md gives to marking, which follows them on its own:

- strokes of one line that run side by side no further than 1 mm apart are one line; its place
  is the middle of their graphite across it;
- where a piece of a path runs on past its end beside the next piece, the tail is not the line.

Paper frame, real mm. Plain sampling on purpose, as in ``near``.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from millimark.plane.curves import Curve
from millimark.rehearsal.near import distance_to_curves
from millimark.rehearsal.pencil import PencilStroke, Xy, normals, resampled

STEP = 0.1
"""Spacing of the places, mm."""
TOGETHER = 1.0
"""mm: strokes whose centres run this close beside each other are one line."""
PARALLEL = 0.94
"""Cosine of 20 degrees: strokes that turn from each other by more cross."""
TAIL = 8.0
"""mm: a longer end beside another piece is no tail but a line in the wrong place."""
BESIDE = 3.0
"""mm: a tail has the line that goes on no further off than this."""


def final_line(strokes: Sequence[PencilStroke], locus: Sequence[Curve]) -> Xy:
    """Places (N, 2) of the line every `STEP` mm; empty without strokes."""
    sampled = [resampled(s.xy, STEP) for s in strokes]
    if len(locus) > 1:
        sampled = [_without_tails(k, sampled, locus) for k in range(len(sampled))]
    weights = [s.width * s.darkness for s in strokes]
    places = [_merged(k, sampled, weights) for k in range(len(sampled))]
    return np.concatenate(places) if places else np.empty((0, 2))


def _without_tails(k: int, sampled: Sequence[Xy], locus: Sequence[Curve]) -> Xy:
    """Stroke ``k`` without the ends at which another piece of the locus is nearer than its own and
    another stroke draws that piece."""
    xy = sampled[k]
    others = [s for i, s in enumerate(sampled) if i != k and len(s)]
    if len(xy) < 3 or not others:
        return xy
    nearest = np.argmin([distance_to_curves(xy, [c]) for c in locus], axis=0)
    own = np.bincount(nearest).argmax()
    off = np.min([_nearest(xy, s)[0] for s in others], axis=0)
    tail = (nearest != own) & (off < BESIDE)
    first = _run(tail)
    last = _run(tail[::-1])
    return xy[first : len(xy) - last]


def _run(tail: NDArray[np.bool_]) -> int:
    """Number of leading places that are a tail; 0 if they are too many for one."""
    n = int(np.argmin(tail)) if not tail.all() else len(tail)
    return n if n * STEP <= TAIL else 0


def _merged(k: int, sampled: Sequence[Xy], weights: Sequence[float]) -> Xy:
    """Stroke ``k`` moved to the middle of the graphite of all strokes that run with it."""
    xy = sampled[k]
    if len(xy) < 3:
        return xy
    side = normals(xy)
    total, place = np.full(len(xy), weights[k]), weights[k] * xy
    for i, other in enumerate(sampled):
        if i == k or len(other) < 3:
            continue
        away, at = _nearest(xy, other)
        v = other[at] - xy
        ahead = np.abs(v[:, 0] * side[:, 1] - v[:, 1] * side[:, 0])
        parallel = np.abs((side * normals(other)[at]).sum(axis=1)) > PARALLEL
        beside = (away <= TOGETHER) & (ahead < 0.3 * away + STEP) & parallel
        total = total + np.where(beside, weights[i], 0.0)
        place = place + np.where(beside, weights[i], 0.0)[:, None] * other[at]
    merged: Xy = place / total[:, None]
    return merged


def _nearest(xy: Xy, other: Xy) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Distance (N,) mm to the nearest place of another stroke, and which it is."""
    from scipy.spatial import cKDTree

    away, at = cKDTree(other).query(xy)
    return np.asarray(away, dtype=np.float64), np.asarray(at, dtype=np.int64)
