"""Turning and mirroring figures, so that not every line of a paper lies level.

A figure is turned only where its words do not say which way is up: no bearing, no
compass word, no 'above' or 'to the right'.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import replace

from millimark.loci.figure import Figure
from millimark.plane.point import ORIGIN
from millimark.plane.similarity import Similarity

PLEASANT_TURNS = (0, 20, -15, 35, -25, 10, -35, 28, -10, 15, -20, 25)
"""Degrees; no more than a slant, so that a triangle still stands on its side."""
LAST_TURNS = (90, -90, 60, -60)
"""Degrees; tried where a figure does not fit otherwise."""

_DIRECTED = re.compile(
    r"\b(above|below|left|north|south|east|west|bearing|bearings|horizontal|horizontally|"
    r"vertical|vertically|level|grid|coordinates?|right(?!\s*-?\s*angle))\b|\(\s*-?[0-9]",
    re.IGNORECASE,
)


def may_turn(sentences: Sequence[str]) -> bool:
    """Whether no sentence fixes a direction on the page."""
    return not any(_DIRECTED.search(s) for s in sentences)


def turned(figure: Figure, turn_deg: float, mirror: bool = False) -> Figure:
    """The figure mirrored left to right if ``mirror``, then turned anticlockwise."""
    if turn_deg == 0 and not mirror:
        return figure
    turn = math.radians(turn_deg)
    move = Similarity(ORIGIN, 1.0, turn + math.pi if mirror else turn, flip=mirror)
    return replace(
        figure,
        points={name: move(p) for name, p in figure.points.items()},
        circles=tuple(replace(c, centre=move(c.centre)) for c in figure.circles),
    )
