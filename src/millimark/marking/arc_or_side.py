"""Arc or side: whose the pencil is where construction arcs run into the sides of a figure.

Paper millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from millimark.marking.corners import NEAR_MM
from millimark.marking.ink import Array, Ink, closest
from millimark.marking.through import line_through
from millimark.plane.point import Point

_SIDE_MM, _MEET_MM, _OWN_MM = 12.0, 2.0, 5.0
"""No side of a figure is shorter than the first, mm. Sides meet where they come nearer than the
second; a corner further from its place than the third is another one."""
_ON_MM, _LEVEL = 1.0, np.sin(np.radians(25.0))
_PAST_MM = (2.5, 10.0)
"""Pencil this near to a circle, mm, and turned from it by less than the second, from and to so many
mm on both sides of a place, runs through it."""
_BARE_MM, _BARE_ON_MM, _BARE_LEVEL = (1.2, 10.0), 0.6, np.sin(np.radians(14.0))
"""Past the corner, away from the other arc's centre, only a side that was ruled too far runs: what
lies there on the circle, from and to so many mm, at so many mm from it and as level, is the arc."""
_RULED_ON_MM, _RULED_MM, _RULED_LEVEL = 6.0, 6.0, np.cos(np.radians(8.0))
"""A line that was ruled on past a printed one comes this near to a place on it, mm, is longer than
the second, and turns from it by less than the third."""
_BESIDE_MM, _APART_MM = 0.6, 0.35
"""Pencil this near to a side is the side's; what lies further from all of it is another stroke."""
_TOO_FAR, _ALONG, _LEAST_BARE = np.cos(np.radians(17.0)), np.cos(np.radians(20.0)), 3
"""A side that was ruled too far runs as the arc does if they turn from each other by less than the
first; where by less than the second, it lies along the arc on both sides of the corner. So many
points (`STEP_MM` apart) are seen to lie there."""
_CLEARLY_MM = 0.25
"""What lies further than this from where a side would run on, mm, is told from it."""
_RULED_PAST_MM = 6.5
"""No side is ruled on past its corner by more, mm: common practice, no source."""


def sides_end(ink: Ink, arcs: Collection[int], at: Point) -> bool:
    """Whether a stroke that is long enough for a figure's side, and none of the ``arcs``, ends at
    a place."""
    return any(
        piece.length >= _SIDE_MM
        and k not in arcs
        and np.hypot(*(piece.xy[[0, -1]] - np.array(at)).T).min() < NEAR_MM
        for k, piece in enumerate(ink.pieces)
    )


def own_corner(ink: Ink, near: Point) -> Point | None:
    """Where two strokes that are long enough for a figure's sides cross or meet near a place; None
    where none do."""
    long = [p for p in ink.pieces if p.length >= _SIDE_MM]
    places = []
    for one, other in combinations(long, 2):
        gap, i, j = closest(one, other)
        if gap < _MEET_MM:
            x, y = (one.xy[i] + other.xy[j]) / 2.0
            places.append(Point(float(x), float(y)))
    nearest = min(places, key=near.distance, default=None)
    return nearest if nearest is not None and nearest.distance(near) < _OWN_MM else None


def runs_through(ink: Ink, centre: Point, radius: float, at: Point, other: Point) -> bool:
    """Whether pencil runs along the circle on both sides of a corner on it: a side that ends there
    lies on one side of it only, and the one to the ``other`` centre turns from it."""
    if not _parts(centre, at, other, _ALONG):
        return False
    u = (at - centre).unit()
    along = ink.xy @ np.array([-u.y, u.x]) - Point(-u.y, u.x).dot(at)
    off, radial = _off_circle(ink, centre, radius)
    on = (off < _ON_MM) & (radial < _LEVEL) & _on_side(ink, centre, at)
    low, high = _PAST_MM
    return bool((on & (along > low) & (along < high)).any()) and bool(
        (on & (along < -low) & (along > -high)).any()
    )


def goes_past(ink: Ink, centre: Point, radius: float, at: Point, other: Point) -> bool:
    """Whether the arc itself is seen past a corner ``at`` on it, away from the ``other`` circle's
    centre: no side of the figure lies there, but the one to that centre if it was ruled too far.
    Where that runs nearly as the arc does, the pencil must lie clearly nearer to the circle, or go
    on for longer than a side would."""
    u = (at - centre).unit()
    beyond = (at - other).unit()
    ahead = u.left() if u.left().dot(beyond) > 0.0 else -u.left()
    along = (ink.xy - np.array(at)) @ np.array(ahead)
    low, high = _BARE_MM
    off, radial = _off_circle(ink, centre, radius)
    on = (off < _BARE_ON_MM) & (radial < _BARE_LEVEL) & _on_side(ink, centre, at)
    seen = on & (along > low) & (along < high)
    if _parts(centre, at, other, _TOO_FAR) or not seen.any():
        return int(seen.sum()) >= _LEAST_BARE
    ruled = _off_side(ink, at, beyond)
    apart = seen & (ruled > _CLEARLY_MM) & (off < ruled / 2.0)
    return int(apart.sum()) > _LEAST_BARE or float(along[seen].max()) > _RULED_PAST_MM


