"""Properties: moving, turning, mirroring and scaling the figure, and reordering conditions."""

from __future__ import annotations

import math
from random import Random

import pytest
from hypothesis import Phase, assume, given, settings
from hypothesis import strategies as st

from millimark.errors import NoAnswerError
from millimark.loci.conditions import (
    AllOf,
    AngleAt,
    Ask,
    AtDistance,
    ChordMidpoints,
    CircleOf,
    Circumcircle,
    Condition,
    Distance,
    DrawLocus,
    Equidistant,
    FootOfPerpendicular,
    Incircle,
    Ladder,
    LineOf,
    Locus,
    MidpointsFrom,
    Perpendicular,
    PointOf,
    PolygonOf,
    RatioOfDistances,
    RopeEnd,
    SegmentOf,
    ShadeRegion,
    SidesOf,
    Subtends,
    SumOfDistances,
    Tangents,
    WheelCentre,
)
from millimark.loci.figure import Figure, GivenCircle
from millimark.loci.scaling import scaled_lengths
from millimark.loci.solve import holds, solve
from millimark.plane.point import Point
from millimark.plane.similarity import Similarity

from .strategies import angles, random_condition, random_figure, random_leaf, scales, seeds, shifts

# A seed is as small as another: shrinking it says nothing and takes minutes.
NO_SHRINK = (Phase.explicit, Phase.reuse, Phase.generate)


def moved(figure: Figure, map_: Similarity) -> Figure:
    return Figure(
        points={k: map_(p) for k, p in figure.points.items()},
        circles=tuple(
            GivenCircle(c.name, map_(c.centre), c.radius * map_.scale) for c in figure.circles
        ),
    )


@settings(max_examples=60, deadline=None, phases=NO_SHRINK)
@given(seeds, angles, scales, shifts, st.booleans())
def test_a_similarity_carries_the_region_along(
    seed: int, turn: float, scale: float, shift: tuple[float, float], flip: bool
) -> None:
    rng = Random(seed)
    figure, condition = random_figure(rng), random_condition(rng)
    assume("Bearing" not in repr(condition))  # north does not turn with the figure
    map_ = Similarity(Point(*shift), scale, turn, flip)
    ask: Ask = ShadeRegion(condition)
    before = solve(figure, ask).region
    after = solve(moved(figure, map_), scaled_lengths(ask, scale)).region
    assert before is not None
    assert after is not None
    slack = 1e-7 * max(1.0, before.perimeter)
    assert after.area / scale**2 == pytest.approx(before.area, abs=slack, rel=1e-8)
    assert after.perimeter / scale == pytest.approx(before.perimeter, abs=slack, rel=1e-7)
    assert (after.bounded, after.empty, after.parts) == (
        before.bounded,
        before.empty,
        before.parts,
    )


@settings(max_examples=40, deadline=None, phases=NO_SHRINK)
@given(seeds)
def test_the_order_of_conditions_does_not_matter(seed: int) -> None:
    rng = Random(seed)
    figure = random_figure(rng)
    parts: list[Condition] = [random_leaf(rng) for _ in range(3)]
    parts.append(Distance(PointOf("A"), "<", 10.0))
    one = solve(figure, ShadeRegion(AllOf(tuple(parts)))).region
    rng.shuffle(parts)
    two = solve(figure, ShadeRegion(AllOf(tuple(parts)))).region
    assert one is not None
    assert two is not None
    assert one.area == pytest.approx(two.area, abs=1e-9)
    assert one.perimeter == pytest.approx(two.perimeter, abs=1e-6)
    assert (one.parts, one.empty) == (two.parts, two.empty)


@settings(max_examples=60, deadline=None, phases=NO_SHRINK)
@given(seeds)
def test_the_inside_point_is_inside(seed: int) -> None:
    rng = Random(seed)
    figure, condition = random_figure(rng), random_condition(rng)
    region = solve(figure, ShadeRegion(condition)).region
    assert region is not None
    if region.area > 0:
        assert region.inside_point is not None
        assert holds(figure, condition, region.inside_point)


A, B, C = (PointOf(x) for x in "ABC")
ROPED = (PolygonOf(("P", "Q", "R", "S")),)
LOCI: list[Locus] = [
    AtDistance(SegmentOf("A", "B"), 1.3),
    AtDistance(SidesOf(("P", "Q", "R", "S")), 0.4),
    Equidistant((SegmentOf("A", "B"), SegmentOf("C", "D"))),
    Equidistant((A, CircleOf("c"))),
    Equidistant((A, B, C)),
    SumOfDistances(A, B, 15.0),
    RatioOfDistances(A, B, 1.7),
    Subtends(A, B, 50.0),
    Perpendicular(LineOf("A", "B"), C),
    AngleAt(A, B, 40.0),
    Tangents(CircleOf("c"), A),
    Circumcircle(("A", "B", "C")),
    Incircle(("A", "B", "C")),
    MidpointsFrom(A, CircleOf("c")),
    FootOfPerpendicular(A, B),
    ChordMidpoints(CircleOf("c"), 0.9),
    Ladder(A, B, C, 5.0, 0.3),
    WheelCentre(0.3, PolygonOf(("P", "Q", "R", "S"))),
    RopeEnd(A, 6.0, ROPED),
]


@pytest.mark.parametrize("locus", LOCI, ids=lambda x: type(x).__name__)
@settings(max_examples=6, deadline=None, phases=NO_SHRINK)
@given(seeds, angles, scales, shifts, st.booleans())
def test_a_similarity_carries_every_locus_along(
    locus: Locus, seed: int, turn: float, scale: float, shift: tuple[float, float], flip: bool
) -> None:
    """Every sampled point of the locus is carried to a point of the moved figure's locus."""
    figure = random_figure(Random(seed))
    map_ = Similarity(Point(*shift), scale, turn, flip)
    ask = DrawLocus(locus)
    try:
        before = solve(figure, ask)
    except NoAnswerError as refused:
        # An anchor inside an obstacle: refused wherever the figure stands.
        with pytest.raises(NoAnswerError, match=refused.message[:20]):
            solve(moved(figure, map_), scaled_lengths(ask, scale))
        return
    after = solve(moved(figure, map_), scaled_lengths(ask, scale))
    assert after.special == before.special
    assert len(after.special_points) == len(before.special_points)
    for p in before.special_points:
        assert min(map_(p).distance(q) for q in after.special_points) < 1e-6 * scale
    for c in before.curves:
        lo = c.t0 if math.isfinite(c.t0) else min(c.t1, 3.0) - 6.0
        hi = c.t1 if math.isfinite(c.t1) else lo + 6.0
        for i in range(5):
            p = map_(c.point_at(lo + (hi - lo) * (i + 0.5) / 5))
            assert min(d.distance_to(p) for d in after.curves) < 1e-7 * max(scale, 1.0)
