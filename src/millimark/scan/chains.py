"""Ridge points -> chains in order, without a loop over points.

Every point is two nodes, one for each sense in which it can be left. A node's successor is
the best neighbour ahead; a link counts only if it is the best for both. Ranks along the
chains come from pointer jumping (Wyllie 1979), so the work is vectorised.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from millimark.scan.ridges import RidgePoints

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_AHEAD = np.array([(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1)])
_BEND_COST = 1.5
"""px that a turn of one radian between neighbours is worth."""
_SHARPEST = 1.0
"""Radians between neighbouring normals above which points are not of one line."""


def chained(points: RidgePoints, least: int) -> list[Index]:
    """Chains of at least ``least`` points, each an array of indices in order.

    Longest first; a closed line is cut at one of its points. Empty where nothing links.
    """
    n = len(points)
    if n == 0:
        return []
    follow = _mutual(_successors(points))
    rank, last = _ranked(follow)
    if (rank < 0).any():
        rank, last = _ranked(_cycles_cut(follow, rank, n))
    first_sense = np.arange(2 * n)
    mirror = (first_sense + n) % (2 * n)
    keep = last[first_sense] < last[mirror]
    nodes = first_sense[keep]
    order = np.lexsort((-rank[nodes], last[nodes]))
    nodes = nodes[order]
    cuts = np.flatnonzero(np.diff(last[nodes])) + 1
    chains = [c % n for c in np.split(nodes, cuts) if len(c) >= least]
    return sorted(chains, key=len, reverse=True)


def _successors(points: RidgePoints) -> Index:
    """For each node (point i leaving along its tangent, i + N against it) the best node ahead
    by distance and bend, or -1."""
    n = len(points)
    steps = _AHEAD[:, 1] * points.shape[1] + _AHEAD[:, 0]
    x, y = points.xy.T.copy()
    way = _Ways(x, y, -points.normal[:, 1], points.normal[:, 0].copy())
    follow = np.full(2 * n, -1, dtype=np.int64)
    for half, sense in enumerate((1.0, -1.0)):
        octant = np.round(np.arctan2(sense * way.v, sense * way.u) / (np.pi / 4)).astype(np.int64)
        least = np.full(n, np.inf)
        for turn in (0, -1, 1):
            other = points.index[points.pixel + steps[(octant + turn) % 8]]
            here = np.flatnonzero(other >= 0)
            to = other[here]
            cost, forward = _cost(way, sense, here, to)
            better = cost < least[here]
            here, to, forward = here[better], to[better], forward[better]
            least[here] = cost[better]
            follow[here + half * n] = to + np.where(forward, 0, n)
    return follow


@dataclass(frozen=True, eq=False)
class _Ways:
    """Places ``x``, ``y`` (N,) px of the points and unit tangents ``u``, ``v`` (N,), each in memory
    of its own: far quicker than rows of two."""

    x: Array
    y: Array
    u: Array
    v: Array


def _cost(way: _Ways, sense: float, here: Index, to: Index) -> tuple[Array, NDArray[np.bool_]]:
    """Price of each link (inf if it turns too sharply or goes back) that is left along ``sense``
    times the tangent, and whether it runs along the tangent at ``to``."""
    dx, dy = way.x[to] - way.x[here], way.y[to] - way.y[here]
    u, v = sense * way.u[here], sense * way.v[here]
    along = u * way.u[to] + v * way.v[to]
    bend = np.arccos(np.minimum(np.abs(along), 1.0))
    cost = np.hypot(dx, dy) + _BEND_COST * bend
    cost[(bend > _SHARPEST) | (dx * u + dy * v <= 0.0)] = np.inf
    return cost, along > 0


def _mutual(follow: Index) -> Index:
    """Only the links whose reverse is the best link of its own node too."""
    n2 = len(follow)
    n = n2 // 2
    node = np.arange(n2)
    has = follow >= 0
    target = np.where(has, follow, 0)
    back = follow[(target + n) % n2]
    kept: Index = np.where(has & (back == (node + n) % n2), follow, -1)
    return kept


def _ranked(follow: Index) -> tuple[Index, Index]:
    """Steps to the end of each node's chain (-1 on a cycle) and the node at that end."""
    n2 = len(follow)
    jump = np.append(np.where(follow >= 0, follow, n2), n2)
    rank = np.append((follow >= 0).astype(np.int64), 0)
    last = np.arange(n2 + 1)
    last[:n2] = np.where(follow >= 0, follow, last[:n2])
    for _ in range(max(1, int(np.ceil(np.log2(n2 + 1))) + 1)):
        open_ = jump < n2
        if not open_.any():
            break
        rank = rank + np.where(open_, rank[jump], 0)
        last = np.where(open_, last[jump], last)
        jump = jump[jump]
    on_cycle = jump[:n2] < n2
    return np.where(on_cycle, -1, rank[:n2]), last[:n2]


def _cycles_cut(follow: Index, rank: Index, n: int) -> Index:
    """Closed chains cut behind their point of least index, in both senses alike."""
    n2 = 2 * n
    on_cycle = rank < 0
    jump = np.where(follow >= 0, follow, np.arange(n2))
    least = np.arange(n2) % n
    for _ in range(int(np.ceil(np.log2(n2 + 1))) + 1):
        least = np.minimum(least, least[jump])
        jump = jump[jump]
    cut = follow.copy()
    for start in np.unique(least[on_cycle]):
        after = cut[start]
        if after >= 0:
            cut[start] = -1
            cut[(after + n) % n2] = -1
    return cut
