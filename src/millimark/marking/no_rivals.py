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
from millimark.plane.curves import Arc, Curve
from millimark.plane.point import Point

_AS_STROKE = math.cos(math.radians(9.0))
"""A stroke of hatching turns from its neighbours by less."""
_ON_MM, _JOINED, _PAST_MM = 1.0, 0.6, 12.0
"""A line joins two points that lie this near to it, mm, if it covers this share of the way between
them and runs past them by less than the third, mm, in all."""
_BEND_MM, _STRAIGHTER, _SPREAD = 0.5, 0.5, math.sqrt(4.0 / 45.0)
"""A stroke that a circle would bend by more than the first, mm, and that bends by less than the
second share of it, was ruled. An arc's points stray from its line by the third share of its bend,
rms."""


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


def chord_beside_arc(ink: Ink, rival: Candidate, main: Candidate, circle: Curve) -> bool:
    """Whether the rival was ruled and the main line bends as the circle does: a stroke of hatching
    is no second answer beside what the compasses drew."""
    if not isinstance(circle, Arc):
        return False
    return _is_ruled(ink, rival.pieces, circle.radius) and not _is_ruled(
        ink, main.pieces, circle.radius
    )


def _is_ruled(ink: Ink, pieces: Sequence[int], radius: float) -> bool:
    """Whether the pieces are one straight line that an arc of this radius, mm, is not."""
    xy = ink.points(pieces)
    middle, way = line_through(xy)
    along, across = (xy - middle) @ way, (xy - middle) @ np.array([-way[1], way[0]])
    bend = float(np.ptp(along)) ** 2 / (8.0 * radius)
    return bend > _BEND_MM and float(across.std()) < _STRAIGHTER * _SPREAD * bend
