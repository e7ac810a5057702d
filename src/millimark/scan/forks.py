"""Forks: where a ridge ran astray from its own line into one that leaves it at a small angle.

At a fork three arms meet. Two of them are one line, and what tells which two is how smoothly
they run on over several millimetres, not what the few pixels of the fork itself say.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

Array = NDArray[np.float64]
Line = list[Array]

_NEAR_MM = 1.3
"""An end this near to another line makes a fork with it, mm."""
_BLOT_MM, _ARM_MM = 0.9, 8.0
"""From where to where along an arm its course is read, mm: nearer, lines run into each other."""
_LEAST_MM = 2.5
"""An arm shorter than this, mm, says nothing."""
_SMOOTH_MM, _BETTER = 0.05, 0.6
"""Arms that a parabola follows this well (rms mm) are one line; another pair must leave less than
this share of it to be preferred."""
_SHIFTS_MM = (0.0, -0.8, 0.8, -1.6, 1.6, -2.4, 2.4)
"""The fork itself may lie this far along the line from where the third one ends, mm."""
_THIN = 4
"""Every fourth point of a line is asked whether an end lies near."""


def mended(lines: list[Line], px_per_mm: float) -> list[Line]:
    """The lines (groups of chains (N, 2) px in order) with the arms of each fork paired as they
    run on most smoothly. Lines without forks are returned as they are."""
    found = list(lines)
    for _ in range(2):  # an exchange may bring out a second one
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
            swap = _best_cut(whole[through], index, third, px_per_mm)
            if swap is not None:
                swaps.append((through, swap[0], e, swap[1]))
                used |= {through, ending}
    return [(t, i, 2 * long[e // 2] + e % 2, s) for t, i, e, s in swaps]


def _best_cut(
    through: Array, index: int, third: Array, px_per_mm: float
) -> tuple[int, bool] | None:
    """Where the line ``through`` is to be cut near its point ``index``, and whether its first
    (True) or its second arm goes on in ``third``, which leads away from the fork; None if the line
    runs through as it does."""
    found: list[tuple[float, int, bool]] = []
    for shift in _SHIFTS_MM:
        at = index + round(shift * px_per_mm)
        if not 0 < at < len(through) - 1:
            continue
        first, second = through[: at + 1][::-1], through[at:]
        a, b, c = (_arm(xy, through[at], px_per_mm) for xy in (first, second, third))
        if a is None or b is None or c is None:
            continue
        now = _roughness(a, b)
        if now < _SMOOTH_MM * px_per_mm:
            continue
        found += [(_roughness(a, c) / now, at, True), (_roughness(b, c) / now, at, False)]
    best = min(found, default=(1.0, 0, True))
    return best[1:] if best[0] < _BETTER else None


def _arm(xy: Array, at: Array, px_per_mm: float) -> Array | None:
    """The part (N, 2) of an arm from which its course is read; None where it is too short. ``xy``
    leads away from the fork at ``at``."""
    away = np.hypot(*(xy - at).T) / px_per_mm
    beyond = np.flatnonzero(away > _ARM_MM)
    stop = int(beyond[0]) if len(beyond) else len(xy)
    part: Array = xy[:stop][away[:stop] > _BLOT_MM]
    if len(part) < 3 or _length(part) < (_LEAST_MM - _BLOT_MM) * px_per_mm:
        return None
    return part


def _roughness(one: Array, other: Array) -> float:
    """Rms px by which two arms leave a common parabola across their chord, each as heavy as the
    other; infinite where they lie on one side of the fork."""
    chord = other[-1] - one[-1]
    size = float(np.hypot(*chord))
    if size < 1.2 * max(_length(one), _length(other)):
        return float("inf")
    u = chord / size
    xy = np.vstack((one, other)) - one[-1]
    weight = np.sqrt(np.repeat([1.0 / len(one), 1.0 / len(other)], [len(one), len(other)]))
    t, d = xy @ u / size, xy @ np.array([-u[1], u[0]])
    terms = np.column_stack((np.ones_like(t), t, t * t)) * weight[:, None]
    left = d * weight - terms @ np.linalg.lstsq(terms, d * weight, rcond=None)[0]
    return float(np.sqrt((left**2).sum() / (weight**2).sum()))


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
