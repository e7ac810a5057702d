"""Random figures and conditions: by seed for the long comparisons, and for Hypothesis."""

from __future__ import annotations

import math
from random import Random

from hypothesis import strategies as st

from millimark.loci.conditions import (
    AllOf,
    AngleCompared,
    AnyOf,
    BearingBetween,
    CircleOf,
    Condition,
    DiscOf,
    Distance,
    Feature,
    Inside,
    LineOf,
    Nearer,
    Not,
    PointOf,
    PolygonOf,
    PolylineOf,
    RatioCompared,
    RayOf,
    Relation,
    SameSide,
    SegmentOf,
    SidesOf,
    SumCompared,
)
from millimark.loci.figure import Figure, GivenCircle
from millimark.plane.point import Point

QUAD = ("P", "Q", "R", "S")


def random_figure(rng: Random) -> Figure:
    """Five free points, a star-shaped quadrilateral PQRS and a circle c, within 12 x 9 cm."""
    points: dict[str, Point] = {}
    for label in "ABCDE":
        while True:
            p = Point(rng.uniform(0, 12), rng.uniform(0, 9))
            if all(p.distance(q) > 0.8 for q in points.values()):
                points[label] = p
                break
    centre = Point(rng.uniform(4, 8), rng.uniform(3, 6))
    start = rng.uniform(0, 6)
    for i, label in enumerate(QUAD):
        angle = start + i * math.pi / 2 + rng.uniform(-0.5, 0.5)
        points[label] = centre.polar(rng.uniform(1.2, 4), angle)
    middle = Point(rng.uniform(3, 9), rng.uniform(2, 7))
    circle = GivenCircle("c", middle, rng.uniform(0.8, 3))
    return Figure(points=points, polygons=(QUAD,), circles=(circle,))


def random_feature(rng: Random, circles: bool = True) -> Feature:
    """Any feature of ``random_figure``'s figures."""
    a, b = rng.sample("ABCDE", 2)
    choices: list[Feature] = [
        PointOf(a),
        PointOf(a),
        SegmentOf(a, b),
        SegmentOf(a, b),
        RayOf(a, b),
        LineOf(a, b),
        PolylineOf(("C", "D", "E")),
        PolygonOf(QUAD),
        SidesOf(QUAD),
    ]
    if circles:
        choices += [CircleOf("c"), DiscOf("c")]
    return rng.choice(choices)


def overlap(f: Feature, g: Feature) -> bool:
    """Whether two features may share more than a point: sampling cannot compare those."""
    return len(labels(f) & labels(g)) > 1 or f == g or "c" in labels(f) & labels(g)


def labels(feature: Feature) -> set[str]:
    match feature:
        case PointOf(a):
            return {a}
        case SegmentOf(a, b) | RayOf(a, b) | LineOf(a, b):
            return {a, b}
        case PolylineOf(ring) | PolygonOf(ring) | SidesOf(ring):
            return set(ring)
    return {feature.name}


def random_leaf(rng: Random) -> Condition:
    """One comparison."""
    kind = rng.randrange(20)
    if kind < 9:
        return Distance(random_feature(rng), random_relation(rng), rng.uniform(0.4, 4))
    if kind < 14:
        while True:
            to, than = random_feature(rng), random_feature(rng)
            if not overlap(to, than):
                return Nearer(to, (than,), rng.random() < 0.5)
    if kind < 16:
        return Inside(rng.choice((PolygonOf(QUAD), CircleOf("c"))), rng.random() < 0.5)
    a, b, c = (PointOf(x) for x in rng.sample("ABCDE", 3))
    if kind == 16:
        return SameSide(LineOf(a.label, b.label), c)
    if kind == 17:
        return SumCompared(a, b, random_relation(rng), rng.uniform(4, 14))
    if kind == 18:
        return RatioCompared(a, b, random_relation(rng), rng.uniform(0.3, 3))
    if rng.random() < 0.5:
        return AngleCompared(a, b, random_relation(rng), rng.uniform(20, 160))
    start = rng.uniform(0, 360)
    return BearingBetween(a, start, start + rng.uniform(10, 350), rng.random() < 0.5)


def random_relation(rng: Random) -> Relation:
    relations: tuple[Relation, ...] = ("<", "<=", ">", ">=")
    return rng.choice(relations)


def random_condition(rng: Random, leaves: int | None = None) -> Condition:
    """A boolean of two to four comparisons, kept within 10 cm of A."""
    n = leaves or rng.randint(2, 4)
    parts = [random_leaf(rng) for _ in range(n)]
    while len(parts) > 1:
        a, b = parts.pop(), parts.pop()
        if rng.random() < 0.2:
            a = Not(a)
        parts.insert(0, AllOf((a, b)) if rng.random() < 0.7 else AnyOf((a, b)))
    return AllOf((parts[0], Distance(PointOf("A"), "<", 10.0)))


seeds = st.integers(min_value=0, max_value=10**6)
angles = st.floats(min_value=-math.pi, max_value=math.pi)
scales = st.floats(min_value=0.05, max_value=20.0)
shifts = st.tuples(st.floats(min_value=-50, max_value=50), st.floats(min_value=-50, max_value=50))
