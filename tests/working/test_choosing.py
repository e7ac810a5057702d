"""The choice of free radii: closed forms against the executor, the choice against brute force."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

import numpy as np
import pytest

from millimark.errors import PlanError
from millimark.loci.figure import Figure
from millimark.plane.boxes import Box
from millimark.plane.curves import Arc, Segment
from millimark.plane.point import Point
from millimark.working.acts import MarkPoint, RuleLine, SetCompasses, StrikeArc
from millimark.working.angle_bisectors import APART
from millimark.working.bounds import extent
from millimark.working.catalogue import CATALOGUE, Built, construct
from millimark.working.choosing import angle_spread, bisector_spread, lattice
from millimark.working.hands import HANDS
from millimark.working.instruments import Instruments
from millimark.working.optimise import forced, optimised, result_spread
from millimark.working.spread import Place, acts_of, sensitivities

INSTRUMENTS = Instruments(protractor=False)


def sd_along(built: Built, from_: Point, direction: Point, reach: float) -> float:
    """The executor's first-order spread of the constructed line at ``reach`` along it."""
    ink = built.result if isinstance(built.result, str) else built.result[0]
    place = Place("", ink, from_ + direction * reach, direction.left())
    figure = built.bench.figure
    return float(sensitivities(figure, built.working, [place], HANDS["careful"]).sd[0])


def apart(d: float) -> Figure:
    return Figure({"A": Point(0, 0), "B": Point(d, 0)}, segments=(("A", "B"),))


def arms(length: float, degrees: float) -> Figure:
    tip = Point(0, 0).polar(length, math.radians(degrees))
    return Figure(
        {"A": Point(0, 0), "B": Point(length, 0), "C": tip}, segments=(("A", "B"), ("A", "C"))
    )


UP = Point(0.0, 1.0)


@pytest.mark.parametrize(("d", "r", "reach"), [(8, 6, 3.5), (8, 4.5, 5), (3, 9, 2), (11, 6, 0.5)])
def test_bisector_spread_is_the_executors(d: float, r: float, reach: float) -> None:
    built = construct("perpendicular bisector", apart(d), INSTRUMENTS, choose=forced([r]))
    sd = sd_along(built, Point(d / 2, 0), UP, reach)
    assert bisector_spread(d, r, reach) == pytest.approx(sd, rel=0.01)


@pytest.mark.parametrize(
    ("degrees", "r1", "r2", "reach"),
    [(50, 5, 5, 6), (50, 4, 3, 8), (110, 3, 6, 4), (30, 6, 2.5, 7), (90, 4, 4, 9)],
)
def test_angle_spread_is_the_executors(degrees: float, r1: float, r2: float, reach: float) -> None:
    built = construct("angle bisector", arms(7, degrees), INSTRUMENTS, choose=forced([r1, r2]))
    direction = Point(0, 0).polar(1, math.radians(degrees / 2))
    sd = sd_along(built, Point(0, 0), direction, reach)
    assert angle_spread(r1, r2, math.radians(degrees / 2), reach) == pytest.approx(sd, rel=0.01)


def inside(built: Built, room: Box) -> bool:
    box = extent(built.working)
    return room.holds_box(box)


def crossings_show(built: Built) -> bool:
    """The last crossing stands clear of the arc about the vertex, as the planner wants."""
    arcs = [a.arc for a in acts_of(built.working) if isinstance(a, StrikeArc)]
    first: Arc = arcs[0]
    line = next(a.segment for a in acts_of(built.working) if isinstance(a, RuleLine))
    assert isinstance(line, Segment)
    tips = [p for p in built.bench.points.values() if line.distance_to(p) < 1e-7]
    far = max(p.distance(first.centre) for p in tips)
    return abs(far - first.radius) >= APART


def brute_bisector(d: float, room: Box) -> Iterator[float]:
    for r in np.linspace(0.52 * d, 12.0, 60):
        built = construct("perpendicular bisector", apart(d), INSTRUMENTS, room, forced([r]))
        if inside(built, room):
            limit = min(3.5, room.y1, -room.y0)
            yield sd_along(built, Point(d / 2, 0), UP, limit)


@pytest.mark.parametrize("d", [2.5, 5.0, 8.0, 10.5])
@pytest.mark.parametrize("half_height", [5.0, 9.0])
def test_the_opening_is_within_five_percent_of_brute_force(d: float, half_height: float) -> None:
    room = Box(-4.0, -half_height, d + 4.0, half_height)
    built = construct("perpendicular bisector", apart(d), INSTRUMENTS, room)
    assert inside(built, room)
    chosen = sd_along(built, Point(d / 2, 0), UP, min(3.5, half_height))
    assert chosen <= 1.05 * min(brute_bisector(d, room))


