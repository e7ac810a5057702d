"""What a plan shares it does once; what it cannot meet it says."""

from __future__ import annotations

from dataclasses import replace

import pytest

from millimark.loci.conditions import (
    AllOf,
    AtDistance,
    Distance,
    DrawLocus,
    Equidistant,
    LineOf,
    Nearer,
    PointOf,
    ShadeRegion,
)
from millimark.loci.figure import Figure
from millimark.loci.solve import solve
from millimark.plane.point import Point
from millimark.working.acts import SetCompasses, StrikeArc
from millimark.working.bench import NEAR_PRINT
from millimark.working.geometrography import count
from millimark.working.instruments import Instruments
from millimark.working.plan import plan
from millimark.working.spread import acts_of

ROOM = (18.0, 18.0)
TRIANGLE = Figure({"A": Point(0, 0), "B": Point(7, 0), "C": Point(3, 6)})


def bisector(a: str, b: str) -> DrawLocus:
    return DrawLocus(Equidistant((PointOf(a), PointOf(b))))


def test_bisectors_of_one_triangle_share_opening_and_needle() -> None:
    """Together simpler than apart (7 + 7 by Lemoine's count)."""
    answers = [solve(TRIANGLE, bisector(*pair)) for pair in (("A", "B"), ("B", "C"))]
    together = acts_of(plan(TRIANGLE, answers, Instruments(), ROOM))
    apart = [acts_of(plan(TRIANGLE, [a], Instruments(), ROOM)) for a in answers]
    assert sum(isinstance(a, SetCompasses) for a in together) == 1
    assert count(together).simplicity < sum(count(a).simplicity for a in apart)


def test_a_circle_of_the_answer_serves_as_an_arc() -> None:
    """The circle about A and the bisector of AB share the opening and the circle itself."""
    figure = Figure({"A": Point(0, 0), "B": Point(8, 0)})
    asks = [DrawLocus(AtDistance(PointOf("A"), 5.5)), bisector("A", "B")]
    acts = acts_of(plan(figure, [solve(figure, a) for a in asks], Instruments(), ROOM))
    assert sum(isinstance(a, SetCompasses) for a in acts) == 1
    arcs = [a for a in acts if isinstance(a, StrikeArc)]
    assert [(a.centre, a.role) for a in arcs] == [
        ("A", "answer"), ("B", "construction"), ("B", "construction"),
    ]  # fmt: skip


def test_an_element_that_bounds_nothing_is_not_drawn() -> None:
    """A circle of 1 cm about a point 6 cm beyond the bisector leaves the region alone."""
    figure = Figure({"A": Point(0, 0), "B": Point(8, 0)}, segments=(("A", "B"),))
    near = Nearer(PointOf("A"), (PointOf("B"),))
    ask = ShadeRegion(AllOf((near, Distance(PointOf("A"), "<", 3.0))))
    working = plan(figure, [solve(figure, ask)], Instruments(), ROOM)
    assert [s.element for s in working.steps] == ["circle, centre A, radius 3 cm"]


def test_crossings_keep_clear_of_printed_points() -> None:
    """C stands where the best arcs for A and B would cross."""
    free = Figure({"A": Point(0, 0), "B": Point(6, 0)})
    answer = solve(free, bisector("A", "B"))
    plain = plan(free, [answer], Instruments(), ROOM)
    cross = next(a.at for a in acts_of(plain) if type(a).__name__ == "MarkPoint")
    crowded = replace(free, points={**free.points, "C": cross + Point(0.2, 0.0)})
    moved = plan(crowded, [answer], Instruments(), ROOM)
    places = [a.at for a in acts_of(moved) if type(a).__name__ == "MarkPoint"]
    assert min(p.distance(crowded.points["C"]) for p in places) >= NEAR_PRINT


def test_flat_crossings_are_told() -> None:
    """Points 1.1 cm apart and compasses that close to 4 cm: arcs cross at a small angle."""
    figure = Figure({"A": Point(0, 0), "B": Point(1.1, 0)})
    working = plan(
        figure, [solve(figure, bisector("A", "B"))], Instruments(compasses_min_cm=4.0), ROOM
    )
    assert any("cross at only" in note for note in working.notes)
    good = plan(TRIANGLE, [solve(TRIANGLE, bisector("A", "B"))], Instruments(), ROOM)
    assert good.notes == ()


@pytest.mark.parametrize("count_of_asks", [2, 3])
def test_the_same_ask_again_adds_no_act(count_of_asks: int) -> None:
    answer = solve(TRIANGLE, bisector("A", "B"))
    once = acts_of(plan(TRIANGLE, [answer], Instruments(), ROOM))
    assert acts_of(plan(TRIANGLE, [answer] * count_of_asks, Instruments(), ROOM)) == once


def test_evidence_says_where_unprinted_centres_stand() -> None:
    """Two lines that cross at a place without a letter; each bisector's evidence has its name."""
    figure = Figure(
        {"A": Point(-5, -1), "B": Point(5, 1), "C": Point(-4, 3), "D": Point(-2, 1.5)},
        lines=(("A", "B"), ("C", "D")),
    )
    ask = DrawLocus(Equidistant((LineOf("A", "B"), LineOf("C", "D"))))
    steps = plan(figure, [solve(figure, ask)], Instruments(), ROOM).steps
    evidence = [e for step in steps for e in step.evidence]
    assert len({e.name for e in evidence}) == len(evidence) == 2
    for one in evidence:
        places = dict(figure.points) | dict(one.unprinted)
        vertex, *arms = (places[name] for name in one.centres)
        assert vertex.distance(Point(0.0, 0.0)) < 1e-9
        assert all(arm.distance(vertex) > 0.1 for arm in arms)
