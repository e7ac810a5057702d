"""Consecutive pieces of one stroke that may be one line, ruled or drawn freehand. Paper mm."""

from __future__ import annotations

import math
from collections.abc import Sequence, Set

import numpy as np

from millimark.marking.ink import Ink
from millimark.marking.targets import REACH_MM, View

_LEAST_MM, _PROGRESS, _FITTING = 15.0, 0.75, 0.35
"""A freehand line is longer than this, and makes this share of its length along its target; this
share of it runs as the target does."""
_RULED_MM = 6.0
"""A straight stroke longer than this, at the end of a freehand line, was ruled."""
BEND_COS = math.cos(math.radians(75.0))
SMOOTH_COS = math.cos(math.radians(32.0))
"""Where a line goes on from one piece to the next it turns by less than this."""


def runs_along(ink: Ink, view: View, aside: Set[int]) -> list[tuple[int, ...]]:
    """Consecutive pieces of one stroke, two or more, that all fit the target."""
    runs: list[tuple[int, ...]] = []
    run: list[int] = []
    for k in range(len(ink.pieces) + 1):
        joins = (
            k < len(ink.pieces)
            and bool(view.fits[k])
            and k not in aside
            and (not run or _goes_on(ink, run[-1], k))
        )
        if joins:
            run.append(k)
            continue
        if len(run) > 1:
            runs.append(tuple(run))
        run = [k] if k < len(ink.pieces) and view.fits[k] and k not in aside else []
    return runs


def wavering(ink: Ink, view: View, aside: Set[int]) -> list[tuple[int, ...]]:
    """Consecutive pieces of one stroke that make their way along the target as a whole, though
    some of them turn aside: a line drawn freehand."""
    runs: list[tuple[int, ...]] = []
    near = (ink.means(np.abs(view.u)) < REACH_MM) & view.beside
    for pieces in ink.strokes():
        run: list[int] = []
        for k in pieces:
            free = bool(near[k]) and k not in aside
            if run and not (free and _bends(ink, run[-1], k)):
                runs.append(tuple(run))
                run = []
            if free:
                run.append(k)
        runs.append(tuple(run))
    runs = [_without_ruled_ends(ink, view, run) for run in runs]
    return [run for run in runs if len(run) > 1 and _makes_way(ink, view, run)]


def _without_ruled_ends(ink: Ink, view: View, run: tuple[int, ...]) -> tuple[int, ...]:
    """The run without straight ends that turn aside: strokes of hatching, which begin and end on
    the line that they hang on."""
    while run and _ruled_aside(ink, view, run[0]):
        run = run[1:]
    while run and _ruled_aside(ink, view, run[-1]):
        run = run[:-1]
    return run


def _ruled_aside(ink: Ink, view: View, k: int) -> bool:
    return ink.pieces[k].shape == "line" and ink.lengths[k] > _RULED_MM and not view.fits[k]


def _makes_way(ink: Ink, view: View, run: Sequence[int]) -> bool:
    """Whether the run's ends lie along the target, its length is not lost in going aside, and
    much of it fits."""
    first, last = ink.first[run[0]], ink.first[run[-1] + 1] - 1
    along, aside = abs(view.t[last] - view.t[first]), abs(view.u[last] - view.u[first])
    length = float(ink.lengths[list(run)].sum())
    fitting = float(ink.lengths[[k for k in run if view.fits[k]]].sum())
    straight = aside < along * math.tan(view.turn_limit) and along > _PROGRESS * length
    return bool(straight and length > _LEAST_MM and fitting > _FITTING * length)


def _bends(ink: Ink, first: int, then: int) -> bool:
    """Whether a hand may have gone on from one piece to the next."""
    return float(ink.pieces[first].tangent[-1] @ ink.pieces[then].tangent[0]) > BEND_COS


def _goes_on(ink: Ink, first: int, then: int) -> bool:
    """Whether the next piece of the same stroke goes on without a corner."""
    a, b = ink.pieces[first], ink.pieces[then]
    return a.stroke == b.stroke and float(a.tangent[-1] @ b.tangent[0]) > SMOOTH_COS
