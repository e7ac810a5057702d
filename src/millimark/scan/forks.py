"""Forks: where a ridge ran astray from its own line into one that leaves it at a small angle.

At a fork three arms meet. Two of them are one line, and what tells which two is how smoothly
they run on over several millimetres, not what the few pixels of the fork itself say.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

Array = NDArray[np.float64]
Line = list[Array]

_NEAR_MM = 1.3
"""An end this near to another line makes a fork with it, mm."""
_BLOT_MM = 0.9
"""So near to the fork, mm, lines run into each other and are not read."""
_LEAST_MM = 2.5
"""An arm shorter than this, mm, says nothing."""
_ARMS_MM = ((5.0, 0.02, 0.95), (8.0, 0.05, 0.6))
"""How far along an arm its course is read, mm; how well (rms mm) a parabola follows two arms that
are one line; and of what the present pair leaves, the share that a better one does."""
_CLOSE = 1.8
"""A pair that is this much worse where the third line ends is no better elsewhere."""
_SHIFTS_MM = (0.0, -0.8, 0.8, -1.6, 1.6, -2.4, 2.4)
"""The fork itself may lie this far along the line from where the third one ends, mm."""
_ROUNDS, _SAMPLES = 4, 24
_STRIDE_MM, _GENTLE = 2.0, 0.64
_THIN = 4
"""Every fourth point of a line is asked whether an end lies near."""


def mended(lines: list[Line], px_per_mm: float) -> list[Line]:
    """The lines (groups of chains (N, 2) px in order) with the arms of each fork paired as they
    run on most smoothly. Lines without forks are returned as they are."""
    found = list(lines)
    for _ in range(_ROUNDS):  # an exchange may bring out the next one
        swaps = _exchanges(found, px_per_mm)
        if not swaps:
            return found
        found = _exchanged(found, swaps)
    return found


def _exchanges(lines: list[Line], px_per_mm: float) -> list[tuple[int, int, int, bool]]:
    """(through, index, ending, from the start) of every fork to be paired anew: line ``through``
    is cut at its point ``index``; line ``ending`` takes its place. Each line once."""
    whole = [np.vstack(line) for line in lines]
    long = [k for k, xy in enumerate(whole) if _length(xy) > _LEAST_MM * px_per_mm]
    if len(long) < 2:
        return []
    ends = np.array([whole[k][e] for k in long for e in (0, -1)])
    owner = np.repeat(long, [len(whole[k][::_THIN]) for k in long])
    place = np.concatenate([np.arange(len(whole[k]))[::_THIN] for k in long])
    points = np.vstack([whole[k][::_THIN] for k in long])
    tree = cKDTree(points)
    used: set[int] = set()
    swaps = []
    for e, near in enumerate(tree.query_ball_point(ends, _NEAR_MM * px_per_mm)):
        ending = long[e // 2]
        away = np.hypot(*(points[near] - ends[e]).T)
        by_line: dict[int, int] = {}
        for n in np.asarray(near, dtype=np.int64)[np.argsort(away)]:
            by_line.setdefault(int(owner[n]), int(place[n]))
        for through, index in by_line.items():
            if through == ending or {through, ending} & used:
                continue
            third = whole[ending] if e % 2 == 0 else whole[ending][::-1]
            if not _leaves_gently(whole[through], index, third, px_per_mm):
                continue
            swap = _best_cut(whole[through], index, third, px_per_mm)
            if swap is not None:
                swaps.append((through, swap[0], e, swap[1]))
                used |= {through, ending}
    return [(t, i, 2 * long[e // 2] + e % 2, s) for t, i, e, s in swaps]


def _leaves_gently(line: Array, index: int, third: Array, px_per_mm: float) -> bool:
    """Whether the third arm leaves the line at no more than about 50 degrees: others cross it."""
    step = round(_STRIDE_MM * px_per_mm)
    u = line[min(index + step, len(line) - 1)] - line[max(index - step, 0)]
    w = third[min(2 * step, len(third) - 1)] - third[0]
    return abs(float(u @ w)) > _GENTLE * math.hypot(*u) * math.hypot(*w)


def _best_cut(
    through: Array, index: int, third: Array, px_per_mm: float
) -> tuple[int, bool] | None:
    """Where the line ``through`` is to be cut near its point ``index``, and whether its first
    (True) or its second arm goes on in ``third``, which leads away from the fork; None if the line
    runs through as it does."""
    found: list[tuple[float, int, bool]] = []
    for shift in _SHIFTS_MM:
        at = index + round(shift * px_per_mm)
        shares = _shares(through, at, third, px_per_mm) if 0 < at < len(through) - 1 else None
        if shares is not None:
            found += [(shares[0], at, True), (shares[1], at, False)]
        if shift == 0.0 and (not found or min(found)[0] > _CLOSE):
            return None  # what already runs on, or crosses, need not be looked at closer
    best = min(found, default=(1.0, 0, True))
    return best[1:] if best[0] < 1.0 else None


def _shares(through: Array, at: int, third: Array, px_per_mm: float) -> tuple[float, float] | None:
    """How rough the first and the second arm of the line, cut at its point ``at``, are with the
    third one, over what a better pair would leave: below 1 it is one; the worse of short and long
    arms counts, since another fork may lie at a long arm's end. None where the line is smooth."""
    place, first, second = through[at], 0.0, 0.0
    for reach, smooth, better in _ARMS_MM:
        a = _arm(through[: at + 1][::-1], place, reach, px_per_mm)
        b = _arm(through[at:], place, reach, px_per_mm)
        if a is None or b is None:
            return None
        now = _roughness(a, b)
        if now < smooth * px_per_mm:
            return None
        c = _arm(third, place, reach, px_per_mm)
        if c is None:
            return None
        first = max(first, _roughness(a, c) / now / better)
        second = max(second, _roughness(b, c) / now / better)
    return first, second


