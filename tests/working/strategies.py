"""Random figures and asks for workings. Lengths are those of exam papers, in centimetres."""

from __future__ import annotations

import math

from hypothesis import strategies as st

from millimark.loci.conditions import (
    AllOf,
    Ask,
    AtDistance,
    Distance,
    DrawLocus,
    Equidistant,
    Inside,
    Nearer,
    PointOf,
    PolygonOf,
    RayOf,
    SegmentOf,
    ShadeRegion,
)
from millimark.loci.figure import Figure
from millimark.plane.point import Point

ROOM = (17.0, 15.0)

lengths = st.floats(3.0, 9.0)
headings = st.floats(-math.pi, math.pi)
angles = st.floats(math.radians(30), math.radians(140))
Case = tuple[Figure, Ask]


@st.composite
def two_points(draw: st.DrawFn) -> Case:
    a = Point(draw(st.floats(-3, 3)), draw(st.floats(-3, 3)))
    b = a.polar(draw(lengths), draw(headings))
    return Figure({"A": a, "B": b}), DrawLocus(Equidistant((PointOf("A"), PointOf("B"))))


@st.composite
def arms(draw: st.DrawFn) -> Case:
    a, heading = Point(0.0, 0.0), draw(headings)
    figure = Figure(
        {
            "A": a,
            "B": a.polar(draw(lengths), heading),
            "C": a.polar(draw(lengths), heading + draw(angles)),
        },
        segments=(("A", "B"), ("A", "C")),
    )
    return figure, DrawLocus(Equidistant((RayOf("A", "B"), RayOf("A", "C"))))


@st.composite
def round_a_point(draw: st.DrawFn) -> Case:
    return Figure({"A": Point(1.0, 2.0)}), DrawLocus(
        AtDistance(PointOf("A"), draw(st.floats(1.0, 7.0)))
    )


@st.composite
def round_a_segment(draw: st.DrawFn) -> Case:
    a = Point(0.0, 0.0)
    b = a.polar(draw(st.floats(2.0, 7.0)), draw(headings))
    figure = Figure({"A": a, "B": b}, segments=(("A", "B"),))
    return figure, DrawLocus(AtDistance(SegmentOf("A", "B"), draw(st.floats(1.0, 3.0))))


@st.composite
def round_a_rectangle(draw: st.DrawFn) -> Case:
    w, h = draw(st.floats(3.0, 7.0)), draw(st.floats(2.5, 5.0))
    corners = {"P": Point(0, 0), "Q": Point(w, 0), "R": Point(w, h), "S": Point(0, h)}
    labels = ("P", "Q", "R", "S")
    figure = Figure(corners, polygons=(labels,))
    return figure, DrawLocus(AtDistance(PolygonOf(labels), draw(st.floats(1.0, 3.0))))


@st.composite
def region_in_a_triangle(draw: st.DrawFn) -> Case:
    """Near P the border between PQ and PR is the angle's bisector; farther out, where an arm
    has ended, it is a parabola, which no such circle about P reaches."""
    base, side = draw(st.floats(6.0, 9.0)), draw(st.floats(6.0, 9.0))
    turn = draw(st.floats(math.radians(35), math.radians(90)))
    figure = Figure(
        {"P": Point(0, 0), "Q": Point(base, 0), "R": Point(0, 0).polar(side, turn)},
        polygons=(("P", "Q", "R"),),
    )
    reach = min(base, side) * math.cos(turn / 2)
    conditions = (
        Inside(PolygonOf(("P", "Q", "R"))),
        Nearer(SegmentOf("P", "Q"), (SegmentOf("P", "R"),)),
        Distance(PointOf("P"), "<", reach * draw(st.floats(0.5, 0.95))),
    )
    return figure, ShadeRegion(AllOf(conditions))


cases = st.one_of(
    two_points(),
    arms(),
    round_a_point(),
    round_a_segment(),
    round_a_rectangle(),
    region_in_a_triangle(),
)
