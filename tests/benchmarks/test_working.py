"""How long planning and the error budget take, beside one evaluation without errors."""

from __future__ import annotations

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from millimark.loci.conditions import AtDistance, DrawLocus, Equidistant, PointOf, SegmentOf
from millimark.loci.figure import Figure
from millimark.loci.solve import solve
from millimark.plane.point import Point
from millimark.working.budget import fairness
from millimark.working.catalogue import construct
from millimark.working.execute import NoErrors, execute
from millimark.working.instruments import Instruments
from millimark.working.optimise import optimised
from millimark.working.plan import plan
from millimark.working.spread import acts_of

ROOM = (17.0, 15.0)
POINTS = Figure({"A": Point(0, 0), "B": Point(8, 0)})
BISECTOR = DrawLocus(Equidistant((PointOf("A"), PointOf("B"))))
SEGMENT = Figure({"A": Point(0, 0), "B": Point(6, 0)}, segments=(("A", "B"),))
ROUND = DrawLocus(AtDistance(SegmentOf("A", "B"), 2.0))


@pytest.mark.parametrize(("figure", "ask"), [(POINTS, BISECTOR), (SEGMENT, ROUND)])
def test_plan(benchmark: BenchmarkFixture, figure: Figure, ask: DrawLocus) -> None:
    answer = solve(figure, ask)
    benchmark(plan, figure, [answer], Instruments(), ROOM)


def test_ten_thousand_hands(benchmark: BenchmarkFixture) -> None:
    """Six acts of a bisector (set, four arcs, rule): asked to be under 0.2 s."""
    answer = solve(POINTS, BISECTOR)
    working = plan(POINTS, [answer], Instruments(), ROOM)
    benchmark(fairness, POINTS, [answer], working, 2.0)


def test_one_exact_hand(benchmark: BenchmarkFixture) -> None:
    """The baseline: the same acts by one hand that makes no error."""
    working = plan(POINTS, [solve(POINTS, BISECTOR)], Instruments(), ROOM)
    benchmark(execute, POINTS.points, acts_of(working), NoErrors())


@pytest.mark.parametrize("name", ["incircle", "pentagon in a circle"])
def test_construct(benchmark: BenchmarkFixture, name: str) -> None:
    benchmark(construct, name)


def test_optimise(benchmark: BenchmarkFixture) -> None:
    benchmark(optimised, "parallel through a point")