def _arm(xy: Array, at: Array, reach_mm: float, px_per_mm: float) -> Array | None:
    """Up to `_SAMPLES` points (N, 2) of an arm, which leads away from the fork at ``at``, from
    which its course is read; None where it is too short."""
    near = xy[: round(1.5 * reach_mm * px_per_mm)] - at
    away = np.sqrt((near * near).sum(axis=1)) / px_per_mm
    beyond = np.flatnonzero(away > reach_mm)
    stop = int(beyond[0]) if len(beyond) else len(near)
    kept = np.flatnonzero(away[:stop] > _BLOT_MM)
    if len(kept) < 3 or away[kept[-1]] < _LEAST_MM:
        return None
    some = kept[:: max(1, len(kept) // _SAMPLES)]
    part: Array = near[some] + at
    return part


def _roughness(one: Array, other: Array) -> float:
    """Rms px by which two arms leave a common parabola across their chord, each as heavy as the
    other; infinite where they lie on one side of the fork."""
    chord = other[-1] - one[-1]
    size = math.hypot(*chord)
    if size < 1.2 * max(math.dist(one[0], one[-1]), math.dist(other[0], other[-1])):
        return math.inf
    u = chord / size
    xy = np.vstack((one, other)) - one[-1]
    weight = np.repeat([0.5 / len(one), 0.5 / len(other)], [len(one), len(other)])
    t, d = xy @ u / size, xy @ np.array([-u[1], u[0]])
    terms = np.stack((np.ones_like(t), t, t * t))
    heavy = terms * weight
    left = d - np.linalg.solve(heavy @ terms.T, heavy @ d) @ terms
    return math.sqrt(float(weight @ left**2))


def _exchanged(lines: list[Line], swaps: list[tuple[int, int, int, bool]]) -> list[Line]:
    """The lines with every exchange done."""
    gone = {t for t, *_ in swaps} | {end // 2 for _, _, end, _ in swaps}
    kept = [line for k, line in enumerate(lines) if k not in gone]
    for through, index, end, first in swaps:
        before, after = _cut(lines[through], index)
        arm, rest = (before, after) if first else (_reversed(after), before)
        ending = lines[end // 2]
        kept += [arm + (ending if end % 2 == 0 else _reversed(ending)), rest]
    return [line for line in kept if line]


def _cut(line: Line, index: int) -> tuple[Line, Line]:
    """The line's chains before and after its point ``index``; scraps of a point are dropped."""
    before, after, first = [], [], 0
    for xy in line:
        k = min(max(index - first, 0), len(xy))
        before.append(xy[:k])
        after.append(xy[k:])
        first += len(xy)
    return [xy for xy in before if len(xy) > 2], [xy for xy in after if len(xy) > 2]


def _reversed(line: Line) -> Line:
    return [xy[::-1] for xy in reversed(line)]


def _length(xy: Array) -> float:
    return float(np.hypot(*np.diff(xy, axis=0).T).sum())
