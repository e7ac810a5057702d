"""What belongs to the pupil's line besides its main piece: the rest of a broken line.

A second line drawn over the first belongs to it; the short strokes of hatching beside it do not.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence, Set
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from millimark.marking.candidates import Candidate, Roles
from millimark.marking.ink import STEP_MM, Array, Ink
from millimark.marking.last_strokes import ASIDE_RAD
from millimark.marking.own_circle import OwnCircle
from millimark.marking.run_ends import TURNED_RAD
from millimark.marking.runs import SMOOTH_COS
from millimark.marking.targets import View, places
from millimark.plane.point import Point

_TOGETHER_MM, _SHORT_MM = 1.6, 12.0
_IN_IT_MM, _STEADY_MM = 0.8, 0.35
_JOIN_MM, _SCRAP_MM = 3.6, 4.0
_MEETS_MM, _TOUCHES_MM, _DRAWN_MM, _MOSTLY = 3.0, 1.6, 2.5, 0.5
"""An end this near to another one, mm, goes on from it: at a corner 1 mm of either is lost, more
where another line crosses there; at the second it touches one. A path is drawn where pencil is as
near as the third; what would close more than this share of drawn path closes no gap of it."""
_THROUGH_MM = 1.2
"""A line that passes this near to a point, mm, was drawn through it."""
_ALIKE = 0.15
"""Pencil is as dark if it differs by less than this share."""
_TELLING, _OVERLAP_MM = 0.25, 45.0
"""A longer share of a circle than the first shows how the compasses slipped; so far, mm, its last
may then lie over its first."""
_JOIN_COS = math.cos(math.radians(45.0))
_SHAKY_RAD = math.radians(30.0)


def companions(
    ink: Ink,
    view: View,
    main: Candidate,
    closed: Set[int],
    roles: Roles,
) -> list[int]:
    """Further pieces of the same line: what carries it on or fills a gap in it, and a second
    line drawn over the first. Short strokes beside it (the edge of hatching) are neither, nor are
    the last strokes of hatching, which run aside, nor what leaves the circle that the compasses
    drew. ``closed`` pieces are none.

    An answer may serve as a construction arc: pieces of construction count if they run in it.
    """
    near, level, shaky = _running_with(ink, view, main, roles.construction - set(main.pieces))
    aside = roles.strokes & (ink.means(view.turn) > ASIDE_RAD)
    if view.round_mm and (circle := OwnCircle.of(ink, main.pieces, bool(roles.hatch))) is not None:
        aside |= np.array([circle.leaves(p) for p in ink.pieces])
    near, level = near & ~aside, level & ~aside
    bins = [places(ink, view, k) for k in range(len(ink.pieces))]
    covered: set[int] = set().union(*(bins[k] for k in main.pieces))
    chosen: list[int] = []
    for k in sorted(np.flatnonzero(near), key=lambda k: -ink.lengths[k]):
        if int(k) in closed:
            continue
        again = ink.lengths[k] > max(_SHORT_MM, 0.3 * main.inside_mm)
        if roles.hatch and shaky > _STEADY_MM and ink.pieces[k].shape == "line":
            again = False  # beside what a hand drew, a ruled stroke is hatching
        fresh_here = len(bins[k] - covered) > 0.5 * len(bins[k])
        if fresh_here or (again and _runs_over(ink, [*main.pieces, *chosen], int(k), shaky)):
            chosen.append(int(k))
            covered |= bins[k]
    fresh = np.array([len(b - covered) > 0.5 * len(b) for b in bins])
    return chosen + _continuations(ink, view, [*main.pieces, *chosen], closed, level & fresh)


def _runs_over(ink: Ink, line: list[int], piece: int, shaky: float) -> bool:
    """Whether a piece beside a line runs over it, or goes on from it: the last of a circle on which
    the compasses slip lies beside its first."""
    from scipy.spatial import cKDTree

    gap = cKDTree(ink.points(line)).query(ink.pieces[piece].xy)[0]
    over = float(gap.mean()) < max(_TOGETHER_MM, 2.5 * shaky)
    return over or bool(goes_on_from(ink, line, [piece]))


def closing(
    ink: Ink, line: Sequence[int], closed: Set[int], path: Array, given: Collection[Point]
) -> list[int]:
    """Pieces that close a gap of a path (points (N, 2)): each end meets an end of the line's
    pieces, or touches one, and most of the path between them is not drawn yet. The pupil went on
    there, however far from it (a corner cut or squared off). A line through a ``given`` point, from
    which the path keeps away, serves to construct."""
    from scipy.spatial import cKDTree

    along = cKDTree(path)
    off = float(np.median(along.query(ink.points(line))[0]))  # it may run beside the whole path
    drawn = cKDTree(ink.points(line)).query(path)[0] < max(_DRAWN_MM, 1.5 * off)
    found = []
    for k, piece in enumerate(ink.pieces):
        if k in closed or k in line or piece.length < _SHORT_MM:
            continue
        if any(np.hypot(*(piece.xy - np.array(p)).T).min() < _THROUGH_MM for p in given):
            continue
        met = [{other for other in line if _meets(ink, other, end)} for end in piece.xy[[0, -1]]]
        joins = bool(met[0] and met[1]) and len(met[0] | met[1]) > 1
        if joins and not _between(drawn, *along.query(piece.xy[[0, -1]])[1]).mean() > _MOSTLY:
            found.append(k)
    return found


def _between(path: NDArray[np.bool_], one: int, other: int) -> NDArray[np.bool_]:
    """The shorter part of a closed path between two of its points."""
    first, last = min(one, other), max(one, other) + 1
    inside, outside = path[first:last], np.concatenate((path[last - 1 :], path[: first + 1]))
    return min(inside, outside, key=len)


def _meets(ink: Ink, k: int, end: Array) -> bool:
    """Whether another piece's end lies at an end of this one, or on it."""
    away = np.hypot(*(ink.pieces[k].xy - end).T)
    return bool(min(away[0], away[-1]) < _MEETS_MM or away.min() < _TOUCHES_MM)


