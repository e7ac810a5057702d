"""Pencil along a circle that no stroke was traced through: too faint, or cut to bits by print.

A construction arc is often a few millimetres long and struck across a printed line, other arcs and
the answer. What its circle is, is known from its other pieces. Paper millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from millimark.marking.expected import Box
from millimark.marking.ink import Array
from millimark.plane.point import Point

_PAST_MM = (3.5, 8.0)
"""From where to where past a figure's corner something faint is looked for."""
_BESIDE_MM = (-2.0, -1.4, 1.4, 2.0)
_ON_MM = (-0.4, -0.2, 0.0, 0.2, 0.4)
"""Where beside the circle the paper is looked at, and where the pencil."""
_FAINT = 0.03
"""Darkness above the paper beside it, as a mean over millimetres, that no grain makes."""
_NEXT_MM, _STEP_MM = (0.7, 3.2), 0.1
"""From where to where beside a place on its circle an arc that was struck there is looked for."""
_CORNER_OFF_MM = (0.0, -0.5, 0.5)
"""How far off a corner the arcs that made it may be looked for."""
_FLAT = (0.14, 0.46)
"""How high equal arcs cross that pass for the line between, as shares of half their distance."""
_PARTS_MM, _PARTED, _BRANCHES = (2.6, 4.4), 0.7, 3
"""From where to where past such a crossing an arc parts from the line, mm; it is there if more than
this share of it is dark, and so many of the four halves have to be."""
_CLEAR_MM = 0.4
"""An arc nearer to the middle of the line is part of its pencil."""
_DARK, _LEAST_MM = 0.08, 0.8
"""Such an arc is darker than the first above the paper beside it, over the second."""
LOOKS = (0, 1, 2)
"""How closely arcs are looked for: among the strokes that were traced; also among what was not; and
there behind the long strokes that cross them."""


@dataclass(frozen=True, eq=False)
class Picture:
    """``pencil`` (H, W) darkness of the answer ``frame``; ``hidden`` (H, W) bool where print
    hides it. ``look`` says how closely arcs are to be looked for (`LOOKS`)."""

    pencil: NDArray[np.float32]
    hidden: NDArray[np.bool_]
    frame: Box
    look: int = 0

    def shows(self, at: Point, margin_mm: float) -> bool:
        """Whether a place lies inside the frame, further from its edges than the margin."""
        x0, y0, x1, y1 = self.frame
        return min(at.x - x0, x1 - at.x, at.y - y0, y1 - at.y) >= margin_mm

    def along(self, centre: Point, radius: float, turn: Array) -> tuple[Array, NDArray[np.bool_]]:
        """Darkness at the angles ``turn`` (N,) of a circle, and whether it can be seen there."""
        return self.at(centre.x + radius * np.cos(turn), centre.y + radius * np.sin(turn))

    def at(self, x: Array, y: Array) -> tuple[Array, NDArray[np.bool_]]:
        """Darkness at places (N,), and whether it can be seen there."""
        k = self.pencil.shape[1] / (self.frame[2] - self.frame[0])
        height, width = self.pencil.shape
        columns = np.round((x - self.frame[0]) * k).astype(int)
        rows = np.round((y - self.frame[1]) * k).astype(int)
        there = (columns >= 0) & (columns < width) & (rows >= 0) & (rows < height)
        at = np.clip(rows, 0, height - 1), np.clip(columns, 0, width - 1)
        dark = np.where(there, self.pencil[at], 0.0).astype(np.float64)
        return dark, there & ~self.hidden[at]


def faint_past(picture: Picture, centre: Point, radius: float, other: Point, at: Point) -> bool:
    """Whether something fainter than a stroke that can be traced runs along a circle past a
    place on it, on the side away from the ``other`` circle's centre: there no side of the figure
    runs."""
    heading = (at - centre).angle()
    turn = heading + _away(centre, other, at) * np.linspace(*_PAST_MM, 24) / radius

    def mean(off: float) -> float:
        return float(picture.along(centre, radius + off, turn)[0].mean())

    return max(map(mean, _ON_MM)) > float(np.median([mean(v) for v in _BESIDE_MM])) + _FAINT


def flat_crossing(picture: Picture, a: Point, b: Point) -> bool:
    """Whether pencil parts from the line half way between two points as equal arcs about them do
    that cross at a small angle: too near to it to be traced for themselves."""
    half, up = a.distance(b) / 2.0, (b - a).unit().left()
    middle = (a + b) * 0.5
    for height in np.arange(*_FLAT, 0.5 / half) * half:
        for at in (middle + up * float(height), middle - up * float(height)):
            halves = [_parts_from(picture, c, at, up, way) for c in (a, b) for way in (-1.0, 1.0)]
            if sum(halves) >= _BRANCHES:
                return True
    return False


def _parts_from(picture: Picture, centre: Point, at: Point, along: Point, way: float) -> bool:
    """Whether pencil runs along the circle about ``centre`` one way on from a place on it, so far
    beside the line ``along`` a unit direction that at that place the paper there is clear."""
    radius = at.distance(centre)
    turn = (at - centre).angle() + way * np.arange(*_PARTS_MM, _STEP_MM) / radius
    x, y = centre.x + radius * np.cos(turn) - at.x, centre.y + radius * np.sin(turn) - at.y
    off = x * along.y - y * along.x
    rows = [picture.along(centre, radius + v, turn)[0] for v in _ON_MM[1:4]]
    waist, _ = picture.at(at.x + off * along.y, at.y - off * along.x)
    parted = (np.abs(off) > _CLEAR_MM) & (np.max(rows, axis=0) > waist + _DARK)
    return float(np.mean(parted)) > _PARTED


def goes_on_past(picture: Picture, centre: Point, other: Point, at: Point) -> bool:
    """Whether pencil goes on along a circle about ``centre`` just past a place on it, or close
    beside it, away from the ``other`` circle's centre."""
    which = 1 if _away(centre, other, at) > 0.0 else 0
    radius = at.distance(centre)
    return any(runs_by(picture, centre, radius + off, at)[which] for off in _CORNER_OFF_MM)


def _away(centre: Point, other: Point, at: Point) -> float:
    """The sense (-1 or +1) of a turn about ``centre`` that leads from a place away from another."""
    return 1.0 if (at - centre).left().dot(other - at) < 0 else -1.0


def runs_by(picture: Picture, centre: Point, radius: float, at: Point) -> tuple[bool, bool]:
    """Whether pencil runs along a circle just before and just after a place on it."""
    heading = (at - centre).angle()
    places = np.arange(*_NEXT_MM, _STEP_MM)
    found = []
    for way in (-1.0, 1.0):
        turn = heading + way * places / radius
        beside = np.median([picture.along(centre, radius + v, turn)[0] for v in _BESIDE_MM], axis=0)
        best = 0.0
        for off in _ON_MM:
            dark, seen = picture.along(centre, radius + off, turn)
            best = max(best, float((seen & (dark > beside + _DARK)).sum()))
        found.append(best * _STEP_MM >= _LEAST_MM)
    return found[0], found[1]
