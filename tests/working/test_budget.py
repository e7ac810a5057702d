"""The error budget against published figures, closed forms and another library."""

from __future__ import annotations

import math

import numpy as np
import pytest

from millimark.errors import PlanError
from millimark.loci.conditions import AtDistance, DrawLocus, Equidistant, PointOf, SegmentOf
from millimark.loci.figure import Figure
from millimark.loci.solve import solve
from millimark.plane.point import Point
from millimark.working.acts import SetCompasses, StrikeArc
from millimark.working.budget import Fairness, fairness
from millimark.working.execute import Numbers, execute
from millimark.working.hands import HANDS, Cause, within
from millimark.working.instruments import Instruments
from millimark.working.plan import plan
from millimark.working.spread import acts_of, deviations, places, sensitivities, strays

MM = 0.1  # cm
BISECT_AB = DrawLocus(Equidistant((PointOf("A"), PointOf("B"))))
ROOM = (17.0, 15.0)


def apart(d: float) -> Figure:
    return Figure({"A": Point(0.0, 0.0), "B": Point(d, 0.0)})


def judged(figure: Figure, ask: DrawLocus, tolerance_mm: float, hand: str = "careful") -> Fairness:
    answer = solve(figure, ask)
    working = plan(figure, [answer], Instruments(), ROOM)
    return fairness(figure, [answer], working, tolerance_mm, hand)


def test_reading_a_millimetre_division() -> None:
    """JCGM 101 (TRADE: computed): a 1 mm division has standard uncertainty 0.289 mm."""
    assert within(0.5) == pytest.approx(0.289, abs=5e-4)
    assert HANDS["typical"]["reading"].sd / MM == pytest.approx(1 / math.sqrt(12), rel=1e-12)


class Slipped:
    """Arcs about B drawn with a radius that is off by ``slip`` cm; no other error."""

    def __init__(self, acts: set[int], slip: float) -> None:
        self.acts, self.slip = acts, slip

    def __call__(self, act: int, cause: Cause) -> Numbers:
        return np.array([self.slip if cause == "play" and act in self.acts else 0.0])


@pytest.mark.parametrize("slip_mm", [0.5, 1.0, 2.0])
def test_unequal_arcs_shift_the_bisector_by_the_closed_form(slip_mm: float) -> None:
    """Shift (r1^2 - r2^2)/(2 AB): a bound computed in our notes on the trade."""
    figure = apart(8.0)
    answer = solve(figure, BISECT_AB)
    working = plan(figure, [answer], Instruments(), ROOM)
    acts = acts_of(working)
    r = next(a.radius for a in acts if isinstance(a, SetCompasses))
    about_b = {i for i, a in enumerate(acts) if isinstance(a, StrikeArc) and a.centre == "B"}
    where = places([answer], working)
    off = strays(execute(figure.points, acts, Slipped(about_b, slip_mm * MM)), where)
    expected = abs(r**2 - (r + slip_mm * MM) ** 2) / (2 * 8.0)
    assert np.abs(off) == pytest.approx(np.full_like(off, expected), rel=1e-9)


def test_the_bound_as_tabulated() -> None:
    """AB 80 mm, r 55 mm, slips of 0.5, 1, 2 mm: 0.35, 0.69, 1.40 mm (TRADE: computed)."""
    for slip, shift in ((0.5, 0.35), (1.0, 0.69), (2.0, 1.40)):
        assert ((55 + slip) ** 2 - 55**2) / 160 == pytest.approx(shift, abs=0.006)


@pytest.mark.parametrize("hand", sorted(HANDS))
@pytest.mark.parametrize(
    ("figure", "ask"),
    [
        (apart(8.0), BISECT_AB),
        (apart(8.0), DrawLocus(AtDistance(PointOf("A"), 5.0))),
        (
            Figure({"A": Point(0, 0), "B": Point(6, 0)}, segments=(("A", "B"),)),
            DrawLocus(AtDistance(SegmentOf("A", "B"), 2.0)),
        ),
    ],
)
def test_sampling_and_derivatives_agree(figure: Figure, ask: DrawLocus, hand: str) -> None:
    answer = solve(figure, ask)
    working = plan(figure, [answer], Instruments(), ROOM)
    where = places([answer], working)
    sampled = deviations(figure, working, where, HANDS[hand], 40_000, 7).std(axis=0)
    linear = sensitivities(figure, working, where, HANDS[hand]).sd
    assert sampled == pytest.approx(linear, rel=0.03)


def test_a_circle_by_hand() -> None:
    """The radius of a circle strays by the root sum of squares of its causes at its start,
    where nothing has slipped yet: the law of propagation (JCGM 100:2008, 5.1.2) by hand."""
    figure = apart(8.0)
    answer = solve(figure, DrawLocus(AtDistance(PointOf("A"), 5.0)))
    working = plan(figure, [answer], Instruments(), ROOM)
    where = places([answer], working)
    hand = HANDS["careful"]
    names: tuple[Cause, ...] = ("reading", "parallax", "zero", "play", "line width", "placing")
    expected = math.hypot(*(hand[name].sd for name in names), 5.0 * hand["ruler scale"].sd)
    assert sensitivities(figure, working, where, hand).sd[0] == pytest.approx(expected, rel=1e-9)


def test_a_wide_tolerance_is_fair_and_a_narrow_one_is_not() -> None:
    assert judged(apart(8.0), BISECT_AB, 2.0).fair
    tight = judged(apart(1.2), BISECT_AB, 0.5)
    assert not tight.fair
    assert any("of 100 hands" in line for line in tight.advice)
    assert any("A tolerance of" in line for line in tight.advice)


def test_a_typical_hand_passes_less_often_than_a_careful_one() -> None:
    ask = DrawLocus(AtDistance(PointOf("A"), 5.0))
    careful, typical = (judged(apart(8.0), ask, 1.0, hand) for hand in ("careful", "typical"))
    assert typical.chance < careful.chance


def test_contributions_add_up_and_name_the_act() -> None:
    judged_ = judged(apart(8.0), DrawLocus(AtDistance(PointOf("A"), 5.0)), 2.0)
    assert sum(c.share for c in judged_.contributions) == pytest.approx(1.0)
    assert judged_.contributions[0].caption.startswith("With the needle on A")
    assert judged_.contributions[0].cause == "slip"


def test_the_same_seed_gives_the_same_chance() -> None:
    assert judged(apart(4.0), BISECT_AB, 0.8) == judged(apart(4.0), BISECT_AB, 0.8)


def test_an_unknown_hand_is_named() -> None:
    with pytest.raises(PlanError, match="'shaky'"):
        judged(apart(4.0), BISECT_AB, 0.8, "shaky")
