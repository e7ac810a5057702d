"""The border of a page: registration marks, dots and the room that they leave.

Page millimetres, origin top-left, y down. Marks are those of OpenCV's ``DICT_4X4_50``
dictionary, ids 0 to 11, clockwise from the top left corner, so that any of them tells
which way up the page lies. Nothing is printed within 5 mm of the edge.
"""

from __future__ import annotations

import math

from millimark.sheet.layout import Dot, RegistrationMark

MARK_SIDE = 8.0  # mm
MARK_CENTRE = 11.0  # mm from the page's edge to the centre of a mark
QUIET = MARK_SIDE / 6  # mm of white that a mark needs round it: one of its cells
DOT_DIAMETER = 0.5  # mm
DOT_ROW = 7.25  # mm from the page's edge to the row of border dots
_DOT_PITCH = 12.0  # mm, at most

ARUCO_DICTIONARY = "DICT_4X4_50"
# The inner 4 x 4 cells of ids 0 to 11, row by row, 1 is white; checked against OpenCV in
# tests/sheet/test_border.py.
MARK_CELLS: tuple[tuple[str, str, str, str], ...] = (
    ("1011", "0101", "0011", "0010"),
    ("0000", "1111", "1001", "1010"),
    ("0011", "0011", "0010", "1101"),
    ("1001", "1001", "0100", "0110"),
    ("0101", "0100", "1001", "1110"),
    ("0111", "1001", "1100", "1101"),
    ("1001", "1110", "0010", "1110"),
    ("1100", "0100", "1111", "0010"),
    ("1111", "1110", "1101", "1010"),
    ("1100", "1111", "0101", "0110"),
    ("1111", "1001", "1001", "0001"),
    ("0001", "0001", "1010", "0111"),
)


def border_marks(width: float, height: float) -> tuple[RegistrationMark, ...]:
    """The twelve marks of a page, clockwise from its top left corner, ids 0 to 11.

    Corners, one in the middle of the top and of the bottom and three along each side.
    """
    left, top = MARK_CENTRE, MARK_CENTRE
    right, bottom = width - MARK_CENTRE, height - MARK_CENTRE
    middle = (left + right) / 2
    along_y = [top + (bottom - top) * k / 4 for k in (1, 2, 3)]
    places = [(left, top), (middle, top), (right, top)]
    places += [(right, y) for y in along_y]
    places += [(right, bottom), (middle, bottom), (left, bottom)]
    places += [(left, y) for y in reversed(along_y)]
    return tuple(RegistrationMark(i, x, y, MARK_SIDE) for i, (x, y) in enumerate(places))


def border_dots(width: float, height: float) -> tuple[Dot, ...]:
    """Small dots near all four edges, none within 2 mm of a mark's quiet zone."""
    marks = border_marks(width, height)
    places = [(x, y) for x in _spread(width) for y in (DOT_ROW, height - DOT_ROW)]
    places += [(x, y) for y in _spread(height) for x in (DOT_ROW, width - DOT_ROW)]
    reach = MARK_SIDE / 2 + QUIET + 2.0
    clear = [p for p in places if all(_apart(p, m) >= reach for m in marks)]
    return tuple(Dot(x, y, DOT_DIAMETER) for x, y in clear)


def mark_squares(mark: RegistrationMark) -> list[tuple[float, float, float, float]]:
    """The black of one mark as rectangles (x0, y0, x1, y1) in mm that do not overlap.

    Each of the six rows of cells gives one rectangle per run of black cells.
    """
    cell = mark.side / 6
    left, top = mark.x - mark.side / 2, mark.y - mark.side / 2
    rows = ["0" * 6, *(f"0{row}0" for row in MARK_CELLS[mark.id]), "0" * 6]
    squares = []
    for j, row in enumerate(rows):
        for first, last in _runs(row):
            squares.append(
                (left + first * cell, top + j * cell, left + last * cell, top + (j + 1) * cell)
            )
    return squares


def _runs(row: str) -> list[tuple[int, int]]:
    """Half-open ranges of the zeros (black cells) in a row."""
    runs, first = [], None
    for i, cell in enumerate(row + "1"):
        if cell == "0" and first is None:
            first = i
        elif cell == "1" and first is not None:
            runs.append((first, i))
            first = None
    return runs


def _spread(length: float) -> list[float]:
    start, stop = MARK_CENTRE, length - MARK_CENTRE
    n = math.ceil((stop - start) / _DOT_PITCH)
    return [start + (stop - start) * (k + 0.5) / n for k in range(n)]


def _apart(p: tuple[float, float], mark: RegistrationMark) -> float:
    return max(abs(p[0] - mark.x), abs(p[1] - mark.y))
