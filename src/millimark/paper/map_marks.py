"""What a plan or map carries in its frame: a scale line and a north arrow.

Both stand in a strip at the foot of the frame that figure, answer and working leave free;
along the strip they take the place that is clearest of lines running through it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from millimark.drawing.canvas import Canvas, Lettering, Paint, Pen
from millimark.drawing.look import BODY, FINE, INK, SMALL, THIN
from millimark.drawing.outline import draw_true
from millimark.paper.answer_lines import rows_of
from millimark.paper.formats import Box
from millimark.paper.furniture import rectangle
from millimark.paper.labels import distance_to_box
from millimark.paper.question import Question
from millimark.plane.curves import Curve, Segment
from millimark.plane.point import Point

STRIP = 15.0  # mm of the frame's height kept for the scale line and the north arrow
BAR_CM = 5  # cm that the scale line is long
_BAR_HEIGHT = 6.0
_ARROW_WIDTH, _ARROW_HEIGHT = 5.0, 12.0
_EDGE = 4.0  # mm from the frame
_COMPASS = re.compile(r"\b(bearings?|north|south|east|west)\b", re.IGNORECASE)


@dataclass(frozen=True)
class MapMarks:
    """Where the scale line (its box) and the north arrow (its box) stand; None where none."""

    scale_box: Box | None
    north_box: Box | None
    labels: tuple[str, ...]  # one for each centimetre of the scale line, from 0

    @property
    def boxes(self) -> list[Box]:
        return [b for b in (self.scale_box, self.north_box) if b is not None]

    @property
    def outlines(self) -> list[Curve]:
        """The sides of the boxes: what labels and dots keep clear of."""
        return [side for box in self.boxes for side in rectangle(*box)]


def needs_north(sentences: Sequence[str]) -> bool:
    """Whether bearings or compass words make sense only with a north arrow."""
    return any(_COMPASS.search(s) for s in sentences)


def strip_of(question: Question) -> float:
    """Height in mm of the strip that a question's frame keeps free, answer lines and all."""
    own = STRIP if _has_scale_line(question) or question.north else 0.0
    return own + rows_of(question.asks)


def _has_scale_line(question: Question) -> bool:
    """For stretch none is printed: lengths are worked out from the scale in the words."""
    return question.scale is not None and "stretch" not in question.aids


def map_marks(
    question: Question, frame: Box, ink: NDArray[np.float64], left_handed: bool = False
) -> MapMarks:
    """Places in the strip clear of ``ink`` (N, 2), page mm, as far as possible.

    The scale line, which is looked at while drawing, stands where the hand does not cover it.
    """
    bottom = frame[3] - 1.5 - rows_of(question.asks)
    scale_box = north_box = None
    labels: tuple[str, ...] = ()
    if question.scale is not None and _has_scale_line(question):
        labels = scale_labels(question.scale)
        width = BAR_CM * 10.0 + 12.0
        scale_box = _clearest(frame, bottom, width, _BAR_HEIGHT, ink, from_left=not left_handed)
    if question.north:
        others = ink if scale_box is None else np.vstack((ink, _corners(scale_box)))
        north_box = _clearest(frame, bottom, _ARROW_WIDTH, _ARROW_HEIGHT, others, from_left=False)
    return MapMarks(scale_box, north_box, labels)


def _clearest(
    frame: Box, bottom: float, width: float, height: float, ink: NDArray[np.float64],
    from_left: bool,
) -> Box:  # fmt: skip
    """The box along the strip with 3 mm of clearance nearest its corner, or the clearest."""
    first, last = frame[0] + _EDGE, frame[2] - _EDGE - width
    lefts = np.arange(first, last + 1e-9, 3.0)
    boxes = [(float(x), bottom - height, float(x) + width, bottom) for x in lefts]
    if not from_left:
        boxes.reverse()
    clear = [min(distance_to_box(box, ink), 3.0) for box in boxes]
    return boxes[int(np.argmax(clear))]


def _corners(box: Box) -> NDArray[np.float64]:
    x = np.linspace(box[0], box[2], 40)
    return np.vstack([np.column_stack((x, np.full_like(x, y))) for y in (box[1], box[3])])


def scale_labels(scale: float) -> tuple[str, ...]:
    """'0', '2', '4', … '10 km': real lengths at each centimetre of the scale line."""
    unit, size = next(
        (u, s) for u, s in (("km", 100_000.0), ("m", 100.0), ("cm", 1.0)) if scale >= 0.1 * s
    )
    step = scale / size
    numbers = [f"{k * step:g}" for k in range(BAR_CM + 1)]
    return (*numbers[:-1], f"{numbers[-1]} {unit}")


def draw_map_marks(canvas: Canvas, marks: MapMarks) -> None:
    """Draw them; nothing where there are none."""
    if marks.scale_box is not None:
        _draw_scale(canvas, marks.scale_box, marks.labels)
    if marks.north_box is not None:
        _draw_north(canvas, marks.north_box)


def _draw_scale(canvas: Canvas, box: Box, labels: Sequence[str]) -> None:
    """A line ticked at each centimetre, alternate centimetres heavier, real lengths below."""
    x0, y = box[0] + 3.0, box[1] + 1.6
    for k in range(BAR_CM):
        left, right = x0 + 10 * k, x0 + 10 * (k + 1)
        if k % 2 == 0:
            canvas.fill([rectangle(left, y - 0.6, right, y)], Paint(INK))
    draw_true(canvas, [Segment(Point(x0, y), Point(x0 + 10 * BAR_CM, y))], Pen(FINE, INK))
    for k, label in enumerate(labels):
        x = x0 + 10 * k
        draw_true(canvas, [Segment(Point(x, y), Point(x, y - 1.6))], Pen(FINE, INK))
        canvas.write(label, Point(x, box[3] - 0.6), Lettering(SMALL, INK, anchor="middle"))


def _draw_north(canvas: Canvas, box: Box) -> None:
    """An arrow to the top of the page with its N."""
    x, top = (box[0] + box[2]) / 2, box[1] + BODY + 1.0
    draw_true(canvas, [Segment(Point(x, box[3]), Point(x, top + 2.0))], Pen(THIN, INK))
    tip, left, right = Point(x, top), Point(x - 1.2, top + 3.2), Point(x + 1.2, top + 3.2)
    head: list[Curve] = [Segment(tip, left), Segment(left, right), Segment(right, tip)]
    canvas.fill([head], Paint(INK))
    canvas.write("N", Point(x, box[1] + BODY), Lettering(BODY, INK, anchor="middle", bold=True))
