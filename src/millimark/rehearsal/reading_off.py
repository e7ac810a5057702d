"""What a pupil reads off the drawing, where the pupil's own lines fix what is measured.

Real mm in the paper frame; a reading comes in the unit of what is asked (cm or degrees of the
figure as printed).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from millimark.loci.conditions import (
    Feature,
    LineOf,
    Measure,
    Perpendicular,
    PointOf,
    RayOf,
    SegmentOf,
    Shortest,
)
from millimark.rehearsal.near import Frame
from millimark.rehearsal.pencil import PencilStroke, Xy
from millimark.rehearsal.setting import Setting

LEAST = 5.0
"""mm: nobody measures along a shorter line."""


@dataclass(frozen=True)
class Reading:
    """What stands to be measured on one answer line: ``true`` by the figure as printed, ``own``
    by the pupil's lines; ``unit`` cm, cm2 or deg; ``box`` the line, paper mm."""

    true: float
    own: float
    unit: str
    box: Frame


def readings(setting: Setting, lines: Sequence[PencilStroke]) -> list[Reading]:
    """The readings of a question, in order, by the pupil's answer ``lines``."""
    asked = [
        (ask.quantity, answer.measured)
        for ask, answer in zip(setting.question.asks, setting.answers, strict=True)
        if isinstance(ask, Measure) and answer.measured is not None
    ]
    found = []
    for (quantity, measured), box in zip(asked, setting.lines, strict=False):
        own = _own_length(quantity, setting, lines) if isinstance(quantity, Shortest) else None
        value = measured.value if own is None else own / setting.to_paper.scale
        found.append(Reading(measured.value, value, measured.unit, box))
    return found


def _own_length(
    quantity: Shortest, setting: Setting, lines: Sequence[PencilStroke]
) -> float | None:
    """mm along the pupil's own perpendicular, from beside its point to the printed line; None
    where none was asked for or drawn, or where it does not come to the line."""
    for one, two in ((quantity.one, quantity.two), (quantity.two, quantity.one)):
        if not isinstance(one, PointOf) or not isinstance(two, SegmentOf | RayOf | LineOf):
            continue
        stroke = _perpendicular(one, two, setting, lines)
        if stroke is None:
            continue
        p, a, b = (np.array(setting.points[name]) for name in (one.label, two.a, two.b))
        return _to_line(stroke.xy, p, a, b)
    return None


def _perpendicular(
    point: PointOf, line: Feature, setting: Setting, lines: Sequence[PencilStroke]
) -> PencilStroke | None:
    """The longest stroke of the perpendicular from a point to a line, if the answer has it."""
    if not isinstance(line, SegmentOf | RayOf | LineOf):
        return None
    names = {
        e.name
        for e in setting.elements
        if isinstance(e.locus, Perpendicular)
        and e.locus.through == point
        and {e.locus.to.a, e.locus.to.b} == {line.a, line.b}
    }
    drawn = [s for s in lines if s.element in names and s.part == "straight" and s.length > LEAST]
    return max(drawn, key=lambda s: s.length, default=None)


def _to_line(xy: Xy, p: Xy, a: Xy, b: Xy) -> float | None:
    """mm along a ruled line from the place nearest to ``p`` to where it crosses the line ab."""
    u = (xy[-1] - xy[0]) / math.hypot(*(xy[-1] - xy[0]))
    v = (b - a) / math.hypot(*(b - a))
    slope = float(u[0] * v[1] - u[1] * v[0])
    if abs(slope) < 0.5:
        return None
    foot = xy[0] + u * ((a[0] - xy[0][0]) * v[1] - (a[1] - xy[0][1]) * v[0]) / slope
    return abs(float((p - foot) @ u))
