"""Sides of a figure past their corners, where nothing is asked.

A side may be ruled on there, and the arcs that were drawn to find the corner leave it in all
directions: a tracer follows one of them as the rest of the side. Paper mm.
"""

from __future__ import annotations

import numpy as np

from millimark.marking.expected import Box
from millimark.marking.ink import Array
from millimark.marking.targets import seen_from
from millimark.plane.curves import Segment

_PAST_MM = 1.0
"""So far past a side's end its corner is still being turned."""


def part_beside(side: Segment, xy: Array, frame: Box) -> slice:
    """The points (N, 2) of a piece from the first to the last that is not past the side's ends;
    empty where all are."""
    _, along, _ = seen_from(side, xy, frame)
    within = np.flatnonzero((along > -_PAST_MM) & (along < side.length + _PAST_MM))
    return slice(int(within[0]), int(within[-1]) + 1) if len(within) else slice(0, 0)


def strays_from(side: Segment, xy: Array, frame: Box) -> float:
    """How little the pencil (N, 2) was drawn for a side: mm from it, and mm by which it turns from
    it over its length."""
    off, along, _ = seen_from(side, xy, frame)
    past = np.maximum(np.maximum(-along, along - side.length), 0.0)
    return float(np.hypot(off, past).min() + np.ptp(off))
