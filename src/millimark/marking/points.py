"""Points that were to be marked: a cross, a dot, a tick on a printed line, or a crossing of lines.

Whatever marks a place: where pencil crosses pencil or print, and small blots. The nearest to the
right place counts, each for one point only. Paper mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.marking.expected import Expected, samples
from millimark.marking.findings import Fault, PointFinding
from millimark.marking.ink import STEP_MM, Array, Ink
from millimark.paper.ink import given_curves
from millimark.plane.point import Point
from millimark.scan.reading import FrameReading

REACH_MM = 10.0
"""A mark further than this from the right place is not taken for an attempt at it."""
_CLOSE_MM = 2.2
"""Pencil this near to pencil, or to a printed line that hides it, crosses it if it would by going
straight on: a dot on a crossing hides it."""
_AT_MM, _SPECK = 1.0, 0.04
"""Pencil this near to a place is at it, mm, if it covers more than the second share of it."""
_LEAST_SLOPE, _LEAST_ON_PRINT = math.sin(math.radians(20.0)), math.sin(math.radians(14.0))
_HIDDEN_MM = 1.2
"""A printed line hides pencil to so far from its middle, mm, its end's fading counted in."""
_CROSSING_SIGMA_MM, _BLOT_SIGMA_MM = 0.2, 0.3
_DARK = 0.2
_BLOT_MM = (0.5, 6.5)
_LONG_MM = 9.0
_BRIDGE_MM = 0.9
_CLEARLY = 1.25
"""A mark further off than this many tolerances is named as a fault."""
_CORE_MM = 0.48
"""Half the width that no line of a school pencil has, mm: common practice, no source."""


@dataclass(frozen=True)
class _Candidate:
    at: Point
    sigma: float


def find_points(ink: Ink, frame: FrameReading, expect: Expected, map_sigma_mm: float) -> tuple[
    PointFinding, ...
]:  # fmt: skip
    """A finding for each point asked for, in the answers' order."""
    wanted = [(name, at) for name, places in expect.marked for at in places]
    if not wanted:
        return ()
    lines = [
        samples(c.transformed(expect.to_paper), expect.frame, 0.1)
        for c in given_curves(expect.figure)
    ]
    seen = [_near(ink, frame, expect, lines, at) for _, at in wanted]
    pairs = sorted(
        (c.at.distance(at), k, n) for k, (_, at) in enumerate(wanted) for n, c in enumerate(seen[k])
    )
    served: dict[int, _Candidate] = {}
    for _, k, n in pairs:
        c = seen[k][n]
        if k in served or any(c.at.distance(other.at) < 1.0 for other in served.values()):
            continue
        served[k] = c
    return tuple(
        _finding(name, at, served.get(k), map_sigma_mm, _pencil_at(ink, frame, expect, at))
        for k, (name, at) in enumerate(wanted)
    )


def _finding(
    name: str, at: Point, c: _Candidate | None, map_sigma_mm: float, pencil: bool
) -> PointFinding:
    if c is None:
        return PointFinding(name, at, False, pencil_there=pencil)
    sigma = math.hypot(c.sigma, map_sigma_mm)
    return PointFinding(name, at, True, c.at, c.at.distance(at), sigma, pencil)


def _pencil_at(ink: Ink, frame: FrameReading, expect: Expected, at: Point) -> bool:
    """Whether pencil passes or ends at a place: perhaps a mark that was not told for one."""
    if (np.hypot(*(ink.xy - np.array(at)).T) < _AT_MM).any():
        return True
    x0, y0, x1, _ = expect.frame
    k = frame.pencil.shape[1] / (x1 - x0)
    rows, columns = (
        slice(max(0, round((v - low - _AT_MM) * k)), max(0, round((v - low + _AT_MM) * k)))
        for v, low in ((at.y, y0), (at.x, x0))
    )
    return bool((frame.pencil[rows, columns] > _DARK / 2).mean() > _SPECK)


