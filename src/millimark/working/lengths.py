"""How far lines are ruled."""

from __future__ import annotations

from collections.abc import Sequence

from millimark.plane.curves import Curve
from millimark.plane.point import Point
from millimark.working.bench import Bench
from millimark.working.distances import OVERRUN
from millimark.working.drawn import SHORTEST


def ends_of(bench: Bench, p: str, ahead: Point, needed: Sequence[Curve]) -> tuple[float, float]:
    """From where to where a line through ``p`` is ruled: what is needed, else a sensible length."""
    at = bench.points[p]
    low, high = -bench.space(p, -ahead), bench.space(p, ahead)
    if all(c.bounded for c in needed) and needed:
        ts = [(end - at).dot(ahead) for c in needed for end in (c.start, c.end)]
        return max(low, min(ts) - OVERRUN), min(high, max(ts) + OVERRUN)
    return max(low, -SHORTEST), min(high, SHORTEST)
