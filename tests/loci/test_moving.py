"""Points that move: simulated positions lie on the curves, lengths and areas have closed forms."""

from __future__ import annotations

import math

import pytest

from millimark.errors import NoAnswerError
from millimark.loci.conditions import (
    AllOf,
    ChordMidpoints,
    CircleOf,
    Distance,
    DrawLocus,
    FootOfPerpendicular,
    Inside,
    Ladder,
    LineOf,
    Locus,
    MidpointsFrom,
    PointOf,
    PolygonOf,
    RimPoint,
    RollingShape,
    SegmentOf,
    ShadeRegion,
    SidesOf,
    WheelCentre,
)
from millimark.loci.figure import Figure, GivenCircle
from millimark.loci.solve import solve
from millimark.plane.curves import Arc, Curve, Segment
from millimark.plane.loops import area
from millimark.plane.parametric import CycloidArc
from millimark.plane.point import Point

S = PolygonOf(("A", "B", "C", "D"))
FIGURE = Figure(
    points={
        "A": Point(0, 0),
        "B": Point(1, 0),
        "C": Point(1, 1),
        "D": Point(0, 1),
        "X": Point(-1, 0),
        "Y": Point(12, 0),
        "W": Point(-1, 5),
        "O": Point(4, 4),
    },
    circles=(GivenCircle("c", Point(4, 4), 3.0),),
)
A, B, C, D, X, Y, W, O_ = (PointOf(x) for x in "ABCDXYWO")
XY = LineOf("X", "Y")


def curves(locus: Locus, figure: Figure = FIGURE) -> tuple[Curve, ...]:
    return solve(figure, DrawLocus(locus)).curves


def total(locus: Locus, figure: Figure = FIGURE) -> float:
    return math.fsum(c.length for c in curves(locus, figure))


def on(found: tuple[Curve, ...], p: Point) -> bool:
    return min(c.distance_to(p) for c in found) < 1e-9


# --- rolling shapes ---------------------------------------------------------------------
@pytest.mark.parametrize("label", ["A", "B", "C", "D"])
def test_a_vertex_of_a_rolling_unit_square(label: str) -> None:
    """pi/2 (2 + sqrt 2) = 5.3630341227 over a full turn (computed)."""
    length = total(RollingShape(S, XY, PointOf(label)))
    assert length == pytest.approx(math.pi / 2 * (2 + math.sqrt(2)), rel=1e-9)


def test_the_centre_of_a_rolling_square_makes_quarter_arcs() -> None:
    found = curves(RollingShape(S, XY))
    assert len(found) == 4
    for k, arc in enumerate(found):
        assert isinstance(arc, Arc)
        assert arc.centre == pytest.approx((k + 1, 0), abs=1e-9)
        assert arc.radius == pytest.approx(math.sqrt(0.5))
        assert arc.sweep == pytest.approx(-math.pi / 2)


def test_rolling_the_other_way_and_below() -> None:
    back = curves(RollingShape(S, LineOf("Y", "X"), A, rolls=2))
    assert [c.end for c in back][-1] == pytest.approx((-1, 1), abs=1e-9)
    below = Figure(points={**FIGURE.points, "C": Point(1, -1), "D": Point(0, -1)})
    (arc, *_) = curves(RollingShape(S, XY, A), below)
    assert isinstance(arc, Arc)
    assert arc.sweep == pytest.approx(math.pi / 2)
    assert arc.end == pytest.approx((1, -1), abs=1e-9)


def test_a_rolling_triangle_and_rectangle() -> None:
    """A vertex moves by (exterior angle) x (its distance from the pivot) at each tip."""
    triangle = Figure(
        points={
            "A": Point(0, 0),
            "B": Point(2, 0),
            "C": Point(1, math.sqrt(3)),
            "X": Point(-1, 0),
            "Y": Point(9, 0),
        }
    )
    shape = PolygonOf(("A", "B", "C"))
    assert total(RollingShape(shape, XY, A), triangle) == pytest.approx(2 * 2 * math.pi / 3 * 2)
    rect = Figure(
        points={
            "A": Point(0, 0),
            "B": Point(4, 0),
            "C": Point(4, 3),
            "D": Point(0, 3),
            "X": Point(-1, 0),
            "Y": Point(9, 0),
        }
    )
    assert total(RollingShape(S, XY, A), rect) == pytest.approx(math.pi / 2 * (4 + 5 + 3))


def test_a_square_rolls_round_a_square_and_comes_back() -> None:
    ring = {"E": Point(0, 0), "F": Point(3, 0), "G": Point(3, -3), "H": Point(0, -3)}
    figure = Figure(points={**FIGURE.points, **ring})
    round_ = PolygonOf(("E", "F", "G", "H"))
    found = curves(RollingShape(S, round_), figure)
    # Three tips of a quarter turn and four of half a turn at the corners... the centre is
    # always sqrt(1/2) from the pivot: 8 quarter tips along the sides, 4 half turns.
    assert math.fsum(c.length for c in found) == pytest.approx(
        (8 + 8) * math.pi / 2 * math.sqrt(0.5)
    )
    # After 12 tips of a quarter or half turn the square lies where it lay.
    start = Point(0.5, 0.5)
    assert found[0].start == pytest.approx(start)
    assert found[-1].end == pytest.approx(start, abs=1e-9)


