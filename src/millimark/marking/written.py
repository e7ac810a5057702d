"""What is written on answer lines: whether anything is, and where. Nobody's hand is read here:
the value is for the teacher, with what is right beside it. Paper mm."""

from __future__ import annotations

import numpy as np

from millimark.marking.expected import Box, Expected
from millimark.marking.findings import ReadingFinding
from millimark.marking.ink import Piece
from millimark.scan.reading import FrameReading

_DARK = 0.2
_LEAST_MM2 = 0.8
"""Less dark paper than this on an answer line is a speck, mm²."""
_OUT_MM = 2.0


def on_lines(piece: Piece, expect: Expected) -> bool:
    """Whether a piece of pencil is handwriting on an answer line, and no part of the drawing."""
    return any(_inside(piece, box) for _, box in expect.written)


def _inside(piece: Piece, box: Box) -> bool:
    x0, y0, x1, y1 = box
    x, y = piece.xy[:, 0], piece.xy[:, 1]
    within = (x > x0 - _OUT_MM) & (x < x1 + _OUT_MM) & (y > y0 - _OUT_MM) & (y < y1 + _OUT_MM)
    return bool(within.mean() > 0.5)


def find_written(frame: FrameReading, expect: Expected) -> tuple[ReadingFinding, ...]:
    """For each answer line whether pencil is on it, with the value that is right on this paper."""
    x0, y0, x1, _ = expect.frame
    k = frame.pencil.shape[1] / (x1 - x0)
    found = []
    for reading, (left, top, right, bottom) in expect.written:
        rows = slice(max(round((top - y0) * k), 0), round((bottom - y0) * k))
        columns = slice(max(round((left - x0) * k), 0), round((right - x0) * k))
        window = frame.pencil[rows, columns]
        dark = float(np.count_nonzero(window > _DARK)) / k**2
        found.append(ReadingFinding(reading.name, reading.told, reading.band, dark > _LEAST_MM2))
    return tuple(found)
