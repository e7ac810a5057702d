"""Which pencil is one smooth piece: strokes resampled on real paper and cut at corners.

Everything in this room is in paper millimetres: page millimetres times the print scale,
origin at the page's top-left corner, x right, y down. A stroke shorter than
`SHORTEST_MM` gives no piece. A piece is a line or an arc as far as its own pencil can say;
a short arc may well be called a line, so nothing is decided here about what it means.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from millimark.marking.pressure import strokes_in
from millimark.scan.reading import Stroke

Array = NDArray[np.float64]
Shape = Literal["line", "arc", "loose"]

STEP_MM = 0.4
"""Spacing of the points along a piece, mm."""
SHORTEST_MM = 2.0
"""A stroke shorter than this is a dot, a tick or a letter's foot, mm."""
GAP_MM = 2.0
"""A longer step inside a stroke is a gap that the scan bridged: no pencil was seen there."""
_SHORT_MM, _SHORT_GAP_MM = 15.0, 3.6
"""A short stroke is a construction arc or a tick, struck across other lines: there its gaps are
what those lines hide."""
_ARM_MM, _CORNER = 1.6, np.radians(55.0)
_NODE_MM = 2.4
_FIT_RMS = 0.30
"""A hand-drawn line or arc departs from its ideal by less than this, rms mm: common practice,
no source (a ruled line about 0.05, a careful compass arc about 0.1)."""
_NODES = 90
"""More nodes than this are thinned out: the search over cuts grows with their square."""


@dataclass(frozen=True, eq=False)
class Piece:
    """A smooth piece of one stroke.

    ``xy`` (N, 2) paper mm about `STEP_MM` apart; ``tangent`` (N, 2) unit vectors; ``sigma``
    (N,) mm across; ``darkness`` and ``width`` medians; ``stroke`` the number of its stroke,
    ``cut_from`` that of the traced stroke that it was cut off from as another one.
    """

    xy: Array
    tangent: Array
    sigma: Array
    darkness: float
    width: float
    stroke: int
    shape: Shape
    cut_from: int | None = None

    @property
    def trace(self) -> int:
        """The number of the stroke as it was traced, whatever was cut off from it."""
        return self.stroke if self.cut_from is None else self.cut_from

    @property
    def length(self) -> float:
        """Length along the piece, mm."""
        return STEP_MM * (len(self.xy) - 1)

    def part(self, start: int, stop: int) -> Piece:
        """The piece from its point ``start`` to before ``stop``."""
        xy = self.xy[start:stop]
        return replace(self, xy=xy, tangent=tangents(xy), sigma=self.sigma[start:stop])


@dataclass(frozen=True, eq=False)
class Ink:
    """All pieces of one answer, their points side by side.

    ``xy`` and ``tangent`` (N, 2) of every piece in order; piece k holds the points
    ``first[k]`` to ``first[k + 1]`` - 1.
    """

    pieces: tuple[Piece, ...]
    xy: Array
    tangent: Array
    first: NDArray[np.int_]

    @staticmethod
    def of(pieces: Sequence[Piece]) -> Ink:
        """The pieces with their points side by side."""
        sizes = [len(p.xy) for p in pieces]
        first = np.concatenate(([0], np.cumsum(sizes))).astype(int)
        empty = np.zeros((0, 2))
        return Ink(
            tuple(pieces),
            np.concatenate([p.xy for p in pieces]) if pieces else empty,
            np.concatenate([p.tangent for p in pieces]) if pieces else empty,
            first,
        )

    @property
    def starts(self) -> NDArray[np.int_]:
        """The first point of each piece: what ``ufunc.reduceat`` wants."""
        return self.first[:-1]

    @property
    def lengths(self) -> Array:
        """Length of each piece, mm."""
        return (np.diff(self.first) - 1) * STEP_MM

    def strokes(self) -> list[list[int]]:
        """The pieces of each stroke, in the order in which they follow each other."""
        found: dict[int, list[int]] = {}
        for k, p in enumerate(self.pieces):
            found.setdefault(p.stroke, []).append(k)
        return list(found.values())

    def means(self, values: Array) -> Array:
        """Mean over each piece of a value (N,) of its points."""
        total: Array = np.add.reduceat(values, self.starts) / np.diff(self.first)
        return total

    def points(self, pieces: Sequence[int]) -> Array:
        """Points (M, 2) of the chosen pieces, in their order."""
        if not pieces:
            return np.zeros((0, 2))
        return np.concatenate([self.pieces[k].xy for k in pieces])


