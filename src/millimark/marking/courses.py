"""How the drawn line runs beside its locus, and what explains it best.

Explanations are compared by the Bayesian information criterion: a line that is right, one
that keeps a constant distance, one that drifts steadily, one that is turned, one whose
centre is off. What is left after a smooth course is the hand's tremor.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from millimark.marking.expected import Box
from millimark.marking.findings import Course
from millimark.marking.ink import Array
from millimark.marking.matching import Match, Target, seen_from
from millimark.marking.primitives import Ink
from millimark.plane.curves import Arc

_RUN_MM = 8.0
"""Deviations this far apart along a line are taken as independent, mm."""
_HAND_MM = 0.15
"""What a careful hand leaves about any smooth course, rms mm: common practice, no source."""
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
        at = np.concatenate([np.arange(ink.first[k], ink.first[k + 1]) for k in mine])
        u, t, _ = views[main.target]
        order = np.argsort(t[at], kind="stable")
        curve = targets[main.target].curve
        turn = 1.0 / curve.radius if isinstance(curve, Arc) else 0.0
        made.append(Course(t[at][order], u[at][order], turn))
    return tuple(made)


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
    """Rms mm of the waves that are left after a smooth course; 0 for short lines."""
    squares, count = 0.0, 0
    for c in course:
        if np.ptp(c.t) < _LONG_MM:
            continue
        left = c.u - _smooth(c)
        squares, count = squares + float((left**2).sum()), count + len(left)
    return math.sqrt(squares / count) if count else 0.0


def _smooth(c: Course) -> Array:
    """A course without waves: a parabola along a line, drift and a moved centre round an arc."""
    x = (c.t - c.t.mean()) / max(float(np.ptp(c.t)), 1e-9)
    columns = [np.ones_like(x), x, x**2]
    if c.turn and np.ptp(c.t) * c.turn > 1.0:
        columns += [np.cos(c.t * c.turn), np.sin(c.t * c.turn)]
    design = np.column_stack(columns)
    smooth: Array = design @ np.linalg.lstsq(design, c.u, rcond=None)[0]
    return smooth


@dataclass(frozen=True)
class Explanation:
    """The likeliest cause of one course, its size in mm (signed for an offset: outwards
    positive), and its probability among the causes that were compared."""

    cause: Cause
    size: float
    confidence: float


def explained(c: Course) -> Explanation:
    """The best explanation of a course; ``right`` where none is needed."""
    x = (c.t - c.t.mean()) / max(float(np.ptp(c.t)), 1e-9)
    one = np.ones_like(x)
    models: dict[Cause, Array] = {"offset": one[:, None], "drift": np.column_stack((one, x))}
    if c.turn and np.ptp(c.t) * c.turn > 1.5:
        round_ = np.column_stack((np.cos(c.t * c.turn), np.sin(c.t * c.turn)))
        models["centre"] = round_
    n = max(float(np.ptp(c.t)) / _RUN_MM, 3.0)
    score: dict[Cause, float] = {"right": n * math.log(float((c.u**2).mean()) + _HAND_MM**2)}
    sizes: dict[Cause, float] = {"right": 0.0}
    for cause, design in models.items():
        weights: Array = np.asarray(np.linalg.lstsq(design, c.u, rcond=None)[0], np.float64)
        left = c.u - design @ weights
        score[cause] = n * math.log(float((left**2).mean()) + _HAND_MM**2)
        score[cause] += design.shape[1] * math.log(n)
        sizes[cause] = _size(cause, weights)
    best = min(score, key=lambda k: score[k])
    odds = sum(math.exp(-0.5 * min(score[k] - score[best], 700.0)) for k in score)
    return Explanation(best, sizes[best], 1.0 / odds)


def _size(cause: Cause, weights: Array) -> float:
    if cause == "drift":
        return float(weights[1])
    if cause == "centre":
        return float(np.hypot(weights[0], weights[1]))
    return float(weights[0])
