# ruff: noqa: E501 - one case a line reads as a table
"""Crossings: named extremes, then sympy's answers (sympy 1.14, exact rationals)."""

from __future__ import annotations

import math
from random import Random

import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st

from millimark.plane.conics import EllipseArc, HyperbolaArc, ParabolaArc
from millimark.plane.crossings import crossings
from millimark.plane.curves import Arc, Curve, InwardRay, Line, Ray, Segment
from millimark.plane.point import ORIGIN, Point

X = Point(1.0, 0.0)
Y = Point(0.0, 1.0)
OVAL = EllipseArc(ORIGIN, X, 5, 3)
BRANCH = HyperbolaArc(ORIGIN, X, 3, 4)  # foci (±5, 0)
R = 15 / math.sqrt(34)  # x = y on x²/25 + y²/9 = 1
UP = ParabolaArc(ORIGIN, Y, 0.25)  # y = x²
NAMED: list[tuple[str, Curve, Curve, list[tuple[float, float]]]] = [
    ("parallel lines", Line(ORIGIN, X), Line(Point(0, 1), X), []),
    ("one line twice", Line(ORIGIN, X), Line(Point(5, 0), X), []),
    ("lines", Line(ORIGIN, X), Line(Point(3, 7), Y), [(3, 0)]),
    ("segments that meet at an end", Segment(ORIGIN, Point(4, 0)), Segment(Point(4, 0), Point(5, 3)), [(4, 0)]),
    ("segments that stop short", Segment(ORIGIN, Point(4, 0)), Segment(Point(4.001, 0), Point(5, 3)), []),
    ("segments along each other", Segment(ORIGIN, Point(4, 0)), Segment(Point(6, 0), Point(3, 0)), [(3, 0), (4, 0)]),
    ("a segment inside a line", Line(ORIGIN, X), Segment(Point(1, 0), Point(2, 0)), [(1, 0), (2, 0)]),
    ("rays that face each other", Ray(ORIGIN, X), Ray(Point(5, 0), -X), [(0, 0), (5, 0)]),
    ("a ray behind its start", Ray(Point(1, 0), X), Line(ORIGIN, Y), []),
    ("a ray run inwards", InwardRay(Point(1, 0), -X), Line(Point(3, 0), Y), [(3, 0)]),
    ("a line through a circle, along the line", Line(ORIGIN, -X), Arc(ORIGIN, 2), [(2, 0), (-2, 0)]),
    ("a tangent", Line(Point(0, 2), X), Arc(ORIGIN, 2), [(0, 2)]),
    ("a line that misses a circle", Line(Point(0, 2.1), X), Arc(ORIGIN, 2), []),
    ("a line and half a circle", Line(ORIGIN, Y), Arc(ORIGIN, 2, 0, math.pi), [(0, 2)]),
    ("a clockwise arc, along the arc", Arc(ORIGIN, 5, math.pi, -math.pi), Line(Point(0, 4), X), [(-3, 4), (3, 4)]),
    ("circles that touch outside", Arc(ORIGIN, 2), Arc(Point(5, 0), 3), [(2, 0)]),
    ("circles that touch inside", Arc(ORIGIN, 5), Arc(Point(2, 0), 3), [(5, 0)]),
    ("circles apart", Arc(ORIGIN, 1), Arc(Point(5, 0), 1), []),
    ("a circle inside another", Arc(ORIGIN, 5), Arc(Point(1, 0), 1), []),
    ("concentric circles", Arc(ORIGIN, 5), Arc(ORIGIN, 4), []),
    ("one circle twice", Arc(ORIGIN, 5), Arc(ORIGIN, 5), []),
    ("arcs of one circle", Arc(ORIGIN, 5, 0, 2), Arc(ORIGIN, 5, 1, 2), [(5 * math.cos(1), 5 * math.sin(1)), (5 * math.cos(2), 5 * math.sin(2))]),
    ("a 3-4-5 lens", Arc(ORIGIN, 5), Arc(Point(6, 0), 5), [(3, 4), (3, -4)]),
    ("a parabola and its axis", UP, Line(ORIGIN, Y), [(0, 0)]),
    ("a parabola and its vertex tangent", UP, Line(ORIGIN, X), [(0, 0)]),
    ("a parabola and a chord", UP, Line(Point(0, 4), X), [(-2, 4), (2, 4)]),
    ("a parabola and a circle in four points", UP, Arc(Point(0, 2), math.sqrt(2)), [(-math.sqrt(2), 2), (-1, 1), (1, 1), (math.sqrt(2), 2)]),
    ("a parabola and the circle that rests in it", UP, Arc(Point(0, 1.25), 1), [(-math.sqrt(0.75), 0.75), (math.sqrt(0.75), 0.75)]),
    ("parabolas crossed", UP, ParabolaArc(ORIGIN, X, 0.25), [(0, 0), (1, 1)]),
    ("one parabola twice, in part", UP.between(0, 2), UP.between(1, 3), [(1, 1), (2, 4)]),
    ("an ellipse and its long axis", OVAL, Line(ORIGIN, X), [(5, 0), (-5, 0)]),
    ("an ellipse and a tangent at its short end", OVAL, Line(Point(0, 3), X), [(0, 3)]),
    ("an ellipse and a circle of its short axis", OVAL, Arc(ORIGIN, 3), [(0, 3), (0, -3)]),
    ("an ellipse and a circle in four points", OVAL, Arc(ORIGIN, 4), [(5 * math.sqrt(7) / 4, 2.25), (-5 * math.sqrt(7) / 4, 2.25), (-5 * math.sqrt(7) / 4, -2.25), (5 * math.sqrt(7) / 4, -2.25)]),
    ("an ellipse and a circle round it", OVAL, Arc(ORIGIN, 5.1), []),
    ("one ellipse, two parts", OVAL.between(0, 2), OVAL.between(1, 3), [tuple(OVAL.point_at(1)), tuple(OVAL.point_at(2))]),
    ("two ellipses crossed", OVAL, EllipseArc(ORIGIN, Y, 5, 3), [(R, R), (-R, R), (-R, -R), (R, -R)]),
    ("a hyperbola and its axis", BRANCH, Line(ORIGIN, X), [(3, 0)]),
    ("a hyperbola and its asymptote", BRANCH, Line(ORIGIN, Point(0.6, 0.8)), []),
    ("a hyperbola and a line of the other branch", BRANCH, Line(Point(-4, 0), Y), []),
    ("a hyperbola and a chord", BRANCH, Line(Point(5, 0), Y), [(5, -16 / 3), (5, 16 / 3)]),
    ("confocal ellipse and hyperbola", BRANCH, EllipseArc(ORIGIN, X, 6, math.sqrt(11)), [(18 / 5, -4 / 5 * math.sqrt(11)), (18 / 5, 4 / 5 * math.sqrt(11))]),
    ("a hyperbola and a parabola that opens the other way", BRANCH, ParabolaArc(Point(1, 0), -X, 1), []),
    ("a parabola that ends on a line", UP.between(0, 2), Line(Point(2, 0), Y), [(2, 4)]),
    ("an arc of an ellipse that starts on a line", OVAL.between(1, 2), Line(OVAL.point_at(1), X), [tuple(OVAL.point_at(1))]),
    ("parabolas that face away", UP, ParabolaArc(Point(0, -1), -Y, 0.25), []),
]  # fmt: skip


