"""How much of the needed locus is drawn: coverage, and its bounds within the uncertainty."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from millimark.marking.expected import Box, Wanted, part_of
from millimark.marking.findings import PartFinding
from millimark.marking.ink import Array
from millimark.marking.last_strokes import ASIDE_RAD
from millimark.marking.verdict import COVERAGE_FACTOR

if TYPE_CHECKING:
    from scipy.spatial import cKDTree

HOLD = 3
"""An extreme must be reached at this many neighbouring points (`STEP_MM` apart)."""
SAMPLE_MM = 0.5
_GAP_MM = 2.0
"""A break in the pencil up to this long is the pencil's grain or a crossing, not a gap."""
_BESIDE_MM, _FAINT = 0.35, 0.08
"""Print this near (mm), and pencil this near and this dark, carry a line on through a break."""


@dataclass(frozen=True)
class _Carried:
    """What carries a line on: pencil darker than ``faint`` over the share ``between`` its parts, or
    ``at_end``, where it goes on for up to ``open_mm``."""

    faint: float
    between: float
    at_end: float
    open_mm: float


_SURELY, _PERHAPS = _Carried(_FAINT, 0.75, 0.9, 8.0), _Carried(0.05, 0.45, 0.7, 45.0)
"""Pencil that is too pale or grainy to be traced may carry a line on."""
_LONGEST_GAP_MM = 45.0
_CERTAIN_GAP_MM, _CERTAIN_OPEN_MM = 10.0, 3.0
"""A longer break in which shading lies, or beyond a line's end so much, may be a line under it or
none: only the teacher knows."""
_ALONG_COS = math.cos(math.radians(35.0))
"""Free pencil that runs along the locus turns from it by less."""
_AS_DRAWN_COS = math.cos(ASIDE_RAD)
"""The same of what looks like hatching: it crosses the locus where it turns more."""
_ASTRAY_MM = 8.0
"""Pencil of the same line beside the locus, this far off at most, is no gap to be bridged."""


@dataclass(frozen=True, eq=False)
class FreePencil:
    """Pencil that is neither a line that was found nor construction nor crossed out: its points and
    unit tangents (N, 2), and which of them (N,) belong to strokes of hatching."""

    xy: Array
    tangent: Array
    hatch: NDArray[np.bool_]

    @cached_property
    def tree(self) -> cKDTree:
        """The points, to be asked for those about a place; there must be some."""
        from scipy.spatial import cKDTree

        return cKDTree(self.xy)


@dataclass(frozen=True)
class Ground:
    """What the page itself leaves uncertain: mm of the map, share of the print scale.

    ``hidden`` (H, W) where print hides the pencil, ``pencil`` (H, W) its darkness, both over
    the frame at ``px_per_paper_mm``; ``lines`` its darkness beside even tones, on which a line
    would show: None where nothing was to be shaded. ``free`` is the pencil that nothing accounts
    for.
    """

    map_sigma_mm: float
    scale_sigma: float
    frame: Box
    tolerance_mm: float
    hidden: NDArray[np.bool_]
    pencil: NDArray[np.float32]
    px_per_paper_mm: float
    lines: NDArray[np.float32] | None = None
    free: FreePencil | None = None

    def hides(self, xy: Array, within_mm: float = _BESIDE_MM) -> NDArray[np.bool_]:
        """Whether there is printed ink so near to each of the points (N, 2): a pencil line that
        runs along a printed one is taken away with it."""
        return self._beside(xy, self.hidden, 0.0, within_mm)

    def dark(self, xy: Array, faint: float = _FAINT) -> NDArray[np.bool_]:
        """Whether there is pencil within `_BESIDE_MM` of each of the points (N, 2), darker than
        ``faint``."""
        return self._beside(xy, self.pencil, faint)

    def _beside(
        self,
        xy: Array,
        shown: NDArray[np.bool_ | np.float32],
        over: float,
        within_mm: float = _BESIDE_MM,
    ) -> NDArray[np.bool_]:
        h, w = shown.shape
        column, row = (self._cells(xy[:, k], k, n, within_mm) for k, n in ((0, w), (1, h)))
        near = shown[row[:, :, None], column[:, None, :]] > over
        return np.asarray(near.any(axis=(1, 2)), dtype=bool)

    def _cells(self, at: Array, axis: int, count: int, within_mm: float) -> NDArray[np.int_]:
        """The rows or columns (N, 5) of pixels about the places ``at`` (N,) along an axis."""
        steps = np.linspace(-within_mm, within_mm, 5)
        along = (at[:, None] + steps - self.frame[axis]) * self.px_per_paper_mm
        cells: NDArray[np.int_] = np.clip(np.floor(along).astype(int), 0, count - 1)
        return cells


