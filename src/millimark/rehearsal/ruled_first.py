"""The line that a pupil rules faintly before the answer goes over it.

Where the answer went wrong, the line below it went wrong before: a pupil has one line there,
not a wrong one and a right one. Paper frame, real mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from millimark.rehearsal.pencil import PencilStroke, Xy

ASIDE = 3.0
"""mm: a ruled line that leaves the answer's straight line nowhere by more runs along it."""
LEAST = 5.0
"""mm: a shorter one is a mark on it."""


def with_the_answer(
    others: Sequence[PencilStroke],
    before: Sequence[PencilStroke],
    after: Sequence[PencilStroke],
    straight: bool,
) -> list[PencilStroke]:
    """``others`` once the answer's strokes ``before`` have become ``after``: what was ruled along
    a stroke moves as that one did, if it is ``straight`` yet, and was never ruled if it is not.
    """
    kept: list[PencilStroke] = []
    for stroke in others:
        along = next((k for k, a in enumerate(before) if ruled_along(stroke, a)), None)
        if along is None:
            kept.append(stroke)
        elif straight:
            kept.append(stroke.at(_carried(stroke.xy, before[along].xy, after[along].xy)))
    return kept


def ruled_along(stroke: PencilStroke, answer: PencilStroke) -> bool:
    """Whether a stroke is a construction line that was ruled where the answer runs."""
    if stroke.role != "construction" or stroke.compass is not None or stroke.part != "straight":
        return False
    if answer.part != "straight" or stroke.length < LEAST or answer.length < LEAST:
        return False
    at, ahead = _course(answer.xy)
    off = (stroke.xy - at) @ np.array([-ahead[1], ahead[0]])
    return bool(np.abs(off).max() < ASIDE)


def _course(xy: Xy) -> tuple[Xy, Xy]:
    """Where a straight stroke starts, and its direction (a unit vector)."""
    way = xy[-1] - xy[0]
    return xy[0], way / math.hypot(*way)


def _carried(xy: Xy, before: Xy, after: Xy) -> Xy:
    """Places by one straight stroke, at the same places by another."""
    (at, u), (to, v) = _course(before), _course(after)
    forward, aside = (xy - at) @ u, (xy - at) @ np.array([-u[1], u[0]])
    return np.asarray(
        to + forward[:, None] * v + aside[:, None] * np.array([-v[1], v[0]]), dtype=np.float64
    )
