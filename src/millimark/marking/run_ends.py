"""Ends of a run of pieces that are none of its line: at a crossing a stroke may go on along another
one (a construction arc, hatching). Paper mm."""

from __future__ import annotations

import math
from collections.abc import Sequence, Set

import numpy as np

from millimark.marking.ink import Array, Ink
from millimark.marking.own_circle import OwnCircle
from millimark.marking.through import line_through, strays
from millimark.marking.unlike import meet

_SHORT_MM = 6.0
"""The direction of a shorter piece does not say whether it was ruled, mm."""
_LONG_MM, _RULED_RMS_MM, TURNED_RAD = 25.0, 0.15, math.radians(12.0)
"""A piece longer than the first, mm, and as straight as the second, rms mm, was ruled; what turns
from it by more than the third is no part of it."""


def without_shading_ends(members: tuple[int, ...], shading: Set[int]) -> tuple[int, ...]:
    """A run without the strokes of hatching that it begins or ends with; whole if all are such."""
    own = [n for n, k in enumerate(members) if k not in shading]
    return members[own[0] : own[-1] + 1] if own else members


def without_arc_ends(ink: Ink, members: tuple[int, ...], construction: Set[int]) -> tuple[int, ...]:
    """A freehand line without the piece of a construction arc that it ends with, where other
    pencil goes on as well: at their crossing a stroke may go on along either."""
    for step in (1, -1):
        end, *rest = members[::step]
        if end in construction and rest and rest[0] not in construction:
            others = set(range(len(ink.pieces))) - construction - set(members)
            if any(meet(ink, k, rest[0]) for k in others):
                members = tuple(rest[::step])
    return members


def without_turned_ends(ink: Ink, members: tuple[int, ...]) -> tuple[int, ...]:
    """A run without the ends that turn away from what was ruled: at a crossing with an arc a stroke
    may go on along either."""
    main = max(members, key=lambda k: ink.lengths[k])
    if len(members) < 2 or not is_ruled(ink, [main]):
        return members
    along = _chord(ink, main)
    turned = {
        k
        for k in members
        if ink.lengths[k] > _SHORT_MM and abs(float(_chord(ink, k) @ along)) < math.cos(TURNED_RAD)
    }
    return _between(members, main, turned)


def without_ends_off_circle(ink: Ink, members: tuple[int, ...], hatched: bool) -> tuple[int, ...]:
    """The same for a run along what the compasses drew."""
    circle = OwnCircle.of(ink, members, hatched)
    if circle is None:
        return members
    main = max(members, key=lambda k: ink.lengths[k])
    return _between(members, main, {k for k in members if circle.leaves(ink.pieces[k])} - {main})


def _between(members: tuple[int, ...], main: int, others: Set[int]) -> tuple[int, ...]:
    """The run about its ``main`` piece up to the nearest of the ``others`` on either side."""
    at = members.index(main)
    first = max((n + 1 for n in range(at) if members[n] in others), default=0)
    last = next((n for n in range(at, len(members)) if members[n] in others), len(members))
    return members[first:last]


def is_ruled(ink: Ink, pieces: Sequence[int]) -> bool:
    """Whether the pieces are one line, long and straight as no hand draws it."""
    if ink.lengths[list(pieces)].sum() < _LONG_MM:
        return False
    xy = ink.points(pieces)
    straight = strays(xy) < _RULED_RMS_MM
    return straight and float(np.ptp(xy @ line_through(xy)[1])) > _LONG_MM


def _chord(ink: Ink, k: int) -> Array:
    """Unit vector from a piece's first point to its last."""
    chord: Array = ink.pieces[k].xy[-1] - ink.pieces[k].xy[0]
    return chord / max(float(np.hypot(*chord)), 1e-9)
