"""Where the pencil of an element should lie: its smooth supports, and the ink seen from them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from millimark.marking.expected import Box, Wanted, clipped_samples, samples
from millimark.marking.ink import Array, Ink
from millimark.marking.unlike import ruled_across
from millimark.plane.curves import Arc, Curve, Line

REACH_MM = 24.0
"""A line further than this from the right place is not taken for an attempt at it."""
_PAST_MM = 3.0
"""Pencil may run on this far past the end of a piece of a path."""
_TURN_LINE, _TURN_ROUND = math.radians(19.0), math.radians(27.0)


@dataclass(frozen=True)
class Target:
    """One smooth support of an element.

    ``curve`` is the support, unbounded for a line and the whole circle for an arc of a
    line or arc element; ``bounded`` says that pencil must lie alongside it (paths).
    ``room_mm`` is its length inside the frame, ``needed_mm`` what its element needs in all.
    """

    wanted: int
    curve: Curve
    bounded: bool
    room_mm: float
    needed_mm: float


def targets_of(index: int, wanted: Wanted, frame: Box) -> list[Target]:
    """The supports of an element's curves, each once, in the curves' order."""
    whole = wanted.element.kind != "path"
    found: list[Target] = []
    needed = 0.5 * sum(len(clipped_samples(c, frame)) for c in wanted.needed)
    for curve in wanted.curves:
        support = _support(curve) if whole else curve
        if any(_same(support, t.curve) for t in found):
            continue
        room = len(clipped_samples(curve, frame)) * 0.5
        found.append(Target(index, support, not whole, room, needed))
    return found


def _support(curve: Curve) -> Curve:
    if curve.kind in ("segment", "ray", "line"):
        t = curve.t0 if math.isfinite(curve.t0) else 0.0
        return Line(curve.point_at(t), curve.direction_at(t))
    if isinstance(curve, Arc):
        return Arc(curve.centre, curve.radius)
    return curve


def _same(a: Curve, b: Curve) -> bool:
    if isinstance(a, Line) and isinstance(b, Line):
        off = (b.anchor - a.anchor).cross(a.direction)
        return abs(a.direction.cross(b.direction)) < 1e-9 and abs(off) < 1e-6
    if isinstance(a, Arc) and isinstance(b, Arc):
        same = a.centre.distance(b.centre) < 1e-6 and abs(a.radius - b.radius) < 1e-6
        return same and a.is_whole and b.is_whole
    return a == b


@dataclass(frozen=True, eq=False)
class View:
    """Per point: signed offset ``u`` mm, place ``t`` mm along the target, ``turn`` radians.

    ``fits`` says which pieces could be drawn for the target, ``beside`` which of them run
    alongside it (all, where it has no ends), ``across`` which were ruled across a circle;
    ``round_mm`` is its length if it closes, else 0: places may then be told from either side.
    """

    u: Array
    t: Array
    turn: Array
    fits: NDArray[np.bool_]
    beside: NDArray[np.bool_]
    across: frozenset[int]
    round_mm: float
    turn_limit: float
    bends: bool

    @staticmethod
    def of(ink: Ink, target: Target, frame: Box) -> View:
        u, t, along = seen_from(target.curve, ink.xy, frame)
        cos = np.clip(np.abs((ink.tangent * along).sum(axis=1)), 0.0, 1.0)
        turn = np.arccos(cos)
        bends = target.curve.kind not in ("line", "segment", "ray")
        limit = _TURN_ROUND if bends else _TURN_LINE
        fits = (ink.means(np.abs(u)) < REACH_MM) & (ink.means(turn) < limit)
        beside = np.ones(len(ink.pieces), dtype=bool)
        if target.bounded:
            t0, t1 = extent(target.curve)
            within = (t > t0 - _PAST_MM) & (t < t1 + _PAST_MM)
            beside = ink.means(within.astype(np.float64)) > 0.35
        circle = isinstance(target.curve, Arc) and target.curve.is_whole
        round_mm = target.curve.length if circle else 0.0
        across = ruled_across(ink, target.curve, u)
        if target.bounded:  # a side may square an end off, or a corner, outside the arc
            inside = ink.means(u) < 0.0
            across = frozenset(k for k in across if inside[k])
        return View(u, t, turn, fits & beside, beside, across, round_mm, limit, bends)


def places(ink: Ink, view: View, k: int) -> set[int]:
    """The whole millimetres along the target beside which a piece lies."""
    span = slice(ink.first[k], ink.first[k + 1])
    return set(np.round(view.t[span]).astype(int).tolist())


def extent(curve: Curve) -> tuple[float, float]:
    return (0.0, curve.length) if curve.bounded else (curve.t0, curve.t1)


def seen_from(curve: Curve, xy: Array, frame: Box) -> tuple[Array, Array, Array]:
    """Signed offset mm, place along the curve mm, and the curve's unit tangent, per point.

    A line's offset is positive to the left of its direction (as numbers, not as seen),
    an arc's outside the circle. Straight curves are taken beyond their ends and arcs all
    round, so that pencil that overshoots still has an offset.
    """
    if curve.kind in ("line", "segment", "ray"):
        t = curve.t0 if math.isfinite(curve.t0) else 0.0
        p, d = np.array(curve.point_at(t)), np.array(curve.direction_at(t))
        v = xy - p
        return v @ np.array([-d[1], d[0]]), v @ d, np.broadcast_to(d, xy.shape)
    if isinstance(curve, Arc):
        v = xy - np.array(curve.centre)
        rho = np.maximum(np.hypot(v[:, 0], v[:, 1]), 1e-9)
        turn = curve.sense * (np.arctan2(v[:, 1], v[:, 0]) - curve.from_)
        middle = curve.t1 / 2
        turn = (turn - middle + math.pi) % (2 * math.pi) - math.pi + middle
        return (
            rho - curve.radius,
            turn * curve.radius,
            np.column_stack((-v[:, 1], v[:, 0])) / rho[:, None],
        )
    from scipy.spatial import cKDTree

    fine = samples(curve, frame, 0.2)
    along = np.gradient(fine, axis=0)
    along /= np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-12)[:, None]
    at = cKDTree(fine).query(xy)[1]
    v, d = xy - fine[at], along[at]
    return d[:, 0] * v[:, 1] - d[:, 1] * v[:, 0], at * 0.2, d


def offset_from(curve: Curve, xy: Array, frame: Box) -> Array:
    """Signed distance (N,) of points from a curve, mm: past its ends, from them."""
    u, t, _ = seen_from(curve, xy, frame)
    if not curve.bounded:
        return u
    start, end = (np.hypot(*(xy - np.array(at)).T) for at in (curve.start, curve.end))
    beyond = (t < 0.0) | (t > curve.length)
    return np.where(beyond, np.copysign(np.where(t < 0.0, start, end), u), u)
