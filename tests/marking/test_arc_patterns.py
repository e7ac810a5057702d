"""Arcs that hang together, on strokes whose truth is their formula: any opening, either side,
other common forms; what is wrong is withheld, what cannot be told is the teacher's."""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.marking.pupil import Hand, on_paper, question

from millimark.loci.conditions import (
    AngleOn,
    Circumcircle,
    DrawLocus,
    LineOf,
    Parallel,
    Perpendicular,
    PointOf,
    RayOf,
    SegmentOf,
    TriangleOn,
)
from millimark.loci.figure import Figure
from millimark.loci.figures_on import SideTo
from millimark.plane.point import Point

BASE = Figure({"A": Point(-3.5, -2), "B": Point(3.5, -2)}, segments=(("A", "B"),))
WITH_P = Figure(
    {"A": Point(-4.5, -2), "B": Point(4.5, -2), "P": Point(0.5, 1.5)}, segments=(("A", "B"),)
)
ON_AB = Figure(
    {"A": Point(-4.5, -2), "B": Point(4.5, -2), "P": Point(-0.5, -2)}, segments=(("A", "B"),)
)
SIXTY = question(BASE, DrawLocus(AngleOn(RayOf("A", "B"), 60.0)))
SSS = question(
    BASE,
    DrawLocus(
        TriangleOn(SegmentOf("A", "B"), "C", (SideTo(PointOf("A"), 5.0), SideTo(PointOf("B"), 6.0)))
    ),
)
FROM = question(WITH_P, DrawLocus(Perpendicular(LineOf("A", "B"), PointOf("P"))))
AT = question(ON_AB, DrawLocus(Perpendicular(LineOf("A", "B"), PointOf("P"))))
LEVEL = question(WITH_P, DrawLocus(Parallel(LineOf("A", "B"), PointOf("P"))))


def arc_at(hand: Hand, centre: Point, radius: float, at: Point, half_mm: float = 8.0) -> None:
    """A short arc about ``centre`` past the place on it towards ``at``."""
    half = math.degrees(half_mm / radius)
    hand.arc(centre, radius, math.degrees((at - centre).angle()) - half, 2 * half, 0.45)


def meet(a: Point, r: float, b: Point, s: float, up: bool = True) -> Point:
    """Where circles cross above (on the page) or below the line from a to b."""
    d = a.distance(b)
    x = (d * d + r * r - s * s) / (2 * d)
    h = math.sqrt(r * r - x * x)
    u = (b - a).unit()
    side = Point(u.y, -u.x) if u.x > 0 else Point(-u.y, u.x)
    return a + u * x + side * (h if up else -h)


def first(hand: Hand, asked) -> str:  # type: ignore[no-untyped-def]
    return hand.marked(asked).marks[0].decision


# --- 60 degrees ------------------------------------------------------------------------------
@pytest.mark.parametrize("up", [True, False])
@pytest.mark.parametrize(
    ("radius", "second", "decision"),
    [(35.0, 35.0, "awarded"), (52.0, 52.4, "awarded"), (45.0, 50.0, "withheld")],
)
def test_a_step_of_one_radius(radius: float, second: float, decision: str, up: bool) -> None:
    hand, p = Hand(), on_paper(SIXTY)
    cut = Point(p["A"].x + radius, p["A"].y)
    tip = meet(p["A"], radius, cut, second, up)
    arc_at(hand, p["A"], radius, cut)
    arc_at(hand, p["A"], radius, tip)
    arc_at(hand, cut, second, tip)
    hand.line(p["A"], p["A"] + (tip - p["A"]).unit() * 60.0)
    assert first(hand, SIXTY) == decision


def test_the_printed_side_itself_may_be_the_radius() -> None:
    """Arcs about both ends with the side as radius: no arc need cut the arm at its end."""
    hand, p = Hand(), on_paper(SIXTY)
    tip = meet(p["A"], 70.0, p["B"], 70.0)
    for end in ("A", "B"):
        arc_at(hand, p[end], 70.0, tip)
    hand.line(p["A"], p["A"] + (tip - p["A"]).unit() * 80.0)
    assert first(hand, SIXTY) == "awarded"


def test_an_angle_that_was_measured_shows_no_arcs() -> None:
    hand, p = Hand(), on_paper(SIXTY)
    hand.line(p["A"], Point(p["A"].x + 30.0, p["A"].y - 30.0 * math.sqrt(3)))
    marks = hand.marked(SIXTY)
    assert [m.decision for m in marks.marks] == ["withheld", "withheld"]
    assert [f.fault for f in marks.faults] == ["no-arcs"]


# --- triangle of three sides -------------------------------------------------------------------
def triangle(from_a: float, from_b: float, arcs: bool = True, up: bool = True) -> Hand:
    hand, p = Hand(), on_paper(SSS)
    corner = meet(p["A"], from_a, p["B"], from_b, up)
    if arcs:
        arc_at(hand, p["A"], from_a, corner)
        arc_at(hand, p["B"], from_b, corner)
    hand.line(p["A"], corner)
    hand.line(corner, p["B"])
    return hand


