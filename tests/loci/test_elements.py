"""Element names, kinds and needed parts, and what ``holds`` and the JSON form say."""

from __future__ import annotations

import json
import math
from importlib.resources import files

import jsonschema
import pytest

from millimark.loci.conditions import (
    AllOf,
    Ask,
    AtDistance,
    CircleOf,
    DiscOf,
    Distance,
    DrawLocus,
    Equidistant,
    Inside,
    LineOf,
    Locus,
    MarkPoints,
    Measure,
    Nearer,
    PointOf,
    PolygonOf,
    RayOf,
    RimPoint,
    RopeEnd,
    SegmentOf,
    ShadeRegion,
    Shortest,
    SumOfDistances,
)
from millimark.loci.figure import Figure, GivenCircle
from millimark.loci.portable import as_json
from millimark.loci.solve import holds, solve
from millimark.plane.curves import Arc, Line, Ray
from millimark.plane.point import Point

PQR = PolygonOf(("P", "Q", "R"))
FIGURE = Figure(
    points={
        "A": Point(0, 0),
        "B": Point(8, 0),
        "C": Point(3, 5),
        "P": Point(0, 0),
        "Q": Point(7, 0),
        "R": Point(2, 5),
        "S": Point(1, 6),
        "T": Point(9, 8),
    }
)
NAMES: list[tuple[Locus, list[tuple[str, str]]]] = [
    (Equidistant((PointOf("B"), PointOf("A"))), [("perpendicular bisector of AB", "line")]),
    (Equidistant((RayOf("A", "C"), RayOf("A", "B"))), [("bisector of angle BAC", "line")]),
    (AtDistance(PointOf("A"), 4.0), [("circle, centre A, radius 4 cm", "arc")]),
    (AtDistance(PointOf("A"), 2.75), [("circle, centre A, radius 2.75 cm", "arc")]),
    (AtDistance(SegmentOf("A", "B"), 2.0), [("points 2 cm from the line segment AB", "path")]),
    (AtDistance(PQR, 2.0), [("points 2 cm outside PQR", "path")]),
    (AtDistance(LineOf("A", "B"), 2.0), [("points 2 cm from the line AB", "path")]),
    (
        Equidistant((LineOf("A", "B"), LineOf("A", "C"))),
        [
            ("bisector of angle BAC", "line"),
            ("bisector of the angle next to angle BAC", "line"),
        ],
    ),
    (
        Equidistant((LineOf("A", "B"), LineOf("S", "T"))),
        [
            ("bisector of the acute angle between AB and ST", "line"),
            ("bisector of the obtuse angle between AB and ST", "line"),
        ],
    ),
]


@pytest.mark.parametrize(("locus", "expected"), NAMES, ids=lambda v: type(v).__name__)
def test_names_and_kinds(locus: Locus, expected: list[tuple[str, str]]) -> None:
    answer = solve(FIGURE, DrawLocus(locus))
    assert [(e.name, e.kind) for e in answer.elements] == expected
    assert [c for e in answer.elements for c in e.curves] == list(answer.curves)
    for e in answer.elements:
        assert e.needed == e.curves
        assert e.locus == locus


def triangle_region() -> ShadeRegion:
    sides = Nearer(SegmentOf("P", "Q"), (SegmentOf("P", "R"),))
    return ShadeRegion(AllOf((Inside(PQR), sides, Distance(PointOf("Q"), "<", 4.0))))


def test_a_regions_elements_are_what_is_drawn_not_what_is_printed() -> None:
    answer = solve(FIGURE, triangle_region())
    assert [e.name for e in answer.elements] == [
        "bisector of angle QPR",
        "circle, centre Q, radius 4 cm",
    ]
    bisector, circle = answer.elements
    assert bisector.curves[0].kind == "ray"
    assert bisector.locus == Equidistant((RayOf("P", "Q"), RayOf("P", "R")))
    assert circle.curves == (Arc(FIGURE.points["Q"], 4.0),)
    for e in answer.elements:
        for piece in e.needed:
            for t in (piece.t0, (piece.t0 + piece.t1) / 2, piece.t1):
                on = piece.point_at(t)
                assert min(c.distance_to(on) for c in e.curves) < 1e-9
                assert holds(FIGURE, Inside(PQR, strict=False), on)


