"""Second lines that are no second answer: they help to construct, or hang on the first.

Paper millimetres."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from itertools import combinations

import numpy as np

from millimark.marking.arc_crossings import passes_one
from millimark.marking.candidates import Candidate, Roles
from millimark.marking.ink import Ink
from millimark.marking.through import line_through
from millimark.plane.point import Point

_AS_STROKE = math.cos(math.radians(9.0))
"""A stroke of hatching turns from its neighbours by less."""
_ON_MM, _JOINED, _PAST_MM = 1.0, 0.6, 12.0
"""A line joins two points that lie this near to it, mm, if it covers this share of the way between
them and runs past them by less than the third, mm, in all."""


def hangs_on(ink: Ink, roles: Roles, rival: Candidate, main: Candidate) -> bool:
    """Whether the rival runs as strokes of hatching do, and a crossing of construction arcs lies on
    the main line but none on the rival: it is the boundary's last stroke."""
    if not roles.hatch or not passes_one(ink, main.pieces, roles.crossings):
        return False
    if passes_one(ink, rival.pieces, roles.crossings):
        return False
    strokes = np.array([line_through(ink.pieces[k].xy)[1] for k in sorted(roles.hatch)])
    return bool((np.abs(strokes @ line_through(ink.points(rival.pieces))[1]) > _AS_STROKE).any())


def joins_given(ink: Ink, line: Sequence[int], given: Collection[Point]) -> bool:
    """Whether the pieces are a line that joins two of the given points."""
    xy = ink.points(line)
    middle, way = line_through(xy)
    along = (xy - middle) @ way
    low, high = float(along.min()), float(along.max())
    on = []
    for point in given:
        v = np.array(point) - middle
        if abs(float(v[0] * way[1] - v[1] * way[0])) < _ON_MM:
            on.append(float(v @ way))
    return any(
        min(high, max(a, b)) - max(low, min(a, b)) > _JOINED * abs(a - b)
        and high - low < abs(a - b) + _PAST_MM
        for a, b in combinations(on, 2)
        if abs(a - b) > _PAST_MM
    )