@pytest.mark.parametrize(
    ("from_a", "from_b", "decisions"),
    [
        (50.0, 60.0, ["awarded", "awarded"]),
        (50.8, 59.4, ["awarded", "awarded"]),
        (50.0, 66.0, ["withheld", "withheld"]),
    ],
)
def test_two_asked_radii(from_a: float, from_b: float, decisions: list[str]) -> None:
    """Three sides, within 2 mm: Cambridge 2022 (transcribed)."""
    marks = triangle(from_a, from_b).marked(SSS).marks
    assert [m.decision for m in marks] == decisions


def test_sides_without_arcs_show_no_method() -> None:
    marks = triangle(50.0, 60.0, arcs=False).marked(SSS).marks
    assert [m.decision for m in marks] == ["withheld", "withheld"]


def test_a_right_angle_at_the_corner_hides_no_arcs() -> None:
    """There each arc runs along the other side, and is seen only beyond the corner."""
    figure = Figure({"A": Point(-5, -2), "B": Point(5, -2)}, segments=(("A", "B"),))
    sides = (SideTo(PointOf("A"), 6.0), SideTo(PointOf("B"), 8.0))
    asked = question(figure, DrawLocus(TriangleOn(SegmentOf("A", "B"), "C", sides)))
    p = on_paper(asked)
    for arcs, decision in ((True, "awarded"), (False, "withheld")):
        hand = Hand()
        corner = meet(p["A"], 60.0, p["B"], 80.0)
        if arcs:
            arc_at(hand, p["A"], 60.0, corner)
            arc_at(hand, p["B"], 80.0, corner)
        hand.line(p["A"], corner)
        hand.line(corner, p["B"])
        assert first(hand, asked) == decision


@pytest.mark.parametrize("past", ["arc", "ruled"])
def test_what_goes_on_past_a_corner_is_no_part_of_its_side(past: str) -> None:
    """The arc about B leaves the corner as the side from A would: a tracer takes it for one."""
    hand, p = Hand(), on_paper(SSS)
    corner = meet(p["A"], 50.0, p["B"], 60.0)
    arc_at(hand, p["A"], 50.0, corner)
    side = (corner - p["A"]).unit()
    radius = corner - p["B"]
    on = radius.left() * math.copysign(
        1.0, radius.left().dot(side)
    )  # the arc about B goes on there
    bend = [p["B"] + radius * math.cos(t) + on * math.sin(t) for t in np.arange(0.0, 0.25, 0.02)]
    ruled = [corner + side * k + side.left() * (0.1 * k) for k in range(14)]
    hand.path(np.vstack(([p["A"], corner], bend if past == "arc" else ruled)))
    hand.line(corner, p["B"])
    assert hand.marked(SSS).elements[0].worst_mm < 0.4


# --- perpendiculars ------------------------------------------------------------------------------
@pytest.mark.parametrize(("opening", "second"), [(42.0, 42.0), (50.0, 47.0)])
def test_from_a_point_by_its_cuts(opening: float, second: float) -> None:
    hand, p = Hand(), on_paper(FROM)
    half = math.sqrt(opening**2 - 35.0**2)
    cuts = [Point(p["P"].x + s * half, p["A"].y) for s in (-1, 1)]
    tip = meet(cuts[0], second, cuts[1], second, up=False)
    for cut in cuts:
        arc_at(hand, p["P"], opening, cut)
        arc_at(hand, cut, second, tip)
    hand.line(p["P"], tip)
    assert first(hand, FROM) == "awarded"


@pytest.mark.parametrize(("drawn", "decision"), [("both", "awarded"), ("one", "withheld")])
def test_an_arc_cut_to_bits_by_a_printed_line_is_seen_all_the_same(
    drawn: str, decision: str
) -> None:
    """No stroke is traced through a few millimetres on either side of the print."""
    hand, p = Hand(), on_paper(FROM)
    half = math.sqrt(42.0**2 - 35.0**2)
    cuts = [Point(p["P"].x + s * half, p["A"].y) for s in (-1, 1)]
    tip = meet(cuts[0], 42.0, cuts[1], 42.0, up=False)
    arc_at(hand, p["P"], 42.0, cuts[0])
    for cut in cuts:
        arc_at(hand, cut, 42.0, tip)
    if drawn == "both":
        arc_at(hand, p["P"], 42.0, cuts[1])
        hand.strokes.pop()
    hand.line(p["P"], tip)
    assert first(hand, FROM) == decision


@pytest.mark.parametrize(("drawn", "decision"), [(True, "awarded"), (False, "withheld")])
def test_limbs_of_arcs_that_were_not_traced_show_their_crossing(drawn: bool, decision: str) -> None:
    """About each cut one arc was traced, the one above AB, the other below: where they cross with
    the others only limbs of those are seen."""
    hand, p = Hand(), on_paper(AT)
    cuts = [Point(p["P"].x + s * 35.0, p["P"].y) for s in (-1, 1)]
    tips = [Point(p["P"].x, p["P"].y + s * math.sqrt(45.0**2 - 35.0**2)) for s in (-1, 1)]
    for k, cut in enumerate(cuts):
        arc_at(hand, p["P"], 35.0, cut)
        arc_at(hand, cut, 45.0, tips[k])
        if drawn:
            arc_at(hand, cut, 45.0, tips[1 - k], 1.9)
            hand.strokes.pop()
    hand.line(Point(p["P"].x, p["P"].y + 40.0), Point(p["P"].x, p["P"].y - 40.0))
    assert first(hand, AT) == decision


