"""Lines as filled shapes.

Printers and rasterisers move thin *stroked* lines to whole device pixels (stroke
adjustment), by up to half a pixel: 0.02 mm at 600 dpi; some do it to filled rectangles
too. What must be true to the hundredth of a millimetre, the given figure, crosses and the
check rule, is therefore filled, with round ends.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from millimark.drawing.canvas import Canvas, Paint, Pen
from millimark.plane.curves import Arc, Curve, Segment
from millimark.plane.point import Point


def draw_true(canvas: Canvas, curves: Sequence[Curve], pen: Pen) -> None:
    """Draw segments and arcs with round ends as filled shapes; other curves are stroked."""
    for curve in curves:
        loops = outline(curve, pen.width)
        if loops is None:
            canvas.stroke([curve], pen)
        else:
            canvas.fill(loops, Paint(pen.colour, pen.opacity))


def outline(curve: Curve, width: float) -> list[list[Curve]] | None:
    """Loops round what a round nib of ``width`` covers along the curve; None if not an arc
    or a segment."""
    half = width / 2
    if isinstance(curve, Segment):
        return [_capsule(curve, half)]
    if isinstance(curve, Arc):
        if curve.is_whole:
            return [
                [Arc(curve.centre, curve.radius + half)],
                [Arc(curve.centre, curve.radius - half)],
            ]
        return [_bent_capsule(curve, half)]
    return None


def _capsule(segment: Segment, half: float) -> list[Curve]:
    side = segment.direction.left() * half
    turn = side.angle()
    return [
        Segment(segment.a - side, segment.b - side),
        Arc(segment.b, half, turn - math.pi, math.pi),
        Segment(segment.b + side, segment.a + side),
        Arc(segment.a, half, turn, math.pi),
    ]


def _bent_capsule(arc: Arc, half: float) -> list[Curve]:
    outer = Arc(arc.centre, arc.radius + half, arc.from_, arc.sweep)
    inner = Arc(arc.centre, arc.radius - half, arc.from_, arc.sweep).reversed()
    sense = arc.sense
    return [
        outer,
        Arc(arc.end, half, arc.from_ + arc.sweep, sense * math.pi),
        inner,
        Arc(arc.start, half, arc.from_ + math.pi, sense * math.pi),
    ]


def box_outline(box: tuple[float, float, float, float], width: float) -> list[list[Curve]]:
    """The two rectangles between which a line of ``width`` along a box's sides lies."""
    half = width / 2
    return [_rectangle(box, half), _rectangle(box, -half)]


def _rectangle(box: tuple[float, float, float, float], grow: float) -> list[Curve]:
    x0, y0, x1, y1 = box[0] - grow, box[1] - grow, box[2] + grow, box[3] + grow
    corners = [Point(x0, y0), Point(x1, y0), Point(x1, y1), Point(x0, y1)]
    return [Segment(corners[i], corners[(i + 1) % 4]) for i in range(4)]
