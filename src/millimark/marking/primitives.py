"""Which pieces make one line or one arc: pieces merged, hatching and crossings-out set apart.

A primitive is the pencil of one line or one circle, whatever the scanner or a crossing
cut it into. Paper millimetres. A piece that neither line nor arc explains stays alone
as a ``loose`` primitive.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence, Set
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from millimark.marking.ink import Array, Shape
from millimark.marking.ink import Ink as Ink
from millimark.marking.scribbles import LONGEST_STROKE_MM, Scribble, scribbles, struck_through
from millimark.scan.fitting import CircleFit, LineFit, NoFit, fit_circle, fit_line

_MEAN_MM, _MAX_MM, _TURN_DEG = 0.45, 1.3, 9.0
"""A piece joins a primitive if it lies this near to it on average and at most, and turns
from it by less than this (mm, mm, degrees)."""
_BESIDE_MM, _PROTRUDES, _DARKER = 9.0, 1.2, 1.3
RUN = 5.0
"""Neighbouring points that share one error of the hand: about 2 mm at `STEP_MM`."""


@dataclass(frozen=True, eq=False)
class Primitive:
    """The pencil of one line or arc: its pieces, its fit, and whether it is hatching or
    has been crossed out."""

    pieces: tuple[int, ...]
    shape: Shape
    line: LineFit | None
    circle: CircleFit | None
    length: float
    darkness: float
    hatch: bool = False
    cancelled: bool = False


def hatching_in(primitives: Iterable[Primitive]) -> frozenset[int]:
    """The pieces that are strokes of hatching."""
    return frozenset(k for p in primitives if p.hatch for k in p.pieces)


def crossed_out_in(primitives: Iterable[Primitive]) -> frozenset[int]:
    """The pieces that are crossed out."""
    return frozenset(k for p in primitives if p.cancelled for k in p.pieces)


def primitives_of(ink: Ink) -> list[Primitive]:
    """Every piece in exactly one primitive; longest seeds first."""
    free = np.ones(len(ink.pieces), dtype=bool)
    found: list[Primitive] = []
    for seed in np.argsort(-ink.lengths, kind="stable"):
        if not free[seed]:
            continue
        members, fit = _grown(ink, int(seed), free)
        free[members] = False
        found.append(_primitive(ink, members, fit))
    return _with_crossings_out(ink, _with_hatching(ink, found))


def _grown(
    ink: Ink, seed: int, free: NDArray[np.bool_]
) -> tuple[list[int], LineFit | CircleFit | None]:
    """The seed and the free pieces that lie on its line or circle, in two rounds; and the fit
    to them, None where it was not made yet."""
    members = [seed]
    if ink.pieces[seed].shape == "loose" or ink.lengths[seed] < 4.0:
        return members, None
    for _ in range(2):
        fit = _fit(ink, members, ink.pieces[seed].shape)
        if isinstance(fit, NoFit):
            return members, None
        off, along = _residual(fit, ink.xy)
        off = np.abs(off)
        cos = ink.tangent[:, 0] * along[:, 0] + ink.tangent[:, 1] * along[:, 1]
        turn = 1.0 - np.abs(cos)
        near = (
            free
            & (ink.means(off) < _MEAN_MM)
            & (np.maximum.reduceat(off, ink.starts) < _MAX_MM)
            & (ink.means(turn) < 1.0 - math.cos(math.radians(_TURN_DEG)))
        )
        near[seed] = True
        grown = np.flatnonzero(near).tolist()
        if grown == members:
            return members, fit
        members = grown
    return members, None


def _fit(ink: Ink, members: Sequence[int], shape: Shape) -> LineFit | CircleFit | NoFit:
    xy = ink.points(members)
    sigma = np.concatenate([np.maximum(ink.pieces[k].sigma, 0.02) for k in members])
    if shape == "arc":
        return fit_circle(xy, sigma, robust=False, run=RUN)
    return fit_line(xy, sigma, robust=False, run=RUN)


def _residual(fit: LineFit | CircleFit, xy: Array) -> tuple[Array, Array]:
    """Signed distance (N,) from the fit and its unit tangents (N, 2) there."""
    if isinstance(fit, LineFit):
        d = np.array(fit.direction)
        off: Array = (xy - np.array(fit.point)) @ np.array([-d[1], d[0]])
        return off, np.broadcast_to(d, xy.shape)
    v = xy - np.array(fit.centre)
    rho = np.maximum(np.hypot(v[:, 0], v[:, 1]), 1e-9)
    return rho - fit.radius, np.column_stack((-v[:, 1], v[:, 0])) / rho[:, None]


def _primitive(ink: Ink, members: list[int], known: LineFit | CircleFit | None) -> Primitive:
    """The primitive of these pieces, whose fit may be ``known``."""
    shape = ink.pieces[max(members, key=lambda k: ink.lengths[k])].shape
    line: LineFit | None = None
    circle: CircleFit | None = None
    if shape != "loose":
        fit = known or _fit(ink, members, shape)
        line = fit if isinstance(fit, LineFit) else None
        circle = fit if isinstance(fit, CircleFit) else None
        if line is None and circle is None:
            shape = "loose"
    lengths = ink.lengths[members]
    return Primitive(
        tuple(members),
        shape,
        line,
        circle,
        float(lengths.sum()),
        float(np.average([ink.pieces[k].darkness for k in members], weights=lengths + 1e-9)),
    )


# --- hatching ------------------------------------------------------------------------
def _with_hatching(ink: Ink, found: list[Primitive]) -> list[Primitive]:
    """Lines that run side by side in fours or more, at most 8 mm apart, are hatching."""
    lines = [k for k, p in enumerate(found) if p.line is not None and p.length > 2.5]
    if len(lines) < 4:
        return found
    fits = [f for k in lines if (f := found[k].line) is not None]
    angle = np.array([math.atan2(f.direction.y, f.direction.x) for f in fits])
    middle = np.array([ink.points(found[k].pieces).mean(axis=0) for k in lines])
    length = np.array([found[k].length for k in lines])
    dark = np.array([found[k].darkness for k in lines])
    neighbours = np.zeros(len(lines), dtype=int)
    for i in range(len(lines)):
        turn = np.abs((angle - angle[i] + math.pi / 2) % math.pi - math.pi / 2)
        d = middle - middle[i]
        normal = np.array([-math.sin(angle[i]), math.cos(angle[i])])
        side, along = d @ normal, np.abs(d @ np.array([normal[1], -normal[0]]))
        across = np.abs(side)
        alike = (
            (turn < math.radians(9.0))
            & (across > 0.5)
            & (across < 17.0)
            & (along < 0.75 * (length + length[i]))
            & (length < 3.0 * length[i])
            & (length > length[i] / 3.0)
        )
        gaps = np.diff(np.sort(np.concatenate(([0.0], across[alike]))))
        neighbours[i] = int((gaps < 8.0).sum())
        beside = alike & (across < _BESIDE_MM)
        if not beside.any():
            continue
        # A boundary with hatching along it is longer than that, or darker; but where two strokes in
        # the midst of hatching run into each other, they are as dark as a boundary.
        amid = bool((side[beside] > 0.0).any() and (side[beside] < 0.0).any())
        darker = dark[i] > _DARKER * float(np.median(dark[beside])) and not amid
        if darker or length[i] > _PROTRUDES * float(length[beside].max()):
            neighbours[i] = 0
    chosen = {lines[i] for i in np.flatnonzero(neighbours >= 3)}
    return [replace(p, hatch=k in chosen) for k, p in enumerate(found)]


# --- crossings-out -------------------------------------------------------------------
def _with_crossings_out(ink: Ink, found: list[Primitive]) -> list[Primitive]:
    """Lines that are struck through or lie inside a narrow band of scribble, and the scribble."""
    scribble = scribbles(ink)
    struck: set[int] = set()
    for p in found:
        if p.length > 10.0:
            zigzag = struck_through(ink, p.pieces)
            struck.update(zigzag)
            struck.update(p.pieces if zigzag else ())
    return [_perhaps_out(ink, p, scribble, struck) for p in found]


def _perhaps_out(ink: Ink, p: Primitive, scribble: Scribble | None, struck: Set[int]) -> Primitive:
    short = float(ink.lengths[list(p.pieces)].max()) < LONGEST_STROKE_MM
    inside = scribble.share(ink.points(p.pieces)) if scribble is not None else 0.0
    out = inside > (0.5 if short else 0.65) or set(p.pieces) <= struck
    return replace(p, cancelled=out, hatch=p.hatch and not out)
