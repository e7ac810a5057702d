"""Where a traced stroke is two, drawn with different pressure. Paper millimetres.

Where two lines cross at a small angle a tracer may go on along the wrong one. A hand keeps its
pressure over millimetres: a stroke that bends where it meets another one, and is of another
darkness from there on, is two.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from millimark.marking.disturbed import disturbed

Array = NDArray[np.float64]

_BLOT_MM, _LEAST_MM, _WINDOW_MM = 0.8, 2.4, 12.0
"""Nearer than this to a crossing pencil is of both its lines, mm; on either side the darkness is
read from there over the third, at least over the second: where two strokes lie on each other both
are darker, but not for so long."""
_DARKER, _APART = 1.25, 1.05
"""The one side is darker by this factor, and four fifths of it are by the second than four fifths
of the other."""
_BENT, _COURSE_MM = math.cos(math.radians(12.0)), 4.8
"""The two sides turn from each other by more, as far as their courses over so many mm say."""
_FAR_DARKER, _END_MM = 1.5, (4.6, 15.0)
"""An end of such a length, mm, that is paler by the first is another stroke though no other is
seen: a line that ends on an arc is one ridge with it for a while. A darker end may have another
stroke lying on it; a shorter one says nothing as an arc."""
_PERHAPS = 1.12
"""Means that differ by less need not be looked at closer."""
_MEETS_MM = 2.0
"""The other stroke comes so near to the bend, mm: at a knot its trace may end before it."""


def strokes_in(
    xy: Array, darkness: Array, sigma: Array, step_mm: float, others: Sequence[Array]
) -> list[tuple[int, int]]:
    """(first, last) of the strokes in a row of points (N, 2) at even steps, with ``darkness`` (N,)
    and ``sigma`` (N,) mm across: one, or more where it bends and steps in darkness beside one of
    the ``others`` (M, 2), or ends far paler."""
    cut = _step(xy, darkness, sigma, step_mm, others)
    if cut is None:
        return [(0, len(xy) - 1)]
    halves = [
        strokes_in(xy[part], darkness[part], sigma[part], step_mm, others)
        for part in (slice(0, cut + 1), slice(cut, None))
    ]
    return halves[0] + [(cut + first, cut + last) for first, last in halves[1]]


def _step(
    xy: Array, darkness: Array, sigma: Array, step_mm: float, others: Sequence[Array]
) -> int | None:
    """At which point the darkness steps most, and the course bends with another stroke near or an
    end is far paler than the rest; None where there is none."""
    blot, least, window, course = (
        round(v / step_mm) for v in (_BLOT_MM, _LEAST_MM, _WINDOW_MM, _COURSE_MM)
    )
    at = np.arange(least + blot, len(xy) - least - blot)
    low, high = np.maximum(at - blot - window, 0), np.minimum(at + blot + 1 + window, len(xy))
    total = np.concatenate(([0.0], np.cumsum(darkness)))
    before = (total[at - blot] - total[low]) / (at - blot - low)
    after = (total[high] - total[at + blot + 1]) / (high - at - blot - 1)
    steps = np.maximum(before, after) > _PERHAPS * np.minimum(before, after)
    bends = _bends(xy, at, blot, course)
    end_mm = np.where(before < after, at, len(xy) - 1 - at) * step_mm
    pale_end = (end_mm > _END_MM[0]) & (end_mm < _END_MM[1])
    alone = np.where(disturbed(sigma), np.nan, darkness)
    best, cut = 0.0, None
    for n in np.flatnonzero(steps & (bends | pale_end)):
        i = at[n]
        first, last = alone[low[n] : i - blot], alone[i + blot + 1 : high[n]]
        factor = _factor(first[np.isfinite(first)], last[np.isfinite(last)], least)
        told = pale_end[n] and factor > _FAR_DARKER
        if factor > best and (told or (bends[n] and _is_met(xy[i], others))):
            best, cut = factor, int(i)
    return cut


def _bends(xy: Array, at: NDArray[np.int_], blot: int, course: int) -> NDArray[np.bool_]:
    """Whether the points turn at each of the places ``at`` (N,) among them."""
    before = xy[at - blot] - xy[np.maximum(at - blot - course, 0)]
    after = xy[np.minimum(at + blot + course, len(xy) - 1)] - xy[at + blot]
    size = np.hypot(*before.T) * np.hypot(*after.T)
    return np.asarray((before * after).sum(axis=1) < _BENT * size, dtype=bool)


def _factor(before: Array, after: Array, least: int) -> float:
    """By what factor the paler of two stretches is paler; 0 where that is not clear."""
    if min(len(before), len(after)) < least:
        return 0.0
    pale, dark = sorted(
        (np.quantile(part, (0.2, 0.5, 0.8)) for part in (before, after)), key=np.median
    )
    clear = dark[1] > _DARKER * pale[1] and dark[0] > _APART * pale[2]
    return float(dark[1] / max(float(pale[1]), 1e-9)) if clear else 0.0


def _is_met(at: Array, others: Sequence[Array]) -> bool:
    return any(float(np.hypot(*(p - at).T).min()) < _MEETS_MM for p in others)
