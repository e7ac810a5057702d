"""Properties: moving, turning, mirroring and scaling the figure, and reordering conditions."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from millimark.loci.conditions import AllOf, Ask, Condition, Distance, PointOf, ShadeRegion
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
