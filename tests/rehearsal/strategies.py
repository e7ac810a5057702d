"""Hypothesis strategies of this room's tests."""

from __future__ import annotations

from hypothesis import strategies as st

from millimark.plane.curves import Arc, Curve, Segment
from millimark.plane.point import Point

coordinates = st.floats(-60, 60, allow_nan=False).map(lambda v: round(v, 3))
points = st.builds(Point, coordinates, coordinates)


@st.composite
def bounded_curves(draw: st.DrawFn) -> Curve:
    """Segments and arcs of a size that fits a page, mm."""
    a = draw(points)
    if draw(st.booleans()):
        b = draw(points.filter(lambda p: p.distance(a) > 1.0))
        return Segment(a, b)
    radius = draw(st.floats(3, 60))
    start = draw(st.floats(-3, 3))
    sweep = draw(st.floats(0.2, 6.28)) * draw(st.sampled_from([1, -1]))
    return Arc(a, radius, start, sweep)


seeds = st.integers(0, 2**31 - 1)
