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

LONGEST_GAP_MM = 9.0


@dataclass(frozen=True)
class Round:
    """One round of joining, mm: gaps up to ``free`` need no reason, longer ones up to ``gap``
    must be dark or hidden; ``tail`` is the part of a line that tells where it is heading."""

    free: float
    gap: float
    tail: float


ROUNDS = (
    Round(free=0.6, gap=0.6, tail=1.4),
    Round(free=1.1, gap=1.6, tail=2.6),
    Round(free=1.5, gap=3.0, tail=5.0),
    Round(free=2.2, gap=LONGEST_GAP_MM, tail=9.0),
)
"""Near pieces first: what they form together tells better where it is heading."""
_TURN, _TURN_PER_MM = 0.22, 0.35
"""Radians that a line may seem to turn at a gap, beyond its own curvature: the first number,
and the second over the length (mm) of the lesser tail, whose heading is the less certain."""
_CURVE_FROM = 0.7
"""Share of the tail that must be there before its curvature is believed."""
_SPREAD = np.linspace(0.0, 1.0, 15)
"""Where along a tail it is sampled."""
_CORNER, _FORK = 0.9, 0.32
"""Radians of turn within `_CORNER_MM` at which a chain is two lines: by itself, and where a third
line ends beside the bend. A bend alone is the hand's; at a fork the ridge may have gone astray."""
_CORNER_MM = 2.0
_FORK_MM = 1.3
"""How near to a bend the end of a third line shows a fork, mm."""


@dataclass(frozen=True, eq=False)
class Ends:
    """Both ends of every chain: place (2C, 2) px, unit heading (2C, 2) outward, curvature
    (2C,) per px, ``extent`` (2C,) px of the tail that was used; rows 2c and 2c + 1 are the
    first and the last end of chain c."""

    place: Array
    heading: Array
    curvature: Array
    extent: Array


def split_at_corners(chains: list[Array], px_per_mm: float) -> list[Array]:
    """Chains (N, 2) px cut where they turn sharply, and at forks where they turn less: there
    two different lines meet, and what belongs together is decided by `joined`."""
    reach = max(2, round(_CORNER_MM * px_per_mm / 2))
    bends = [_bends(xy, reach) for xy in chains]
    of = np.repeat(np.arange(len(chains)), [len(at) for at, _ in bends])
    if not len(of):
        return chains
    at, turn = (np.concatenate([b[k] for b in bends]) for k in (0, 1))
    place = np.array([chains[c][i] for c, i in zip(of, at, strict=True)])
    cut = (turn > _CORNER) | _beside_an_end(place, of, chains, _FORK_MM * px_per_mm)
    pieces: list[Array] = []
    for c, xy in enumerate(chains):
        pieces += _cut_at(xy, sorted(at[cut & (of == c)].tolist()), reach)
    return pieces


def _bends(xy: Array, reach: int) -> tuple[Index, Array]:
    """Where (indices) the chain turns by over `_FORK`, the sharpest first, and by how much; once
    for each bend."""
    none = np.zeros(0, dtype=np.int64), np.zeros(0)
    if len(xy) < 4 * reach:
        return none
    before = xy[reach:-reach] - xy[: -2 * reach]
    after = xy[2 * reach :] - xy[reach:-reach]
    turn = np.abs(
        np.arctan2(
            before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1)
        )
    )
    found, sizes = [], []
    while float(turn.max()) > _FORK:
        top = int(turn.argmax())
        found.append(top + reach)
        sizes.append(float(turn[top]))
        turn[max(0, top - reach) : top + reach + 1] = 0.0
    return np.array(found, dtype=np.int64), np.array(sizes)


