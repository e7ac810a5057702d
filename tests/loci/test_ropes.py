"""Ropes: closed forms, published constants, and a visibility graph built with shapely."""

from __future__ import annotations

import itertools
import json
import math
from collections.abc import Callable
from pathlib import Path
from random import Random

import numpy as np
import pytest
import shapely

from millimark.errors import NoAnswerError
from millimark.loci.conditions import (
    AllOf,
    CircleOf,
    Condition,
    DiscOf,
    Distance,
    DrawLocus,
    Inside,
    PointOf,
    PolygonOf,
    RopeEnd,
    ShadeRegion,
    WithinRope,
)
from millimark.loci.figure import Figure, GivenCircle
from millimark.loci.solve import holds, membership, solve
from millimark.plane.point import Point

GOAT = json.loads((Path(__file__).parents[1] / "authorities" / "goat.json").read_text())
SHED = PolygonOf(("P", "Q", "R", "S"))
A = PointOf("A")


def shed(width: float, height: float, anchor: Point) -> Figure:
    ring = {
        "P": Point(0, 0),
        "Q": Point(width, 0),
        "R": Point(width, height),
        "S": Point(0, height),
    }
    return Figure(points={"A": anchor, **ring})


def silo(radius: float) -> Figure:
    return Figure(
        points={"A": Point(radius, 0)}, circles=(GivenCircle("silo", Point(0, 0), radius),)
    )


def area(figure: Figure, condition: Condition) -> float:
    region = solve(figure, ShadeRegion(condition)).region
    assert region is not None
    return region.area


@pytest.mark.parametrize(
    ("p", "q", "length"), [(4, 3, 5), (4, 3, 2), (4, 3, 3.5), (4, 3, 7), (6, 4, 10)]
)
def test_outside_the_corner_of_a_shed(p: float, q: float, length: float) -> None:
    """3/4 pi L² + pi/4 (L - p)+² + pi/4 (L - q)+² for L <= p + q (computed); 20 pi for 4 x 3, 5."""
    beyond = max(length - p, 0) ** 2 + max(length - q, 0) ** 2
    exact = 0.75 * math.pi * length**2 + math.pi / 4 * beyond
    found = area(shed(p, q, Point(0, 0)), WithinRope(A, length, (SHED,)))
    assert found == pytest.approx(exact, rel=1e-9)


def test_along_the_wall_of_a_shed() -> None:
    """The middle of the 6 side of a 6 x 4 shed, L = 5: 14.5 pi (computed)."""
    found = area(shed(6, 4, Point(3, 0)), WithinRope(A, 5, (SHED,)))
    assert found == pytest.approx(14.5 * math.pi, rel=1e-9)


def test_ropes_that_meet_behind_a_shed() -> None:
    """From the middle of the 6 side of a 6 x 4 shed, L = 12, by symmetry twice the left half
    (computed): quarters of radius 12 and 9, then radius 5 about (0, 4) as far as x = 3."""
    length, r = 12.0, 5.0
    quarters = math.pi / 4 * (length**2 + (length - 3) ** 2)
    reach = math.asin(3 / r)
    last = reach * r * r / 2 + 3 * r * math.cos(reach) / 2
    found = area(shed(6, 4, Point(3, 0)), WithinRope(A, length, (SHED,)))
    assert found == pytest.approx(2 * (quarters + last), rel=1e-9)


@pytest.mark.parametrize(("a", "length"), [(1.0, 0.3), (1.0, 1.0), (2.0, 3.0), (1.0, math.pi)])
def test_outside_a_silo(a: float, length: float) -> None:
    """pi L²/2 + L³/(3a) for L <= pi a (MathWorld, Goat Problem, read in the source)."""
    exact = math.pi * length**2 / 2 + length**3 / (3 * a)
    found = area(silo(a), WithinRope(A, length, (DiscOf("silo"),)))
    assert found == pytest.approx(exact, rel=1e-9)
    if (a, length) == (1.0, math.pi):
        assert found == pytest.approx(float(GOAT["silo_half_round"]["value"]), abs=1e-7)


def solved_length(measure: Callable[[float], float], target: float, lo: float, hi: float) -> float:
    for _ in range(60):
        mid = (lo + hi) / 2
        lo, hi = (mid, hi) if measure(mid) < target else (lo, mid)
    return (lo + hi) / 2


def test_goat_inside_a_circular_fence() -> None:
    fence = silo(1.0)
    grazed = solved_length(
        lambda r: area(fence, AllOf((Inside(CircleOf("silo")), Distance(A, "<=", r)))),
        math.pi / 2,
        1.0,
        1.5,
    )
    assert grazed == pytest.approx(float(GOAT["inside"]["value"]), rel=1e-9)


def test_goat_outside_a_circular_fence() -> None:
    fence = silo(1.0)
    grazed = solved_length(
        lambda r: area(fence, WithinRope(A, r, (DiscOf("silo"),))), math.pi / 2, 0.5, 1.5
    )
    assert grazed == pytest.approx(float(GOAT["outside"]["value"]), rel=1e-9)


