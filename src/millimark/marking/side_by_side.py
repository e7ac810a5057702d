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
from millimark.marking.extremes import TREND_MM
from millimark.marking.findings import Deviation
from millimark.marking.ink import STEP_MM, Array
from millimark.marking.targets import seen_from
from millimark.plane.curves import Curve

_ON_MM, OFF_MM = 0.35, 0.5
"""Pencil this near to the pupil's own curve is on it, pencil further off than the second is not."""
_NEARER_MM, _STEADY_MM = 0.35, 0.1
"""Of what instruments drew, to the second in the median, the pencil that lies so much nearer to the
curve is the line: neither they nor a second line over the first leave it so steeply."""
_BESIDE_MM = 1.0
"""Places along the curve that differ by less are beside each other, mm."""
_MOSTLY = 0.6
"""The curve is the pupil's own where at least this share of the pencil is on it."""


def on_own_curve(profile: Sequence[Deviation], own: Curve, frame: Box) -> tuple[Deviation, ...]:
    """The profiles without the points that lie off the ``own`` line or circle where other pencil
    lies nearer to it (also that of the same piece: a circle's end beside its beginning); as they
    are where most of the pencil does not fit it."""
    if not fits(profile, own, frame):
        return tuple(profile)
    seen = [seen_from(own, d.xy, frame)[:2] for d in profile]
    off = np.abs(np.concatenate([u for u, _ in seen]))
    place = np.concatenate([t for _, t in seen])
    steady = float(np.median(off)) < _STEADY_MM
    order = np.argsort(place)
    place, off = place[order], off[order]
    kept = []
    for d, (u, t) in zip(profile, seen, strict=True):
        nearest, away = _nearest(t, place, off), np.abs(u)
        line = np.maximum(_ON_MM, away - _NEARER_MM) if steady else _ON_MM
        doubled = (away > OFF_MM) & (nearest < line)
        kept.append(without(d, doubled) if doubled.any() else d)
    return tuple(kept)


def fits(profile: Sequence[Deviation], own: Curve, frame: Box) -> bool:
    """Whether most of a line's pencil lies on its ``own`` line or circle: the hand's is none."""
    xy = np.concatenate([d.xy for d in profile]) if profile else np.zeros((0, 2))
    return len(xy) > 0 and bool((np.abs(seen_from(own, xy, frame)[0]) < _ON_MM).mean() >= _MOSTLY)


def _nearest(t: Array, place: Array, off: Array) -> Array:
    """The least distance ``off`` (M,) from the curve beside each of the places (N,), of pencil that
    lies at the sorted ``place`` (M,) along it."""
    first, last = np.searchsorted(place, t - _BESIDE_MM), np.searchsorted(place, t + _BESIDE_MM)
    least = [off[a:b].min(initial=np.inf) for a, b in zip(first, last, strict=True)]
    return np.array(least)


def without(d: Deviation, doubled: NDArray[np.bool_]) -> Deviation:
    """A profile without some of its points (N,): an end near which any are missing tells nothing
    of how the line goes on."""
    near = round(TREND_MM / STEP_MM)
    loose = (d.loose[0] and not doubled[:near].any(), d.loose[1] and not doubled[-near:].any())
    return replace(d, xy=d.xy[~doubled], off=d.off[~doubled], loose=loose)
