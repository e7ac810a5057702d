"""How much room a frame leaves for a figure, its answer and its working."""

from __future__ import annotations

from millimark.paper.formats import PageFormat

HALF_TEXT = 28.0  # mm for words and gaps of one of two questions on a page
CLEAR = 5.0  # mm between the frame and any ink: room for a label, and for a slip


def room_cm(width_mm: float, height_mm: float) -> tuple[float, float]:
    """Width and height in cm that ink may fill in a frame of this size, at true size."""
    return (max(width_mm - 2 * CLEAR, 0.0) / 10, max(height_mm - 2 * CLEAR, 0.0) / 10)


def whole_room_cm(format_: PageFormat) -> tuple[float, float]:
    """The room of a frame that has a page to itself, text and all left aside."""
    x0, y0, x1, y1 = format_.content
    return room_cm(x1 - x0, y1 - y0)


def half_room_cm(format_: PageFormat) -> tuple[float, float]:
    """The room of a frame that shares its page with another, text allowed for."""
    x0, y0, x1, y1 = format_.content
    return room_cm(x1 - x0, (y1 - y0) / 2 - HALF_TEXT)