def test_a_rope_that_goes_all_round_the_silo() -> None:
    """Past pi a the two involutes meet behind: the hole of the region is the silo itself, and the
    edge is where they cross on the far side (by symmetry on the x axis)."""
    region = solve(silo(1.0), ShadeRegion(WithinRope(A, 4.0, (DiscOf("silo"),)))).region
    assert region is not None
    assert len(region.loops) == 2
    edge = max(region.loops, key=lambda loop: sum(c.length for c in loop))
    farthest = min(c.point_at(t).x for c in edge for t in (c.t0, c.t1))
    # The rope winds w, then runs straight for 4 - w to the axis: tan(pi - w) = 4 - w.
    root = solved_length(lambda w: 4 - w - math.tan(math.pi - w), 0.0, 1.7, math.pi)
    assert farthest == pytest.approx(-1 / math.cos(math.pi - root), rel=1e-9)


# --- an independent visibility graph (shapely for sight, Floyd-Warshall for lengths) -----------
def ways(
    anchor: Point, rings: list[list[Point]]
) -> tuple[list[Point], np.ndarray, list[shapely.Polygon]]:
    blocks = [shapely.Polygon(r) for r in rings]
    nodes = [anchor, *(p for r in rings for p in r)]
    n = len(nodes)
    length = np.full((n, n), np.inf)
    for i, j in itertools.combinations(range(n), 2):
        if sees(nodes[i], nodes[j], blocks):
            length[i, j] = length[j, i] = nodes[i].distance(nodes[j])
    np.fill_diagonal(length, 0.0)
    for k in range(n):
        length = np.minimum(length, length[:, k : k + 1] + length[k : k + 1, :])
    return nodes, length[0], blocks


def sees(p: Point, q: Point, blocks: list[shapely.Polygon]) -> bool:
    way = shapely.LineString([p, q])
    return all(way.intersection(b.buffer(-1e-7)).length < 1e-7 for b in blocks)


SCENES = [
    [[Point(0, 0), Point(4, 0), Point(4, 3), Point(0, 3)]],
    [[Point(0, 0), Point(4, 0), Point(4, 1), Point(1, 1), Point(1, 4), Point(0, 4)]],
    [
        [Point(0, 0), Point(2, 0), Point(2, 3), Point(0, 3)],
        [Point(3, 1), Point(6, 1), Point(6, 2), Point(3, 2)],
    ],
]
ANCHORS = [Point(0, 0), Point(2, 0), Point(-1, 2), Point(2.5, 4.5)]


@pytest.mark.parametrize("scene", range(len(SCENES)))
@pytest.mark.parametrize("anchor", range(len(ANCHORS)))
def test_reach_by_a_visibility_graph(scene: int, anchor: int) -> None:
    rings, at = SCENES[scene], ANCHORS[anchor]
    points = {"A": at}
    shapes = []
    for i, ring in enumerate(rings):
        labels = tuple(f"P{i}{k}" for k in range(len(ring)))
        points.update(zip(labels, ring, strict=True))
        shapes.append(PolygonOf(labels))
    figure = Figure(points=points)
    nodes, lengths, blocks = ways(at, rings)
    rng = Random(scene * 10 + anchor)
    rope = WithinRope(A, 5.5, tuple(shapes))
    region = solve(figure, ShadeRegion(rope)).region
    assert region is not None
    reached = membership(figure, rope)
    hits, trials = 0, 300
    for _ in range(trials):
        p = Point(rng.uniform(-7, 9), rng.uniform(-7, 9))
        if any(b.distance(shapely.Point(p)) < 1e-6 for b in blocks):
            continue
        total = min(
            (d + n.distance(p) for n, d in zip(nodes, lengths, strict=True) if sees(n, p, blocks)),
            default=math.inf,
        )
        hits += total <= 5.5
        if abs(total - 5.5) > 1e-6:
            assert reached(p) == (total < 5.5)
    # The area agrees with the share of hits within five standard errors.
    share = hits / trials
    error = 5 * math.sqrt(max(share * (1 - share), 0.01) / trials)
    assert region.area / 256 == pytest.approx(share, abs=error)


def test_two_discs_by_sampled_rims() -> None:
    """Round discs against polygons with many corners: lengths agree to the corners' sagitta."""
    discs = (GivenCircle("c", Point(2, 0.3), 1.0), GivenCircle("d", Point(4.6, -0.4), 1.2))
    figure = Figure(points={"A": Point(0, 0)}, circles=discs)
    n = 36
    rings = [
        [c.centre.polar(c.radius / math.cos(math.pi / n), 2 * math.pi * k / n) for k in range(n)]
        for c in discs
    ]
    nodes, lengths, blocks = ways(Point(0, 0), rings)
    rope = WithinRope(A, 7.5, (DiscOf("c"), DiscOf("d")))
    reached = membership(figure, rope)
    rng = Random(3)
    checked = 0
    for _ in range(60):
        p = Point(rng.uniform(3, 9), rng.uniform(-4, 4))
        if any(b.distance(shapely.Point(p)) < 0.01 for b in blocks):
            continue
        total = min(
            d + m.distance(p) for m, d in zip(nodes, lengths, strict=True) if sees(m, p, blocks)
        )
        if abs(total - 7.5) > 0.03:
            checked += 1
            assert reached(p) == (total < 7.5)
    assert checked > 40
    region = solve(figure, ShadeRegion(rope)).region
    assert region is not None
    assert region.parts == 1
    assert sum(loop_area > 0 for loop_area in map(loop_sign, region.loops)) == 1