def test_the_same_circle_in_two_conditions_is_one_element() -> None:
    ring = AllOf((Distance(PointOf("A"), "<=", 3), Distance(PointOf("A"), ">=", 3)))
    assert len(solve(FIGURE, ShadeRegion(ring)).elements) == 1


def test_a_condition_that_cuts_nothing_needs_nothing_drawn() -> None:
    inside = AllOf((Inside(PQR), Distance(PointOf("P"), "<", 30)))
    (circle,) = solve(FIGURE, ShadeRegion(inside)).elements
    assert circle.needed == ()
    assert circle.curves


def test_a_region_that_is_only_a_curve_needs_that_curve_drawn() -> None:
    same = AllOf(
        (
            Nearer(PointOf("A"), (PointOf("B"),), strict=False),
            Nearer(PointOf("B"), (PointOf("A"),), strict=False),
            Distance(PointOf("A"), "<=", 5),
        )
    )
    answer = solve(FIGURE, ShadeRegion(same))
    assert answer.special == "curve"
    (chord,) = answer.curves
    assert chord.length == pytest.approx(6)
    bisector = next(e for e in answer.elements if e.name == "perpendicular bisector of AB")
    assert [c.length for c in bisector.needed] == [pytest.approx(6)]


def test_where_cuts_a_locus() -> None:
    ask = DrawLocus(AtDistance(PointOf("P"), 3.0), Inside(PQR))
    (arc,) = solve(FIGURE, ask).curves
    assert isinstance(arc, Arc)
    assert arc.sweep == pytest.approx(math.atan2(5, 2))
    (element,) = solve(FIGURE, ask).elements
    assert element.curves == (Arc(FIGURE.points["P"], 3.0),)
    assert element.needed == (arc,)


def test_strict_and_closed_borders() -> None:
    on = Point(3, 0)
    assert not holds(FIGURE, Distance(PointOf("A"), "<", 3), on)
    assert holds(FIGURE, Distance(PointOf("A"), "<=", 3), on)
    assert not holds(FIGURE, Distance(PointOf("A"), ">", 3), on)
    assert holds(FIGURE, Distance(PointOf("A"), ">=", 3), on)
    assert not holds(FIGURE, Nearer(PointOf("A"), (PointOf("B"),)), Point(4, 1))
    assert holds(FIGURE, Nearer(PointOf("A"), (PointOf("B"),), strict=False), Point(4, 1))


def test_borders_of_a_tiny_figure_are_as_sharp() -> None:
    tiny = FIGURE.scaled(1e-7)
    near = Distance(PointOf("A"), "<", 3e-7)
    assert holds(tiny, near, Point(2.99e-7, 0))
    assert not holds(tiny, near, Point(3e-7, 0))
    assert not holds(tiny, near, Point(3.01e-7, 0))


def test_curves_point_outwards_and_loops_keep_the_region_on_their_left() -> None:
    answer = solve(FIGURE, ShadeRegion(Nearer(PointOf("A"), (PointOf("B"),))))
    (line,) = answer.curves
    assert isinstance(line, Line)
    left = line.anchor + line.direction.left()
    assert holds(FIGURE, Nearer(PointOf("A"), (PointOf("B"),)), left)
    wedge = solve(FIGURE, ShadeRegion(Nearer(RayOf("A", "B"), (RayOf("A", "C"),))))
    assert all(isinstance(c, Ray) for c in wedge.curves)


def test_a_scaled_figure_keeps_the_asked_lengths() -> None:
    """Printed at 97 %: the bisector follows the givens, the circle keeps its 4 cm."""
    shrunk = FIGURE.scaled(0.97)
    bisector, circle = solve(shrunk, triangle_region()).elements
    assert circle.curves == (Arc(FIGURE.points["Q"] * 0.97, 4.0),)
    assert circle.name == "circle, centre Q, radius 4 cm"
    full, _ = solve(FIGURE, triangle_region()).elements
    assert bisector.curves[0].direction_at(1.0) == pytest.approx(full.curves[0].direction_at(1.0))


