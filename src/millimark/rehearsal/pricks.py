"""The holes that the compasses' needle leaves: a dark dot, on some scans with a lighter rim.

Paper frame, real mm. Sizes and depths: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from millimark.rehearsal.hands import Hand
from millimark.rehearsal.pencil import Hole, PencilStroke

WIDTH_MM = (0.2, 0.4)
"""From the finest hole to the widest, which a needle leaves that was turned about in it."""
RIM = 1.9
"""Reach of the raised rim, in half widths of the hole."""
RIM_GREY = 8.0
"""Grey values by which the highest rim is lighter than the paper."""
SHOWS = {"flatbed": 1.0, "feeder": 0.85, "phone": 0.5}
"""How dark a hole looks to each device; a telephone sees it from afar in light from all sides."""


def holes_of(
    strokes: Sequence[PencilStroke], hand: Hand, rng: np.random.Generator
) -> tuple[Hole, ...]:
    """A hole for each place where the compasses stood, in the order of the arcs; none by a hand
    that does not press on the needle."""
    stood = {s.compass.centre: s.compass.about for s in strokes if s.compass is not None}
    holes = []
    for at, about in stood.items():
        depth = min(0.85, hand.prick * float(rng.uniform(0.6, 1.3)))
        holes.append(Hole(at, about, float(rng.uniform(*WIDTH_MM)), depth))
    return tuple(h for h in holes if h.depth > 0.0)


def prick(
    page: NDArray[np.uint8],
    holes: Sequence[Hole],
    print_scale: float,
    px_per_mm: float,
    capture: str,
    rng: np.random.Generator,
) -> None:
    """Put the holes into ``page`` (H, W) uint8 grey, in place, as ``capture`` will show them.
    On half of the flatbeds the rims catch the light."""
    per_mm = px_per_mm / print_scale
    rim = float(rng.uniform(0.3, 1.0)) * float(rng.random() < 0.5) * (capture == "flatbed")
    for hole in holes:
        half = hole.width / 2 * per_mm
        x, y = (v * per_mm - 0.5 for v in hole.at)
        reach = math.ceil(half * RIM) + 1
        rows = slice(max(0, round(y) - reach), round(y) + reach + 1)
        columns = slice(max(0, round(x) - reach), round(x) + reach + 1)
        part = page[rows, columns].astype(np.float64)
        if part.size == 0:
            continue
        down = np.arange(rows.start, rows.start + part.shape[0])[:, None] - y
        across = np.arange(columns.start, columns.start + part.shape[1])[None, :] - x
        u = np.hypot(down, across) / half
        dark = SHOWS[capture] * hole.depth * np.exp(-0.9 * u**4)
        light = rim * RIM_GREY * np.exp(-(((u - 1.4) / 0.25) ** 2))
        page[rows, columns] = np.clip(np.rint(part * (1.0 - dark) + light), 0, 255)
