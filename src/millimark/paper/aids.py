"""Aids inside the answer frame, on request: a faint square grid, the first arcs for support.

For stretch there is less instead: no scale line on a map and no tally of marks, which says how
many steps there are.
"""

from __future__ import annotations

import math
import re

from millimark.drawing.canvas import Canvas, Pen
from millimark.drawing.look import FINE, HAIR, PALE, RULE
from millimark.errors import PaperError
from millimark.paper.ink import clipped
from millimark.paper.placing import Placed
from millimark.plane.curves import Curve, Segment
from millimark.plane.point import Point
from millimark.working.acts import StrikeArc

GRID, ARCS = "grid", "arcs"
GRID_MM = 10.0
_CLEAR_MM = 1.5  # between a grid line and an answer line beside it
_ALONG = 0.1  # sine of the angle under which lines count as running along each other
_GRID_PEN = Pen(HAIR, PALE)
_ARC_PEN = Pen(FINE, RULE, dash=(1.6, 1.2))


def grid_lines(placed: Placed) -> list[Curve]:
    """Lines every 10 mm across the frame, none along a straight piece of the answer.

    Where points are given by coordinates the lines pass through whole centimetres; else
    they are shifted until they are clear. PaperError where the answer runs along one: the
    grid would give it away and hide the pencil.
    """
    shifts = (0.0,) if _has_coordinates(placed) else (0.0, 2.5, 5.0, 7.5)
    shift = max(shifts, key=lambda s: _clearance(placed, s))
    if _clearance(placed, shift) < _CLEAR_MM:
        raise PaperError(
            f"Question {placed.question.number}: a line of the grid would lie on the answer.",
            "Leave 'aid: grid' out of this question.",
        )
    x0, y0, x1, y1 = placed.frame_mm
    across: list[Curve] = [
        Segment(Point(x, y0), Point(x, y1)) for x in _places(x0, x1, placed.origin_mm.x + shift)
    ]
    return across + [
        Segment(Point(x0, y), Point(x1, y)) for y in _places(y0, y1, placed.origin_mm.y + shift)
    ]


def _places(first: float, last: float, through: float) -> list[float]:
    """Places from ``first`` to ``last`` that are whole steps from ``through``."""
    low, high = math.ceil((first - through) / GRID_MM), math.floor((last - through) / GRID_MM)
    return [through + k * GRID_MM for k in range(low, high + 1)]


def _has_coordinates(placed: Placed) -> bool:
    return any(re.search(r"\(\s*-?[0-9]", sentence) for sentence in placed.question.given)


def _clearance(placed: Placed, shift: float) -> float:
    """Least distance in mm of a grid line from an answer line that runs along it."""
    least = GRID_MM
    for answer in placed.question.answers:
        for curve in (c for e in answer.elements for c in e.needed):
            if curve.kind not in ("segment", "ray", "line"):
                continue
            moved = curve.transformed(placed.to_page)
            at, along = moved.point_at(0.0), moved.direction_at(0.0)
            for offset, slope in (
                (at.x - placed.origin_mm.x - shift, along.x),
                (at.y - placed.origin_mm.y - shift, along.y),
            ):
                if abs(slope) < _ALONG:
                    least = min(least, abs(offset - GRID_MM * round(offset / GRID_MM)))
    return least


def first_arcs(placed: Placed) -> list[Curve]:
    """The first construction arc of each construction, page mm."""
    arcs = []
    for step in placed.working.steps:
        struck = [a for a in step.acts if isinstance(a, StrikeArc) and a.role == "construction"]
        arcs += [c.transformed(placed.to_page) for a in struck[:1] for c in a.ink]
    return clipped(arcs, placed.frame_mm)


def draw_aids(canvas: Canvas, placed: Placed) -> None:
    """Draw what the question's 'aid' asks for; nothing where it asks for nothing."""
    aids = placed.question.aids
    if GRID in aids:
        canvas.stroke(grid_lines(placed), _GRID_PEN)
    if ARCS in aids:
        canvas.stroke(first_arcs(placed), _ARC_PEN)