def faults_of_points(found: Sequence[PointFinding], limit_mm: float) -> tuple[Fault, ...]:
    """Points that were not marked, and marks that are clearly off; each kind said once."""
    faults = []
    missing = [p for p in found if not p.found]
    if missing:
        text = "The point is not marked."
        if len(found) > 1:
            text = f"{len(missing)} of the {len(found)} points are not marked."
        faults.append(Fault("point-missing", text, element=missing[0].points))
    off = [p for p in found if p.off_mm is not None and p.off_mm > _CLEARLY * limit_mm]
    if off:
        worst = max(off, key=lambda p: p.off_mm or 0.0)
        text = f"A point is marked {worst.off_mm:.1f} mm from its place."
        faults.append(Fault("point-off", text, worst.off_mm, element=worst.points))
    return tuple(faults)


def _near(
    ink: Ink, frame: FrameReading, expect: Expected, lines: Sequence[Array], at: Point
) -> list[_Candidate]:
    """Everything that marks a place near ``at``."""
    found = [*_crossings(ink, at), *_on_print(ink, lines, at), *_blots(ink, frame, expect, at)]
    return [c for c in found if c.at.distance(at) <= REACH_MM]


# --- crossings ---------------------------------------------------------------------------
def _local(ink: Ink, at: Point) -> list[tuple[Array, Array]]:
    """Points and tangents of each piece near a place."""
    close = np.hypot(*(ink.xy - np.array(at)).T) < REACH_MM + 3.0
    return [
        (ink.xy[a:b][close[a:b]], ink.tangent[a:b][close[a:b]])
        for a, b in zip(ink.first[:-1], ink.first[1:], strict=True)
        if close[a:b].sum() >= 3
    ]


def _crossings(ink: Ink, at: Point) -> Iterator[_Candidate]:
    local = _local(ink, at)
    for i, (xy, tangent) in enumerate(local):
        for other, turn in local[i + 1 :]:
            found = _meeting(xy, tangent, other, turn)
            if found is not None:
                yield found


def _on_print(ink: Ink, lines: Sequence[Array], at: Point) -> Iterator[_Candidate]:
    """Where pencil crosses a printed line, which hides the crossing itself."""
    for xy, tangent in _without_crosses(_local(ink, at), lines):
        for line in lines:
            close = np.hypot(*(line - np.array(at)).T) < REACH_MM + 3.0
            if close.sum() < 3:
                continue
            along = np.gradient(line[close], axis=0)
            along /= np.maximum(np.hypot(*along.T), 1e-9)[:, None]
            found = _meeting(xy, tangent, line[close], along, on_print=True)
            if found is not None:
                yield found


def _without_crosses(
    local: list[tuple[Array, Array]], lines: Sequence[Array]
) -> Iterator[tuple[Array, Array]]:
    """The pieces but those of a cross beside a printed line: its arms mark where they cross, not
    where they would reach the line."""
    printed = np.concatenate(lines) if lines else np.full((1, 2), np.inf)
    arms = [k for k, (xy, _) in enumerate(local) if len(xy) * STEP_MM < _LONG_MM]
    crossed: set[int] = set()
    for i, j in combinations(arms, 2):
        found = _meeting(*local[i], *local[j])
        if found is None or not all(_inside(local[k][0], found.at) for k in (i, j)):
            continue
        if np.hypot(*(printed - np.array(found.at)).T).min() > _CLOSE_MM:
            crossed |= {i, j}
    return (piece for k, piece in enumerate(local) if k not in crossed)


def _inside(xy: Array, at: Point) -> bool:
    """Whether a place lies on a stroke (N, 2), well away from its ends."""
    off = np.hypot(*(xy - np.array(at)).T)
    return float(off.min()) < STEP_MM and min(float(off[0]), float(off[-1])) > 2.0 * STEP_MM


