"""Chains -> whole lines: straight on through crossings, over what print hides.

Two ends belong together if each lies straight ahead of the other, and the gap between is
short, dark (another line runs through it) or hidden by print. Cheapest pairs first.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

Array = NDArray[np.float64]
Dark = NDArray[np.float32]
Mask = NDArray[np.bool_]
Index = NDArray[np.int64]

FREE_GAP_MM = 1.3
"""A gap this short is crossed without a reason: a skipping pencil, a crossing."""
LONGEST_GAP_MM = 9.0
_TAIL_MM = 2.4
"""The last part of a chain, which tells where it is heading and how it curves."""
_TURN = 0.45
"""Radians that a line may seem to turn at a gap, beyond its own curvature."""
_SHARP = 0.6
"""Radians of turn within `_CORNER_MM` at which a chain is two lines."""
_CORNER_MM = 0.8


@dataclass(frozen=True, eq=False)
class Ends:
    """Both ends of every chain: place (2C, 2) px, unit heading (2C, 2) outward, curvature
    (2C,) per px; rows 2c and 2c + 1 are the first and the last end of chain c."""

    place: Array
    heading: Array
    curvature: Array


def split_at_corners(chains: list[Array], px_per_mm: float) -> list[Array]:
    """Chains (N, 2) px cut where they turn sharply: a corner joins two different lines."""
    reach = max(2, round(_CORNER_MM * px_per_mm / 2))
    pieces: list[Array] = []
    for xy in chains:
        pieces += _split(xy, reach)
    return pieces


def _split(xy: Array, reach: int) -> list[Array]:
    if len(xy) < 4 * reach:
        return [xy]
    before = xy[reach:-reach] - xy[: -2 * reach]
    after = xy[2 * reach :] - xy[reach:-reach]
    turn = np.abs(
        np.arctan2(
            before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1)
        )
    )
    pieces, start = [], 0
    while turn.size and float(turn.max()) > _SHARP:
        top = int(turn.argmax())
        turn[max(0, top - reach) : top + reach + 1] = 0.0
        pieces.append(top + reach)
    cuts = sorted(pieces)
    found = []
    for stop in [*cuts, len(xy)]:
        if stop - start >= reach:
            found.append(xy[start:stop])
        start = stop
    return found


def joined(chains: list[Array], pencil: Dark, unseen: Mask, px_per_mm: float) -> list[list[Array]]:
    """Groups of chains, each in order and turned so that it runs on: one group a line."""
    if not chains:
        return []
    ends = _ends(chains, px_per_mm)
    first, second, cost = _candidates(ends, pencil, unseen, px_per_mm)
    partner = np.full(2 * len(chains), -1, dtype=np.int64)
    for k in np.argsort(cost, kind="stable"):
        a, b = first[k], second[k]
        if partner[a] < 0 and partner[b] < 0:
            partner[a], partner[b] = b, a
    return _walks(chains, partner)


def _ends(chains: list[Array], px_per_mm: float) -> Ends:
    tail = max(4, round(_TAIL_MM * px_per_mm))
    place, heading, curvature = [], [], []
    for xy in chains:
        for end in (xy[:tail][::-1], xy[-tail:]):
            place.append(end[-1])
            way, bend = _heading(end)
            heading.append(way)
            curvature.append(bend)
    return Ends(np.array(place), np.array(heading), np.array(curvature))


def _heading(end: Array) -> tuple[Array, float]:
    """Unit direction at the last point of ``end`` and the curvature there, from a parabola
    across the chord (no curvature from fewer than 12 points)."""
    chord = end[-1] - end[0]
    length = float(np.hypot(*chord))
    if length < 1e-9:
        return np.array([1.0, 0.0]), 0.0
    along = chord / length
    across = np.array([-along[1], along[0]])
    s, d = (end - end[-1]) @ along, (end - end[-1]) @ across
    degree = 2 if len(end) >= 12 else 1
    fitted = np.polynomial.polynomial.polyfit(s, d, degree)
    way = along + float(fitted[1]) * across
    bend = 2.0 * float(fitted[2]) if degree == 2 else 0.0
    return way / np.hypot(*way), bend


def _candidates(
    ends: Ends, pencil: Dark, unseen: Mask, px_per_mm: float
) -> tuple[Index, Index, Array]:
    """Pairs of ends that may be one line, with their cost."""
    pairs = cKDTree(ends.place).query_pairs(LONGEST_GAP_MM * px_per_mm, output_type="ndarray")
    a, b = pairs[:, 0].astype(np.int64), pairs[:, 1].astype(np.int64)
    gap = ends.place[b] - ends.place[a]
    length = np.hypot(gap[:, 0], gap[:, 1])
    miss_a, turn_a = _misses(ends, a, gap)
    miss_b, turn_b = _misses(ends, b, -gap)
    facing = np.arccos(np.clip(-(ends.heading[a] * ends.heading[b]).sum(axis=1), -1.0, 1.0))
    width = 0.18 * px_per_mm
    allowed = width + 0.10 * length
    good = (miss_a < allowed) & (miss_b < allowed) & (turn_a > -2 * width) & (turn_b > -2 * width)
    curving = np.maximum(np.abs(ends.curvature[a]), np.abs(ends.curvature[b])) * length
    good &= (a // 2 != b // 2) & (facing < _TURN + np.minimum(curving, 0.6))
    a, b, length = a[good], b[good], length[good]
    cost = (miss_a + miss_b)[good] / width + 2.0 * facing[good] + 0.25 * length / width
    covered = _covered(ends.place[a], ends.place[b], pencil, unseen)
    bridged = (length < FREE_GAP_MM * px_per_mm) | (covered > 0.65)
    return a[bridged], b[bridged], cost[bridged]


def _misses(ends: Ends, at: Index, gap: Array) -> tuple[Array, Array]:
    """How far the line from each end passes the other end, px, and how far ahead that is."""
    way = ends.heading[at]
    ahead = (way * gap).sum(axis=1)
    aside = way[:, 0] * gap[:, 1] - way[:, 1] * gap[:, 0]
    curved = aside - 0.5 * ends.curvature[at] * ahead**2
    return np.minimum(np.abs(aside), np.abs(curved)), ahead


def _covered(start: Array, stop: Array, pencil: Dark, unseen: Mask) -> Array:
    """Share of each gap that is hidden or dark."""
    t = np.linspace(0.08, 0.92, 12)
    at = start[:, None, :] + t[None, :, None] * (stop - start)[:, None, :]
    column = np.clip(np.rint(at[..., 0]).astype(np.int64), 0, pencil.shape[1] - 1)
    row = np.clip(np.rint(at[..., 1]).astype(np.int64), 0, pencil.shape[0] - 1)
    share: Array = ((pencil[row, column] > 0.10) | unseen[row, column]).mean(axis=1)
    return share


def _walks(chains: list[Array], partner: Index) -> list[list[Array]]:
    """Follow the pairs from every free end, then round the closed lines that are left."""
    done = np.zeros(len(chains), dtype=np.bool_)
    lines = []
    free = [e for e in range(2 * len(chains)) if partner[e] < 0]
    for entry in [*free, *range(0, 2 * len(chains), 2)]:
        if done[entry // 2]:
            continue
        line, here = [], entry
        while here >= 0 and not done[here // 2]:
            chain = here // 2
            done[chain] = True
            line.append(chains[chain] if here % 2 == 0 else chains[chain][::-1])
            here = int(partner[here ^ 1])
        lines.append(line)
    return lines
