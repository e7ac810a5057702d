"""Lines ruled by themselves: a radius, a line that measures something. They are no shading.

Two lines side by side are already taken for hatching, however far apart hatching may be.
"""

from __future__ import annotations

import math
from collections.abc import Set

import numpy as np

from millimark.marking.ink import Array, Ink

_LEAST_MM = 15.0
"""A line shorter than this may be a stroke of shading of which the rest is too pale, mm."""
_SAME_MM = 1.0
"""Pieces this near to one line are parts of it, mm."""
_PARALLEL = math.radians(25.0)
_APART_MM = 20.0
"""Strokes of the widest hatching are nearer to each other than this, mm."""
_COMPANY_MM, _COMPANY = 4.0, 0.15
"""What a stroke beside a line is at least as long as: mm, and share of the line's length."""


def ruled_alone(ink: Ink, free: Set[int]) -> frozenset[int]:
    """Those of the ``free`` pieces that make straight lines with no other free piece beside them
    that could be a second stroke of hatching; empty where there are none."""
    order = sorted(free)
    marks = np.array([ink.pieces[k].xy[[0, len(ink.pieces[k].xy) // 2, -1]] for k in order])
    lengths = ink.lengths[order]
    return frozenset(
        k
        for k in order
        if ink.pieces[k].shape == "line"
        and ink.lengths[k] >= _LEAST_MM
        and not _has_company(ink.pieces[k].xy, marks, lengths)
    )


def _has_company(line: Array, marks: Array, lengths: Array) -> bool:
    """Whether a stroke runs beside the line's points (N, 2); ``marks`` (M, 3, 2) are the first,
    middle and last points of all strokes, ``lengths`` (M,) theirs, mm."""
    chord = line[-1] - line[0]
    size = float(np.hypot(chord[0], chord[1]))
    along = chord / size
    place = (marks - line[0]) @ along
    off = np.abs((marks - line[0]) @ np.array([-along[1], along[0]]))[:, 1]
    run = marks[:, 2] - marks[:, 0]
    straight = np.hypot(run[:, 0], run[:, 1])
    beside = (place.max(axis=1) > 0.0) & (place.min(axis=1) < size)
    beside &= (off > _SAME_MM) & (off < _APART_MM)
    beside &= np.abs(run @ along) > math.cos(_PARALLEL) * straight
    return bool((beside & (lengths >= max(_COMPANY_MM, _COMPANY * size))).any())
