"""Workings of figures on printed points end where the exact answer says."""

from __future__ import annotations

import pytest

from millimark.loci.completing import corners_on
from millimark.loci.conditions import DrawLocus, MarkPoints, RegularIn, RegularOn, TriangleOn
from millimark.loci.solve import solve
from millimark.plane.curves import Curve, Segment
from millimark.plane.point import Point
from millimark.words.reading import understand
from millimark.working.acts import MarkPoint, RuleLine, Working
from millimark.working.instruments import Instruments
from millimark.working.plan import plan
from millimark.working.plotting import FREEHAND

NEAR = 1e-8  # cm
SIX = ("AB is 6 cm long.",)
FOUR = ("AB is 4 cm long.",)
ROUND = ("A circle has centre O and radius 4 cm.", "A is on the circle.")
TRIANGLE = ("Triangle ABC has AB = 8 cm, BC = 7 cm and AC = 6 cm.",)
TWO = (*TRIANGLE, "D is 3 cm below A.", "DE is horizontal and 6 cm long.")

CASES: list[tuple[tuple[str, ...], str, str]] = [
    (SIX, "Construct triangle ABC with AC = 5 cm and BC = 6 cm.", "triangle SSS"),
    (SIX, "Construct triangle ABC with AC = 5 cm and angle BAC = 45° below AB.", "triangle SAS"),
    (SIX, "Construct triangle ABC with BC = 5 cm and angle B = 60°.", "triangle SAS"),
    (SIX, "Construct triangle ABC with angle A = 45° and angle B = 75°.", "triangle ASA"),
    (SIX, "Construct triangle ABC with a right angle at A and BC = 8 cm.", "triangle RHS"),
    (SIX, "Construct triangle ABC with a right angle at B and AC = 8 cm.", "triangle RHS"),
    (SIX, "Construct triangle ABC with angle A = 120° and BC = 9 cm.", "triangle SSA"),
    (SIX, "Construct equilateral triangle ABC.", "equilateral triangle"),
    (SIX, "Construct an equilateral triangle on AB below AB.", "equilateral triangle"),
    (SIX, "Construct square ABCD.", "square on a side"),
    (SIX, "Construct square CDAB below AB.", "square on a side"),
    (FOUR, "Construct regular pentagon ABCDE.", "pentagon on a side"),
    (FOUR, "Construct regular hexagon ABCDEF below AB.", "hexagon on a side"),
    (ROUND, "Construct regular hexagon ABCDEF in the circle.", "hexagon in a circle"),
    (ROUND, "Construct regular pentagon ABCDE in the circle.", "pentagon in a circle"),
    (SIX, "Construct an angle of 60° at A on AB.", "angle of 60°"),
    (SIX, "Construct an angle of 120° at B on AB below AB.", "angle of 120°"),
    (TWO, "Copy angle BAC at D on DE.", "angle copied"),
    (TRIANGLE, "Construct the median from A to BC.", "median"),
]


@pytest.mark.parametrize("protractor", [True, False])
@pytest.mark.parametrize(("given", "ask", "method"), CASES, ids=[c[1] for c in CASES])
def test_the_answer_is_ruled_by_a_construction_of_the_catalogue(
    given: tuple[str, ...], ask: str, method: str, protractor: bool
) -> None:
    understood = understand(given, [ask])
    answer = solve(understood.figure, understood.asks[0])
    working = plan(understood.figure, [answer], Instruments(protractor=protractor), (24.0, 24.0))
    assert [step.method for step in working.steps] == [method]
    ruled = _ruled(working)
    assert ruled
    for curve in answer.curves:
        assert any(_lies_along(line, curve) for line in ruled), curve
    for line in ruled:
        assert any(c.distance_to(p) < NEAR for c in answer.curves for p in (line.a,)), line


@pytest.mark.parametrize(("given", "ask", "method"), CASES, ids=[c[1] for c in CASES])
def test_corners_get_the_letters_of_the_question(
    given: tuple[str, ...], ask: str, method: str
) -> None:
    understood = understand(given, [ask])
    (asked,) = understood.asks
    assert isinstance(asked, DrawLocus)
    locus = asked.locus
    if not isinstance(locus, TriangleOn | RegularOn | RegularIn):
        return
    names = (locus.apex,) if isinstance(locus, TriangleOn) else locus.names
    working = plan(understood.figure, [solve(understood.figure, asked)], Instruments(), (24, 24))
    marks = {a.name: a.at for s in working.steps for a in s.acts if isinstance(a, MarkPoint)}
    for name, at in zip(names, corners_on(understood.figure, locus), strict=False):
        assert marks[name].distance(at) < NEAR


@pytest.mark.parametrize("parts", [2, 3, 5])
def test_equal_parts_are_marked(parts: int) -> None:
    understood = understand(SIX, [f"Divide AB into {parts} equal parts."])
    (asked,) = understood.asks
    assert isinstance(asked, MarkPoints)
    answer = solve(understood.figure, asked)
    working = plan(understood.figure, [answer], Instruments(), (24.0, 24.0))
    assert [step.method for step in working.steps] == ["divide into equal parts"]
    marks = [a.at for s in working.steps for a in s.acts if isinstance(a, MarkPoint) and a.shown]
    assert len(marks) == parts - 1
    for wanted in answer.special_points:
        assert min(wanted.distance(at) for at in marks) < NEAR


def test_a_figure_that_the_catalogue_lacks_is_said_to_be_plotted() -> None:
    understood = understand(("AB is 3 cm long.",), ["Construct a regular octagon on AB."])
    answer = solve(understood.figure, understood.asks[0])
    working = plan(understood.figure, [answer], Instruments(), (24.0, 24.0))
    assert working.steps[0].method == FREEHAND
    assert working.notes


def _ruled(working: Working) -> list[Segment]:
    return [
        act.segment
        for step in working.steps
        for act in step.acts
        if isinstance(act, RuleLine) and act.role == "answer"
    ]


def _lies_along(line: Segment, curve: Curve) -> bool:
    """Whether a ruled line covers a bounded curve, or lies along 3 cm of a ray from its start."""
    start = curve.start
    end = curve.end if curve.bounded else curve.point_at(3.0)
    between = Point((start.x + end.x) / 2, (start.y + end.y) / 2)
    return all(line.distance_to(p) < NEAR for p in (start, between, end))
