"""Where two strokes of one line run side by side: which of them is the line.

A stroke of hatching that meets a boundary at a small angle is traced as its end, and the boundary
as the stroke's: two pieces run on beside each other. The pupil's own line or circle, as most of its
pencil fits it, tells which one it is; the other says nothing about how far the line strays.
Paper millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from millimark.marking.expected import Box
from millimark.marking.findings import Deviation
from millimark.marking.targets import seen_from
from millimark.plane.curves import Curve

_ON_MM, _OFF_MM = 0.35, 0.5
"""Pencil this near to the pupil's own curve is on it, pencil further off than the second is not."""
_BESIDE_MM = 1.0
"""Places along the curve that differ by less are beside each other, mm."""
_MOSTLY = 0.6
"""The curve is the pupil's own where at least this share of the pencil is on it."""


def on_own_curve(profile: Sequence[Deviation], own: Curve, frame: Box) -> tuple[Deviation, ...]:
    """The profiles without the points that lie off the ``own`` line or circle where other pencil
    lies on it (also that of the same piece: a circle's end beside its beginning); as they are where
    most of the pencil does not fit it."""
    seen = [seen_from(own, d.xy, frame)[:2] for d in profile]
    on = [np.abs(u) < _ON_MM for u, _ in seen]
    total = sum(map(len, on))
    if not total or sum(map(np.sum, on)) < _MOSTLY * total:
        return tuple(profile)
    known = np.concatenate([t[there] for (_, t), there in zip(seen, on, strict=True)])
    kept = []
    for d, (u, t) in zip(profile, seen, strict=True):
        doubled = (np.abs(u) > _OFF_MM) & _beside(t, known)
        kept.append(_without(d, doubled) if doubled.any() else d)
    return tuple(kept)


def _beside(t: NDArray[np.float64], others: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which places (N,) have one of the others (M,) beside them."""
    if not len(others):
        return np.zeros(len(t), dtype=bool)
    others = np.sort(others)
    at = np.searchsorted(others, t)
    before = np.abs(t - others[np.maximum(at - 1, 0)])
    after = np.abs(t - others[np.minimum(at, len(others) - 1)])
    return np.minimum(before, after) < _BESIDE_MM


def _without(d: Deviation, doubled: NDArray[np.bool_]) -> Deviation:
    loose = (d.loose[0] and not doubled[0], d.loose[1] and not doubled[-1])
    return replace(d, xy=d.xy[~doubled], off=d.off[~doubled], loose=loose)