@pytest.mark.parametrize(("length", "degrees"), [(7.0, 50.0), (4.0, 100.0), (8.0, 35.0)])
def test_both_openings_are_within_five_percent_of_brute_force(
    length: float, degrees: float
) -> None:
    figure, room = arms(length, degrees), Box(-4.0, -3.0, 10.0, 9.0)
    direction = Point(0, 0).polar(1, math.radians(degrees / 2))
    built = construct("angle bisector", figure, INSTRUMENTS, room)
    assert inside(built, room)
    chosen = sd_along(built, Point(0, 0), direction, 6.0)
    best = math.inf
    for r1, r2 in itertools.product(np.linspace(1, length - 0.2, 16), np.linspace(1, 12, 24)):
        if r2 < 1.04 * r1 * math.sin(math.radians(degrees / 2)):
            continue
        tried = construct("angle bisector", figure, INSTRUMENTS, room, forced([r1, r2]))
        if inside(tried, room) and crossings_show(tried):
            best = min(best, sd_along(tried, Point(0, 0), direction, 6.0))
    assert chosen <= 1.05 * best


TRIES = {1: 60, 2: 9, 3: 4}
"""Values tried of each free quantity; of more than three, a random sample is tried."""


def free_ranges(name: str) -> list[tuple[float, float]]:
    found: list[tuple[float, float]] = []

    def note(_name: str, low: float, high: float, good: float) -> float:
        found.append((low, high))
        return good

    construct(name, instruments=INSTRUMENTS, choose=note)
    return found


def brute(ranges: list[tuple[float, float]]) -> Iterator[tuple[float, ...]]:
    if len(ranges) in TRIES:
        count = TRIES[len(ranges)]
        yield from itertools.product(*(np.linspace(low, high, count) for low, high in ranges))
        return
    rng = np.random.default_rng(4)
    for _ in range(100):
        yield tuple(float(rng.uniform(low, high)) for low, high in ranges)


@pytest.mark.parametrize("name", [name for name in CATALOGUE if free_ranges(name)])
def test_the_search_is_within_five_percent_of_brute_force(name: str) -> None:
    """Whole millimetres against any opening."""
    found = optimised(name, instruments=INSTRUMENTS)
    room = construct(name, instruments=INSTRUMENTS).bench.room
    assert inside(found, room)
    best = math.inf
    for values in brute(free_ranges(name)):
        try:
            tried = construct(name, None, INSTRUMENTS, room, forced(values))
        except PlanError:
            continue
        if inside(tried, room):
            best = min(best, result_spread(tried, HANDS["careful"]))
    assert result_spread(found, HANDS["careful"]) <= 1.05 * best


def test_what_the_search_takes_is_whole_millimetres() -> None:
    for name in ("angle of 60°", "incircle", "copy an angle"):
        acts = acts_of(optimised(name, instruments=INSTRUMENTS).working)
        free = [a.radius for a in acts if isinstance(a, SetCompasses) and a.free]
        assert free
        assert all(abs(10 * r - round(10 * r)) < 1e-9 for r in free)


def test_openings_are_whole_millimetres() -> None:
    assert lattice(1.0, 1.35) == [1.0, 1.1, 1.2, 1.3]
    assert lattice(1.02, 1.08) == []


def test_the_same_opening_is_kept_for_the_next_construction() -> None:
    """Two bisectors in a triangle: the compasses are set once, the needle put on B once."""
    figure = Figure({"A": Point(-4, 0), "B": Point(0, 4), "C": Point(3.2, -2.4)})
    acts = acts_of(construct("centre of a circle", figure, INSTRUMENTS).working)
    assert sum(type(act).__name__ == "SetCompasses" for act in acts) == 1


@pytest.mark.parametrize("name", ["angle of 60°", "angle of 45°", "copy an angle"])
def test_cuts_show_before_the_printed_end_of_the_arm(name: str) -> None:
    """Even where a longer opening would be truer."""
    built = optimised(name, instruments=INSTRUMENTS)
    cuts = [a.at for a in acts_of(built.working) if isinstance(a, MarkPoint) and not a.shown]
    assert cuts
    assert built.bench.clutter(cuts) == 0
