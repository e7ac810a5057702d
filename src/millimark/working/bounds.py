"""The box of a working's ink, in figure centimetres, y up."""

from __future__ import annotations

from millimark.plane.boxes import Box, box_of
from millimark.working.acts import JoinMarks, RuleLine, StrikeArc, Working


def extent(working: Working) -> Box:
    """The box of all ink of a working; a box of size 0 at the origin if it has none."""
    ink = [
        curve
        for step in working.steps
        for act in step.acts
        if isinstance(act, StrikeArc | RuleLine | JoinMarks)
        for curve in act.ink
    ]
    return box_of(ink) or Box(0.0, 0.0, 0.0, 0.0)
