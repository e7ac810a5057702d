"""Regions of three conditions: exactly, and by shapely polygons that come within 1e-6 in area.

Baseline: shapely 2.2 (GEOS). Each curved condition is a buffer or a polygon with as few
vertices (in doublings) as bring the area within 1e-6 of the exact one; straight conditions
are polygons given to it for nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest

from millimark.loci.conditions import (
    AllOf,
    Condition,
    Distance,
    Inside,
    LineOf,
    Nearer,
    PointOf,
    PolygonOf,
    RayOf,
    SegmentOf,
    ShadeRegion,
)
from millimark.loci.figure import Figure
from millimark.loci.solve import solve
from millimark.plane.point import Point

FIGURE = Figure(
    points={
        "A": Point(0, 0),
        "B": Point(6, 1),
        "C": Point(3, 4),
        "D": Point(9, 1.5),
    }
)
A, B, C, D = FIGURE.points.values()


@dataclass(frozen=True)
class Scene:
    """A region, and its area by shapely with so many vertices to a quarter turn."""

    name: str
    conditions: tuple[Condition, ...]
    by_polygons: Callable[[int], float]

    @property
    def ask(self) -> ShadeRegion:
        return ShadeRegion(AllOf(self.conditions))

    @property
    def exact(self) -> float:
        region = solve(FIGURE, self.ask).region
        assert region is not None
        return region.area

    def enough(self) -> int:
        """The first doubling of 16 whose relative area error is at most 1e-6."""
        quarter = 16
        while abs(self.by_polygons(quarter) - self.exact) > 1e-6 * self.exact:
            quarter *= 2
        return quarter


def stadium_disc_bisector(quarter: int) -> float:
    import shapely

    stadium = shapely.LineString([A, B]).buffer(2.5, quad_segs=quarter)
    disc = shapely.Point(C).buffer(4.0, quad_segs=quarter)
    middle, along = Point((A.x + B.x) / 2, (A.y + B.y) / 2), (B - A).unit()
    up, back = along.left() * 50, along * -50
    half = shapely.Polygon([middle + up, middle - up, middle - up + back, middle + up + back])
    return float(stadium.intersection(disc).intersection(half).area)


def three_discs(quarter: int) -> float:
    import shapely

    discs = [
        shapely.Point(p).buffer(r, quad_segs=quarter) for p, r in ((A, 4.5), (B, 4.0), (C, 3.5))
    ]
    return float(discs[0].intersection(discs[1]).intersection(discs[2]).area)


def parabola_stadium_disc(quarter: int) -> float:
    """Nearer to C than to the line AB: the parabola sampled evenly in its frame."""
    import shapely

    along = (B - A).unit()
    height = along.cross(C - A)
    foot = A + along * (C - A).dot(along)
    n = 8 * quarter
    xs = [-12.0 + 24.0 * i / n for i in range(n + 1)]
    rim = [foot + along * x + along.left() * ((x * x + height * height) / (2 * height)) for x in xs]
    stadium = shapely.LineString([B, D]).buffer(4.5, quad_segs=quarter)
    disc = shapely.Point(C).buffer(5.0, quad_segs=quarter)
    return float(shapely.Polygon(rim).intersection(stadium).intersection(disc).area)


def triangle_wedge_disc(quarter: int) -> float:
    import shapely

    half = ((B - A).angle() + (C - A).angle()) / 2
    wedge = shapely.Polygon([A, A + (B - A) * 9.0, A.polar(50.0, half)])
    disc = shapely.Point(B).buffer(4.0, quad_segs=quarter)
    return float(shapely.Polygon([A, B, C]).intersection(wedge).intersection(disc).area)


a, b, c, d = (PointOf(x) for x in "ABCD")
SCENES = [
    Scene(
        "stadium, disc, bisector",
        (Distance(SegmentOf("A", "B"), "<", 2.5), Distance(c, "<", 4.0), Nearer(a, (b,))),
        stadium_disc_bisector,
    ),
    Scene(
        "three discs",
        (Distance(a, "<", 4.5), Distance(b, "<", 4.0), Distance(c, "<", 3.5)),
        three_discs,
    ),
    Scene(
        "parabola, stadium, disc",
        (
            Nearer(c, (LineOf("A", "B"),)),
            Distance(SegmentOf("B", "D"), "<", 4.5),
            Distance(c, "<", 5.0),
        ),
        parabola_stadium_disc,
    ),
    Scene(
        "triangle, angle bisector, disc",
        (
            Inside(PolygonOf(("A", "B", "C"))),
            Nearer(RayOf("A", "B"), (RayOf("A", "C"),)),
            Distance(b, "<", 4.0),
        ),
        triangle_wedge_disc,
    ),
]
scenes = pytest.mark.parametrize("scene", SCENES, ids=[s.name for s in SCENES])


@scenes
def test_both_routes_measure_the_same_region(scene: Scene) -> None:
    assert scene.by_polygons(scene.enough()) == pytest.approx(scene.exact, rel=1e-6)
    assert math.isfinite(scene.exact)


@scenes
def test_exact_route(benchmark: Any, scene: Scene) -> None:
    benchmark.group = f"three conditions: {scene.name}"
    benchmark.extra_info["what"] = "solving the region: boundary, elements, area, perimeter"
    assert benchmark(solve, FIGURE, scene.ask).region.area == pytest.approx(scene.exact)


@scenes
def test_polygon_route(benchmark: Any, scene: Scene) -> None:
    benchmark.group = f"three conditions: {scene.name}"
    benchmark.extra_info["baseline"] = "shapely, area within 1e-6"
    assert benchmark(scene.by_polygons, scene.enough()) > 0
