"""Circles drawn as polygons are told from circles with strokes of hatching beside them."""

from __future__ import annotations

import math

import numpy as np

from millimark.marking.ink import STEP_MM, Ink, Piece, tangents
from millimark.marking.polygons import chords_of
from millimark.plane.curves import Arc
from millimark.plane.point import Point

CIRCLE = Arc(Point(0.0, 0.0), 30.0)


def piece(xy, stroke, shape="line"):
    return Piece(xy, tangents(xy), np.full(len(xy), 0.02), 0.5, 0.5, stroke, shape)


def chords(count, wide_deg=40.0, shown=9):
    found = []
    for k in range(shown):
        ends = [math.radians(wide_deg * (k + e)) for e in (0, 1)]
        a, b = (30.0 * np.array([math.cos(t), math.sin(t)]) for t in ends)
        n = round(math.dist(a, b) / STEP_MM)
        found.append(piece(np.linspace(a, b, n + 1), k))
    return found[:count]


def drawn():
    """The circle itself, in two long pieces."""
    halves = (np.arange(0.0, math.pi, STEP_MM / 30.0) + start for start in (0.0, math.pi))
    return [
        piece(30.0 * np.column_stack((np.cos(t), np.sin(t))), 100 + k, "arc")
        for k, t in enumerate(halves)
    ]


def found(pieces):
    ink = Ink.of(pieces)
    return chords_of(CIRCLE, ink, np.hypot(*ink.xy.T) - 30.0)


def test_nine_chords_are_a_polygon():
    assert found(chords(9)) == list(range(9))


def test_chords_beside_a_circle_that_was_drawn_are_none():
    """Hatching inside a circle has strokes that end on it: the circle's own pieces are longer than
    any chord, and count against them."""
    assert found([*chords(6), *drawn()]) == []
