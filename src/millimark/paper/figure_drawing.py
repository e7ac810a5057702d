"""Drawing what a frame shows on a canvas, page millimetres."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from millimark.drawing.canvas import Canvas, Paint, Pen
from millimark.drawing.look import (
    ANSWER_PEN,
    BAND_PAINT,
    FINE,
    FRAME_PEN,
    PLUM,
    REGION_PAINT,
    WORKING_PEN,
)
from millimark.drawing.outline import box_outline, draw_true
from millimark.paper.access import Access
from millimark.paper.formats import Box
from millimark.paper.ink import FrameInk
from millimark.paper.labels import CROSS, Label
from millimark.paper.map_marks import MapMarks, draw_map_marks
from millimark.plane.curves import Curve, Segment
from millimark.plane.point import Point


def draw_frame(canvas: Canvas, frame: Box) -> None:
    """The outline of an answer frame."""
    canvas.fill(box_outline(frame, FRAME_PEN.width), Paint(FRAME_PEN.colour))


def draw_given(
    canvas: Canvas, ink: FrameInk, labels: Iterable[Label], marks: MapMarks, access: Access
) -> None:
    """The printed figure: lines, crosses where no corner marks a point, labels, map marks."""
    draw_map_marks(canvas, marks)
    draw_true(canvas, ink.given, access.given)
    for name, point in ink.points:
        if name not in ink.corners:
            draw_true(canvas, cross_at(point), access.cross)
    for label in labels:
        canvas.write(label.text, label.at, access.label)


def draw_working(canvas: Canvas, ink: FrameInk) -> None:
    """Model answer: region hatched, construction arcs fine, answer bold."""
    for loops in ink.regions:
        canvas.fill(loops, REGION_PAINT)
    canvas.stroke(ink.construction, WORKING_PEN)
    canvas.stroke(ink.answer, ANSWER_PEN)
    for point in ink.asked:
        canvas.stroke(saltire_at(point), ANSWER_PEN)


def draw_band(canvas: Canvas, curves: Sequence[Curve], tolerance_mm: float) -> None:
    """The band of places within the tolerance of the locus, its edges outlined.

    All places within a distance of a curve are what a round pen of twice that width
    covers; the outline is that pen a line's width wider, drawn first.
    """
    line = FINE
    canvas.stroke(curves, Pen(2 * tolerance_mm + line, PLUM, round_ends=True))
    canvas.stroke(curves, Pen(2 * tolerance_mm - line, BAND_PAINT.colour, round_ends=True))
    canvas.stroke(curves, Pen(line, PLUM, dash=(2.4, 1.2)))


def saltire_at(point: Point, reach: float = 1.6) -> list[Segment]:
    """The slanting cross that marks a point asked for, its centre on the point; mm."""
    return [
        Segment(Point(point.x - reach, point.y - side), Point(point.x + reach, point.y + side))
        for side in (reach, -reach)
    ]


def shade_region(canvas: Canvas, ink: FrameInk, paint: Paint = REGION_PAINT) -> None:
    """The regions alone."""
    for loops in ink.regions:
        canvas.fill(loops, paint)


def cross_at(point: Point) -> list[Segment]:
    """A small upright cross with its centre on the point."""
    return [
        Segment(Point(point.x - CROSS, point.y), Point(point.x + CROSS, point.y)),
        Segment(Point(point.x, point.y - CROSS), Point(point.x, point.y + CROSS)),
    ]
