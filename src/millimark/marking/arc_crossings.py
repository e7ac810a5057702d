"""Where construction arcs cross: a line that joins two such places was ruled through them, however
the hatching beside it runs. Paper millimetres."""

from __future__ import annotations

import math
from collections.abc import Sequence, Set
from dataclasses import replace
from itertools import combinations

import numpy as np

from millimark.marking.ink import STEP_MM, Array, Ink, Piece, closest

_BROKEN_MM = 2.0
"""An arc may be traced in two at a crossing, and each part end so far before it, mm: the line that
was ruled through it crosses there as well."""
_MEET_MM, _SHARPLY = 1.2, math.cos(math.radians(20.0))
"""Arcs that come this near to each other, at more than this angle, cross."""
_THROUGH_MM, _APART_MM = 1.2, 15.0
"""A line passes this near to two crossings that lie further apart than the second, mm."""


def arc_crossings(ink: Ink, construction: Set[int]) -> Array:
    """The places (N, 2) at which pieces of construction arcs cross."""
    found = []
    for one, other in combinations([_carried_on(ink.pieces[k]) for k in sorted(construction)], 2):
        gap, i, j = closest(one, other)
        if gap < _MEET_MM and abs(float(one.tangent[i] @ other.tangent[j])) < _SHARPLY:
            found.append((one.xy[i] + other.xy[j]) / 2.0)
    return np.array(found).reshape(-1, 2)


def _carried_on(piece: Piece) -> Piece:
    """The piece, carried straight on at both ends by `_BROKEN_MM`."""
    steps = STEP_MM * np.arange(1.0, _BROKEN_MM / STEP_MM + 1.0)[:, None]
    first, last = piece.tangent[[0, -1]]
    before, after = piece.xy[0] - steps[::-1] * first, piece.xy[-1] + steps * last
    count = (len(steps), 1)
    return replace(
        piece,
        xy=np.concatenate((before, piece.xy, after)),
        tangent=np.concatenate((np.tile(first, count), piece.tangent, np.tile(last, count))),
    )


def passes_one(ink: Ink, members: Sequence[int], crossings: Array) -> bool:
    """Whether a line of these pieces passes through one of the crossings."""
    return bool(_passed(ink, members, crossings))


def joins_two(ink: Ink, members: Sequence[int], crossings: Array) -> bool:
    """Whether a line of these pieces passes through two of the crossings."""
    passed = _passed(ink, members, crossings)
    return any(math.dist(a, b) > _APART_MM for a, b in combinations(passed, 2))


def _passed(ink: Ink, members: Sequence[int], crossings: Array) -> list[Array]:
    xy = ink.points(members)
    return [at for at in crossings if np.hypot(*(xy - at).T).min() < _THROUGH_MM]
