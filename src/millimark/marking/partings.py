"""Straight strokes that are two: where a line and another one part at a few degrees.

A stroke of hatching that meets its boundary so is one ridge with it for a while, and a tracer goes
on along either. The stroke is cut where it bends and the other line begins. Paper millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from millimark.marking.ink import STEP_MM, Array, Piece
from millimark.marking.through import line_through

_LONG_MM, _LEAST_MM = 24.0, 8.0
"""A shorter piece is not looked at, and none is cut off that is shorter than the second, mm."""
_BENT_MM, _STRAIGHTER = 0.12, 0.5
"""A piece is bent that is this far from one line or arc, rms mm, and less than this share as far
from two lines that meet."""
_BEGINS_MM, _ON_IT_MM, _LEVEL = 10.0, 2.0, math.cos(math.radians(15.0))
"""The other line begins so near to the bend and to the piece, mm, and runs in about the same
direction."""
_LITTLE = math.cos(math.radians(25.0))
"""What turns more from end to end is an arc."""


def parted(pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces, each bent one in two where another line begins; in the same order."""
    found: list[Piece] = []
    for piece in pieces:
        at = _bend(piece)
        if at is None or not any(_begins(piece, at, p) for p in pieces if p is not piece):
            found.append(piece)
            continue
        halves = piece.part(0, at + 1), piece.part(at, len(piece.xy))
        found += [replace(half, shape="line") for half in halves]
    return found


def _bend(piece: Piece) -> int | None:
    """At which point a piece is best cut into two lines; None where one line or an arc does."""
    turned = float(piece.tangent[0] @ piece.tangent[-1]) < _LITTLE
    if piece.shape == "loose" or piece.length < _LONG_MM or turned:
        return None
    xy = piece.xy
    centre, along = line_through(xy)
    t, u = (xy - centre) @ along, (xy - centre) @ np.array([-along[1], along[0]])
    smooth = float(np.std(u - np.polyval(np.polyfit(t, u, 2), t)))
    if smooth < _BENT_MM:
        return None
    least = round(_LEAST_MM / STEP_MM)
    splits = range(least, len(xy) - least, round(1.0 / STEP_MM))
    rms = _hinged(t, u, t[list(splits)])
    best = int(np.argmin(rms))
    return splits[best] if rms[best] < _STRAIGHTER * smooth else None


def _hinged(t: Array, u: Array, knots: Array) -> Array:
    """Rms (K,) of what two lines that meet at each of the ``knots`` leave of u(t)."""
    line = np.linalg.qr(np.column_stack((np.ones_like(t), t)))[0]
    hinges = np.maximum(t[:, None] - knots, 0.0)
    left, hinges = (v - line @ (line.T @ v) for v in (u, hinges))
    taken = (left @ hinges) ** 2 / np.maximum((hinges**2).sum(axis=0), 1e-12)
    rms: Array = np.sqrt(np.maximum(float(left @ left) - taken, 0.0) / len(t))
    return rms


def _begins(piece: Piece, at: int, other: Piece) -> bool:
    """Whether another straight piece begins at the bend, nearly in the direction of this one."""
    if other.shape != "line" or other.length < _LEAST_MM:
        return False
    if abs(float(other.tangent[len(other.xy) // 2] @ piece.tangent[at])) < _LEVEL:
        return False
    ends = [end for end in other.xy[[0, -1]] if math.dist(end, piece.xy[at]) < _BEGINS_MM]
    return any(np.hypot(*(piece.xy - end).T).min() < _ON_IT_MM for end in ends)
