"""Pieces whose own shape says that they are none of a line or none of a circle. Paper mm."""

from __future__ import annotations

import math
from collections.abc import Set

import numpy as np

from millimark.marking.ink import Array, Ink
from millimark.plane.curves import Arc, Curve

_BEND_MM, _BEND_RAD, _ROUND_RAD = 1.2, math.radians(14.0), math.radians(75.0)
_CHORD_END_MM = 3.0
"""A chord's ends lie this near to the circle, and to the next chord's, mm."""


def ruled_across(ink: Ink, curve: Curve, off: Array) -> frozenset[int]:
    """Ruled lines that would bend by over `_BEND_MM` on a circle and are no sides of a polygon
    drawn for it: none is part of it. ``off`` (N,) is every point's distance outside it, mm."""
    if not isinstance(curve, Arc):
        return frozenset()
    bend = ink.lengths**2 / (8.0 * curve.radius)
    ruled = [k for k, p in enumerate(ink.pieces) if p.shape == "line" and bend[k] > _BEND_MM]
    ends = np.maximum(np.abs(off[ink.first[:-1]]), np.abs(off[ink.first[1:] - 1]))
    chords = [k for k in ruled if ends[k] <= _CHORD_END_MM]
    sides = {k for k in chords if any(meet(ink, k, other) for other in chords if other != k)}
    return frozenset(ruled) - sides


def bent(ink: Ink, construction: Set[int]) -> frozenset[int]:
    """Construction arcs that bend by over `_BEND_MM`, or turn by over `_BEND_RAD`, and any arc that
    turns by over `_ROUND_RAD`: none is part of a ruled line."""
    found = set()
    for k, piece in enumerate(ink.pieces):
        if piece.shape != "arc":
            continue
        # of an arc and its chord: sagitta^2 = 3 (length^2 - chord^2) / 16, nearly
        chord = float(np.hypot(*(piece.xy[-1] - piece.xy[0])))
        sagitta = math.sqrt(3.0 * max(piece.length**2 - chord**2, 0.0)) / 4.0
        most = min(_BEND_MM, _BEND_RAD * piece.length / 8.0)
        if sagitta > (most if k in construction else _ROUND_RAD * piece.length / 8.0):
            found.add(k)
    return frozenset(found)


def meet(ink: Ink, one: int, other: int) -> bool:
    """Whether two pieces end at one place."""
    ends, others = ink.pieces[one].xy[[0, -1]], ink.pieces[other].xy[[0, -1]]
    return bool((np.hypot(*(ends[:, None] - others[None]).T) < _CHORD_END_MM).any())