def parts_covered(
    wanted: Wanted,
    needed: list[Array],
    xy: Array,
    off: Array,
    sigma: float,
    ground: Ground,
) -> dict[str, PartFinding]:
    kinds = [part_of(c) for c in wanted.needed]
    groups = {"all": list(range(len(needed)))}
    for part in ("straight", "round"):
        groups[part] = [k for k, kind in enumerate(kinds) if kind == part]
    found = {}
    owner = _owners(xy, needed)
    covered = [_covered(samples, xy, off, sigma, ground) for samples in needed]
    for part, members in groups.items():
        beside = np.isin(owner, members)
        worst = float(np.sort(off[beside])[-HOLD]) if beside.sum() >= HOLD else 0.0
        found[part] = replace(_together([covered[k] for k in members]), worst_mm=worst)
    return found


def _owners(xy: Array, needed: list[Array]) -> NDArray[np.int_]:
    """Which of the needed curves each point (N, 2) is nearest to; -1 where it lies past an end."""
    from scipy.spatial import cKDTree

    filled = [k for k, n in enumerate(needed) if len(n)]
    if not filled or not len(xy):
        return np.full(len(xy), -1)
    found = [cKDTree(needed[k]).query(xy) for k in filled]
    distance, at = (np.stack([one[i] for one in found]) for i in (0, 1))
    nearest = np.argmin(distance, axis=0)
    first = np.cumsum([0, *(len(needed[k]) for k in filled)])[nearest]
    own = nearest, np.arange(len(xy))
    past = _past(xy, np.concatenate([needed[k] for k in filled]), distance[own], at[own] + first)
    return np.where(past, -1, np.array(filled)[nearest])


@dataclass(frozen=True)
class _Covered:
    """Samples of a needed curve, and how many of them have pencil: within the tolerance, read
    strictly and generously, and straight beside them."""

    total: int
    plain: int
    strict: int
    generous: int
    within: int
    within_most: int


def _covered(samples: Array, xy: Array, off: Array, sigma: float, ground: Ground) -> _Covered:
    """Coverage of one curve as defined, and its bounds read strictly and generously."""
    if not len(samples) or not len(xy):
        return _Covered(len(samples), 0, 0, 0, 0, 0)
    tolerance, give = ground.tolerance_mm, COVERAGE_FACTOR * sigma
    pencil = _Pencil.beside(samples, xy)
    free = _free_along(samples, tolerance, ground)
    most = _Pencil.beside(samples, np.concatenate((xy, free))) if len(free) else pencil
    bare, certain_mm, carried = ground, _LONGEST_GAP_MM, _SURELY
    if ground.lines is not None:
        bare, certain_mm = replace(ground, pencil=ground.lines), _CERTAIN_GAP_MM
        carried = replace(_SURELY, open_mm=_CERTAIN_OPEN_MM)
    return _Covered(
        len(samples),
        pencil.reached(tolerance, ground),
        pencil.reached(tolerance - give, bare, certain_mm, carried),
        most.reached(tolerance + give, ground, carried=_PERHAPS),
        _alongside(samples, xy[off <= tolerance], tolerance, ground),
        _alongside(samples, xy[off <= tolerance + give], tolerance, ground, _PERHAPS),
    )


def _free_along(samples: Array, tolerance: float, ground: Ground) -> Array:
    """Points (M, 2) of free pencil that run along the curve within the tolerance: perhaps a part of
    the line that was traced into something else."""
    from scipy.spatial import cKDTree

    free = ground.free
    if free is None or not len(free.xy) or len(samples) < 2:
        return np.zeros((0, 2))
    distance, at = cKDTree(samples).query(free.xy, distance_upper_bound=tolerance)
    near = np.isfinite(distance)
    d = np.gradient(samples, axis=0)[at[near]]
    along = np.abs((free.tangent[near] * d).sum(axis=1)) / np.maximum(np.hypot(*d.T), 1e-9)
    found: Array = free.xy[near][along > np.where(free.hatch[near], _AS_DRAWN_COS, _ALONG_COS)]
    return found