def test_a_long_shape_tips_over_the_corner_of_what_it_rolls_round() -> None:
    """A 5 x 1 plank on a 3 x 3 block: it overhangs, so it tips about the block's corner."""
    plank = {"A": Point(0, 0), "B": Point(5, 0), "C": Point(5, 1), "D": Point(0, 1)}
    ring = {"E": Point(0, 0), "F": Point(3, 0), "G": Point(3, -3), "H": Point(0, -3)}
    figure = Figure(points={**plank, **ring})
    (first, *_) = curves(RollingShape(S, PolygonOf(("E", "F", "G", "H")), C, rolls=1), figure)
    assert first == Arc(
        Point(3, 0), math.hypot(2, 1), pytest.approx(math.atan2(1, 2)), pytest.approx(-math.pi / 2)
    )


def test_what_cannot_roll_says_so() -> None:
    off = Figure(points={**FIGURE.points, "X": Point(-1, -0.5), "Y": Point(9, -0.5)})
    with pytest.raises(NoAnswerError, match="No side of ABCD"):
        solve(off, DrawLocus(RollingShape(S, XY)))
    with pytest.raises(NoAnswerError, match="flat"):
        solve(FIGURE, DrawLocus(RollingShape(PolygonOf(("A", "B", "Y")), XY)))
    dart = {"E": Point(0, 0), "F": Point(3, 0), "G": Point(1, -1), "H": Point(0, -3)}
    figure = Figure(points={**FIGURE.points, **dart})
    with pytest.raises(NoAnswerError, match="not convex"):
        solve(figure, DrawLocus(RollingShape(S, PolygonOf(("E", "F", "G", "H")))))


# --- ladders ----------------------------------------------------------------------------
def test_the_midpoint_of_a_ladder_makes_a_quarter_circle() -> None:
    """Radius half the ladder (from memory; it is the median to the right angle)."""
    (arc,) = curves(Ladder(A, B, D, 6))
    assert isinstance(arc, Arc)
    assert (arc.centre, arc.radius) == (Point(0, 0), pytest.approx(3))
    assert sorted((arc.start, arc.end)) == [
        pytest.approx((0, 3), abs=1e-9),
        pytest.approx((3, 0), abs=1e-9),
    ]


@pytest.mark.parametrize("share", [0.0, 0.2, 0.5, 0.8, 1.0])
@pytest.mark.parametrize("wall_deg", [90, 60, 120, -75])
def test_simulated_ladders_lie_on_the_curve(share: float, wall_deg: float) -> None:
    wall = Point(0, 0).polar(1, math.radians(wall_deg))
    figure = Figure(points={"A": Point(0, 0), "B": Point(1, 0), "D": wall})
    (curve,) = curves(Ladder(A, B, D, 5, share), figure)
    phi = math.radians(abs(wall_deg))
    ends = []
    for k in range(41):
        # Slide the foot: the top is where a circle of radius 5 cuts the wall, solved here
        # from the angle at the foot by the law of sines.
        alpha = (math.pi - phi) * k / 40
        foot = Point(5 * math.sin(phi + alpha) / math.sin(phi), 0)
        top = wall * (5 * math.sin(alpha) / math.sin(phi))
        assert foot.distance(top) == pytest.approx(5)
        p = foot * (1 - share) + top * share
        assert curve.distance_to(p) < 1e-8
        ends.append(p)
    for end in (curve.start, curve.end):
        assert min(end.distance(p) for p in ends) < 0.2


def test_a_ladder_needs_a_corner_and_a_length() -> None:
    with pytest.raises(NoAnswerError, match="at an angle"):
        solve(FIGURE, DrawLocus(Ladder(A, B, Y, 5)))
    with pytest.raises(NoAnswerError, match="0 cm"):
        solve(FIGURE, DrawLocus(Ladder(A, B, D, 0)))


# --- wheels -----------------------------------------------------------------------------
def test_cycloid() -> None:
    """Arch 8 r, area under it 3 pi r² (both from memory, and by Green here)."""
    (arch,) = curves(RimPoint(1.5, A, B))
    assert isinstance(arch, CycloidArc)
    assert arch.length == pytest.approx(8 * 1.5, rel=1e-9)
    under = area([Segment(arch.start, arch.end), arch.reversed()])
    assert under == pytest.approx(3 * math.pi * 1.5**2, rel=1e-9)
    for k in range(30):
        t = 2 * math.pi * k / 30
        hub, spoke = Point(1.5 * t, 1.5), Point(-math.sin(t), -math.cos(t)) * 1.5
        assert arch.distance_to(hub + spoke) < 1e-9


def test_cycloids_of_several_turns_and_cut_by_a_condition() -> None:
    assert [c.length for c in curves(RimPoint(1, A, B, 2.5))] == pytest.approx([8, 8, 4])
    high = DrawLocus(RimPoint(1, A, B), Distance(LineOf("A", "B"), ">", 1.0))
    (top,) = solve(FIGURE, high).curves
    assert isinstance(top, CycloidArc)
    assert (top.from_, top.to) == (
        pytest.approx(math.pi / 2, abs=1e-9),
        pytest.approx(3 * math.pi / 2, abs=1e-9),
    )


