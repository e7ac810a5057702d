"""Random regions against shapely 2.2 (GEOS): areas by polygons, membership by its distances.

MILLIMARK_REGIONS=2000 in the environment compares that many regions instead of a quick 160.
"""

from __future__ import annotations

import math
import os
from random import Random

import pytest
import shapely

from millimark.loci.conditions import (
    AllOf,
    AngleCompared,
    AnyOf,
    BearingBetween,
    CircleOf,
    Condition,
    DiscOf,
    Distance,
    Inside,
    Nearer,
    Not,
    PolygonOf,
    RatioCompared,
    SameSide,
    ShadeRegion,
    SumCompared,
)
from millimark.loci.figure import Figure
from millimark.loci.solve import membership, solve
from millimark.plane.point import Point

from .polygons import half_plane, polygon_of, shape_of, wedge
from .strategies import random_condition, random_figure

REGIONS = int(os.environ.get("MILLIMARK_REGIONS", "160"))


@pytest.mark.parametrize("block", range(10))
def test_areas_of_random_regions(block: int) -> None:
    for seed in range(block * REGIONS // 10, (block + 1) * REGIONS // 10):
        rng = Random(seed)
        figure, condition = random_figure(rng), random_condition(rng)
        answer = solve(figure, ShadeRegion(condition))
        theirs = polygon_of(figure, condition)
        # Every sampled boundary strays by a small part of the 0.1 cm between samples.
        sampling = 3e-3 * max(1.0, theirs.length)
        assert answer.region is not None
        assert answer.region.bounded, seed
        assert answer.region.area == pytest.approx(theirs.area, abs=sampling), seed
        check_measures_agree(answer.region, seed)


def check_measures_agree(region: object, seed: int) -> None:
    """The loops, sampled and polygonised by shapely, have the area that was stated."""
    rings = []
    for loop in region.loops:  # type: ignore[attr-defined]
        xy = [p for c in loop for p in c.sampled(1e-5)[:-1]]
        rings.append(shapely.LinearRing(xy))
        for c, d in zip(loop, [*loop[1:], loop[0]], strict=True):
            assert c.end.distance(d.start) < 1e-6, seed
    signed = sum(shapely.Polygon(r).area * (1 if shapely.is_ccw(r) else -1) for r in rings)
    length = sum(r.length for r in rings)
    assert region.area == pytest.approx(signed, abs=1e-4 * max(1.0, length)), seed  # type: ignore[attr-defined]
    assert region.perimeter == pytest.approx(length, rel=1e-4, abs=1e-4), seed  # type: ignore[attr-defined]


def truth(figure: Figure, condition: Condition, p: Point) -> bool | None:
    """By shapely's distances; None within 1e-6 of a border (too close to say)."""
    at = shapely.Point(p)
    match condition:
        case AllOf(parts):
            found = [truth(figure, c, p) for c in parts]
            return False if False in found else None if None in found else True
        case AnyOf(parts):
            found = [truth(figure, c, p) for c in parts]
            return True if True in found else None if None in found else False
        case Not(inner):
            inside = truth(figure, inner, p)
            return None if inside is None else not inside
        case Distance(feature, relation, length):
            gap = length - distance(figure, feature, p)
            return sign(gap if relation in ("<", "<=") else -gap)
        case Inside(PolygonOf() as shape):
            polygon = shape_of(figure, shape)
            return None if polygon.exterior.distance(at) < 1e-6 else polygon.contains(at)
        case Inside(shape):
            given = figure.circles[0]
            return sign(given.radius - given.centre.distance(p))
        case SameSide(line, of):
            return bool(half_plane(figure, line, of).contains(at))
        case Nearer(to, than):
            gaps = [distance(figure, t, p) - distance(figure, to, p) for t in than]
            return sign(min(gaps))
    return compared_truth(figure, condition, p)


def sign(v: float) -> bool | None:
    return None if abs(v) < 1e-6 else v > 0


def compared_truth(figure: Figure, condition: Condition, p: Point) -> bool | None:
    match condition:
        case SumCompared(a, b, relation, total):
            both = sum(figure.points[x.label].distance(p) for x in (a, b))
            return sign(total - both if relation in ("<", "<=") else both - total)
        case RatioCompared(a, b, relation, ratio):
            gap = figure.points[a.label].distance(p) - ratio * figure.points[b.label].distance(p)
            return sign(-gap if relation in ("<", "<=") else gap)
        case AngleCompared(a, b, relation, angle):
            one, two = figure.points[a.label] - p, figure.points[b.label] - p
            cosine = one.dot(two) / (one.norm() * two.norm())
            gap = math.acos(min(max(cosine, -1.0), 1.0)) - math.radians(angle)
            return sign(-gap if relation in ("<", "<=") else gap)
        case BearingBetween(of, first, last):
            region = wedge(figure.points[of.label], first, last)
            return (
                None
                if region.exterior.distance(shapely.Point(p)) < 1e-6
                else region.contains(shapely.Point(p))
            )
    raise TypeError(condition)


def distance(figure: Figure, feature: object, p: Point) -> float:
    if isinstance(feature, CircleOf | DiscOf):
        given = figure.circles[0]
        gap = given.centre.distance(p) - given.radius
        return abs(gap) if isinstance(feature, CircleOf) else max(gap, 0.0)
    return float(shape_of(figure, feature).distance(shapely.Point(p)))  # type: ignore[arg-type]


@pytest.mark.parametrize("block", range(10))
def test_membership_at_random_points(block: int) -> None:
    for seed in range(block * REGIONS // 10, (block + 1) * REGIONS // 10):
        rng = Random(seed)
        figure, condition = random_figure(rng), random_condition(rng)
        inside = membership(figure, condition)
        for _ in range(100):
            p = Point(rng.uniform(-6, 18), rng.uniform(-6, 15))
            expected = truth(figure, condition, p)
            if expected is not None:
                assert inside(p) == expected, (seed, p)
