"""Workings: drawn by the acts alone, inside the room, within the instruments' reach."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.working.strategies import ROOM, Case, cases

from millimark.errors import FitError, PlanError
from millimark.loci.answer import Answer
from millimark.loci.conditions import (
    AtDistance,
    DrawLocus,
    Equidistant,
    Median,
    PointOf,
    SegmentOf,
)
from millimark.loci.figure import Figure
from millimark.loci.solve import solve
from millimark.plane.curves import Arc, Segment
from millimark.plane.point import Point
from millimark.working import extent
from millimark.working.acts import (
    AlignProtractor,
    Crossing,
    MarkPoint,
    PrintedLine,
    RuleLine,
    SetCompasses,
    StrikeArc,
    Working,
)
from millimark.working.execute import NoErrors, execute
from millimark.working.instruments import Instruments
from millimark.working.plan import plan
from millimark.working.spread import acts_of, places, strays

CM = 1.0
EXACT = 1e-9 * CM
BISECT_AB = DrawLocus(Equidistant((PointOf("A"), PointOf("B"))))


def apart(d: float) -> Figure:
    return Figure({"A": Point(0.0, 0.0), "B": Point(d, 0.0)})


def planned(case: Case, room: tuple[float, float] = ROOM, **kinds: bool) -> Working:
    figure, ask = case
    instruments = Instruments(protractor=kinds.get("protractor", True))
    return plan(figure, [solve(figure, ask)], instruments, room, kinds.get("arcs", True))


# --- named cases ------------------------------------------------------------------------
def test_the_bisector_has_equal_arcs_that_cross_on_both_sides() -> None:
    (step,) = planned((apart(8.0), BISECT_AB)).steps
    arcs = [act for act in step.acts if isinstance(act, StrikeArc)]
    assert [a.centre for a in arcs] == ["A", "A", "B", "B"]
    assert len({a.arc.radius for a in arcs}) == 1
    assert arcs[0].arc.radius > 4.0
    crossings = [a.at for a in step.acts if isinstance(a, MarkPoint)]
    assert [math.copysign(1, p.y) for p in crossings] == [1.0, -1.0]
    assert step.evidence[0].kind == "equal-arcs"


def test_the_bisector_runs_clearly_past_its_crossings() -> None:
    (step,) = planned((apart(8.0), BISECT_AB)).steps
    line = next(a.segment for a in step.acts if isinstance(a, RuleLine))
    tops = [a.at.y for a in step.acts if isinstance(a, MarkPoint)]
    assert max(line.a.y, line.b.y) >= max(tops) + 0.5
    assert min(line.a.y, line.b.y) <= min(tops) - 0.5
    assert line.length >= 6.0


def test_captions_tell_what_to_do() -> None:
    acts = planned((apart(8.0), BISECT_AB)).steps[0].acts
    assert acts[0].caption.startswith("Open the compasses to more than half of AB, say ")
    for act in acts:
        if not isinstance(act, MarkPoint):
            assert act.caption.split()[0] in {"Open", "With", "Rule", "Lay", "Centre"}
            assert act.caption.endswith(".")


def test_round_a_segment_uses_both_ends_and_two_parallels() -> None:
    figure = Figure({"A": Point(0, 0), "B": Point(6, 0)}, segments=(("A", "B"),))
    acts = planned((figure, DrawLocus(AtDistance(SegmentOf("A", "B"), 2.0)))).steps[0].acts
    answer = [a for a in acts if isinstance(a, StrikeArc | RuleLine) and a.role == "answer"]
    assert [a.centre for a in answer if isinstance(a, StrikeArc)] == ["A", "B"]
    assert sorted(a.segment.a.y for a in answer if isinstance(a, RuleLine)) == [-2.0, 2.0]
    assert sum(a.ink[0].length for a in answer) == pytest.approx(12 + 4 * math.pi, abs=EXACT)


def test_any_method_needs_no_arcs() -> None:
    working = planned((apart(8.0), BISECT_AB), arcs=False)
    assert not any(isinstance(a, StrikeArc) for a in acts_of(working))
    assert working.steps[0].evidence == ()


def test_compasses_too_small_is_said_with_what_would_help() -> None:
    figure = apart(10.0)
    with pytest.raises(PlanError) as caught:
        plan(figure, [solve(figure, BISECT_AB)], Instruments(compasses_cm=5.0), ROOM)
    assert "10 cm apart" in caught.value.message
    assert "at most 9.6 cm apart" in caught.value.hint
    circle = DrawLocus(AtDistance(PointOf("A"), 14.0))
    with pytest.raises(PlanError, match="open to 12 cm"):
        plan(figure, [solve(figure, circle)], Instruments(), (40.0, 40.0))


def test_an_answer_wider_than_the_room_does_not_fit() -> None:
    figure = apart(2.0)
    circle = DrawLocus(AtDistance(PointOf("A"), 6.0))
    with pytest.raises(FitError, match="12 cm wide"):
        plan(figure, [solve(figure, circle)], Instruments(), (11.0, 20.0))


def test_a_locus_that_is_asked_twice_is_drawn_once() -> None:
    figure = apart(8.0)
    answer = solve(figure, BISECT_AB)
    working = plan(figure, [answer, answer], Instruments(), ROOM)
    assert len(working.steps) == 1


def plan_or_reason(figure: Figure, answer: Answer, instruments: Instruments) -> Working | str:
    try:
        return plan(figure, [answer], instruments, ROOM)
    except (PlanError, FitError) as said:
        return said.hint


# --- what holds for every working -----------------------------------------------------------
@settings(max_examples=120, deadline=None)
@given(cases, st.booleans(), st.booleans())
def test_acts_alone_reproduce_the_exact_answer(case: Case, protractor: bool, arcs: bool) -> None:
    figure, ask = case
    answer = solve(figure, ask)
    working = plan(figure, [answer], Instruments(protractor=protractor), (30.0, 30.0), arcs)
    where = places(working=working, answers=[answer])
    assert {p.element for p in where} == {e.name for e in answer.elements}
    off = strays(execute(figure.points, acts_of(working), NoErrors()), where)
    assert np.abs(off).max() < EXACT


@settings(max_examples=120, deadline=None)
@given(cases)
def test_ink_stays_in_the_room_and_in_reach(case: Case) -> None:
    figure, ask = case
    answer = solve(figure, ask)
    instruments = Instruments()
    working = plan_or_reason(figure, answer, instruments)
    if isinstance(working, str):
        assert working
        return
    box = extent(working)
    assert box.width <= ROOM[0] + EXACT
    assert box.height <= ROOM[1] + EXACT
    for act in acts_of(working):
        if isinstance(act, SetCompasses):
            assert instruments.compasses_min_cm <= act.radius <= instruments.compasses_cm
        if isinstance(act, RuleLine):
            assert act.segment.length <= instruments.ruler_cm


@settings(max_examples=60, deadline=None)
@given(cases, st.booleans())
def test_no_caption_is_said_twice_running(case: Case, protractor: bool) -> None:
    figure, ask = case
    working = plan(figure, [solve(figure, ask)], Instruments(protractor=protractor), (30.0, 30.0))
    said = [act.caption for act in acts_of(working) if act.caption]
    assert all(one != two for one, two in pairwise(said))


@settings(max_examples=80, deadline=None)
@given(cases, st.booleans())
def test_every_crossing_lies_on_ink_that_is_there(case: Case, protractor: bool) -> None:
    figure, ask = case
    answer = solve(figure, ask)
    working = plan(figure, [answer], Instruments(protractor=protractor), (30.0, 30.0))
    inks: dict[str, Arc | Segment] = {}
    marks = dict(figure.points)
    for act in acts_of(working):
        if isinstance(act, StrikeArc):
            inks[act.name] = act.arc
            assert act.arc.centre.distance(marks[act.centre]) < EXACT
        elif isinstance(act, RuleLine):
            inks[act.name] = act.segment
            for name in act.through:
                ahead = act.segment.direction
                assert abs(ahead.cross(marks[name] - act.segment.a)) < EXACT
        elif isinstance(act, MarkPoint | AlignProtractor):
            marks[act.name] = act.at
            if isinstance(act, MarkPoint) and isinstance(act.how, Crossing):
                for ink in (act.how.first, act.how.second):
                    if not isinstance(ink, PrintedLine):
                        assert inks[ink].distance_to(act.at) < 1e-7 * CM


@pytest.mark.parametrize(("high", "both_sides"), [(8.0, False), (16.0, True)])
def test_a_median_in_a_low_room_is_shown_by_arcs_on_one_side(high: float, both_sides: bool) -> None:
    """No crossing fits below AB in the low room: two openings cross above it instead."""
    corners = {"A": Point(0, 0), "B": Point(9, 0), "C": Point(3.7, 5.9)}
    figure = Figure(corners, polygons=(("A", "B", "C"),))
    answer = solve(figure, DrawLocus(Median(PointOf("C"), SegmentOf("A", "B"))))
    (step,) = plan(figure, [answer], Instruments(), (14.0, high)).steps
    (shown,) = step.evidence
    assert (shown.centres, shown.both_sides) == (("A", "B"), both_sides)
