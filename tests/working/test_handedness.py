"""Left and right hands draw the same ink, each in its own direction."""

from __future__ import annotations

import numpy as np

from millimark.loci.conditions import AtDistance, DrawLocus, Equidistant, PointOf, SegmentOf
from millimark.loci.figure import Figure
from millimark.loci.solve import solve
from millimark.plane.point import Point
from millimark.working.acts import RuleLine, StrikeArc, Working
from millimark.working.execute import NoErrors, execute
from millimark.working.instruments import Instruments
from millimark.working.plan import plan
from millimark.working.spread import acts_of, places, strays

POINTS = Figure({"A": Point(0, 0), "B": Point(8, 1)})
BISECTOR = DrawLocus(Equidistant((PointOf("A"), PointOf("B"))))
SEGMENT = Figure({"A": Point(0, 0), "B": Point(6, 1)}, segments=(("A", "B"),))
ROUND = DrawLocus(AtDistance(SegmentOf("A", "B"), 2.0))


def working(figure: Figure, ask: DrawLocus, left: bool) -> Working:
    return plan(figure, [solve(figure, ask)], Instruments(left_handed=left), (17.0, 15.0))


def test_a_right_hand_starts_at_the_left_point_and_a_left_hand_at_the_right() -> None:
    right, left = (acts_of(working(POINTS, BISECTOR, hand)) for hand in (False, True))
    assert [a.centre for a in right if isinstance(a, StrikeArc)] == ["A", "A", "B", "B"]
    assert [a.centre for a in left if isinstance(a, StrikeArc)] == ["B", "B", "A", "A"]


def test_lines_run_away_from_the_drawing_hand() -> None:
    for hand, sign in ((False, 1.0), (True, -1.0)):
        for act in acts_of(working(SEGMENT, ROUND, hand)):
            if isinstance(act, RuleLine):
                assert sign * (act.segment.b.x - act.segment.a.x) >= -1e-9
            if isinstance(act, StrikeArc):
                assert (act.arc.sweep < 0) == (sign > 0)


def test_both_hands_draw_the_same_answer() -> None:
    for figure, ask in ((POINTS, BISECTOR), (SEGMENT, ROUND)):
        answer = solve(figure, ask)
        for hand in (False, True):
            done = working(figure, ask, hand)
            off = strays(execute(figure.points, acts_of(done), NoErrors()), places([answer], done))
            assert np.abs(off).max() < 1e-9