def _running_with(
    ink: Ink, view: View, main: Candidate, construction: Set[int]
) -> tuple[NDArray[np.bool_], NDArray[np.bool_], float]:
    """Which pieces run in the main one's course, and which lie level enough to go on from it; and
    how far the main one strays from its own course, mm."""
    at = np.concatenate([np.arange(ink.first[k], ink.first[k + 1]) for k in main.pieces])
    t = _unrolled(view, at)
    model = _trend(t[at], view.u[at])
    away = np.abs(view.u - model(t))
    drawn_mm = model.high - model.low
    # A shaky line's next piece may lie as far from its trend, and turn as much, as the line does.
    shaky = float((view.u[at] - model(t[at])).std())
    if drawn_mm > _TELLING * view.round_mm > 0.0 and shaky < _STEADY_MM:
        # where the compasses slip, the last of a circle lies far from its first
        beyond = np.where((t < model.low) | (t > model.high), view.round_mm, _OVERLAP_MM)
        for turn_mm in (-view.round_mm, view.round_mm):
            away = np.minimum(away, np.abs(view.u - model(t + turn_mm, beyond)))
    off = ink.means(away)
    short = ink.lengths < _SHORT_MM
    near = off < np.where(short, 0.5, 1.0) * max(_TOGETHER_MM, 2.5 * shaky)
    near &= ink.means(view.turn) < math.radians(15.0 + 25.0 * min(1.0, shaky / 0.8))
    apart = np.isin(np.arange(len(ink.pieces)), list(construction))
    near &= (~apart | ((off < _IN_IT_MM) & ~short)) & view.beside
    level = (off < max(_TOGETHER_MM, 7.0 * shaky)) & ~apart & view.beside
    if shaky < _STEADY_MM and not view.bends:
        # A ruled line does not go on as an arc.
        arc = np.array([p.shape == "arc" and p.length > _SHORT_MM for p in ink.pieces])
        # nor turns aside where another line crosses it
        first, last = ink.first[:-1], ink.first[1:] - 1
        rise = np.abs(view.u[last] - view.u[first] - (model(t[last]) - model(t[first])))
        run = np.maximum(np.abs(t[last] - t[first]), STEP_MM)
        turned = (rise > math.tan(TURNED_RAD) * run) & (ink.lengths > _SCRAP_MM)
        near, level = near & ~arc & ~turned, level & ~arc & ~turned
    return near, level, shaky


