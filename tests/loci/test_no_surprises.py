"""Any ask on any figure, sensible or not, ends in an answer or a MillimarkError."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from random import Random

import pytest

from millimark.errors import MillimarkError
from millimark.loci.conditions import (
    AllOf,
    AngleAt,
    AngleCompared,
    AngleOf,
    AnyOf,
    AreaOf,
    Ask,
    AtDistance,
    BearingBetween,
    BearingOf,
    ChordMidpoints,
    CircleOf,
    Circumcircle,
    Condition,
    DiscOf,
    Distance,
    DrawLocus,
    Equidistant,
    Feature,
    FootOfPerpendicular,
    Greatest,
    Incircle,
    Inside,
    Ladder,
    LengthOf,
    LineOf,
    Locus,
    MarkPoints,
    Measure,
    MidpointsFrom,
    Nearer,
    Not,
    OnBearing,
    Parallel,
    Perpendicular,
    PointOf,
    PolygonOf,
    PolylineOf,
    RatioCompared,
    RatioOfDistances,
    RayOf,
    RimPoint,
    RollingShape,
    RopeEnd,
    SameSide,
    SegmentOf,
    ShadeRegion,
    Shortest,
    SidesOf,
    Subtends,
    SumCompared,
    SumOfDistances,
    Tangents,
    WheelCentre,
    WithinRope,
)
from millimark.loci.figure import Figure, GivenCircle
from millimark.loci.portable import as_json
from millimark.loci.solve import solve
from millimark.plane.point import Point

LABELS = "ABCDEF"


def figure(rng: Random) -> Figure:
    """Points on a coarse grid, so that many coincide, line up or are at right angles."""
    size = rng.choice((1.0, 1.0, 1.0, 1e-5, 1e4))
    points = {x: Point(rng.randint(0, 4) * size, rng.randint(0, 3) * size) for x in LABELS}
    circles = tuple(
        GivenCircle(name, Point(rng.randint(0, 4) * size, rng.randint(0, 3) * size), r * size)
        for name, r in (("c", rng.choice((0.0, 1.0, 2.0))), ("d", rng.choice((0.5, 1.0))))
    )
    return Figure(points=points, circles=circles)


def length(rng: Random) -> float:
    return rng.choice((0.0, 0.5, 1.0, 1.0, 2.0, 2.5, 3.0, math.sqrt(2), 1e-9, 1e5, -1.0, math.nan))


def point(rng: Random) -> PointOf:
    return PointOf(rng.choice(LABELS if rng.random() < 0.98 else "Z"))


def pair(rng: Random) -> tuple[str, str]:
    return rng.choice(LABELS), rng.choice(LABELS)


def ring(rng: Random) -> tuple[str, ...]:
    return tuple(rng.sample(LABELS, rng.randint(3, 4)))


def feature(rng: Random) -> Feature:
    makers: list[Callable[[], Feature]] = [
        lambda: point(rng),
        lambda: SegmentOf(*pair(rng)),
        lambda: RayOf(*pair(rng)),
        lambda: LineOf(*pair(rng)),
        lambda: PolylineOf(ring(rng)),
        lambda: PolygonOf(ring(rng)),
        lambda: SidesOf(ring(rng)),
        lambda: CircleOf(rng.choice("cd")),
        lambda: DiscOf(rng.choice("cd")),
    ]
    return rng.choice(makers)()


def condition(rng: Random, depth: int = 2) -> Condition:
    relation = rng.choice(("<", "<=", ">", ">="))
    makers: list[Callable[[], Condition]] = [
        lambda: Distance(feature(rng), relation, length(rng)),
        lambda: Nearer(feature(rng), (feature(rng),), rng.random() < 0.5),
        lambda: Inside(PolygonOf(ring(rng)), rng.random() < 0.5),
        lambda: Inside(CircleOf("c")),
        lambda: SameSide(LineOf(*pair(rng)), point(rng)),
        lambda: SumCompared(point(rng), point(rng), relation, length(rng)),
        lambda: RatioCompared(point(rng), point(rng), relation, length(rng)),
        lambda: AngleCompared(point(rng), point(rng), relation, 60 * length(rng)),
        lambda: BearingBetween(point(rng), 90 * length(rng), 60 * length(rng)),
        lambda: WithinRope(point(rng), length(rng), (PolygonOf(ring(rng)), DiscOf("d"))),
        lambda: WithinRope(point(rng), length(rng), (PolygonOf(ring(rng)),)),
    ]
    if depth:
        makers += [
            lambda: AllOf((condition(rng, depth - 1), condition(rng, depth - 1))),
            lambda: AnyOf((condition(rng, depth - 1), condition(rng, depth - 1))),
            lambda: Not(condition(rng, depth - 1)),
        ] * 3
    return rng.choice(makers)()


def locus(rng: Random) -> Locus:
    makers: list[Callable[[], Locus]] = [
        lambda: AtDistance(feature(rng), length(rng)),
        lambda: Equidistant((feature(rng), feature(rng))),
        lambda: Equidistant((feature(rng), feature(rng), feature(rng))),
        lambda: SumOfDistances(point(rng), point(rng), length(rng)),
        lambda: RatioOfDistances(point(rng), point(rng), length(rng)),
        lambda: Subtends(point(rng), point(rng), 60 * length(rng)),
        lambda: Perpendicular(LineOf(*pair(rng)), point(rng)),
        lambda: Parallel(LineOf(*pair(rng)), point(rng)),
        lambda: AngleAt(point(rng), point(rng), 60 * length(rng), rng.choice((None, point(rng)))),
        lambda: OnBearing(point(rng), 90 * length(rng)),
        lambda: Tangents(CircleOf("c"), point(rng)),
        lambda: Circumcircle((*pair(rng), rng.choice(LABELS))),
        lambda: Incircle((*pair(rng), rng.choice(LABELS))),
        lambda: MidpointsFrom(point(rng), SidesOf(ring(rng)), length(rng)),
        lambda: FootOfPerpendicular(point(rng), point(rng)),
        lambda: ChordMidpoints(CircleOf("c"), length(rng)),
        lambda: ChordMidpoints(CircleOf("c"), through=point(rng)),
        lambda: Ladder(point(rng), point(rng), point(rng), length(rng), length(rng) / 3),
        lambda: RollingShape(PolygonOf(ring(rng)), LineOf(*pair(rng)), point(rng)),
        lambda: RollingShape(PolygonOf(ring(rng)), PolygonOf(ring(rng)), None, 3),
        lambda: WheelCentre(length(rng), PolygonOf(ring(rng)), rng.random() < 0.5),
        lambda: WheelCentre(length(rng), CircleOf("c"), rng.random() < 0.5),
        lambda: RimPoint(length(rng), point(rng), point(rng), length(rng)),
        lambda: RopeEnd(point(rng), length(rng), (PolygonOf(ring(rng)),)),
    ]
    return rng.choice(makers)()


def ask(rng: Random) -> Ask:
    def thing() -> Feature | Locus | Condition:
        return rng.choice((feature, locus, condition))(rng)

    makers: list[Callable[[], Ask]] = [
        lambda: DrawLocus(locus(rng)),
        lambda: DrawLocus(locus(rng)),
        lambda: DrawLocus(locus(rng), condition(rng, 1)),
        lambda: ShadeRegion(condition(rng)),
        lambda: ShadeRegion(condition(rng)),
        lambda: MarkPoints((locus(rng), locus(rng))),
        lambda: Measure(Shortest(thing(), thing())),
        lambda: Measure(Greatest(thing(), thing())),
        lambda: Measure(LengthOf(locus(rng))),
        lambda: Measure(AreaOf(condition(rng))),
        lambda: Measure(AngleOf(point(rng), point(rng), point(rng))),
        lambda: Measure(BearingOf(point(rng), point(rng))),
    ]
    return rng.choice(makers)()


@pytest.mark.parametrize("block", range(6))
def test_any_ask_ends_in_an_answer_or_a_clear_error(block: int) -> None:
    refused = answered = 0
    for seed in range(block * 100, block * 100 + 100):
        rng = Random(seed)
        given, wanted = figure(rng), ask(rng)
        try:
            answer = solve(given, wanted)
        except MillimarkError:
            refused += 1
            continue
        answered += 1
        json.dumps(as_json(answer), allow_nan=False)
        if answer.region is not None:
            assert answer.region.area >= -1e-9
            assert (answer.special == "empty") == answer.region.empty
    assert answered > refused / 2
