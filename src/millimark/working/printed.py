"""Which lines are printed, and how far: what a hand need not draw."""

from __future__ import annotations

import math

from millimark.loci.figure import Figure


def printed_reach(figure: Figure, a: str, b: str) -> float:
    """How far the printed line from ``a`` towards ``b`` goes: 0 where none is printed,
    infinite for a ray or line (which is printed as far as the frame goes)."""
    if any({a, b} == set(line) for line in figure.lines) or (a, b) in figure.rays:
        return math.inf
    sides = (
        pair
        for polygon in figure.polygons
        for pair in zip(polygon, (*polygon[1:], polygon[0]), strict=True)
    )
    if any({a, b} == set(pair) for pair in (*figure.segments, *figure.rays, *sides)):
        return figure.points[a].distance(figure.points[b])
    return 0.0


def runs_on(figure: Figure, a: str, b: str) -> bool:
    """Whether the printed line through ``a`` and ``b`` goes on past ``b``."""
    return any({a, b} == set(line) for line in figure.lines) or (a, b) in figure.rays
