"""A region of three conditions, exactly, against polygons that come as near.

Baseline: shapely 2, the same region as triangle, wedge and disc, with the fewest
disc vertices (in doublings of 16) that bring the area within 1e-6 of the exact one.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from millimark.loci.conditions import (
    AllOf,
    Distance,
    Inside,
    Nearer,
    PointOf,
    PolygonOf,
    RayOf,
    ShadeRegion,
)
from millimark.loci.figure import Figure
from millimark.loci.solve import solve
from millimark.plane.point import Point

P, Q = Point(0.0, 0.0), Point(8.0, 0.0)
# R by the cosine rule from PQ = 8, QR = 7, PR = 6.5.
_X = (8.0**2 + 6.5**2 - 7.0**2) / 16.0
R = Point(_X, math.sqrt(6.5**2 - _X**2))
FIGURE = Figure(points={"P": P, "Q": Q, "R": R}, polygons=(("P", "Q", "R"),))
ASK = ShadeRegion(
    AllOf(
        (
            Inside(PolygonOf(("P", "Q", "R"))),
            Nearer(RayOf("P", "Q"), (RayOf("P", "R"),)),
            Distance(PointOf("Q"), "<", 5.0),
        )
    )
)
GROUP = "solve"


def exact_area() -> float:
    region = solve(FIGURE, ASK).region
    assert region is not None
    return region.area


def by_polygons(quarter: int) -> float:
    """The area by shapely with ``quarter`` vertices to a quarter of the disc."""
    import shapely

    half = (P.angle() + (R - P).angle()) / 2
    far = 50.0
    nearer = shapely.Polygon([P, Q * 6.0, Point(far * math.cos(half), far * math.sin(half))])
    disc = shapely.Point(Q).buffer(5.0, quad_segs=quarter)
    return float(shapely.Polygon([P, Q, R]).intersection(nearer).intersection(disc).area)


def enough() -> int:
    """The first doubling of 16 whose relative area error is below 1e-6."""
    exact = exact_area()
    quarter = 16
    while abs(by_polygons(quarter) - exact) > 1e-6 * exact:
        quarter *= 2
    return quarter


def test_the_two_routes_measure_the_same_region() -> None:
    assert by_polygons(enough()) == pytest.approx(exact_area(), rel=1e-6)


@pytest.mark.benchmark(group=GROUP)
def test_exact_route(benchmark: Any) -> None:
    benchmark.extra_info["what"] = "solving a region of three conditions, area and boundary"
    assert benchmark(solve, FIGURE, ASK).region.area > 0


@pytest.mark.benchmark(group=GROUP)
def test_polygon_route(benchmark: Any) -> None:
    benchmark.extra_info["baseline"] = "the shapely route to 1e-6 of the area"
    assert benchmark(by_polygons, enough()) > 0
