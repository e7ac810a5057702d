"""Registration marks: OpenCV's own dictionary, printable margins, orientation."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from millimark.sheet.border import (
    MARK_CELLS,
    QUIET,
    border_dots,
    border_marks,
    mark_squares,
)

SIZES = {"A4": (210.0, 297.0), "A3": (297.0, 420.0), "Letter": (215.9, 279.4)}


def test_the_cells_are_those_of_opencvs_dictionary() -> None:
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    for id_, rows in enumerate(MARK_CELLS):
        picture = cv2.aruco.generateImageMarker(dictionary, id_, 6)
        cells = tuple("".join("1" if v else "0" for v in row[1:5]) for row in picture[1:5])
        assert cells == rows, f"mark {id_}"


@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)
def test_nothing_stands_within_5_mm_of_the_edge(size: tuple[float, float]) -> None:
    width, height = size
    for mark in border_marks(width, height):
        reach = mark.side / 2 + QUIET
        assert reach + 5.0 <= mark.x <= width - 5.0 - reach
        assert reach + 5.0 <= mark.y <= height - 5.0 - reach
    for dot in border_dots(width, height):
        assert dot.x - dot.diameter > 5.0
        assert dot.y - dot.diameter > 5.0


@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)
def test_twelve_marks_with_distinct_ids_run_clockwise(size: tuple[float, float]) -> None:
    marks = border_marks(*size)
    assert [m.id for m in marks] == list(range(12))
    turns = np.unwrap([np.arctan2(m.y - size[1] / 2, m.x - size[0] / 2) for m in marks])
    assert np.all(np.diff(turns) > 0)  # clockwise where y runs down
    assert (marks[0].x, marks[0].y) == (11.0, 11.0)


def test_dots_keep_clear_of_the_marks_quiet_zones() -> None:
    for dot in border_dots(210.0, 297.0):
        for mark in border_marks(210.0, 297.0):
            apart = max(abs(dot.x - mark.x), abs(dot.y - mark.y))
            assert apart >= mark.side / 2 + QUIET + 1.0


def test_the_squares_of_a_mark_cover_its_black_cells_once() -> None:
    mark = border_marks(210.0, 297.0)[0]
    area = sum((x1 - x0) * (y1 - y0) for x0, y0, x1, y1 in mark_squares(mark))
    white = sum(row.count("1") for row in MARK_CELLS[0])
    assert area == pytest.approx((36 - white) * (mark.side / 6) ** 2)