def _beside_an_end(place: Array, of: Index, chains: list[Array], near: float) -> Mask:
    """Whether another chain than ``of`` (N,) ends within ``near`` px of each place (N, 2)."""
    ends = np.array([xy[k] for xy in chains for k in (0, -1)])
    within = cKDTree(ends).query_ball_point(place, near)
    return np.array([any(e // 2 != c for e in found) for found, c in zip(within, of, strict=True)])


def _cut_at(xy: Array, bends: list[int], reach: int) -> list[Array]:
    """The chain without its bends: what bends belongs to neither line."""
    found, start = [], 0
    for stop in [*bends, len(xy) + reach // 2]:
        piece = xy[start : stop - reach // 2]
        if len(piece) >= max(reach // 2, 3):
            found.append(piece)
        start = stop + reach // 2
    return found


def joined(chains: list[Array], pencil: Dark, unseen: Mask, px_per_mm: float) -> list[list[Array]]:
    """Groups of chains, each in order and turned so that it runs on: one group a line."""
    lines = [[xy] for xy in chains]
    for round_ in ROUNDS:
        if len(lines) > 1:
            lines = _joined_once(lines, round_, pencil, unseen, px_per_mm)
    return lines


def _joined_once(
    lines: list[list[Array]], round_: Round, pencil: Dark, unseen: Mask, px_per_mm: float
) -> list[list[Array]]:
    whole = [np.vstack(line) for line in lines]
    ends = _ends(whole, round_.tail * px_per_mm)
    first, second, cost = _candidates(ends, round_, pencil, unseen, px_per_mm)
    partner = np.full(2 * len(lines), -1, dtype=np.int64)
    for k in np.argsort(cost, kind="stable"):
        a, b = first[k], second[k]
        if partner[a] < 0 and partner[b] < 0:
            partner[a], partner[b] = b, a
    return _walks(lines, partner)


def _ends(lines: list[Array], tail: float) -> Ends:
    most = max(4, round(tail))
    samples: list[Array] = []
    for xy in lines:
        last = min(most, len(xy)) - 1
        pick = (_SPREAD * last).astype(np.int64)
        samples += [xy[last - pick], xy[len(xy) - 1 - last + pick]]
    tails = np.array(samples)
    heading, curvature = _headings(tails, tail)
    extent = np.hypot(*(tails[:, -1] - tails[:, 0]).T)
    return Ends(tails[:, -1], heading, curvature, extent)


def _headings(tails: Array, tail: float) -> tuple[Array, Array]:
    """Unit directions (E, 2) at the last points of the tails (E, K, 2) and the curvatures (E,)
    there: from a parabola across the chord where it is long enough, else from its slope."""
    chord = tails[:, -1] - tails[:, 0]
    length = np.maximum(np.hypot(chord[:, 0], chord[:, 1]), 1e-9)
    along = chord / length[:, None]
    across = np.column_stack((-along[:, 1], along[:, 0]))
    behind = tails - tails[:, -1:]
    s = np.einsum("ekd,ed->ek", behind, along)
    d = np.einsum("ekd,ed->ek", behind, across)
    curved = (length > _CURVE_FROM * tail) & (tail > 20.0)
    terms = np.stack((np.ones_like(s), s, s * s * curved[:, None]), axis=-1)
    normal = np.einsum("eki,ekj->eij", terms, terms) + 1e-9 * np.eye(3)
    fitted = np.linalg.solve(normal, np.einsum("eki,ek->ei", terms, d)[..., None])[..., 0]
    way = along + fitted[:, 1:2] * across
    way /= np.hypot(way[:, 0], way[:, 1])[:, None]
    return way, np.where(curved, 2.0 * fitted[:, 2], 0.0)


def _candidates(
    ends: Ends, round_: Round, pencil: Dark, unseen: Mask, px_per_mm: float
) -> tuple[Index, Index, Array]:
    """Pairs of ends that may be one line, with their cost."""
    pairs = cKDTree(ends.place).query_pairs(round_.gap * px_per_mm, output_type="ndarray")
    a, b = pairs[:, 0].astype(np.int64), pairs[:, 1].astype(np.int64)
    gap = ends.place[b] - ends.place[a]
    length = np.hypot(gap[:, 0], gap[:, 1])
    miss_a, turn_a = _misses(ends, a, gap)
    miss_b, turn_b = _misses(ends, b, -gap)
    facing = np.arccos(np.clip(-(ends.heading[a] * ends.heading[b]).sum(axis=1), -1.0, 1.0))
    width = 0.20 * px_per_mm
    allowed = width + 0.10 * length
    good = (miss_a < allowed) & (miss_b < allowed) & (turn_a > -2 * width) & (turn_b > -2 * width)
    curving = np.maximum(np.abs(ends.curvature[a]), np.abs(ends.curvature[b])) * length
    lesser = np.minimum(ends.extent[a], ends.extent[b]) / px_per_mm
    turn = _TURN + _TURN_PER_MM / np.maximum(lesser, 0.5)
    good &= (a // 2 != b // 2) & (facing < turn + np.minimum(curving, 0.3))
    a, b, length = a[good], b[good], length[good]
    cost = (miss_a + miss_b)[good] / width + 2.0 * facing[good] + 0.25 * length / width
    covered = _covered(ends.place[a], ends.place[b], pencil, unseen)
    bridged = (length < round_.free * px_per_mm) | (covered > 0.65)
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


def _walks(lines: list[list[Array]], partner: Index) -> list[list[Array]]:
    """Follow the pairs from every free end, then round the closed lines that are left."""
    done = np.zeros(len(lines), dtype=np.bool_)
    walks = []
    free = [e for e in range(2 * len(lines)) if partner[e] < 0]
    for entry in [*free, *range(0, 2 * len(lines), 2)]:
        if done[entry // 2]:
            continue
        walk: list[Array] = []
        here = entry
        while here >= 0 and not done[here // 2]:
            done[here // 2] = True
            walk += _turned(lines[here // 2], here % 2 == 1)
            here = int(partner[here ^ 1])
        walks.append(walk)
    return walks


def _turned(line: list[Array], back: bool) -> list[Array]:
    return [xy[::-1] for xy in reversed(line)] if back else line
