"""The ruled lines on which a reading is written: at the foot of the frame, a row each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from millimark.drawing.canvas import Canvas, Lettering, Pen
from millimark.drawing.lettering import text_width
from millimark.drawing.look import BODY, INK, PLUM, RULE, SLATE, THIN
from millimark.loci.conditions import Ask, Measure
from millimark.paper.access import Access
from millimark.paper.formats import Box
from millimark.paper.readings import Reading
from millimark.plane.curves import Segment
from millimark.plane.point import Point

ROW = 13.0
"""mm of the frame's height for each line."""
_EDGE, _LINE, _UNIT, _GAP = 5.0, 38.0, 14.0, 2.5
_OVER, _UNDER = 9.5, 1.5
_SMALLEST = 0.75
"""Share of the usual lettering below which words are no longer set smaller to fit."""


@dataclass(frozen=True)
class AnswerLine:
    """One line: its reading, and where the pupil writes (x0, y0, x1, y1), page mm."""

    reading: Reading
    box: Box

    @property
    def baseline(self) -> float:
        """The ruled line's height on the page."""
        return self.box[3] - _UNDER


def rows_of(asks: Sequence[Ask]) -> float:
    """Height in mm that the lines of a question take of its frame."""
    return ROW * sum(isinstance(ask, Measure) for ask in asks)


def answer_lines(readings: Sequence[Reading], frame: Box) -> tuple[AnswerLine, ...]:
    """The lines at the foot of a frame, from the top."""
    right = frame[2] - _EDGE - _UNIT
    lines = []
    for k, reading in enumerate(readings):
        base = frame[3] - ROW * (len(readings) - k) + ROW - 4.0
        lines.append(AnswerLine(reading, (right - _LINE, base - _OVER, right, base + _UNDER)))
    return tuple(lines)


def _fitted(name: str, number: int, height: float, room: float) -> tuple[str, float]:
    """What stands before a line and how tall: the reading's words, a little smaller where they
    must be, or the number of the answer where they would be much smaller."""
    words = name.removeprefix("the ")
    words = words[:1].upper() + words[1:]
    width = text_width(words, height)
    if width * _SMALLEST > room:
        return f"Answer {number}", height
    return words, height * min(1.0, room / width)


def draw_answer_lines(
    canvas: Canvas, lines: Sequence[AnswerLine], frame: Box, access: Access, filled: bool = False
) -> None:
    """What is read, the line, its unit; the value on it if ``filled``."""
    for k, line in enumerate(lines, start=1):
        x0, _, x1, _ = line.box
        y = line.baseline
        canvas.stroke([Segment(Point(x0, y), Point(x1, y))], Pen(THIN, RULE))
        words, height = _fitted(line.reading.name, k, access.body, x0 - _GAP - frame[0] - _EDGE)
        at = Point(x0 - _GAP, y)
        canvas.write(words, at, Lettering(height, SLATE, anchor="end"))
        unit = Lettering(min(access.body, _UNIT / 3), INK, anchor="start")
        canvas.write(line.reading.unit, Point(x1 + _GAP, y), unit)
        if filled:
            value = line.reading.told.removesuffix(line.reading.unit).strip()
            at = Point((x0 + x1) / 2, y - 1.2)
            canvas.write(value, at, Lettering(BODY + 0.5, PLUM, anchor="middle", bold=True))