def test_the_centre_of_a_wheel() -> None:
    box = Figure(points={"A": Point(0, 0), "B": Point(6, 0), "C": Point(6, 4), "D": Point(0, 4)})
    assert total(WheelCentre(1, S), box) == pytest.approx(20 + 2 * math.pi)
    assert total(WheelCentre(1, S, inside=True), box) == pytest.approx(2 * (4 + 2))
    assert curves(WheelCentre(2.5, S, inside=True), box) == ()
    assert total(WheelCentre(1, CircleOf("c"))) == pytest.approx(8 * math.pi)
    assert total(WheelCentre(1, CircleOf("c"), inside=True)) == pytest.approx(4 * math.pi)
    just = solve(FIGURE, DrawLocus(WheelCentre(3, CircleOf("c"), inside=True)))
    assert (just.special, just.special_points) == ("point", (Point(4, 4),))
    assert len(curves(WheelCentre(1, SegmentOf("X", "Y")))) == 4
    with pytest.raises(NoAnswerError, match="inside a polygon"):
        solve(FIGURE, DrawLocus(WheelCentre(1, XY, inside=True)))


def test_a_wheel_inside_a_polygon_that_is_not_convex() -> None:
    """L-shape: round the reflex corner the centre makes a quarter circle."""
    ring = [(0, 0), (6, 0), (6, 3), (3, 3), (3, 6), (0, 6)]
    figure = Figure(points={f"P{i}": Point(*p) for i, p in enumerate(ring)})
    shape = PolygonOf(tuple(figure.points))
    # Straights 4, 1, 2, 2, 1, 4 and one quarter of radius 1.
    assert total(WheelCentre(1, shape, inside=True), figure) == pytest.approx(14 + math.pi / 2)


# --- midpoints, feet, chords ---------------------------------------------------------------
def test_midpoints_halve_what_the_point_runs_along() -> None:
    (circle,) = curves(MidpointsFrom(A, CircleOf("c")))
    assert circle == Arc(Point(2, 2), 1.5)
    (segment,) = curves(MidpointsFrom(W, SegmentOf("X", "Y")))
    assert {segment.start, segment.end} == {Point(-1, 2.5), Point(5.5, 2.5)}
    assert total(MidpointsFrom(O_, SidesOf(S.labels))) == pytest.approx(2)
    (third,) = curves(MidpointsFrom(A, CircleOf("c"), 1 / 3))
    assert isinstance(third, Arc)
    assert third.radius == pytest.approx(1)


def test_feet_of_perpendiculars_by_simulation() -> None:
    found = curves(FootOfPerpendicular(W, Y))
    a, b = FIGURE.points["W"], FIGURE.points["Y"]
    for k in range(24):
        along = Point(math.cos(k), math.sin(k))
        assert on(found, b + along * (a - b).dot(along))
    assert solve(FIGURE, DrawLocus(FootOfPerpendicular(A, A))).special == "point"


def test_midpoints_of_chords() -> None:
    (circle,) = curves(ChordMidpoints(CircleOf("c"), length=4.8))
    assert circle == Arc(Point(4, 4), pytest.approx(1.8))
    assert solve(FIGURE, DrawLocus(ChordMidpoints(CircleOf("c"), length=6))).special == "point"
    assert solve(FIGURE, DrawLocus(ChordMidpoints(CircleOf("c"), length=6.1))).special == "empty"
    centre, p = Point(4, 4), FIGURE.points["W"]
    outside = curves(ChordMidpoints(CircleOf("c"), through=W))
    for k in range(-20, 21):
        # A line through W at an angle to WO: the midpoint is the foot from the centre.
        heading = (centre - p).angle() + k / 20 * math.asin(3 / centre.distance(p))
        along = Point(math.cos(heading), math.sin(heading))
        assert on(outside, p + along * (centre - p).dot(along))
    for c in outside:
        for t in (c.t0, (c.t0 + c.t1) / 2, c.t1):
            assert c.point_at(t).distance(centre) <= 3 + 1e-9
    assert solve(FIGURE, DrawLocus(ChordMidpoints(CircleOf("c"), through=O_))).special == "point"
    with pytest.raises(NoAnswerError, match="length or a point"):
        solve(FIGURE, DrawLocus(ChordMidpoints(CircleOf("c"))))


def test_a_region_under_a_cycloid_by_its_line() -> None:
    """Parametric curves and their cuts work with everything else: the part of a disc above
    the ground, for a check of where a cycloid is cut."""
    ask = DrawLocus(RimPoint(2, A, B), Distance(PointOf("O"), "<", 3.0))
    (part,) = solve(FIGURE, ask).curves
    for end in (part.start, part.end):
        assert end.distance(Point(4, 4)) == pytest.approx(3, abs=1e-9)
    inside = AllOf((Inside(CircleOf("c")), Distance(XY, ">", 1)))
    assert solve(FIGURE, ShadeRegion(inside)).region is not None
