"""Misconceptions as curves, against the trade's signatures: t becomes 180 - t, 360 - t, 90 - t."""

from __future__ import annotations

import math

import pytest

from millimark.loci.conditions import (
    AngleOn,
    AtDistance,
    LineOf,
    OnBearing,
    Parallel,
    Perpendicular,
    PointOf,
    RayOf,
    SegmentOf,
    TriangleOn,
)
from millimark.loci.figure import Figure
from millimark.loci.figures_on import AngleAtEnd, SideTo
from millimark.loci.mistaken import mistaken
from millimark.plane.point import Point

AB = Figure({"A": Point(0, 0), "B": Point(8, 0), "C": Point(2, 5)}, segments=(("A", "B"),))
A, B, C = PointOf("A"), PointOf("B"), PointOf("C")
LINE, BASE = LineOf("A", "B"), SegmentOf("A", "B")


def bearings(t):
    """Code -> bearing drawn, degrees clockwise from north."""
    found = {}
    for m in mistaken(OnBearing(A, t), AB):
        (ray,) = m.curves
        found[m.code] = round(math.degrees(math.pi / 2 - ray.direction.angle()) % 360, 6)
    return found


@pytest.mark.parametrize(
    ("t", "expected"),
    [
        # TRADE: reversed t +- 180; anticlockwise 360 - t; from east 90 - t; 328 for 332
        (64.0, {"bearing-reversed": 244.0, "bearing-anticlockwise": 296.0,
                "bearing-from-east": 26.0, "wrong-scale": 116.0, "counted-back": 56.0}),
        (332.0, {"bearing-reversed": 152.0, "bearing-anticlockwise": 28.0,
                 "bearing-from-east": 118.0, "wrong-scale": 208.0, "counted-back": 328.0}),
        (333.0, {"bearing-reversed": 153.0, "bearing-anticlockwise": 27.0,
                 "bearing-from-east": 117.0, "wrong-scale": 207.0, "counted-back": 327.0}),
        (45.0, {"bearing-reversed": 225.0, "bearing-anticlockwise": 315.0, "wrong-scale": 135.0}),
        (180.0, {"bearing-reversed": 0.0, "bearing-from-east": 270.0, "wrong-scale": 0.0}),
    ],
)  # fmt: skip
def test_bearings(t, expected):
    assert bearings(t) == expected


def test_an_angle_on_either_side():
    codes = [(m.code, m.curves[0].direction) for m in mistaken(AngleOn(RayOf("A", "B"), 54.0), AB)]
    drawn = {(code, round(math.degrees(math.atan2(d.y, d.x)), 6)) for code, d in codes}
    assert drawn >= {("wrong-scale", 126.0), ("wrong-scale", -126.0), ("counted-back", 46.0)}


@pytest.mark.parametrize(
    ("locus", "codes"),
    [
        (Perpendicular(LINE, C), {"through-midpoint", "parallel-drawn"}),
        (Perpendicular(LINE, A), {"through-midpoint", "sixty-drawn"}),
        (Parallel(LINE, C), {"perpendicular-drawn"}),
        (AtDistance(A, 3.0), set()),
        (TriangleOn(BASE, "D", (SideTo(A, 5.0), SideTo(B, 6.0))), {"one-centre", "sides-swapped"}),
        (TriangleOn(BASE, "D", (AngleAtEnd(A, 40.0), AngleAtEnd(B, 65.0))), {"one-vertex"}),
    ],
)
def test_which_are_known(locus, codes):
    assert {m.code for m in mistaken(locus, AB)} == codes


@pytest.mark.parametrize(
    ("scale", "expected"),
    [
        (2e5, {"scale-ignored": 6.0, "scale-inverted": 12.0}),  # 1 cm to 2 km, 6 km: 3 cm is right
        (500.0, {"scale-ignored": 15.0}),  # 1 cm to 5 m, 15 m; 75 cm does not go on a page
        (1e5, {}),  # 1 cm to 1 km: nothing to ignore
    ],
)
def test_scales(scale, expected):
    found = {m.code: m.curves[0].radius for m in mistaken(AtDistance(A, 3.0), AB, scale)}
    assert found == pytest.approx(expected)


def test_sides_struck_from_one_end_share_their_centre():
    locus = TriangleOn(BASE, "D", (SideTo(A, 5.0), SideTo(B, 6.0)))
    for m in mistaken(locus, AB):
        if m.code == "one-centre":
            assert {c.radius for c in m.curves} == {5.0, 6.0}
            assert len({(c.centre.x, c.centre.y) for c in m.curves}) == 1
