"""The worst deviation of a drawn line, and how well it is known.

Paper millimetres. An extreme is less certain than one deviation: it depends on the waves of
the line, on where the pencil ends if it runs steeply off there, and on whether pencil
beside the line (a second line over it, the edge of hatching) belongs to it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from millimark.marking.courses import smooth
from millimark.marking.coverage import HOLD
from millimark.marking.ends import END_MM
from millimark.marking.expected import Wanted
from millimark.marking.findings import Course, Deviation
from millimark.marking.ink import STEP_MM, Array
from millimark.plane.curves import Arc, Curve
from millimark.plane.point import Point

TREND_MM = 4.0
"""The trend of a line at its end is read over this length, mm."""
_BENT_MM, _NO_TREND_MM = 0.03, 0.12
"""Scatter about a straight trend, rms mm, from which a bent one is tried, and about either from
which there is none."""
_WAVE_SHARE = 0.22
"""What the waves of a line (rms, mm) add to the uncertainty of its extreme, as a share."""
_PLACE_MM = 0.3
"""How well the place of the extreme along the line is known, mm: the cut at its ends and half a
millimetre of smoothing. Both measured on the rehearsal's scans."""
_DOUBT_SHARE = 0.6
"""What pencil that may not belong to the line adds, as a share of how far it sticks out."""
_USUAL = 3.0
"""Waves within this many of their usual sizes are the hand's."""
_NEXT_MM = 2.0 * STEP_MM
"""The next piece of a stroke begins nearer than this to the last one's end, mm."""
_OVERRUN_MM = 2.0
"""A line may run this far past the end of its locus and still be on it, as an overlay shows it:
common practice, no source."""


