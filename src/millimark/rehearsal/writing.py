"""What a pupil writes on answer lines: figures in pencil, of a hand's own size and slope."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from millimark.rehearsal.hands import Hand
from millimark.rehearsal.pencil import PencilStroke, resampled
from millimark.rehearsal.reading_off import Reading

Rng = np.random.Generator
Path = tuple[tuple[float, float], ...]
Box = tuple[float, float, float, float]

# Figures as polylines on a cell 1 wide and 1.4 high, y down.
FIGURES: dict[str, tuple[Path, ...]] = {
    "0": (((0.4, 0), (0.05, 0.4), (0.05, 1.0), (0.4, 1.4), (0.75, 1.0), (0.75, 0.4), (0.4, 0)),),
    "1": (((0.2, 0.3), (0.5, 0), (0.5, 1.4)),),
    "2": (((0.1, 0.35), (0.4, 0), (0.75, 0.3), (0.1, 1.4), (0.8, 1.4)),),
    "3": (((0.1, 0.1), (0.6, 0.1), (0.35, 0.6), (0.75, 1.0), (0.4, 1.4), (0.05, 1.2)),),
    "4": (((0.5, 0), (0, 0.9), (0.9, 0.85)), ((0.6, 0.5), (0.6, 1.4))),
    "5": (((0.7, 0), (0.15, 0), (0.1, 0.6), (0.6, 0.6), (0.75, 1.0), (0.4, 1.4), (0.05, 1.25)),),
    "6": (((0.65, 0), (0.1, 0.8), (0.3, 1.4), (0.7, 1.1), (0.4, 0.75), (0.1, 1.0)),),
    "7": (((0.1, 0), (0.8, 0), (0.3, 1.4)),),
    "8": (((0.4, 0.65), (0.1, 0.3), (0.4, 0), (0.7, 0.3), (0.4, 0.65), (0.05, 1.05), (0.4, 1.4),
           (0.75, 1.05), (0.4, 0.65)),),
    "9": (((0.7, 0.4), (0.4, 0.7), (0.1, 0.35), (0.4, 0), (0.7, 0.35), (0.55, 1.4)),),
    ".": (((0.3, 1.3), (0.4, 1.4)),),
}  # fmt: skip


def write_readings(
    readings: Sequence[Reading], hand: Hand, rng: Rng
) -> tuple[list[PencilStroke], list[str]]:
    """What is measured, to a tenth or a whole degree and a reading's error, on each line (strokes
    in paper mm), and the figures."""
    strokes: list[PencilStroke] = []
    written = []
    for reading in readings:
        degrees = reading.unit == "deg"
        read = reading.own + float(rng.normal(0.0, 0.6 if degrees else 0.06))
        text = f"{max(read, 0.0):.0f}" if degrees else f"{max(read, 0.0):.1f}"
        strokes += _written(text, reading.box, hand, rng)
        written.append(text)
    return strokes, written


def _written(text: str, box: Box, hand: Hand, rng: Rng) -> list[PencilStroke]:
    size = float(rng.uniform(2.6, 4.2))
    x = box[0] + float(rng.uniform(2.0, 8.0))
    y = box[3] - 2.2 - 1.4 * size + float(rng.normal(0.0, 0.4))
    slope = float(rng.uniform(-0.15, 0.25))
    strokes = []
    for k, sign in enumerate(text):
        for path in FIGURES.get(sign, ()):
            xy = np.array(path)
            xy = np.column_stack((xy[:, 0] + slope * (1.4 - xy[:, 1]) + 1.15 * k, xy[:, 1]))
            xy = resampled(xy * size + (x, y), 0.3)
            xy = xy + rng.normal(0.0, 0.03 * size, xy.shape)
            strokes.append(PencilStroke(xy, "label", width=0.5, darkness=hand.darkness))
    return strokes
