"""How pupils shade: hatching, scribble, crossed hatching, the side of the lead, and that
rubbed smooth with a finger."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from millimark.rehearsal.hands import Pupil
from millimark.rehearsal.pencil import PencilStroke, Shading, Xy

CELL = 0.5
"""Width of a cell of the shading grid, mm."""


def grid(frame: tuple[float, float, float, float]) -> tuple[Xy, tuple[int, int]]:
    """Cell centres (H * W, 2) over a frame (x0, y0, x1, y1) paper mm, row by row; (H, W)."""
    x0, y0, x1, y1 = frame
    xs = np.arange(x0 + CELL / 2, x1, CELL)
    ys = np.arange(y0 + CELL / 2, y1, CELL)
    x, y = np.meshgrid(xs, ys)
    return np.column_stack((x.ravel(), y.ravel())), x.shape


def shade(area: Shading, pupil: Pupil, rng: np.random.Generator) -> list[PencilStroke]:
    """Strokes that shade the area in the pupil's own way; empty for an empty area, or where a
    smooth tone (`tone_of`) leaves none to see."""
    if area.tone:
        return []
    slope = math.radians(float(rng.uniform(35, 60)))
    slope = math.pi - slope if pupil.left_handed else slope
    if pupil.hatching == "grey":
        return _grey(area, slope, rng)
    spacing = float(rng.uniform(2.2, 4.2))
    lines = list(_lines(area, slope, spacing, rng, jitter=0.25 * spacing))
    if pupil.hatching == "cross":
        lines += _lines(area, slope + 1.4, spacing, rng, jitter=0.25 * spacing)
    if pupil.hatching == "scribble":
        return _joined(lines, spacing, pupil, rng)
    return [_stroke(line, pupil, rng) for line in lines]


def tone_of(pupil: Pupil, rng: np.random.Generator) -> float:
    """How dark an even grey this pupil rubs; 0 for a pupil whose strokes stay to be seen."""
    return float(rng.uniform(0.07, 0.28)) if pupil.hatching == "smooth" else 0.0


def _stroke(xy: Xy, pupil: Pupil, rng: np.random.Generator) -> PencilStroke:
    return PencilStroke(
        xy,
        "shade",
        width=float(np.clip(pupil.hand.width + rng.normal(0, 0.05), 0.3, 0.7)),
        darkness=float(np.clip(pupil.hand.darkness - 0.15 + rng.normal(0, 0.05), 0.2, 0.6)),
    )


def _grey(area: Shading, slope: float, rng: np.random.Generator) -> list[PencilStroke]:
    """The side of the lead: broad pale strokes that touch."""
    width = float(rng.uniform(1.4, 2.0))
    dark = float(rng.uniform(0.16, 0.28))
    lines = _lines(area, slope, width * 0.75, rng, jitter=0.15)
    return [PencilStroke(line, "shade", width=width, darkness=dark) for line in lines]


def _lines(
    area: Shading, slope: float, spacing: float, rng: np.random.Generator, jitter: float
) -> Iterator[Xy]:
    """Parallel lines across the area, each cut to it with ends a little short or long."""
    h, w = area.mask.shape
    u = np.array([math.cos(slope), math.sin(slope)])
    v = np.array([-u[1], u[0]])
    middle = np.array(area.origin) + area.cell * np.array([w, h]) / 2
    reach = area.cell * math.hypot(w, h) / 2
    along = np.arange(-reach, reach, area.cell / 2)
    for offset in np.arange(-reach, reach, spacing):
        base = middle + v * (offset + rng.normal(0, jitter / 2))
        tilt = float(rng.normal(0, 0.02))
        xy = base + along[:, None] * (u + tilt * v)
        for first, last in _runs(_hit(area, xy)):
            ends = along[[first, last]] + np.array([rng.uniform(0, 0.9), -rng.uniform(0, 0.9)])
            if ends[1] - ends[0] > 1.0:
                yield base + np.array([ends]).T * (u + tilt * v)


def _hit(area: Shading, xy: Xy) -> NDArray[np.bool_]:
    cells = np.floor((xy - np.array(area.origin)) / area.cell + 0.5).astype(int)
    h, w = area.mask.shape
    ok = (cells[:, 0] >= 0) & (cells[:, 0] < w) & (cells[:, 1] >= 0) & (cells[:, 1] < h)
    hit = np.zeros(len(xy), dtype=bool)
    hit[ok] = area.mask[cells[ok, 1], cells[ok, 0]]
    return hit


def _runs(hit: NDArray[np.bool_]) -> Iterator[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate(([0], hit.astype(int), [0]))))
    for first, last in zip(edges[::2], edges[1::2], strict=True):
        yield int(first), int(last - 1)


def _joined(
    lines: list[Xy], spacing: float, pupil: Pupil, rng: np.random.Generator
) -> list[PencilStroke]:
    """To and fro without lifting, wherever the next line starts near enough."""
    strokes: list[Xy] = []
    for i, line in enumerate(lines):
        xy = line if i % 2 == 0 else line[::-1]
        if strokes and np.hypot(*(strokes[-1][-1] - xy[0])) < 2.5 * spacing:
            strokes[-1] = np.vstack((strokes[-1], xy))
        else:
            strokes.append(xy)
    return [_stroke(xy, pupil, rng) for xy in strokes]