def _together(curves: list[_Covered]) -> PartFinding:
    total = sum(c.total for c in curves)
    if not total:
        return PartFinding(0.0, 0.0, 0.0, 0.0, 0.0)
    slack = 0.5 * SAMPLE_MM / total
    plain, strict, generous = (
        sum(getattr(c, name) for c in curves) / total for name in ("plain", "strict", "generous")
    )
    # What is read generously is carried on from other pencil, now and then for less.
    return PartFinding(
        coverage=plain,
        low=min(strict, plain) - slack,
        high=max(generous, plain) + slack,
        needed_mm=total * SAMPLE_MM,
        within_mm=sum(c.within for c in curves) * SAMPLE_MM,
        within_high_mm=sum(c.within_most for c in curves) * SAMPLE_MM,
    )


@dataclass(frozen=True, eq=False)
class _Pencil:
    """The pencil nearest to each sample of a curve: ``own`` (N, 2) leads to it over ``distance``
    (N,); ``passed`` (N,) where pencil runs beside the curve, not too far off."""

    samples: Array
    own: Array
    distance: Array
    passed: NDArray[np.bool_]

    @staticmethod
    def beside(samples: Array, xy: Array) -> _Pencil:
        """The nearest of the points ``xy`` (M, 2)."""
        from scipy.spatial import cKDTree

        distance, at = cKDTree(xy).query(samples)
        return _Pencil(samples, xy[at] - samples, distance, _passed(samples, xy))

    def reached(
        self,
        radius: float,
        ground: Ground,
        longest_mm: float = _LONGEST_GAP_MM,
        carried: _Carried = _SURELY,
    ) -> int:
        """Samples with pencil within ``radius``: coverage by its definition. Breaks of up to
        ``longest_mm``, and ends, may be ``carried`` on through shading."""
        near = self.distance <= radius
        filled = _bridged(near, self.samples, self.own, ground, longest_mm, carried)
        return int((near | filled & ~self.passed).sum())


def _passed(samples: Array, xy: Array) -> NDArray[np.bool_]:
    """Which samples of a curve have pencil (M, 2) straight beside them, up to `_ASTRAY_MM` off."""
    from scipy.spatial import cKDTree

    passed = np.zeros(len(samples), dtype=bool)
    if len(samples) < 2:
        return passed
    distance, at = cKDTree(samples).query(xy, distance_upper_bound=_ASTRAY_MM)
    near = np.isfinite(distance)
    at, v = at[near], xy[near] - samples[at[near]]
    d = np.gradient(samples, axis=0)[at]
    along = np.abs((v * d).sum(axis=1)) / np.maximum(np.hypot(*d.T), 1e-9)
    passed[at[along < 0.8]] = True
    return passed


def _alongside(
    samples: Array, xy: Array, tolerance: float, ground: Ground, carried: _Carried = _SURELY
) -> int:
    """Samples straight beside which (not merely within reach of an end) there is pencil."""
    if not len(xy) or len(samples) < 2:
        return 0
    from scipy.spatial import cKDTree

    distance, at = cKDTree(samples).query(xy, distance_upper_bound=tolerance + 0.5)
    ok = np.isfinite(distance)
    at, v = at[ok], xy[ok] - samples[np.minimum(at[ok], len(samples) - 1)]
    ahead = samples[np.clip(at + 1, 0, len(samples) - 1)]
    behind = samples[np.clip(at - 1, 0, len(samples) - 1)]
    d = ahead - behind
    along = np.abs((v * d).sum(axis=1)) / np.maximum(np.hypot(d[:, 0], d[:, 1]), 1e-9)
    near = np.zeros(len(samples), dtype=bool)
    beside = along < 1.2 * SAMPLE_MM
    near[at[beside]] = True
    own = np.zeros_like(samples)
    own[at[beside]] = v[beside]
    return int(_bridged(near, samples, own, ground, carried=carried).sum())