@pytest.mark.parametrize(("aside", "decision"), [(0.3, "teacher"), (6.0, "withheld")])
def test_only_the_first_arcs_of_a_chain_were_seen(aside: float, decision: str) -> None:
    """The others may have run over the frame's edge: in doubt if the line is right all the same."""
    hand, p = Hand(), on_paper(FROM)
    half = math.sqrt(42.0**2 - 35.0**2)
    for s in (-1, 1):
        arc_at(hand, p["P"], 42.0, Point(p["P"].x + s * half, p["A"].y))
    hand.line(p["P"], Point(p["P"].x + aside, p["A"].y + 20.0))
    assert first(hand, FROM) == decision


def test_from_a_point_by_its_mirror_image() -> None:
    """Circles about two points of the line through P cross again beyond it."""
    hand, p = Hand(), on_paper(FROM)
    image = Point(p["P"].x, 2 * p["A"].y - p["P"].y)
    for end in ("A", "B"):
        arc_at(hand, p[end], p[end].distance(p["P"]), image)
    hand.line(p["P"], image)
    assert first(hand, FROM) == "awarded"


@pytest.mark.parametrize(
    ("second", "decision"), [(45.0, "awarded"), (40.5, "withheld"), (31.0, "withheld")]
)
def test_at_a_point(second: float, decision: str) -> None:
    """Equal cuts, then arcs about them of 45 mm and of ``second`` mm; two small ones never
    cross."""
    hand, p = Hand(), on_paper(AT)
    cuts = [Point(p["P"].x + s * 35.0, p["P"].y) for s in (-1, 1)]
    radii = (31.0, 31.0) if second < 35.0 else (45.0, second)
    for cut, radius in zip(cuts, radii, strict=True):
        arc_at(hand, p["P"], 35.0, cut)
        height = math.sqrt(max(radius**2 - 35.0**2, 0.0)) + 3.0
        arc_at(hand, cut, radius, Point(p["P"].x, p["P"].y - height))
    hand.line(p["P"], Point(p["P"].x, p["P"].y - 50.0))
    marks = hand.marked(AT)
    assert marks.marks[0].decision == decision
    if second < 35.0:
        assert [f.fault for f in marks.faults] == ["arcs-too-small"]


def test_another_construction_is_the_teachers() -> None:
    """The angle in a semicircle: right, and none of the forms that are known."""
    hand, p = Hand(), on_paper(AT)
    centre = Point(p["P"].x + 20.0, p["P"].y - 25.0)
    radius = centre.distance(p["P"])
    far = Point(p["P"].x + 40.0, p["P"].y)
    opposite = centre * 2 - far
    for at in (far, opposite, Point(centre.x + 5.0, centre.y - radius)):
        arc_at(hand, centre, radius, at, 9.0)
    hand.line(far, opposite)
    hand.line(p["P"], opposite)
    assert first(hand, AT) == "teacher"


# --- parallels and circles ----------------------------------------------------------------
@pytest.mark.parametrize("way", [1, -1])
def test_a_rhombus_to_either_side(way: int) -> None:
    hand, p = Hand(), on_paper(LEVEL)
    side = 44.0
    cut = Point(p["P"].x - way * math.sqrt(side**2 - 35.0**2), p["A"].y)
    after, last = Point(cut.x + way * side, cut.y), Point(p["P"].x + way * side, p["P"].y)
    for centre, at in ((p["P"], cut), (p["P"], last), (cut, after), (after, last)):
        arc_at(hand, centre, side, at)
    hand.line(Point(p["P"].x - 30.0, p["P"].y), Point(p["P"].x + 40.0, p["P"].y))
    assert first(hand, LEVEL) == "awarded"


@pytest.mark.parametrize(("sides", "decision"), [(2, "awarded"), (1, "withheld")])
def test_a_circumcircle_wants_two_bisectors(sides: int, decision: str) -> None:
    corners = {"A": Point(-3.5, -2), "B": Point(3.5, -2), "C": Point(0.5, 3.0)}
    asked = question(
        Figure(corners, polygons=(("A", "B", "C"),)), DrawLocus(Circumcircle(("A", "B", "C")))
    )
    hand, p = Hand(), on_paper(asked)
    for one, two in (("A", "B"), ("B", "C"))[:sides]:
        hand.crossing_arcs(p[one], p[two], 45.0, 45.0)
    (circle,) = asked.answers[0].curves
    centre = Point(105.0 + 10 * circle.centre.x, 120.0 - 10 * circle.centre.y)
    hand.arc(centre, 10 * circle.radius)
    assert first(hand, asked) == decision
