"""Hatching that is traced as part of the outline it fills.

A stroke of hatching that ends on an outline at a small angle may be traced on along it, and then
serves as a piece of it; or the outline's end runs on into the stroke. Either runs as the hatching
about it does. The first is told by the outline itself, a longer stroke beside it, further off than
a line that was gone over twice; the second by the line or circle of the rest. Paper millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from millimark.marking.doubled import BESIDE_MM
from millimark.marking.expected import Box
from millimark.marking.findings import Deviation
from millimark.marking.hatching import Hatching
from millimark.marking.ink import STEP_MM, Array, tangents
from millimark.marking.side_by_side import OFF_MM, fits, without
from millimark.marking.targets import seen_from
from millimark.plane.curves import Curve

_FURTHEST_MM, _ALONG = 5.0, math.cos(math.radians(30.0))
"""The outline runs no further off, and turned from the stroke by less."""
_MEETS_MM = 0.3
"""Nearer than this the stroke has reached the outline."""
_TURNED, _HALF = math.cos(math.radians(4.0)), 0.5
"""An end that leaves its line with a greater turn may be a stroke of hatching, if this share of it
runs as that does."""
_LEAD_MM = 3.0
"""A stroke of hatching is a chord: its far end lies on the circle again, over less than this."""


def without_hatching(
    profile: Sequence[Deviation], strokes: Sequence[int], hatching: Hatching
) -> tuple[Deviation, ...]:
    """The profiles of a line's pieces, of the pen ``strokes`` given, without what is hatching
    beside a longer stroke."""
    length: Mapping[int, int] = {
        s: sum(len(d.off) for d, of in zip(profile, strokes, strict=True) if of == s)
        for s in strokes
    }
    if len(length) < 2:
        return tuple(profile)
    kept = []
    for d, stroke in zip(profile, strokes, strict=True):
        longer = [
            other
            for other, of in zip(profile, strokes, strict=True)
            if length[of] > length[stroke] and len(other.off) > 1
        ]
        if not longer or len(d.off) < 2:
            kept.append(d)
            continue
        way = tangents(d.xy)
        gap, turned = _gaps(d.xy, way, [other.xy for other in longer])
        apart = (gap > BESIDE_MM) & (gap < _FURTHEST_MM) & turned
        apart &= hatching.runs_as(d.xy, way) if apart.any() else apart
        kept.append(without(d, _grown(apart, gap > _MEETS_MM)) if apart.any() else d)
    return tuple(kept)


def without_hatched_ends(
    profile: Sequence[Deviation], own: Curve, frame: Box, hatching: Hatching
) -> tuple[Deviation, ...]:
    """The profiles of pencil that fits its ``own`` line or circle, without the ends that leave it
    along the hatching about them; as they are where most of the pencil does not fit it."""
    if not fits(profile, own, frame):
        return tuple(profile)
    kept = []
    for d in profile:
        if len(d.off) < 2:
            kept.append(d)
            continue
        u, _, along = seen_from(own, d.xy, frame)
        way = tangents(d.xy)
        away = np.abs(u) > OFF_MM
        turned = np.abs((way * along).sum(axis=1)) < _TURNED
        if away.all() and len(away) < _LEAD_MM / STEP_MM:  # too short to turn from the line
            turned = away
        if (away & turned).any():
            away = away & hatching.runs_as(d.xy, way)
        left = _at_an_end(np.abs(u) > _MEETS_MM, away, turned)
        kept.append(without(d, left) if left.any() else d)
    return tuple(kept)


def _at_an_end(
    within: NDArray[np.bool_], mostly: NDArray[np.bool_], partly: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """The runs of ``within`` (N,) at either end, or near it, that hold at least half ``mostly``,
    and some of the others; with what is left to the end."""
    found = np.zeros(len(within), dtype=bool)
    for flip in (slice(None), slice(None, None, -1)):
        lead = int(np.argmax(within[flip]))
        size = int(np.argmin(np.append(within[flip][lead:], False)))
        run = slice(lead, lead + size)
        if not size or lead > _LEAD_MM / STEP_MM:
            continue
        if mostly[flip][run].mean() >= _HALF and (mostly & partly)[flip][run].any():
            found[flip][: run.stop] = True
    return found


def _gaps(xy: Array, way: Array, others: Sequence[Array]) -> tuple[Array, NDArray[np.bool_]]:
    """Distance (N,) of points with unit directions ``way`` from the nearest of other strokes, and
    whether that runs along with them there."""
    from scipy.spatial import cKDTree

    places = np.concatenate(others)
    along = np.concatenate([tangents(other) for other in others])
    gap, at = cKDTree(places).query(xy)
    return gap, np.abs((along[at] * way).sum(axis=1)) > _ALONG


def _grown(seed: NDArray[np.bool_], within: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The runs of ``within`` (N,) that hold a point of ``seed``."""
    runs = np.cumsum(np.diff(within.astype(int), prepend=0) == 1) * within
    return np.isin(runs, np.unique(runs[seed & within])) & within
