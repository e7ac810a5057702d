"""Pieces of a path that run on past their end: beside the next piece their tails are not the line.

The compasses' arc goes on past the tangent point, a ruled side past the place where the arc begins;
and the compasses may have been turned all round where a part of the circle was wanted. Paper
millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from millimark.marking.expected import Box
from millimark.marking.ink import STEP_MM, Array
from millimark.marking.targets import offset_from, seen_from
from millimark.plane.curves import Arc, Curve

_LONGEST_MM = 8.0
"""What runs on further, mm, is a line in the wrong place."""
_BESIDE_MM, _TURNED_MM = 3.0, 1.0
"""The line that goes on, or the rest of the circle, lies no further off than the first, mm; the
circle's rest begins so far past the arc's end."""


def without_tails(pieces: Sequence[Array], path: Sequence[Curve], frame: Box) -> list[slice]:
    """What of each piece (N, 2) of a path's line is no tail: at a tail another curve of the path is
    nearer than the piece's own, and another piece lies beside it."""
    whole = [slice(0, len(xy)) for xy in pieces]
    if len(path) < 2 or len(pieces) < 2:
        return whole
    return [_own_part(k, pieces, path, frame) for k in range(len(pieces))]


def rest_of_circle(own: Curve, xy: Array, frame: Box) -> NDArray[np.bool_]:
    """Which points (N, 2) of a piece that was drawn for an arc lie past the arc's ends as far out
    as the piece does, whatever its radius; none of another curve."""
    if not isinstance(own, Arc) or own.is_whole or not len(xy):
        return np.zeros(len(xy), dtype=bool)
    off, along, _ = seen_from(own, xy, frame)
    past = (along < -_TURNED_MM) | (along > own.length + _TURNED_MM)
    return np.asarray(past & (np.abs(off - np.median(off)) < _BESIDE_MM), dtype=bool)


def _own_part(k: int, pieces: Sequence[Array], path: Sequence[Curve], frame: Box) -> slice:
    xy = pieces[k]
    nearest = np.argmin([np.abs(offset_from(curve, xy, frame)) for curve in path], axis=0)
    own = np.bincount(nearest).argmax()
    if (nearest == own).all():
        return slice(0, len(xy))
    from scipy.spatial import cKDTree

    others = cKDTree(np.concatenate([p for j, p in enumerate(pieces) if j != k]))
    tail = (nearest != own) & (others.query(xy)[0] < _BESIDE_MM)
    first, last = (int(np.argmin(end)) for end in (tail, tail[::-1]))
    most = _LONGEST_MM / STEP_MM
    return slice(first if first <= most else 0, len(xy) - (last if last <= most else 0))
