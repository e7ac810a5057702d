"""Pieces whose own shape says that they are none of a line or none of a circle. Paper mm."""

from __future__ import annotations

import math
from collections.abc import Sequence, Set

import numpy as np

from millimark.marking.ink import Array, Ink
from millimark.marking.through import circle_through, line_through, strays
from millimark.plane.curves import Arc, Curve

_BEND_MM, _BEND_RAD, _ROUND_RAD = 1.2, math.radians(14.0), math.radians(75.0)
_CHORD_END_MM = 3.0
"""A chord's ends lie this near to the circle, and to the next chord's, mm."""
_LEAST_MM, _STRUCK_MM, _OPENED_MM = 6.0, 28.0, 70.0
"""An arc that sets off a distance is longer than the first and shorter than the second, and its
radius is no longer than the third, mm."""
_BENT_MM, _BETTER = 0.05, 2.0
"""It strays from its chord by more than the first, rms mm, and so many times less from its arc."""
_RULED_MM, _ON_MM, _SQUARE = 15.0, 0.6, math.sin(math.radians(25.0))
"""The line that it crosses is longer than the first, passes as near as the second, mm, and is
square to it but for the third."""


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


def struck_across(ink: Ink, pieces: Sequence[int]) -> bool:
    """Whether all the pieces are short arcs that a ruled line crosses, as they are struck to set
    off a distance on it: what was drawn so is no line of its own."""
    return all(_is_struck(ink, k) for k in pieces)


def _is_struck(ink: Ink, k: int) -> bool:
    xy = ink.pieces[k].xy
    if not _LEAST_MM < ink.lengths[k] < _STRUCK_MM:
        return False
    _, radius, rms = circle_through(xy)
    if radius > _OPENED_MM or strays(xy) < max(_BENT_MM, _BETTER * rms):
        return False
    way = line_through(xy)[1]
    inner = xy[len(xy) // 5 : -(len(xy) // 5)]
    return any(
        p.shape == "line" and p.length > _RULED_MM and _crosses(p.xy, inner, way)
        for n, p in enumerate(ink.pieces)
        if n != k
    )


def _crosses(line: Array, inner: Array, way: Array) -> bool:
    """Whether a straight line passes through the inner part of an arc, square to its ``way``."""
    gap = np.hypot(*(line[:, None] - inner[None]).T).min()
    chord = line[-1] - line[0]
    return gap < _ON_MM and abs(float(chord @ way)) < _SQUARE * float(np.hypot(*chord))


def meet(ink: Ink, one: int, other: int) -> bool:
    """Whether two pieces end at one place."""
    ends, others = ink.pieces[one].xy[[0, -1]], ink.pieces[other].xy[[0, -1]]
    return bool((np.hypot(*(ends[:, None] - others[None]).T) < _CHORD_END_MM).any())