def _off_circle(ink: Ink, centre: Point, radius: float) -> tuple[Array, Array]:
    """Distance (N,) of the pencil from a circle, mm, and sine (N,) by which it turns from it."""
    v = ink.xy - np.array(centre)
    rho = np.maximum(np.hypot(v[:, 0], v[:, 1]), 1e-9)
    return np.abs(rho - radius), np.abs((ink.tangent * v).sum(axis=1)) / rho


def _on_side(ink: Ink, centre: Point, at: Point) -> NDArray[np.bool_]:
    """Which points (N,) of the pencil lie on the same side of a centre as a place."""
    ahead = (ink.xy - np.array(centre)) @ np.array((at - centre).unit())
    return np.asarray(ahead > 0.0, dtype=bool)


def _off_side(ink: Ink, at: Point, beyond: Point) -> Array:
    """Distance (N,) of the pencil from the side that ends at a corner, carried on ``beyond`` it:
    the pupil's own, or what should be it."""
    way, end = np.array(beyond), np.array(at)
    for piece in ink.pieces:
        nearest = piece.xy[int(np.argmin(np.hypot(*(piece.xy - np.array(at)).T)))]
        chord = piece.xy[-1] - piece.xy[0]
        level = abs(float(chord @ np.array(beyond))) > _RULED_LEVEL * float(np.hypot(*chord))
        if piece.length >= _SIDE_MM and level and math.dist(nearest, at) < NEAR_MM:
            end, way = line_through(piece.xy)
    v = ink.xy - end
    off: Array = np.abs(v[:, 0] * way[1] - v[:, 1] * way[0])
    return off


def _parts(centre: Point, at: Point, other: Point, level: float) -> bool:
    """Whether the side from a corner to the ``other`` centre turns from the circle about ``centre``
    by more than the angle whose cosine is ``level``."""
    return abs((at - centre).unit().left().dot((at - other).unit())) < level


def runs_beside(
    ink: Ink, pieces: Collection[int], centre: Point, radius: float, at: Point, other: Point
) -> bool:
    """Whether these pieces, on the circle, and a side from the corner ``at`` to the ``other``
    centre are two strokes that part at the corner."""
    low, high = _BARE_MM
    side = (other - at).unit()
    t, off = ((ink.xy - np.array(at)) @ np.array(v) for v in (side, side.left()))
    theirs = np.zeros(len(ink.xy), dtype=bool)
    for k in pieces:
        theirs[ink.first[k] : ink.first[k + 1]] = True
    beside = (t > low) & (t < high)
    on = np.abs(np.hypot(*(ink.xy - np.array(centre)).T) - radius) < _BARE_ON_MM
    arc = ink.xy[theirs & beside & on]
    ruled = ink.xy[~theirs & beside & (np.abs(off) < _BESIDE_MM)]
    if not len(arc) or not len(ruled):
        return False
    apart = np.hypot(*(arc[:, None] - ruled[None]).transpose(2, 0, 1)).min(axis=1) > _APART_MM
    return int(apart.sum()) >= 2 * _LEAST_BARE


def own_line_aside(ink: Ink, at: Point, ahead: Point, others: Collection[int]) -> float:
    """How far to the left of a place, mm, the line lies that the pupil ruled on past the end of a
    printed one in about the direction ``ahead``; 0 where there is none but the ``others``."""
    way, left = np.array(ahead), np.array(ahead.left())
    best = (_RULED_ON_MM, 0.0)
    for k, piece in enumerate(ink.pieces):
        if k in others or piece.shape != "line" or piece.length < _RULED_MM:
            continue
        v = piece.xy - np.array(at)
        if abs(float(piece.tangent[len(v) // 2] @ way)) < _RULED_LEVEL:
            continue
        aside = float(np.polyfit(v @ way, v @ left, 1)[1])
        best = min(best, (float(np.hypot(*v.T).min()), aside))
    return best[1] if abs(best[1]) < NEAR_MM else 0.0