def extreme(
    profile: tuple[Deviation, ...], keep: NDArray[np.bool_] | None
) -> tuple[float, Point | None]:
    """The largest deviation held over `HOLD` points, or reached at an end, and where.

    (0, None) where nothing is kept.
    """
    worst, where, first = 0.0, None, 0
    for d in profile:
        size = np.abs(d.off)
        kept = np.ones(len(size), bool) if keep is None else keep[first : first + len(size)]
        first += len(size)
        if len(size) < HOLD:
            continue
        size = np.where(kept, size, 0.0)
        held = np.min(np.stack([size[i : len(size) - HOLD + 1 + i] for i in range(HOLD)]), axis=0)
        at = int(np.argmax(held))
        found = [(float(held[at]), at + HOLD // 2)]
        found += [(v, i) for v, i in _at_ends(d) if kept[i]]
        value, i = max(found)
        if value > worst or where is None:
            worst, where = value, Point(float(d.xy[i, 0]), float(d.xy[i, 1]))
    return worst, where


def chained(profile: Mapping[int, Deviation]) -> tuple[Deviation, ...]:
    """The profiles by piece, of one line, with those made one that follow each other in one stroke:
    an extreme may lie where a piece ends and the next one begins."""
    found: list[Deviation] = []
    for _, d in sorted(profile.items()):
        last = found[-1] if found else None
        if last is None or not _follows(last, d):
            found.append(d)
            continue
        xy, off = np.concatenate((last.xy, d.xy)), np.concatenate((last.off, d.off))
        found[-1] = Deviation(xy, off, (last.loose[0], d.loose[1]))
    return tuple(found)


def _follows(last: Deviation, d: Deviation) -> bool:
    """Whether the pencil of one profile goes on as the next one's."""
    if not len(last.xy) or not len(d.xy) or last.loose[1] or d.loose[0]:
        return False
    return math.dist(last.xy[-1], d.xy[0]) < _NEXT_MM


def _at_ends(d: Deviation) -> list[tuple[float, int]]:
    """(deviation, index) at the loose ends of a piece: its trend carried over what was cut off."""
    n = round(TREND_MM / STEP_MM)
    if len(d.off) < n:
        return []
    found = []
    for loose, i, near in zip(
        d.loose, (0, len(d.off) - 1), (d.off[:n], d.off[::-1][:n]), strict=True
    ):
        value = _carried(near) if loose else None
        if value is not None:
            found.append((abs(value), i))
    return found


def _carried(near: Array) -> float | None:
    """The trend of the deviations (N,) from an end inwards, carried `END_MM` beyond it: straight,
    or bent where that fits clearly better; None where there is no trend."""
    t = np.arange(len(near)) * STEP_MM
    rms = {}
    for degree in (1, 2):
        terms = np.polyfit(t, near, degree)
        left = near - np.polyval(terms, t)
        rms[degree] = (float(np.std(left)), float(np.polyval(terms, -END_MM)))
    bent = rms[1][0] > _BENT_MM and rms[2][0] < 0.5 * rms[1][0]
    scatter, value = rms[2] if bent else rms[1]
    return value if scatter < _NO_TREND_MM else None


def extreme_sigma(
    profile: tuple[Deviation, ...],
    own: tuple[Deviation, ...],
    worst: float,
    where: Point | None,
    course: tuple[Course, ...],
    sigma: float,
) -> tuple[float, float]:
    """Standard uncertainty of the extreme ``worst`` at ``where``, and what of it can only mean that
    the extreme is less: pencil that may not belong to the line.

    ``sigma`` is that of one deviation;
    ``own`` is the part of the profile that is the line for sure, without its companions.
    """
    doubt = max(0.0, worst - extreme(own, None)[0]) if own else 0.0
    doubt = max([doubt, *(_sticks_out(c) for c in course)])
    parts = (
        sigma,
        _WAVE_SHARE * _waves(course),
        _PLACE_MM * _steepness(profile, where),
        _DOUBT_SHARE * doubt,
    )
    return math.sqrt(sum(part**2 for part in parts)), parts[-1]


def _sticks_out(c: Course) -> float:
    """How far the worst point of a course lies from its smooth course, mm, beyond the waves that
    the hand has elsewhere; 0 for short courses."""
    if len(c.u) * STEP_MM < TREND_MM:
        return 0.0
    left = np.abs(c.u - smooth(c))
    usual = 1.4826 * float(np.median(left))
    return max(0.0, float(left[int(np.argmax(np.abs(c.u)))]) - _USUAL * usual)


def _waves(course: tuple[Course, ...]) -> float:
    """Rms mm of what a smooth course leaves; 0 for lines too short to have waves."""
    left = [c.u - smooth(c) for c in course if len(c.u) * STEP_MM >= TREND_MM]
    return float(np.sqrt(np.mean(np.concatenate(left) ** 2))) if left else 0.0


def _steepness(profile: tuple[Deviation, ...], where: Point | None) -> float:
    """How fast the deviation changes along the line beside its extreme: mm for each mm, up to 1."""
    if where is None:
        return 0.0
    drawn = [d for d in profile if len(d.xy)]
    near = min(drawn, key=lambda d: float(np.hypot(*(d.xy - np.array(where)).T).min()))
    at = int(np.argmin(np.hypot(*(near.xy - np.array(where)).T)))
    half = max(1, round(1.0 / STEP_MM))
    part = near.off[max(0, at - half) : at + half + 1]
    return min(1.0, float(np.ptp(part)) / max((len(part) - 1) * STEP_MM, STEP_MM))


def overrun(xy: Array, wanted: Wanted) -> float:
    """How far the pencil (N, 2) runs beyond the end of its locus (an angle's vertex, the end of an
    arc), mm, less the `_OVERRUN_MM` that nobody minds; 0 where the locus has no end or the pencil
    keeps to it. The ends of a path's pieces count in its deviations already."""
    if wanted.element.kind == "path" or not len(xy):
        return 0.0
    best, beyond = np.full(len(xy), np.inf), np.zeros(len(xy), dtype=bool)
    for curve in wanted.curves:
        ended = _to_the_end(curve, xy)
        if ended is None:
            return 0.0
        distance, past = ended
        nearer = distance < best
        beyond = np.where(nearer, past, beyond)
        best = np.where(nearer, distance, best)
    return float(best[beyond].max()) if beyond.any() else 0.0


def _to_the_end(curve: Curve, xy: Array) -> tuple[Array, NDArray[np.bool_]] | None:
    """Distance (N,) mm from a line or an arc with `_OVERRUN_MM` added to its ends, and whether a
    point lies past an end; None for other curves."""
    if isinstance(curve, Arc):
        v = xy - np.array(curve.centre)
        middle = curve.t1 / 2
        turn = curve.sense * (np.arctan2(v[:, 1], v[:, 0]) - curve.from_) - middle
        turn = (turn + math.pi) % (2 * math.pi) - math.pi
        most = math.pi if curve.is_whole else min(math.pi, middle + _OVERRUN_MM / curve.radius)
        held = curve.from_ + curve.sense * (np.clip(turn, -most, most) + middle)
        foot = np.column_stack((np.cos(held), np.sin(held))) * curve.radius
        return np.hypot(*(v - foot).T), np.abs(turn) > most
    if curve.kind not in ("line", "ray", "segment"):
        return None
    t = curve.t0 if math.isfinite(curve.t0) else 0.0
    p, d = np.array(curve.point_at(t)), np.array(curve.direction_at(t))
    along = (xy - p) @ d
    held = np.clip(along, curve.t0 - t - _OVERRUN_MM, curve.t1 - t + _OVERRUN_MM)
    return np.hypot(*(xy - p - held[:, None] * d).T), held != along
