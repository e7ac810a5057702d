"""The error budget against published figures, closed forms and another library."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from uncertainties import ufloat, umath

from millimark.errors import PlanError
from millimark.loci.conditions import AtDistance, DrawLocus, Equidistant, PointOf, RayOf, SegmentOf
from millimark.loci.figure import Figure
from millimark.loci.solve import solve
from millimark.plane.point import Point
from millimark.working.acts import SetCompasses, StrikeArc
from millimark.working.budget import Fairness, fairness
from millimark.working.execute import DrawnLine, Numbers, execute
from millimark.working.hands import HANDS, Cause, Disturbance, Hand, within
from millimark.working.instruments import Instruments
from millimark.working.plan import plan
from millimark.working.spread import (
    SampledErrors,
    acts_of,
    coverage_interval,
    deviations,
    places,
    sensitivities,
    strays,
)

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


class Summed:
    """Four rectangular errors of standard deviation 1, the last of another width."""

    def __init__(self, last: float) -> None:
        one = Disturbance(1.0, "rectangular", "", "")
        four = Disturbance(last, "rectangular", "", "")
        hand: Hand = {"reading": one, "parallax": one, "play": one, "slip": four}
        draw = SampledErrors(hand, 1_000_000, 5)
        causes: tuple[Cause, ...] = ("reading", "parallax", "play", "slip")
        self.values = sum((draw(0, cause) for cause in causes), np.zeros(1_000_000))


def test_four_equal_rectangulars() -> None:
    """JCGM 101:2008, 9.2.3 (read in a transcription): u = 2.00, 95 % interval ±3.88; exactly
    3.8794067 (computed)."""
    values = Summed(1.0).values
    low, high = coverage_interval(values)
    assert values.std() == pytest.approx(2.00, abs=0.005)
    assert (-low, high) == pytest.approx((3.8794067, 3.8794067), abs=0.02)


def test_three_equal_rectangulars_and_one_wide() -> None:
    """JCGM 101:2008, 9.2.4 (read in a transcription): u = 10.1, ±17.0, where the Gaussian
    framework says ±19.9."""
    values = Summed(10.0).values
    low, high = coverage_interval(values)
    assert values.std() == pytest.approx(10.1, abs=0.05)
    assert (-low, high) == pytest.approx((17.0, 17.0), abs=0.06)
    assert 1.96 * values.std() == pytest.approx(19.9, abs=0.1)


def test_another_library_gives_the_same_derivatives() -> None:
    """The bisector of AB by `uncertainties` (PyPI), formulas written here from the geometry of
    two circles; crossings are taken as seen exactly, the rest as a careful hand does it."""
    figure, hand = apart(8.0), {**HANDS["careful"], "crossing": Disturbance(0, "normal", "", "")}
    answer = solve(figure, BISECT_AB)
    working = plan(figure, [answer], Instruments(), ROOM)
    r = next(a.radius for a in acts_of(working) if isinstance(a, SetCompasses))
    spans = {a.name: a.arc for a in acts_of(working) if isinstance(a, StrikeArc)}

    def error(cause: Cause) -> Any:
        return ufloat(0.0, hand[cause].sd)

    opening = r * (1 + error("ruler scale")) + error("reading") + error("parallax") + error("zero")
    needles = [(x + error("placing"), error("placing")) for x in (0.0, 8.0)]
    ends = []
    for sign in (1, -1):
        radii = []
        for x in (0.0, 8.0):
            arc = next(a for a in spans.values() if a.centre.x == x and sign * a.end.y > 0)
            h = math.sqrt(r * r - 16)
            turned = arc.nearest(Point(4.0, sign * h)) / (2 * math.pi)
            radii.append(opening + error("play") + error("line width") + error("slip") * turned)
        ends.append(_crossing(needles, radii, sign))
    placed = [(x + error("placing"), y + error("placing")) for x, y in ends]
    (ax, ay), (bx, by) = placed
    beside = error("line width")
    where = places([answer], working)
    expected = []
    for place in where:
        share = (place.at.y - ay) / (by - ay)
        x = (
            ax
            + (bx - ax) * share
            + beside * umath.sqrt((bx - ax) ** 2 + (by - ay) ** 2) / (by - ay)
        )
        expected.append(x.std_dev)
    found = sensitivities(figure, working, where, hand).sd
    assert found == pytest.approx(np.array(expected), rel=1e-6)


def _crossing(needles: Any, radii: Any, sign: int) -> Any:
    (ax, ay), (bx, by) = needles
    d = umath.sqrt((bx - ax) ** 2 + (by - ay) ** 2)
    along = (d * d + radii[0] ** 2 - radii[1] ** 2) / (2 * d)
    h = umath.sqrt(radii[0] ** 2 - along**2) * sign
    ux, uy = (bx - ax) / d, (by - ay) / d
    return ax + along * ux - h * uy, ay + along * uy + h * ux


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


def test_an_angle_tolerance_counts_where_there_is_one() -> None:
    """The turn of each hand's bisector, worked out here from the two points that the ruler was
    laid through, and the share of hands within both limits."""
    figure = Figure(
        {"H": Point(0, 0), "G": Point(6, 0), "K": Point(0, 0).polar(6, math.radians(50))},
        segments=(("H", "G"), ("H", "K")),
    )
    answer = solve(figure, DrawLocus(Equidistant((RayOf("H", "G"), RayOf("H", "K")))))
    working = plan(figure, [answer], Instruments(protractor=False), ROOM)
    name = answer.elements[0].name
    off = deviations(figure, working, places([answer], working), HANDS["typical"], 10_000, 1)
    drawing = execute(figure.points, acts_of(working), SampledErrors(HANDS["typical"], 10_000, 1))
    line = next(i for i in drawing.inks.values() if isinstance(i, DrawnLine))
    way = np.degrees(np.arctan2(line.b.y - line.a.y, line.b.x - line.a.x))
    turned = np.abs((way - 25 + 90) % 180 - 90)
    near = (np.abs(10 * off) <= 2.0).all(axis=1)
    for limit in (0.3, 0.6, 2.0):
        odds = fairness(figure, [answer], working, 2.0, "typical", angles={name: limit})
        assert odds.chance == pytest.approx((near & (turned <= limit)).mean(), abs=2e-3)
        assert odds.elements[0].chance == odds.chance
    narrow = fairness(figure, [answer], working, 2.0, "typical", angles={name: 0.3})
    assert not narrow.fair
    assert "within 2 mm and 0.3°" in narrow.advice[0]
    assert narrow.chance < fairness(figure, [answer], working, 2.0, "typical").chance