ROUND = Figure(
    points={"A": Point(5, 3), "B": Point(8, 0), "E": Point(0, 0), "F": Point(2, 1)},
    circles=(GivenCircle("c", Point(3, 3), 2.0), GivenCircle("d", Point(9, 4), 1.0)),
)
KINDS: list[tuple[Ask, set[str], str]] = [
    (
        DrawLocus(SumOfDistances(PointOf("A"), PointOf("B"), 9)),
        {"ellipse"},
        "points whose distances from A and B add up to 9 cm",
    ),
    (
        DrawLocus(Equidistant((PointOf("B"), CircleOf("c")))),
        {"hyperbola"},
        "points the same distance from B and from the circle c",
    ),
    (
        DrawLocus(Equidistant((PointOf("B"), LineOf("E", "F")))),
        {"parabola"},
        "points the same distance from B and from the line EF",
    ),
    (
        DrawLocus(RimPoint(1.5, PointOf("E"), PointOf("F"))),
        {"cycloid"},
        "path of E on the rim of a wheel of radius 1.5 cm",
    ),
    (
        DrawLocus(RopeEnd(PointOf("A"), 5, (DiscOf("c"),))),
        {"arc", "involute"},
        "end of the rope of 5 cm from A",
    ),
    (DrawLocus(AtDistance(CircleOf("c"), 0.5)), {"arc"}, "points 0.5 cm from the circle c"),
]


@pytest.mark.parametrize(("ask", "kinds", "name"), KINDS, ids=[k[2] for k in KINDS])
def test_curved_kinds_with_their_names_and_json(ask: Ask, kinds: set[str], name: str) -> None:
    answer = solve(ROUND, ask)
    assert {c.kind for c in answer.curves} == kinds
    assert [e.name for e in answer.elements] == [name]
    check_json(as_json(answer))


def test_measures_and_marks_have_json_too() -> None:
    measure = Measure(Shortest(PointOf("B"), CircleOf("c")))
    data = as_json(solve(ROUND, measure))
    check_json(data)
    assert data["measured"]["unit"] == "cm"
    marks = MarkPoints((AtDistance(PointOf("A"), 3), AtDistance(PointOf("B"), 3)))
    data = as_json(solve(ROUND, marks))
    check_json(data)
    assert len(data["special_points"]) == 2


def check_json(data: object) -> dict:
    """Valid by the published schema, and plain JSON without infinities."""
    schema = json.loads((files("millimark") / "schemas" / "answer.json").read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    plain = json.loads(json.dumps(data, allow_nan=False))
    jsonschema.validate(plain, schema, cls=jsonschema.Draft202012Validator)
    return plain


ASKS = [
    *(DrawLocus(locus) for locus, _ in NAMES),
    triangle_region(),
    ShadeRegion(Nearer(SegmentOf("P", "Q"), (SegmentOf("P", "R"),))),
    ShadeRegion(Distance(PointOf("A"), "<", 0)),
    ShadeRegion(Distance(PointOf("A"), ">=", 0)),
    DrawLocus(Equidistant((PointOf("P"), PointOf("Q"), PointOf("R")))),
]


@pytest.mark.parametrize("ask", ASKS, ids=lambda a: type(a).__name__)
def test_json_is_valid_by_its_schema(ask: DrawLocus | ShadeRegion) -> None:
    data = check_json(as_json(solve(FIGURE, ask)))
    assert data["region"] is None or isinstance(ask, ShadeRegion)


def test_json_keeps_full_precision() -> None:
    data = as_json(solve(FIGURE, ShadeRegion(Distance(SegmentOf("P", "Q"), "<", 2))))
    assert json.loads(json.dumps(data))["region"]["area_cm2"] == pytest.approx(
        28 + 4 * math.pi, rel=1e-15
    )
