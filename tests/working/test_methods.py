"""Each locus has a working that reproduces it, or says that it is plotted by points."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from millimark.errors import FitError, PlanError
from millimark.loci.answer import Answer
from millimark.loci.conditions import (
    AngleAt,
    AtDistance,
    ChordMidpoints,
    Circumcircle,
    DrawLocus,
    Equidistant,
    FootOfPerpendicular,
    Incircle,
    LineOf,
    Locus,
    OnBearing,
    Parallel,
    Perpendicular,
    PointOf,
    RatioOfDistances,
    RimPoint,
    SegmentOf,
    Subtends,
    SumOfDistances,
    Tangents,
    WheelCentre,
)
from millimark.loci.features import CircleOf, PolygonOf
from millimark.loci.figure import Figure, GivenCircle
from millimark.loci.solve import solve
from millimark.plane.boxes import Box
from millimark.plane.point import Point
from millimark.working.acts import JoinMarks, MarkPoint, RuleLine, StrikeArc, Working
from millimark.working.bounds import extent
from millimark.working.budget import fairness
from millimark.working.execute import NoErrors, execute
from millimark.working.hands import HANDS
from millimark.working.instruments import Instruments
from millimark.working.plan import plan
from millimark.working.spread import acts_of, places, sensitivities, strays

EXACT = 1e-9  # cm
ROOM = (24.0, 24.0)
A, B, P = Point(0.0, 0.0), Point(6.0, 1.0), Point(2.0, 3.5)
LINE = Figure({"A": A, "B": B, "P": P}, lines=(("A", "B"),))
POINTS = Figure({"A": A, "B": B, "P": P})
TRIANGLE = Figure({"A": A, "B": B, "P": P}, polygons=(("A", "B", "P"),))
ROUND = Figure(
    {"O": A, "P": Point(5.0, 3.0), "Q": Point(2.0, 1.0)},
    circles=(GivenCircle("the pond", A, 2.5, "O"),),
)
ab = LineOf("A", "B")
a, b, p = PointOf("A"), PointOf("B"), PointOf("P")

CONSTRUCTED: list[tuple[str, Figure, Locus]] = [
    ("perpendicular from", LINE, Perpendicular(ab, p)),
    ("perpendicular at", LINE, Perpendicular(ab, a)),
    ("parallel", LINE, Parallel(ab, p)),
    ("angle", POINTS, AngleAt(a, b, 60.0)),
    ("odd angle", POINTS, AngleAt(a, b, 47.0, p)),
    ("bearing", POINTS, OnBearing(a, 70.0)),
    ("bearing west", POINTS, OnBearing(a, 250.0)),
    ("circumcircle", TRIANGLE, Circumcircle(("A", "B", "P"))),
    ("incircle", TRIANGLE, Incircle(("A", "B", "P"))),
    ("feet", POINTS, FootOfPerpendicular(a, b)),
    ("right angles", POINTS, Subtends(a, b, 90.0)),
    ("equal angles", POINTS, Subtends(a, b, 50.0)),
    ("ratio", POINTS, RatioOfDistances(a, b, 2.0)),
    ("tangents", ROUND, Tangents(CircleOf("the pond"), p)),
    ("chords", ROUND, ChordMidpoints(CircleOf("the pond"), length=3.0)),
    ("chords through", ROUND, ChordMidpoints(CircleOf("the pond"), through=PointOf("Q"))),
    ("wheel", TRIANGLE, WheelCentre(1.5, PolygonOf(("A", "B", "P")))),
    ("wheel on a line", LINE, WheelCentre(1.5, ab)),
    ("wheel inside", ROUND, WheelCentre(1.0, CircleOf("the pond"), inside=True)),
    ("round a circle", ROUND, AtDistance(CircleOf("the pond"), 1.0)),
]


@pytest.mark.parametrize(
    ("figure", "locus"), [case[1:] for case in CONSTRUCTED], ids=[case[0] for case in CONSTRUCTED]
)
def test_constructed_loci_are_exact(figure: Figure, locus: Locus) -> None:
    answer = solve(figure, DrawLocus(locus))
    working = plan(figure, [answer], Instruments(), ROOM)
    acts = acts_of(working)
    assert not any(isinstance(act, JoinMarks) for act in acts)
    where = places([answer], working)
    pieces = sum(len(e.needed) for e in answer.elements)
    assert len({(q.ink, q.normal) for q in where}) >= pieces
    assert np.abs(strays(execute(figure.points, acts, NoErrors()), where)).max() < EXACT
    assert all(step.reason for step in working.steps)
    box = extent(working)
    assert box.width <= ROOM[0] + EXACT
    assert box.height <= ROOM[1] + EXACT


@pytest.mark.parametrize(
    ("figure", "locus"), [case[1:] for case in CONSTRUCTED], ids=[case[0] for case in CONSTRUCTED]
)
def test_ink_stays_in_narrow_rooms_or_the_reason_is_told(figure: Figure, locus: Locus) -> None:
    answer = solve(figure, DrawLocus(locus))
    planned = 0
    for width, height in product((7.0, 10.0, 14.0), repeat=2):
        said = plan_or_reason(figure, answer, (width, height))
        if isinstance(said, str):
            assert said
            continue
        planned += 1
        box = extent(said)
        assert box.width <= width + 1e-7
        assert box.height <= height + 1e-7
    assert planned > 0


def plan_or_reason(figure: Figure, answer: Answer, room: tuple[float, float]) -> Working | str:
    try:
        return plan(figure, [answer], Instruments(), room)
    except (PlanError, FitError) as said:
        return said.hint


def test_a_working_that_needs_more_than_the_room_is_told() -> None:
    """A parallel 3 cm from a line, in a room only 4 cm high: the figure fits, its locus not."""
    figure = Figure({"A": Point(0, 0), "B": Point(6, 0)}, lines=(("A", "B"),))
    answer = solve(figure, DrawLocus(AtDistance(ab, 3.0)))
    with pytest.raises(PlanError, match="high; the room is"):
        plan(figure, [answer], Instruments(), (10.0, 4.0))


def test_a_perpendicular_from_a_point_reaches_its_line() -> None:
    figure = Figure({"A": Point(0, 0), "B": Point(6, 0), "P": Point(2, 6.5)}, lines=(("A", "B"),))
    working = plan(figure, [solve(figure, DrawLocus(Perpendicular(ab, p)))], Instruments(), ROOM)
    line = next(a for a in acts_of(working) if isinstance(a, RuleLine) and a.role == "answer")
    assert line.segment.distance_to(Point(2, 0)) < EXACT
    assert min(line.segment.a.y, line.segment.b.y) < 0.0


def test_an_answer_is_ruled_even_over_a_construction_line() -> None:
    """The perpendicular at A is a step of the locus round AB, and asked for by itself."""
    figure = Figure({"A": Point(0, 0), "B": Point(6, 0)}, segments=(("A", "B"),))
    asks = [AtDistance(SegmentOf("A", "B"), 2.0), Perpendicular(ab, a)]
    working = plan(figure, [solve(figure, DrawLocus(x)) for x in asks], Instruments(), ROOM)
    last = working.steps[-1].acts[-1]
    assert isinstance(last, RuleLine)
    assert last.role == "answer"


def test_an_ellipse_is_plotted_by_arcs() -> None:
    figure = Figure({"A": Point(-3, 0), "B": Point(3, 0)})
    working = plan(
        figure, [solve(figure, DrawLocus(SumOfDistances(a, b, 10.0)))], Instruments(), ROOM
    )
    acts = acts_of(working)
    marks = [act for act in acts if isinstance(act, MarkPoint)]
    assert len(marks) >= 8
    for mark in marks:
        total = mark.at.distance(Point(-3, 0)) + mark.at.distance(Point(3, 0))
        assert total == pytest.approx(10.0, abs=EXACT)
    (curve,) = [act for act in acts if isinstance(act, JoinMarks)]
    assert set(curve.through) == {m.name for m in marks}
    assert any("plot points" in note for note in working.notes)


def test_a_plotted_curve_is_judged_at_its_marks() -> None:
    """The freehand curve adds its own error to that of each mark, in quadrature."""
    figure = Figure({"A": Point(-3, 0), "B": Point(3, 0)})
    answer = solve(figure, DrawLocus(SumOfDistances(a, b, 10.0)))
    working = plan(figure, [answer], Instruments(), ROOM)
    where = places([answer], working)
    assert len(where) >= 8
    assert all(place.mark for place in where)
    hand = HANDS["careful"]
    steady = {**hand, "freehand": replace(hand["freehand"], sd=0.0)}
    with_, without = (sensitivities(figure, working, where, h).sd for h in (hand, steady))
    assert np.sqrt(with_**2 - without**2) == pytest.approx(hand["freehand"].sd, rel=1e-9)
    odds = fairness(figure, [answer], working, 1.0)
    assert 0.05 < odds.chance < 1.0
    assert odds.not_judged == ()


def test_a_parabola_is_plotted_by_parallels_and_arcs() -> None:
    """Every mark is as far from P as from the line AB, and is judged in the budget."""
    answer = solve(LINE, DrawLocus(Equidistant((p, ab))))
    working = plan(LINE, [answer], Instruments(), ROOM)
    (curve,) = [act for act in acts_of(working) if isinstance(act, JoinMarks)]
    places_ = {m.name: m.at for m in acts_of(working) if isinstance(m, MarkPoint)}
    ahead = (B - A).unit()
    assert len(curve.through) >= 6
    for name in curve.through:
        from_line = abs(ahead.cross(places_[name] - A))
        assert places_[name].distance(P) == pytest.approx(from_line, abs=EXACT)
    where = places([answer], working)
    off = strays(execute(LINE.points, acts_of(working), NoErrors()), where)
    assert np.abs(off).max() < EXACT
    assert any("plot points" in note for note in working.notes)
    assert fairness(LINE, [answer], working, 2.0).not_judged == ()


def test_a_parabola_without_room_for_its_plot_is_joined_all_the_same() -> None:
    answer = solve(LINE, DrawLocus(Equidistant((p, ab))))
    working = plan(LINE, [answer], Instruments(), (6.5, 4.2))
    acts = acts_of(working)
    assert isinstance(acts[0], JoinMarks)
    assert acts[0].through == ()


def test_what_is_not_judged_is_named() -> None:
    """A cycloid has no plot of its own: the odds leave it out and say so."""
    answer = solve(POINTS, DrawLocus(RimPoint(0.9, a, b)))
    working = plan(POINTS, [answer], Instruments(), ROOM)
    odds = fairness(POINTS, [answer], working, 2.0)
    assert odds.not_judged == tuple(e.name for e in answer.elements)
    assert any(isinstance(act, JoinMarks) for act in acts_of(working))


def test_without_room_on_one_side_two_pairs_of_arcs_go_on_the_other() -> None:
    """A and B at the room's lower edge: a figure point far above leaves room only there."""
    figure = Figure({"A": Point(0, 0), "B": Point(7, 0), "T": Point(3.0, 9.8)})
    answer = solve(figure, DrawLocus(Equidistant((a, b))))
    working = plan(figure, [answer], Instruments(), (9.0, 10.0))
    (step,) = working.steps
    assert step.evidence[0].both_sides is False
    radii = {act.arc.radius for act in step.acts if isinstance(act, StrikeArc)}
    assert len(radii) == 2
    off = strays(execute(figure.points, step.acts, NoErrors()), places([answer], working))
    assert np.abs(off).max() < EXACT
    assert Box(-1.0, -0.2, 8.0, 9.8).holds_box(extent(working)) or extent(working).height <= 10.0


def test_tangents_touch() -> None:
    """The lines ruled stay exactly a radius away from the centre."""
    answer = solve(ROUND, DrawLocus(Tangents(CircleOf("the pond"), p)))
    working = plan(ROUND, [answer], Instruments(), ROOM)
    drawing = execute(ROUND.points, acts_of(working), NoErrors())
    for place in places([answer], working):
        line = drawing.inks[place.ink]
        ax, ay, bx, by = (
            float(v[0])
            for v in (line.a.x, line.a.y, line.b.x, line.b.y)  # type: ignore[union-attr]
        )
        off = abs(ax * by - ay * bx) / math.hypot(bx - ax, by - ay)
        assert off == pytest.approx(2.5, abs=EXACT)