def test_over_one_disc_and_under_the_next() -> None:
    """Unit discs about (0, 0) and (4, 0), from (-1.5, 0.9) to (5.5, -0.9): by symmetry twice a
    tangent and an arc, and the inner tangent between, sqrt(16 - 4) (computed)."""
    a, b = Point(-1.5, 0.9), Point(5.5, -0.9)
    figure = Figure(
        points={"A": a},
        circles=(GivenCircle("c", Point(0, 0), 1.0), GivenCircle("d", Point(4, 0), 1.0)),
    )
    lands = a.angle() - math.acos(1 / a.norm())
    length = 2 * (math.sqrt(a.norm() ** 2 - 1) + lands - math.pi / 3) + math.sqrt(12)
    discs = (DiscOf("c"), DiscOf("d"))
    assert holds(figure, WithinRope(A, length + 1e-8, discs), b)
    assert not holds(figure, WithinRope(A, length - 1e-8, discs), b)


def test_over_both_discs() -> None:
    """The same discs from (-1.5, 0.5) to (5.5, 0.5): the outer tangent between is 4 long."""
    a, b = Point(-1.5, 0.5), Point(5.5, 0.5)
    figure = Figure(
        points={"A": a},
        circles=(GivenCircle("c", Point(0, 0), 1.0), GivenCircle("d", Point(4, 0), 1.0)),
    )
    lands = a.angle() - math.acos(1 / a.norm())
    length = 2 * (math.sqrt(a.norm() ** 2 - 1) + lands - math.pi / 2) + 4
    discs = (DiscOf("c"), DiscOf("d"))
    assert holds(figure, WithinRope(A, length + 1e-8, discs), b)
    assert not holds(figure, WithinRope(A, length - 1e-8, discs), b)


def loop_sign(loop: tuple) -> float:
    return sum(c.green() for c in loop)


def test_the_end_of_the_rope_is_the_edge_without_the_walls() -> None:
    figure = shed(4, 3, Point(0, 0))
    answer = solve(figure, DrawLocus(RopeEnd(A, 5, (SHED,))))
    assert math.fsum(c.length for c in answer.curves) == pytest.approx(
        1.5 * math.pi * 5 + math.pi / 2 * 1 + math.pi / 2 * 2
    )
    assert [e.name for e in answer.elements] == ["end of the rope of 5 cm from A"]


def test_no_obstacle_no_length_and_no_way_in() -> None:
    figure = shed(4, 3, Point(1, 1))
    with pytest.raises(NoAnswerError, match="inside an obstacle"):
        solve(figure, ShadeRegion(WithinRope(A, 5, (SHED,))))
    free = shed(4, 3, Point(-9, -9))
    assert area(free, WithinRope(A, 5, (SHED,))) == pytest.approx(25 * math.pi)
    assert area(free, WithinRope(A, 5)) == pytest.approx(25 * math.pi)
    point = solve(free, ShadeRegion(WithinRope(A, 0, (SHED,))))
    assert point.special == "point"
    with pytest.raises(NoAnswerError, match="-2"):
        solve(free, ShadeRegion(WithinRope(A, -2, (SHED,))))
    crowded = Figure(
        points={"A": Point(9, 9), **{k: v for k, v in free.points.items() if k != "A"}},
        circles=(GivenCircle("c", Point(0, 0), 1.0),),
    )
    with pytest.raises(NoAnswerError, match="overlap"):
        solve(crowded, ShadeRegion(WithinRope(A, 5, (SHED, DiscOf("c")))))


def test_a_region_within_reach_needs_the_end_of_the_rope_drawn_and_not_the_walls() -> None:
    figure = shed(6.0, 4.0, Point(3, 0))
    region = ShadeRegion(WithinRope(A, 5.0, (SHED,)))
    round_it = ShadeRegion(WithinRope(A, 4.0, (DiscOf("silo"),)))
    for there, ask in ((figure, region), (silo(3.0), round_it)):
        answer = solve(there, ask)
        (end,) = answer.elements
        edge = solve(there, DrawLocus(end.locus)).curves
        assert sum(c.length for c in end.needed) == pytest.approx(sum(c.length for c in edge))
        assert answer.region is not None
        assert answer.region.perimeter > sum(c.length for c in end.needed) + 2.0  # the walls
