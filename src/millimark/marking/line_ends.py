"""Ends of ruled lines that were traced with another stroke.

Where a line crosses an arc and a stroke of hatching at small angles, the tracer may go on from the
arc along the line, which then ends at the crossing. What goes on where a ruled line ends, in its
course, is that line. Paper millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from millimark.marking.ink import STEP_MM, Array, Piece, apart, unused, without_ends
from millimark.marking.through import line_through

_LONG_MM, _RULED_RMS_MM = 25.0, 0.15
"""A piece longer than the first, mm, and as straight as the second, rms mm, was ruled."""
_ON_MM, _TIMES, _MOSTLY, _LEAST_MM = 0.2, 3.0, 0.8, 6.0
"""The end of another stroke that lies so near to the line's course, mm (or so many times the line's
own scatter), for the third share of the fourth, mm, or more, is the line's: an arc that only
touches it leaves it sooner."""
_OFF_MM = 1.0
"""It is another stroke's if that lies somewhere so far off the line, mm."""
_GAP_MM, _OVERLAP_MM = 8.0, 3.0
"""It begins no further from the line's own end than the first, mm, and no more than the second
before that."""


def with_line_ends(pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces, with the ends that go on where another one, a ruled line, stops cut off: strokes
    of their own, after all others, so that their order is kept."""
    fresh = unused(pieces)
    straight = [_Line.of(p) for p in pieces if p.shape == "line" and p.length >= _LONG_MM]
    ruled = [line for line in straight if line.scatter <= _RULED_RMS_MM]
    kept: list[Piece] = []
    ends: list[Piece] = []
    for piece in pieces:
        first, last = (
            max((line.taken(piece, xy) for line in ruled), default=0)
            for xy in (piece.xy, piece.xy[::-1])
        )
        if first + last >= len(piece.xy) - 1:
            first = last = 0
        own, cut = without_ends(piece, first, last)
        kept.append(own)
        for end in cut:
            ends += apart([replace(end, shape="line")], next(fresh))
    return kept + ends


@dataclass(frozen=True, eq=False)
class _Line:
    """A straight piece: its middle and direction (2,), half its length and its scatter, mm."""

    piece: Piece
    middle: Array
    along: Array
    half: float
    scatter: float

    @staticmethod
    def of(piece: Piece) -> _Line:
        line = _Line(piece, *line_through(piece.xy), 0.0, 0.0)
        t, u = line.seen(piece.xy)
        return replace(line, half=float(np.ptp(t)) / 2.0, scatter=float(u.std()))

    def taken(self, other: Piece, xy: Array) -> int:
        """Number of points at the start of ``xy`` (N, 2), the other piece from either end, that are
        the rest of this line."""
        if other.stroke == self.piece.stroke:
            return 0
        on = max(_ON_MM, _TIMES * self.scatter)
        t, u = self.seen(xy[:1])
        if abs(float(u[0])) > on:
            return 0
        t, u = self.seen(xy)
        there = np.abs(u) <= on
        count = int(np.flatnonzero(there)[-1]) + 1
        if (
            np.abs(u).max() < _OFF_MM
            or count * STEP_MM < _LEAST_MM
            or there[:count].mean() < _MOSTLY
        ):
            return 0
        past = abs(float(t[count - 1])) - self.half
        outwards = float(t[0]) * np.sign(t[count - 1]) > abs(float(t[count - 1]))
        return count if outwards and -_OVERLAP_MM < past < _GAP_MM else 0

    def seen(self, xy: Array) -> tuple[Array, Array]:
        """Places (N,) of points (N, 2) along the line, from its middle, and distances from it."""
        v = xy - self.middle
        return v @ self.along, v @ np.array([-self.along[1], self.along[0]])