def _unrolled(view: View, at: NDArray[np.int_]) -> Array:
    """Places (N,) along the target, mm; round a circle they are counted from opposite the middle
    of the line, which has the points ``at``, so that it lies in one stretch."""
    if not view.round_mm:
        return view.t
    turn = 2.0 * math.pi / view.round_mm
    middle = float(np.angle(np.exp(1j * turn * view.t[at]).sum())) / turn
    unrolled: Array = middle + (view.t - middle + view.round_mm / 2) % view.round_mm
    return unrolled - view.round_mm / 2


def goes_on_from(ink: Ink, line: Sequence[int], free: Sequence[int]) -> list[int]:
    """Those of the ``free`` pieces that go on where a piece of the line ends, or one after it."""
    ends = [e for k in line for e in _ends(ink, k)]
    left, added = list(free), list[int]()
    while True:
        joined = next(
            (k for k in left if any(_joins(e, f) for e in ends for f in _ends(ink, k))), None
        )
        if joined is None:
            return added
        left.remove(joined)
        added.append(joined)
        ends += _ends(ink, joined)


def _continuations(
    ink: Ink, view: View, line: list[int], closed: Set[int], level: NDArray[np.bool_]
) -> list[int]:
    """Pieces that go on where the line stops, in its direction: a shaky or drifting line, of
    which a short piece may well run across the right direction."""
    limit = view.turn_limit + np.where(ink.lengths < _SHORT_MM, _SHAKY_RAD, 0.5 * _SHAKY_RAD)
    near = level & (ink.means(view.turn) < limit)
    free = [int(k) for k in np.flatnonzero(near) if int(k) not in closed and int(k) not in line]
    return goes_on_from(ink, line, free)


def _ends(ink: Ink, piece: int) -> list[_End]:
    """Both ends of a piece."""
    p = ink.pieces[piece]
    return [
        _End(p.xy[0], -p.tangent[0], p.length, p.darkness),
        _End(p.xy[-1], p.tangent[-1], p.length, p.darkness),
    ]


@dataclass(frozen=True, eq=False)
class _End:
    """An end of a piece: the point, the direction in which the pencil left it, its length and
    darkness."""

    at: Array
    out: Array
    length: float
    darkness: float


def _joins(a: _End, b: _End) -> bool:
    """Whether two ends lie close and look at each other; a scrap must lie closer and straighter,
    pencil of one darkness may lie further off (other lines cross between)."""
    scrap = min(a.length, b.length) < _SCRAP_MM
    gap = b.at - a.at
    size = float(np.hypot(gap[0], gap[1]))
    facing = float(a.out @ b.out) < -(SMOOTH_COS if scrap else _JOIN_COS)
    ahead = size < (0.8 if scrap else 1.2) or float(gap @ a.out) > 0.6 * size
    alike = abs(a.darkness - b.darkness) < _ALIKE * max(a.darkness, b.darkness)
    return facing and ahead and size < (0.6 if scrap else 1.7 if alike else 1.0) * _JOIN_MM


class _trend:  # noqa: N801 - used as a function of t
    """The main candidate's offset as a straight function of t, level well beyond its ends."""

    def __init__(self, t: Array, u: Array) -> None:
        self.low, self.high = float(t.min()), float(t.max())
        self.mean = float(u.mean())
        spread = t - t.mean()
        self.slope = float((spread * u).sum() / max(float((spread**2).sum()), 1e-9))
        self.middle = float(t.mean())

    def __call__(self, t: Array, beyond: float | Array = 10.0) -> Array:
        inside = np.clip(t, self.low - beyond, self.high + beyond)
        value: Array = self.mean + self.slope * (inside - self.middle)
        return value