def _bridged(
    near: NDArray[np.bool_],
    samples: Array,
    own: Array,
    ground: Ground,
    longest_mm: float = _LONGEST_GAP_MM,
    carried: _Carried = _SURELY,
) -> NDArray[np.bool_]:
    """Breaks filled where both their sides are covered: short ones, those under print, and
    those where pencil goes on along the pupil's own line (``own`` (N, 2): from each covered
    sample to the pencil) that no stroke was traced through."""
    filled = near.copy()
    gaps = np.flatnonzero(~near)
    if not len(gaps):
        return filled
    # across the locus only: the nearest pencil may lie ahead, and a curved locus turns away from it
    across = _normals(samples)
    off = (own * across).sum(axis=1)
    for run in np.split(gaps, np.flatnonzero(np.diff(gaps) > 1) + 1):
        before, after = run[0] - 1, run[-1] + 1
        if before < 0 and after >= len(near):
            continue
        open_ended = before < 0 or after >= len(near)
        if before < 0:  # from the drawn side outwards
            run, before = run[::-1], after
        if open_ended:
            run, after = run[: round(carried.open_mm / SAMPLE_MM)], before
        length = len(run) * SAMPLE_MM
        if length <= _GAP_MM and not open_ended:
            filled[run] = True
        elif length <= longest_mm:
            share = np.linspace(0.0, 1.0, len(run) + 2)[1:-1]
            away = (1.0 - share) * off[before] + share * off[after]
            there = samples[run] + away[:, None] * across[run]
            seen = ground.hides(there) | ground.dark(there, carried.faint)
            if open_ended:
                so_far = np.cumsum(seen) / np.arange(1, len(run) + 1)
                filled[run[: np.flatnonzero(np.append(True, so_far > carried.at_end))[-1]]] = True
            else:
                filled[run] = seen.mean() > carried.between
    return filled


def _normals(samples: Array) -> Array:
    """Unit normals (N, 2) of a sampled curve."""
    d = np.gradient(samples, axis=0) if len(samples) > 1 else np.ones_like(samples)
    size = np.maximum(np.hypot(d[:, 0], d[:, 1]), 1e-9)
    normals: Array = np.column_stack((-d[:, 1] / size, d[:, 0] / size))
    return normals


def no_parts(needed: list[Array]) -> dict[str, PartFinding]:
    total = sum(len(n) for n in needed) * SAMPLE_MM
    return {name: PartFinding(0.0, 0.0, 0.0, total, 0.0) for name in ("all", "straight", "round")}


def beside_needed(xy: Array, needed: Array) -> NDArray[np.bool_]:
    """Which points lie beside the needed locus: their nearest point of it is not past its end."""
    if not len(needed) or not len(xy):
        return np.zeros(len(xy), dtype=bool)
    from scipy.spatial import cKDTree

    return ~_past(xy, needed, *cKDTree(needed).query(xy))


def _past(xy: Array, needed: Array, distance: Array, at: NDArray[np.int_]) -> NDArray[np.bool_]:
    """Which points lie past an end of the needed locus, whose nearest point ``at`` (N,) is
    ``distance`` (N,) away."""
    gap = np.hypot(*np.diff(needed, axis=0).T) > 2 * SAMPLE_MM if len(needed) > 1 else np.ones(0)
    ends = np.concatenate(([True], gap > 0)) | np.concatenate((gap > 0, [True]))
    closed = len(needed) > 2 and float(np.hypot(*(needed[0] - needed[-1]))) < 2 * SAMPLE_MM
    if closed:
        ends[[0, -1]] = False
    near_end = np.flatnonzero(ends[at])
    past = np.zeros(len(xy), dtype=bool)
    at = at[near_end]
    v = xy[near_end] - needed[at]
    nxt = needed[np.minimum(at + 1, len(needed) - 1)] - needed[np.maximum(at - 1, 0)]
    along = np.abs((v * nxt).sum(axis=1)) / np.maximum(np.hypot(nxt[:, 0], nxt[:, 1]), 1e-9)
    past[near_end] = (along > 1.0) & (along > 0.25 * distance[near_end])
    return past