def pieces_of(strokes: Sequence[Stroke], scale: float) -> list[Piece]:
    """The smooth pieces of all strokes, in the strokes' order and along each of them. What was
    traced as one stroke and is two has two numbers."""
    found: list[Piece] = []
    fresh = itertools.count(len(strokes))
    places = [s.xy * scale for s in strokes]
    for index, stretch in _stretches(strokes, scale):
        even = _even(stretch)
        if even is None:
            continue
        xy, _, darkness, sigma = even
        others = places[:index] + places[index + 1 :]
        for first, last in strokes_in(xy, darkness, sigma, STEP_MM, others):
            own = _pieces(index, *(column[first : last + 1] for column in even))
            found += own if first == 0 else apart(own, next(fresh))
    return found


def apart(pieces: Sequence[Piece], stroke: int) -> list[Piece]:
    """The pieces as another stroke than the one that they were traced with."""
    return [replace(p, stroke=stroke, cut_from=p.trace) for p in pieces]


def unused(pieces: Sequence[Piece]) -> Iterator[int]:
    """Numbers for strokes, none of which the pieces have."""
    return itertools.count(1 + max((p.stroke for p in pieces), default=0))


def without_ends(piece: Piece, first: int, last: int) -> tuple[Piece, list[Piece]]:
    """A piece without its ``first`` and ``last`` points, and these ends, where there are any."""
    n = len(piece.xy)
    if not first and not last:
        return piece, []
    spans = [(start, stop) for start, stop in ((0, first), (n - last, n)) if start < stop]
    return piece.part(first, n - last), [piece.part(start, stop) for start, stop in spans]


def _pieces(stroke: int, xy: Array, width: Array, darkness: Array, sigma: Array) -> list[Piece]:
    """The smooth pieces of one stroke, along it."""
    return [
        Piece(
            xy[i : j + 1],
            tangents(xy[i : j + 1]),
            sigma[i : j + 1],
            float(np.median(darkness[i : j + 1])),
            float(np.median(width[i : j + 1])),
            stroke,
            shape,
        )
        for i, j, shape in _smooth_parts(xy)
        if (j - i) * STEP_MM >= SHORTEST_MM
    ]


def tangents(xy: Array, reach_mm: float = 1.6) -> Array:
    """Unit tangents (N, 2) of evenly spaced points, over ``reach_mm`` to either side."""
    k = max(1, min(round(reach_mm / STEP_MM), (len(xy) - 1) // 2))
    at = np.arange(len(xy))
    ahead, behind = xy[np.minimum(at + k, len(xy) - 1)], xy[np.maximum(at - k, 0)]
    d = ahead - behind
    size = np.maximum(np.hypot(d[:, 0], d[:, 1]), 1e-12)
    along: Array = d / size[:, None]
    return along


def _stretches(strokes: Sequence[Stroke], scale: float) -> Iterator[tuple[int, Array]]:
    """(stroke, (N, 5) x, y, width, darkness, sigma in paper mm) without gaps inside."""
    for index, stroke in enumerate(strokes):
        if len(stroke.xy) < 3:
            continue
        table = np.column_stack(
            (stroke.xy * scale, stroke.width * scale, stroke.darkness, stroke.sigma * scale)
        )
        step = np.hypot(*np.diff(table[:, :2], axis=0).T)
        gap = GAP_MM if step.sum() > _SHORT_MM else _SHORT_GAP_MM
        for part in np.split(table, np.flatnonzero(step > gap) + 1):
            yield index, part


def _even(table: Array) -> tuple[Array, Array, Array, Array] | None:
    """The stretch at even steps, or None if it is too short to be a line."""
    if len(table) < 3:
        return None
    run = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(table[:, :2], axis=0).T))))
    if run[-1] < SHORTEST_MM:
        return None
    at = np.linspace(0.0, run[-1], max(3, round(run[-1] / STEP_MM) + 1))
    x, y, width, darkness, sigma = (np.interp(at, run, column) for column in table.T)
    return np.column_stack((x, y)), width, darkness, sigma