@pytest.mark.parametrize(("a", "b", "expected"), [c[1:] for c in NAMED], ids=[c[0] for c in NAMED])
def test_named(a: Curve, b: Curve, expected: list[tuple[float, float]]) -> None:
    found = crossings(a, b)
    assert len(found) == len(expected)
    for p, q in zip(found, expected, strict=True):
        assert p == pytest.approx(q, abs=1e-9)


@pytest.mark.parametrize(("a", "b", "expected"), [c[1:] for c in NAMED], ids=[c[0] for c in NAMED])
def test_the_other_way_round(a: Curve, b: Curve, expected: list[tuple[float, float]]) -> None:
    assert len(crossings(b, a)) == len(expected)
    for q in expected:
        assert min(p.distance(Point(*q)) for p in crossings(b, a)) < 1e-9


angles = st.floats(-3.2, 3.2)


@given(st.floats(-20, 20), st.floats(-20, 20), st.floats(0.1, 15), angles)
def test_a_tangent_touches_once_wherever_it_is(x: float, y: float, r: float, a: float) -> None:
    """Rounding puts the line a little inside or outside the circle: it touches all the same."""
    centre = Point(x, y)
    at = centre.polar(r, a)
    tangent = Line(at.polar(3.0, a + math.pi / 2), Point(math.cos(a), math.sin(a)).left())
    for found in (crossings(tangent, Arc(centre, r)), crossings(Arc(centre, r), tangent)):
        assert len(found) == 1
        assert found[0].distance(at) < 1e-6


