"""Where the pieces of one line end: loose, or where the next piece takes over.

A loose end fades out, so its last half millimetre is not measured but carried on from its trend.
Where two pieces meet there is nothing to carry on, and at a sharp corner the tip lies where
their courses cross: the pencil's own turn there is too tight to be measured. Paper mm.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from millimark.marking.ink import STEP_MM, Array, Ink
from millimark.marking.through import line_through

END_MM = 0.6
"""What is left out at the end of a stroke, mm."""
_MEETS_MM = 2.0
"""Ends no further apart than this, mm, meet."""
_COURSE_MM = (0.8, 4.0)
"""From where to where, mm from its end, the course of a piece towards a corner is read."""
_CORNER = math.cos(math.radians(30.0))
_TIP_MM = 2.5
"""A corner's tip lies no further ahead of the ends that meet there, mm."""


@dataclass(frozen=True)
class PieceEnd:
    """One end of a piece: ``loose``, or met by another piece; ``cut`` points are not measured."""

    loose: bool
    cut: int


def ends_of(ink: Ink, pieces: Sequence[int]) -> list[tuple[PieceEnd, PieceEnd]]:
    """The first and the last end of each of the pieces of one line."""
    at = {(k, e): ink.pieces[k].xy[e] for k in pieces for e in (0, -1)}
    found = []
    for k in pieces:
        both = []
        for e in (0, -1):
            near = [
                other
                for (other, f), p in at.items()
                if other != k and math.dist(p, at[k, e]) < _MEETS_MM
            ]
            same = any(ink.pieces[n].trace == ink.pieces[k].trace for n in near)
            cut = min(round(END_MM / STEP_MM), (len(ink.pieces[k].xy) - 1) // 3)
            loose = not near and not _goes_on(ink, k, at[k, e], pieces)
            both.append(PieceEnd(loose, 0 if same else cut))
        found.append((both[0], both[1]))
    return found


def _goes_on(ink: Ink, piece: int, end: Array, line: Collection[int]) -> bool:
    """Whether what was traced on from the end of a piece is none of the line: where the pencil of
    that ends is not known."""
    trace = ink.pieces[piece].trace
    others = [p for k, p in enumerate(ink.pieces) if k not in line and p.trace == trace]
    return any(math.dist(end, p.xy[e]) < 2.0 * STEP_MM for p in others for e in (0, -1))


def corners(ink: Ink, pieces: Sequence[int]) -> Array:
    """The tips (N, 2) of sharp corners at which two strokes of the line meet: none where a third
    one bends from the one to the other."""
    ends = [_course(ink.pieces[k].xy[::step]) for k in pieces for step in (1, -1)]
    tips = []
    for (i, a), (j, b) in combinations(enumerate(ends), 2):
        one, other = pieces[i // 2], pieces[j // 2]
        if a is None or b is None or ink.pieces[one].trace == ink.pieces[other].trace:
            continue
        tip = _crossing(a, b)
        thirds = (k for k in pieces if k not in (one, other))
        if tip is not None and not any(_joins(ink.pieces[k].xy, a[0], b[0]) for k in thirds):
            tips.append(tip)
    return np.array(tips).reshape(-1, 2)


def _joins(xy: Array, one: Array, other: Array) -> bool:
    """Whether a piece (N, 2) goes from one end to another, either way round."""
    return any(
        math.dist(first, one) < _MEETS_MM and math.dist(last, other) < _MEETS_MM
        for first, last in ((xy[0], xy[-1]), (xy[-1], xy[0]))
    )


_Course = tuple[Array, Array]


def _course(xy: Array) -> _Course | None:
    """(end, unit direction outward) of a piece (N, 2) that starts at this end; None if short."""
    first, last = (round(v / STEP_MM) for v in _COURSE_MM)
    if len(xy) <= last:
        return None
    part = xy[first : last + 1]
    middle, way = line_through(part)
    way = way if float(way @ (part[0] - part[-1])) > 0.0 else -way
    on_course = middle + way * float((xy[0] - middle) @ way)
    return on_course, way


def _crossing(a: _Course, b: _Course) -> Array | None:
    """Where two courses cross just ahead of both ends; None where they do not, or run on."""
    (p, u), (q, w) = a, b
    gap = q - p
    if float(np.hypot(*gap)) > 2.0 * _TIP_MM or float(-u @ w) > _CORNER:
        return None
    det = float(u[0] * w[1] - u[1] * w[0])
    if abs(det) < math.sqrt(1.0 - _CORNER**2) / 2:
        return None
    s = float(gap[0] * w[1] - gap[1] * w[0]) / det
    t = float(gap[0] * u[1] - gap[1] * u[0]) / det
    ahead = min(s, t) >= -END_MM and max(s, t) <= _TIP_MM
    tip: Array = p + s * u
    return tip if ahead else None