def _meeting(
    xy: Array, tangent: Array, other: Array, turn: Array, on_print: bool = False
) -> _Candidate | None:
    """Where two courses come together and cross; None where they do not. The ``other`` may be
    printed: the longer is what it hides of pencil that meets it at a small angle."""
    apart = np.hypot(xy[:, None, 0] - other[None, :, 0], xy[:, None, 1] - other[None, :, 1])
    i, j = np.unravel_index(int(np.argmin(apart)), apart.shape)
    if apart[i, j] > _CLOSE_MM:
        return None
    on_print = on_print and apart[i, j] < _HIDDEN_MM
    u, v = tangent[i], turn[j]
    slope = float(u[0] * v[1] - u[1] * v[0])
    if abs(slope) < (_LEAST_ON_PRINT if on_print else _LEAST_SLOPE):
        return None
    close = max(_CLOSE_MM, _HIDDEN_MM / abs(slope)) if on_print else _CLOSE_MM
    d = other[j] - xy[i]
    t = float(d[0] * v[1] - d[1] * v[0]) / slope
    place = xy[i] + t * u
    if max(float(np.hypot(*(place - end))) for end in (xy[i], other[j])) > close:
        return None
    sigma = _CROSSING_SIGMA_MM / (abs(slope) if on_print else max(abs(slope), 0.5))
    return _Candidate(Point(float(place[0]), float(place[1])), sigma)


# --- blots -----------------------------------------------------------------------------------
def _blots(ink: Ink, frame: FrameReading, expect: Expected, at: Point) -> Iterator[_Candidate]:
    """Small marks of pencil, the long lines left out; what print cuts in two is one."""
    x0, y0, x1, _ = expect.frame
    k = frame.pencil.shape[1] / (x1 - x0)
    reach = round((REACH_MM + 3.0) * k)
    col, row = round((at.x - x0) * k), round((at.y - y0) * k)
    top, left = max(row - reach, 0), max(col - reach, 0)
    window = frame.pencil[top : row + reach, left : col + reach]
    if min(window.shape, default=0) < 3:
        return
    dark = (window > _DARK).astype(np.uint8)
    yield from _cores(dark, k, Point(x0 + left / k, y0 + top / k))
    for xy in _long_lines(ink):
        line = np.round((xy - (x0, y0)) * k - (left, top)).astype(np.int32)
        cv2.polylines(dark, [line], False, 0, max(1, round(1.1 * k)))
    size = max(1, round(_BRIDGE_MM * k / 2)) * 2 + 1
    closed = cv2.morphologyEx(dark, cv2.MORPH_CLOSE, np.ones((size, size), np.uint8))
    count, labels, stats, _ = cv2.connectedComponentsWithStats(closed, connectivity=8)
    low, high = _BLOT_MM[0] * k, _BLOT_MM[1] * k
    for n in range(1, count):
        extent = max(stats[n, cv2.CC_STAT_WIDTH], stats[n, cv2.CC_STAT_HEIGHT])
        if not low <= extent <= high:
            continue
        ys, xs = np.nonzero((labels == n) & (dark > 0))
        if len(xs) < 0.25 * k * k:
            continue
        x, y = float(xs.mean()) + 0.5, float(ys.mean()) + 0.5
        place = Point(x0 + (left + x) / k, y0 + (top + y) / k)
        yield _Candidate(place, _BLOT_SIGMA_MM)


def _cores(dark: NDArray[np.uint8], k: float, corner: Point) -> Iterator[_Candidate]:
    """Dots on lines: where pencil is wider than any line."""
    depth = cv2.distanceTransform(dark, cv2.DIST_L2, 5) / k
    count, _, stats, centres = cv2.connectedComponentsWithStats(
        (depth > _CORE_MM).astype(np.uint8), connectivity=8
    )
    for n in range(1, count):
        if max(stats[n, cv2.CC_STAT_WIDTH], stats[n, cv2.CC_STAT_HEIGHT]) < _BLOT_MM[1] * k / 3:
            x, y = (float(v) + 0.5 for v in centres[n])
            yield _Candidate(Point(corner.x + x / k, corner.y + y / k), _BLOT_SIGMA_MM)


def _long_lines(ink: Ink) -> Iterator[Array]:
    for k, piece in enumerate(ink.pieces):
        if ink.lengths[k] > _LONG_MM:
            yield piece.xy