def _smooth_parts(xy: Array) -> list[tuple[int, int, Shape]]:
    """(first, last, shape) of the pieces, sharp corners cut first."""
    corners = [0, *_corners(xy), len(xy) - 1]
    return [
        (first + i, first + j, shape)
        for first, last in pairwise(corners)
        for i, j, shape in _cuts(xy[first : last + 1])
    ]


def _corners(xy: Array) -> list[int]:
    """Where the course turns by over `_CORNER` within about 3 mm, once for each turn."""
    k = round(_ARM_MM / STEP_MM)
    if len(xy) < 4 * k:
        return []
    ahead, behind = xy[2 * k :] - xy[k:-k], xy[k:-k] - xy[: -2 * k]
    size = np.hypot(*ahead.T) * np.hypot(*behind.T)
    cos = (ahead * behind).sum(axis=1) / np.maximum(size, 1e-9)
    sharp = np.flatnonzero(cos < np.cos(_CORNER))
    if not len(sharp):
        return []
    turns = np.split(sharp, np.flatnonzero(np.diff(sharp) > k) + 1)
    at = [int(run[np.argmin(cos[run])]) + k for run in turns]
    return [i for i in at if k <= i < len(xy) - k]


def _cuts(xy: Array) -> list[tuple[int, int, Shape]]:
    """(first, last, shape) of the fewest smooth pieces that the points fall into."""
    last = len(xy) - 1
    if last < 2:
        return [(0, last, "loose")]
    moments = _Moments(xy)
    for shape, rms in moments.misfit(np.array([0]), np.array([last])).items():
        if rms[0] < 0.6 * _fit_rms(last * STEP_MM):
            return [(0, last, shape)]
    step = max(round(_NODE_MM / STEP_MM), -(-last // _NODES))
    nodes = np.unique(np.append(np.arange(0, last, step), last))
    if len(nodes) < 3:
        return [(0, last, "loose")]
    return _fewest(nodes, moments)


def _fewest(nodes: NDArray[np.int_], moments: _Moments) -> list[tuple[int, int, Shape]]:
    """Dynamic programme over cuts: a piece costs 1, and up to 1 more as it fits worse."""
    first, second = np.triu_indices(len(nodes), 1)
    misfit = moments.misfit(nodes[first], nodes[second])
    length = (nodes[second] - nodes[first]) * STEP_MM
    allowed = _fit_rms(length)
    price: dict[Shape, NDArray[Any]] = {
        "line": 1.0 + (misfit["line"] / allowed) ** 2,
        "arc": 1.15 + (misfit["arc"] / allowed) ** 2,
    }
    for shape, rms in misfit.items():
        price[shape] = np.where(rms > 1.2 * allowed, np.inf, price[shape])
    price["loose"] = 1.5 + 0.5 * length / _NODE_MM
    names: tuple[Shape, ...] = ("line", "arc", "loose")
    table = np.stack([price[n] for n in names])
    best_shape = np.argmin(table, axis=0)
    cost = np.full((len(nodes), len(nodes)), np.inf)
    cost[first, second] = table[best_shape, np.arange(len(first))]
    kind = np.zeros((len(nodes), len(nodes)), dtype=int)
    kind[first, second] = best_shape
    total = np.full(len(nodes), np.inf)
    total[0], back = 0.0, np.zeros(len(nodes), dtype=int)
    for k in range(1, len(nodes)):
        options = total[:k] + cost[:k, k]
        back[k] = int(np.argmin(options))
        total[k] = options[back[k]]
    cuts: list[tuple[int, int, Shape]] = []
    k = len(nodes) - 1
    while k > 0:
        i = int(back[k])
        cuts.append((int(nodes[i]), int(nodes[k]), names[kind[i, k]]))
        k = i
    return cuts[::-1]


def _fit_rms(length: Any) -> Any:
    """How far (rms mm) a hand's line or arc of this length departs from its ideal: waves of a
    few centimetres do not show in short ones."""
    return _FIT_RMS * np.clip(0.4 + length / 100.0, 0.4, 1.0)


class _Moments:
    """Running sums of a row of points, for the misfit of any stretch in constant time."""

    def __init__(self, xy: Array) -> None:
        self.shift = xy.mean(axis=0)
        x, y = (xy - self.shift).T
        z = x * x + y * y
        columns = np.column_stack((np.ones(len(x)), x, y, x * x, y * y, x * y, z * x, z * y, z * z))
        self.sums = np.vstack((np.zeros(9), np.cumsum(columns, axis=0)))

    def misfit(
        self, i: NDArray[np.int_], j: NDArray[np.int_]
    ) -> dict[Literal["line", "arc"], Array]:
        """Rms mm from the best line and the best circle of the points i to j, both included."""
        n, x, y, xx, yy, xy, zx, zy, zz = (self.sums[j + 1] - self.sums[i]).T
        mx, my = x / n, y / n
        cxx, cyy, cxy = xx / n - mx * mx, yy / n - my * my, xy / n - mx * my
        mean, spread = (cxx + cyy) / 2, np.hypot((cxx - cyy) / 2, cxy)
        line = np.sqrt(np.maximum(mean - spread, 0.0))
        return {"line": line, "arc": _arc_misfit(n, mx, my, cxx, cyy, cxy, zx, zy, zz, line)}


def _arc_misfit(
    n: Array,
    mx: Array,
    my: Array,
    cxx: Array,
    cyy: Array,
    cxy: Array,
    zx: Array,
    zy: Array,
    zz: Array,
    line: Array,
) -> Array:
    """Rms mm from the algebraic circle (Kåsa 1976); the line's where points are too straight.

    With z = x² + y² about the centroid, the circle solves C (2a, 2b) = cov((x, y), z); its
    algebraic residual is 2 r times the distance from the circle, to first order.
    """
    mm = mx * mx + my * my
    mz = cxx + cyy
    # z about the centroid: z' = z - 2 (m . p) + |m|²; covariances follow by expansion.
    ex = zx / n - 2 * (mx * (cxx + mx * mx) + my * (cxy + mx * my)) + mm * mx
    ey = zy / n - 2 * (mx * (cxy + mx * my) + my * (cyy + my * my)) + mm * my
    sx, sy = ex - mx * mz, ey - my * mz
    det = cxx * cyy - cxy * cxy
    good = det > 1e-9 * np.maximum((cxx + cyy) ** 2, 1e-12)
    safe = np.where(good, det, 1.0)
    a, b = (cyy * sx - cxy * sy) / safe / 2, (cxx * sy - cxy * sx) / safe / 2
    # E[z'^2] by the same expansion.
    ezz = (
        zz / n
        - 4 * (mx * zx / n + my * zy / n)
        + 2 * mm * (cxx + cyy + mm)
        + 4 * (mx * mx * (cxx + mx * mx) + my * my * (cyy + my * my))
        + 8 * mx * my * (cxy + mx * my)
        - 4 * mm * mm
        + mm * mm
    )
    variance = ezz - mz * mz - 2 * (a * sx + b * sy)
    radius2 = np.maximum(a * a + b * b + mz, 1e-12)
    rms = np.sqrt(np.maximum(variance, 0.0) / (4 * radius2))
    tight = radius2 < 2.0**2
    return np.where(good & ~tight, np.minimum(rms, line + 1e-9), np.where(tight, np.inf, line))


def closest(one: Piece, other: Piece) -> tuple[float, int, int]:
    """How near two pieces come to each other, mm, and at which of their points."""
    gaps = np.hypot(*(one.xy[:, None] - other.xy[None]).transpose(2, 0, 1))
    i, j = np.unravel_index(int(np.argmin(gaps)), gaps.shape)
    return float(gaps[i, j]), int(i), int(j)
