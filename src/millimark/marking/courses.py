"""How the drawn line runs beside its locus, and what explains it best.

Explanations are compared by their likelihood, each made dearer for its parameters (Bayesian
information criterion): a line that is right, one that keeps a constant distance, one that
drifts steadily from right to wrong, one whose centre is off. What is left after a smooth
course is the hand's tremor.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from millimark.marking.expected import Box
from millimark.marking.findings import Course
from millimark.marking.ink import Array, Ink
from millimark.marking.matching import Match
from millimark.marking.targets import Target, seen_from
from millimark.plane.curves import Arc

_RUN_MM = 8.0
"""Deviations this far apart along a line are taken as independent, mm."""
_HAND_MM, _NEEDLE_MM = 0.25, 0.4
"""What a hand leaves about any smooth course, and how far its needle wanders, mm (standard
deviations): common practice, no source."""
_LONG_MM = 25.0

Cause = Literal["right", "offset", "drift", "centre"]


def courses(ink: Ink, found: Match, targets: tuple[Target, ...], frame: Box) -> tuple[Course, ...]:
    """One course for each support that has pencil, in the supports' order."""
    made = []
    views = {c.target: seen_from(targets[c.target].curve, ink.xy, frame) for c in found.mains}
    owner = {k: _nearest(ink, k, views, found) for k in found.pieces}
    for main in found.mains:
        mine = [k for k in found.pieces if owner[k] == main.target]
        if not mine:
            continue
        u, t, _ = views[main.target]
        at = _once(ink, mine, t)
        order = np.argsort(t[at], kind="stable")
        curve = targets[main.target].curve
        if isinstance(curve, Arc):
            made.append(_unrolled(t[at][order], u[at][order], curve))
        else:
            made.append(Course(t[at][order], u[at][order], 0.0))
    return tuple(made)


def _once(ink: Ink, pieces: list[int], t: Array) -> NDArray[np.int_]:
    """Points of the pieces, longest first, without what only goes over a stretch again."""
    covered: set[int] = set()
    kept = []
    for k in sorted(pieces, key=lambda k: -ink.lengths[k]):
        at = np.arange(ink.first[k], ink.first[k + 1])
        bins = set(np.round(t[at]).astype(int).tolist())
        if len(bins - covered) > 0.5 * len(bins):
            kept.append(at)
            covered |= bins
    return np.concatenate(kept)


def _unrolled(t: Array, u: Array, curve: Arc) -> Course:
    """The course round a circle, cut open where the pencil stops or jumps most."""
    round_mm = 2.0 * math.pi * curve.radius
    gap = np.diff(np.append(t, t[0] + round_mm))
    jump = np.abs(np.diff(np.append(u, u[0])))
    cut = int(np.argmax(gap + 8.0 * np.maximum(jump - 0.1 * gap, 0.0))) + 1
    if cut < len(t):
        t = np.concatenate((t[cut:], t[:cut] + round_mm))
        u = np.concatenate((u[cut:], u[:cut]))
    return Course(t, u, 1.0 / curve.radius)


def _nearest(
    ink: Ink, piece: int, views: dict[int, tuple[Array, Array, Array]], found: Match
) -> int:
    """The support that a piece runs along: its own, else the nearest."""
    for main in found.mains:
        if piece in main.pieces:
            return main.target
    span = slice(ink.first[piece], ink.first[piece + 1])
    return min(views, key=lambda n: float(np.abs(views[n][0][span]).mean()))


def roughness(course: tuple[Course, ...]) -> float:
    """Rms mm of the waves that are left after a smooth course; 0 for short lines.

    Taken from the mean size, as of a normal spread: where a slipped circle's two ends lie side by
    side a few points are far off, and waves are everywhere.
    """
    total, count = 0.0, 0
    for c in course:
        if np.ptp(c.t) < _LONG_MM:
            continue
        left = c.u - smooth(c)
        total, count = total + float(np.abs(left).sum()), count + len(left)
    return math.sqrt(math.pi / 2.0) * total / count if count else 0.0


def smooth(c: Course) -> Array:
    """A course without waves: a parabola along a line, drift and a moved centre round an arc."""
    x = (c.t - c.t.mean()) / max(float(np.ptp(c.t)), 1e-9)
    columns = [np.ones_like(x), x, x**2]
    if c.turn and np.ptp(c.t) * c.turn > 1.0:
        columns += [np.cos(c.t * c.turn), np.sin(c.t * c.turn)]
    design = np.column_stack(columns)
    course: Array = design @ np.linalg.lstsq(design, c.u, rcond=None)[0]
    return course


@dataclass(frozen=True)
class Explanation:
    """The likeliest cause of one course, its size in mm (signed for an offset: outwards
    positive), and its probability among the causes that were compared."""

    cause: Cause
    size: float
    confidence: float


def explained(c: Course) -> Explanation:
    """The best explanation of a course; ``right`` where none is needed.

    Each cause is one column of a linear model; a small wander of the needle is allowed to
    all of them, with the hand's own standard deviation as its prior.
    """
    share = (c.t - c.t.min()) / max(float(np.ptp(c.t)), 1e-9)
    wander = np.column_stack((np.cos(c.t * c.turn), np.sin(c.t * c.turn)))
    if not c.turn:
        wander = (share - 0.5)[:, None]
    n = max(float(np.ptp(c.t)) / _RUN_MM, 3.0)
    causes: dict[Cause, list[Array]] = {
        "right": [np.zeros((len(c.u), 0))],
        "offset": [np.ones((len(c.u), 1))],
        "drift": [share[:, None], (share - 1.0)[:, None]],
    }
    found = {k: min(_fitted(c.u, d, wander, n) for d in designs) for k, designs in causes.items()}
    if c.turn and np.ptp(c.t) * c.turn > 1.5:
        found["centre"] = _off_centre(c.u, wander, n)
    best = min(found, key=lambda k: found[k][0])
    odds = sum(math.exp(-0.5 * min(v[0] - found[best][0], 700.0)) for v in found.values())
    return Explanation(best, found[best][1], 1.0 / odds)


def _fitted(u: Array, design: Array, wander: Array, n: float) -> tuple[float, float]:
    """(cost, size): least squares over ``n`` independent deviations plus what the model costs."""
    weight = math.sqrt(n / len(u)) / _HAND_MM
    k = design.shape[1]
    rows = np.hstack((design, wander)) * weight
    prior = np.hstack((np.zeros((wander.shape[1], k)), np.eye(wander.shape[1]) / _NEEDLE_MM))
    target = np.concatenate((u * weight, np.zeros(wander.shape[1])))
    solved = np.linalg.lstsq(np.vstack((rows, prior)), target, rcond=None)[0]
    left = np.vstack((rows, prior)) @ solved - target
    cost = float((left**2).sum()) + k * math.log(n)
    return cost, float(solved[0]) if k else 0.0


def _off_centre(u: Array, wander: Array, n: float) -> tuple[float, float]:
    """(cost, size) of a needle that stood off without a prior on how far."""
    weight = math.sqrt(n / len(u)) / _HAND_MM
    solved = np.linalg.lstsq(wander, u, rcond=None)[0]
    left = (u - wander @ solved) * weight
    return float((left**2).sum()) + 2.0 * math.log(n), float(np.hypot(*solved))
