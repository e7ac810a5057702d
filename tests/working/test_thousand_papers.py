"""A thousand random papers: no act leaves the room or the instruments' reach, or a reason is
given and what would help."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from millimark.errors import FitError, PlanError
from millimark.loci.conditions import (
    AllOf,
    Ask,
    AtDistance,
    Distance,
    DrawLocus,
    Equidistant,
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
from millimark.working import extent
from millimark.working.acts import RuleLine, SetCompasses, Working
from millimark.working.instruments import Instruments
from millimark.working.plan import plan
from millimark.working.spread import acts_of

PAPERS = 1000
SLACK = 1e-7  # cm
Rng = np.random.Generator
Case = tuple[Figure, Ask]


def somewhere(rng: Rng, d: float = 4.0) -> Point:
    return Point(*rng.uniform(-d, d, 2).tolist())


def away(rng: Rng, p: Point, low: float, high: float) -> Point:
    return p.polar(rng.uniform(low, high), rng.uniform(-math.pi, math.pi))


def bisector(rng: Rng) -> Case:
    a = somewhere(rng)
    figure = Figure({"A": a, "B": away(rng, a, 1.0, 14.0)})
    return figure, DrawLocus(Equidistant((PointOf("A"), PointOf("B"))))


def angle(rng: Rng) -> Case:
    a, heading = somewhere(rng), rng.uniform(-math.pi, math.pi)
    turn = rng.uniform(math.radians(15), math.radians(165))
    points = {"A": a, "B": a.polar(rng.uniform(2, 10), heading)}
    points["C"] = a.polar(rng.uniform(2, 10), heading + turn)
    figure = Figure(points, segments=(("A", "B"), ("A", "C")))
    return figure, DrawLocus(Equidistant((RayOf("A", "B"), RayOf("A", "C"))))


def circle(rng: Rng) -> Case:
    figure = Figure({"A": somewhere(rng)})
    return figure, DrawLocus(AtDistance(PointOf("A"), rng.uniform(0.5, 9.0)))


def stadium(rng: Rng) -> Case:
    a = somewhere(rng)
    figure = Figure({"A": a, "B": away(rng, a, 1.0, 9.0)}, segments=(("A", "B"),))
    return figure, DrawLocus(AtDistance(SegmentOf("A", "B"), rng.uniform(0.8, 4.0)))


def lines(rng: Rng) -> Case:
    a, c = somewhere(rng), somewhere(rng)
    points = {"A": a, "B": away(rng, a, 3.0, 8.0), "C": c, "D": away(rng, c, 3.0, 8.0)}
    figure = Figure(points, lines=(("A", "B"), ("C", "D")))
    return figure, DrawLocus(Equidistant((LineOf("A", "B"), LineOf("C", "D"))))


def triangle_of(rng: Rng) -> Figure:
    p, heading = Point(0.0, 0.0), rng.uniform(-math.pi, math.pi)
    q = p.polar(rng.uniform(4, 10), heading)
    r = p.polar(rng.uniform(4, 10), heading + rng.uniform(0.5, 2.2))
    return Figure({"P": p, "Q": q, "R": r}, polygons=(("P", "Q", "R"),))


def outside(rng: Rng) -> Case:
    labels = ("P", "Q", "R")
    return triangle_of(rng), DrawLocus(AtDistance(PolygonOf(labels), rng.uniform(1.0, 3.0)))


def region(rng: Rng) -> Case:
    conditions = (
        Inside(PolygonOf(("P", "Q", "R"))),
        Nearer(PointOf("P"), (PointOf("Q"),)),
        Distance(PointOf("R"), ">", rng.uniform(1.5, 6.0)),
    )
    return triangle_of(rng), ShadeRegion(AllOf(conditions))


KINDS: tuple[Callable[[Rng], Case], ...] = (
    bisector, angle, circle, stadium, lines, outside, region,
)  # fmt: skip


def instruments_of(rng: Rng) -> Instruments:
    return Instruments(
        ruler_cm=float(rng.choice([15.0, 30.0])),
        compasses_cm=float(rng.choice([8.0, 10.0, 12.0, 15.0])),
        protractor=bool(rng.random() < 0.7),
        left_handed=bool(rng.random() < 0.15),
    )


def within_reach(working: Working, instruments: Instruments) -> bool:
    return all(
        instruments.compasses_min_cm - SLACK <= act.radius <= instruments.compasses_cm + SLACK
        if isinstance(act, SetCompasses)
        else act.segment.length <= instruments.ruler_cm + SLACK
        if isinstance(act, RuleLine)
        else True
        for act in acts_of(working)
    )


def test_a_thousand_random_papers_stay_on_the_page_or_say_why() -> None:
    rng = np.random.default_rng(20260)
    planned = 0
    for _ in range(PAPERS):
        figure, ask = KINDS[int(rng.integers(len(KINDS)))](rng)
        instruments = instruments_of(rng)
        room = (float(rng.uniform(9, 18)), float(rng.uniform(9, 25)))
        answer = solve(figure, ask)
        try:
            working = plan(figure, [answer], instruments, room, bool(rng.random() < 0.8))
        except (PlanError, FitError) as said:
            told = (said.message, said.hint)
        else:
            told = ("planned", "planned")
            planned += 1
            box = extent(working)
            assert box.width <= room[0] + SLACK
            assert box.height <= room[1] + SLACK
            assert within_reach(working, instruments)
        assert all(told)
    assert planned > 0.6 * PAPERS


def test_turning_the_page_is_offered_where_it_helps() -> None:
    """Points 1.2 cm apart in a room 9 cm wide and 1.7 cm high: no crossings above and below;
    the page turned holds them."""
    figure = Figure({"A": Point(0, 0), "B": Point(1.2, 0.0)})
    answer = solve(figure, DrawLocus(Equidistant((PointOf("A"), PointOf("B")))))
    with pytest.raises(PlanError) as said:
        plan(figure, [answer], Instruments(), (9.0, 1.7))
    assert said.value.hint.startswith("Turn the page to portrait.")


def test_the_longest_distance_that_works_is_said() -> None:
    """Compasses of 6 cm cross on both sides of points at most 2 x 6 / 1.04 = 11.5 cm apart."""
    figure = Figure({"A": Point(0, 0), "B": Point(13.0, 0.0)})
    answer = solve(figure, DrawLocus(Equidistant((PointOf("A"), PointOf("B")))))
    with pytest.raises(PlanError) as said:
        plan(figure, [answer], Instruments(compasses_cm=6.0), (18.0, 18.0))
    assert "at most 11.5 cm apart" in said.value.hint
