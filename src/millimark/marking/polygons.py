"""Circles drawn as polygons: straight pieces whose ends lie on the circle."""

from __future__ import annotations

import numpy as np

from millimark.marking.ink import Array, Ink
from millimark.plane.curves import Arc

_CHORDS, _CHORD_MM, _LONG = 3, 7.0, 1.1
"""So many chords, each at least so long, make a polygon; none longer than so many radii, which
are sides of a triangle or square in the circle."""
_BEND_MM, _CORNER_MM, _BESIDE_MM = 0.35, 2.5, 6.0
"""How far a chord's middle lies inside, at least, and its ends off the circle, at most; and how
near the circle pencil is looked at, mm."""
_LEAST, _MOST = 0.6, 1.5
"""How a chord's bend against the circle compares with what its length makes, at least and most."""


def chords_of(circle: Arc, ink: Ink, off: Array) -> list[int]:
    """The pieces that are chords of the circle, if they make a polygon of it: none otherwise.

    ``off`` (N,) is every point's distance outside the circle, mm.
    """
    chords: list[int] = []
    straight = other = 0.0
    for k in range(len(ink.pieces)):
        u, length = off[ink.first[k] : ink.first[k + 1]], float(ink.lengths[k])
        if length < _CHORD_MM or float(np.abs(u).mean()) > _BESIDE_MM:
            continue
        ends = (float(u[0]) + float(u[-1])) / 2.0
        bend, chord = ends - float(u[len(u) // 2]), length**2 / (8.0 * circle.radius)
        bends = chord > _BEND_MM and length < _LONG * circle.radius
        if bends and abs(ends) < _CORNER_MM and _LEAST < bend / chord < _MOST:
            chords.append(k)
            straight += length
        else:
            other += length
    return chords if len(chords) >= _CHORDS and straight > 2.0 * other else []