@given(st.floats(-20, 20), st.floats(-20, 20), st.floats(0.1, 15), st.floats(0.1, 15), angles)
def test_circles_touch_once_wherever_they_are(
    x: float, y: float, r: float, s: float, a: float
) -> None:
    one, at = Point(x, y), Point(x, y).polar(r, a)
    (outside,) = crossings(Arc(one, r), Arc(at.polar(s, a), s))
    assert outside.distance(at) < 1e-6
    if abs(r - s) > 1e-3:
        (inside,) = crossings(Arc(one, r), Arc(at.polar(-s, a), s))
        assert inside.distance(at) < 1e-6


def _rational(rng: Random, lo: int, hi: int) -> sympy.Rational:
    return sympy.Rational(rng.randint(lo * 8, hi * 8), 8)


@pytest.mark.parametrize("seed", range(25))
def test_lines_and_circles_as_sympy_has_them(seed: int) -> None:
    rng = Random(seed)
    pts = [(_rational(rng, -5, 5), _rational(rng, -5, 5)) for _ in range(4)]
    radii = [_rational(rng, 1, 5), _rational(rng, 1, 5)]
    circles = [sympy.Circle(sympy.Point(*p), r) for p, r in zip(pts, radii, strict=False)]
    arcs = [Arc(Point(*map(float, p)), float(r)) for p, r in zip(pts, radii, strict=False)]
    one, two = (sympy.Point(*p) for p in pts[2:])
    if one == two or circles[0].center == circles[1].center:
        return
    line = sympy.Line(one, two)
    a, b = (Point(*map(float, p)) for p in pts[2:])
    ours = Line(a, (b - a).unit())
    for theirs, mine in (
        (circles[0].intersection(circles[1]), crossings(arcs[0], arcs[1])),
        (line.intersection(circles[0]), crossings(ours, arcs[0])),
    ):
        expected = sorted((float(p.x), float(p.y)) for p in theirs)
        assert len(mine) == len(expected)
        for p, q in zip(sorted(mine), expected, strict=True):
            assert p == pytest.approx(q, abs=1e-9)


@pytest.mark.parametrize("seed", range(25))
def test_parabolas_as_sympy_has_them(seed: int) -> None:
    """sympy's real roots of the resultant, isolated exactly, against ours."""
    rng = Random(100 + seed)
    f, cx, cy, r = (_rational(rng, *span) for span in ((1, 2), (-3, 3), (-2, 4), (1, 5)))
    x = sympy.Symbol("x")
    y = x**2 / (4 * f)
    roots = sympy.Poly((x - cx) ** 2 + (y - cy) ** 2 - r**2, x).real_roots()
    expected = sorted({round(float(root.evalf(20)), 12) for root in roots})
    parabola = ParabolaArc(ORIGIN, Y, float(f))
    found = crossings(parabola, Arc(Point(float(cx), float(cy)), float(r)))
    assert [p.x for p in found] == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("seed", range(12))
def test_ellipses_and_hyperbolas_as_sympy_has_them(seed: int) -> None:
    """Against a circle: sympy's isolated real roots of the resultant in x."""
    rng = Random(200 + seed)
    a, b, cx, cy = (_rational(rng, *span) for span in ((2, 5), (1, 4), (-3, 3), (-2, 2)))
    r = _rational(rng, 2, 5)
    x, y = sympy.symbols("x y", real=True)
    circle = sympy.expand((x - cx) ** 2 + (y - cy) ** 2 - r**2)
    arc = Arc(Point(float(cx), float(cy)), float(r))
    for sign, curve in (
        (1, EllipseArc(ORIGIN, X, float(a), float(b))),
        (-1, HyperbolaArc(ORIGIN, X, float(a), float(b))),
    ):
        conic = sympy.expand(b**2 * x**2 + sign * a**2 * y**2 - a**2 * b**2)
        roots = {
            float(t.evalf(25))
            for t in sympy.Poly(sympy.resultant(circle, conic, y), x).real_roots()
        }
        expected = []
        for at in roots:
            for side in (1, -1):
                square = sign * float(b) ** 2 * (1 - at * at / float(a) ** 2)
                p = Point(at, side * math.sqrt(max(square, 0.0)))
                on_circle = abs(p.distance(arc.centre) - arc.radius) < 1e-8
                if square >= -1e-12 and on_circle and (sign > 0 or at > 0):
                    expected.append(p)
        found = crossings(curve, arc)
        assert len(found) == len(expected)
        for p in expected:
            assert min(p.distance(q) for q in found) < 1e-9
