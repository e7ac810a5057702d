"""What every curve promises: pieces, reversal, similarity, Green's share, nearest points."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from millimark.plane.boxes import Box, box_of, clipped, clipped_to
from millimark.plane.conics import EllipseArc, HyperbolaArc, ParabolaArc
from millimark.plane.curves import Arc, Curve, InwardRay, Line, Ray, Segment
from millimark.plane.joining import joined
from millimark.plane.loops import area, perimeter
from millimark.plane.point import ORIGIN, Point
from millimark.plane.similarity import Similarity

BOUNDED: list[Curve] = [
    Segment(Point(1, 2), Point(4, -2)),
    Arc(Point(1, 1), 3, 0.4, 2.5),
    Arc(Point(1, 1), 3, 0.4, -2.5),
    Arc(Point(-2, 1), 3),
    ParabolaArc(Point(1, 2), Point(0.6, 0.8), 0.7, -1, 3),
    ParabolaArc(Point(1, 2), Point(0.6, 0.8), 0.7, -1, 3, -1.0),
    EllipseArc(Point(1, 2), Point(0.6, 0.8), 3, 1.5),
    EllipseArc(Point(1, 2), Point(0.6, 0.8), 3, 1.5, 0.4, 2.5),
    EllipseArc(Point(1, 2), Point(0.6, 0.8), 3, 1.5, 0.4, -2.5),
    HyperbolaArc(Point(1, 2), Point(0.6, 0.8), 1.5, 1, -0.7, 1.6),
    HyperbolaArc(Point(1, 2), Point(0.6, 0.8), 1.5, 1, -0.7, 1.6, -1.0),
]
UNBOUNDED: list[Curve] = [
    Line(Point(1, 2), Point(0.6, 0.8)),
    Ray(Point(1, 2), Point(0.6, 0.8)),
    InwardRay(Point(1, 2), Point(0.6, 0.8)),
    ParabolaArc(Point(1, 2), Point(0.6, 0.8), 0.7),
    HyperbolaArc(Point(1, 2), Point(0.6, 0.8), 1.5, 1),
]
every = pytest.mark.parametrize("c", BOUNDED + UNBOUNDED, ids=lambda c: c.kind)
bounded = pytest.mark.parametrize("c", BOUNDED, ids=lambda c: c.kind)


def inner(c: Curve, share: float) -> float:
    lo, hi = max(c.t0, -5.0), min(c.t1, 5.0)
    return lo + share * (hi - lo)


@every
def test_direction_is_the_derivative(c: Curve) -> None:
    t, h = inner(c, 0.4), 1e-6
    chord = (c.point_at(t + h) - c.point_at(t - h)).unit()
    assert chord == pytest.approx(c.direction_at(t), abs=1e-8)


@every
def test_curvature_turns_the_direction(c: Curve) -> None:
    t, h = inner(c, 0.4), 1e-5
    turned = c.direction_at(t - h).cross(c.direction_at(t + h))
    run = c.point_at(t + h).distance(c.point_at(t - h))
    assert turned / run == pytest.approx(c.curvature_at(t), abs=1e-6)


@every
def test_reversed_runs_the_same_points(c: Curve) -> None:
    back = c.reversed()
    for share in (0.1, 0.5, 0.9):
        p = c.point_at(inner(c, share))
        t = back.nearest(p)
        assert back.point_at(t) == pytest.approx(p, abs=1e-9)
        assert back.direction_at(t) == pytest.approx(-c.direction_at(inner(c, share)), abs=1e-7)
    again = back.reversed()
    assert again.point_at(inner(again, 0.3)) == pytest.approx(c.point_at(inner(c, 0.3)))


@every
def test_a_piece_keeps_points_and_direction(c: Curve) -> None:
    lo, hi = inner(c, 0.2), inner(c, 0.7)
    piece = c.between(lo, hi)
    assert piece.start == pytest.approx(c.point_at(lo))
    assert piece.end == pytest.approx(c.point_at(hi))
    assert piece.direction_at(piece.t0) == pytest.approx(c.direction_at(lo))
    first, last = c.between(c.t0, hi), c.between(lo, c.t1)
    assert first.end == pytest.approx(c.point_at(hi))
    assert first.direction_at(first.t1) == pytest.approx(c.direction_at(hi))
    assert last.start == pytest.approx(c.point_at(lo))
    assert last.direction_at(last.t0) == pytest.approx(c.direction_at(lo))


@every
def test_neighbouring_pieces_join_again(c: Curve) -> None:
    t = inner(c, 0.5)
    one = joined(c.between(c.t0, t), c.between(t, c.t1))
    assert one is not None
    for share in (0.1, 0.45, 0.8):
        p = c.point_at(inner(c, share))
        assert one.distance_to(p) < 1e-9
    assert one.length == pytest.approx(c.length)


@bounded
def test_length_and_green_of_a_fine_polyline(c: Curve) -> None:
    """A thousand chords of the curve (numpy), by the shoelace formula."""
    xy = np.array([c.point_at(float(t)) for t in np.linspace(c.t0, c.t1, 1001)])
    assert c.length == pytest.approx(np.hypot(*np.diff(xy, axis=0).T).sum(), rel=1e-5)
    x, y = xy.T
    shoelace = 0.5 * float(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]))
    assert c.green() == pytest.approx(shoelace, rel=1e-5)
    assert c.reversed().green() == pytest.approx(-c.green())


@every
@given(st.floats(-20, 20), st.floats(-20, 20), st.floats(-4, 4), st.floats(0.1, 9), st.booleans())
def test_images_under_a_similarity(
    c: Curve, x: float, y: float, turn: float, scale: float, flip: bool
) -> None:
    map_ = Similarity(Point(x, y), scale, turn, flip)
    image = c.transformed(map_)
    for share in (0.1, 0.5, 0.9):
        t = inner(c, share)
        p = map_(c.point_at(t))
        s = image.nearest(p)
        assert image.point_at(s).distance(p) < 1e-8 * scale
        ahead = map_(c.point_at(t) + c.direction_at(t)) - p
        assert image.direction_at(s) == pytest.approx(ahead.unit(), abs=1e-6)


@every
@given(st.floats(-8, 8), st.floats(-8, 8))
def test_nearest_is_nearest(c: Curve, x: float, y: float) -> None:
    p = Point(x, y)
    best = c.distance_to(p)
    sampled = min(c.point_at(inner(c, i / 200)).distance(p) for i in range(201))
    assert best <= sampled + 1e-9


@bounded
def test_samples_stay_within_the_sagitta(c: Curve) -> None:
    xy = c.sampled(1e-3)
    assert Point(*xy[0]) == pytest.approx(c.start)
    assert Point(*xy[-1]) == pytest.approx(c.end)
    for a, b in itertools.pairwise(xy):
        assert c.distance_to(Point(*((a + b) / 2))) <= 1e-3 * 1.0001


@pytest.mark.parametrize("c", UNBOUNDED, ids=lambda c: c.kind)
def test_what_has_no_end_cannot_be_sampled_or_enclose(c: Curve) -> None:
    with pytest.raises(ValueError, match=r"clip|unbounded"):
        c.sampled()
    with pytest.raises(ValueError, match="no area"):
        c.green()
    assert c.length == math.inf


BOX = Box(-5, -4, 5, 4)


def test_clipping_a_line_gives_the_chord() -> None:
    (chord,) = clipped(Line(ORIGIN, Point(0.8, 0.6)), BOX)
    assert sorted((chord.start, chord.end)) == [
        pytest.approx((-5, -3.75)),
        pytest.approx((5, 3.75)),
    ]


def test_clipping_a_circle_that_leaves_the_box_twice() -> None:
    pieces = clipped(Arc(ORIGIN, 4.5), BOX)
    assert len(pieces) == 2
    # Each cap above y = 4 takes 2 acos(4 / 4.5) of the turn.
    left = 2 * math.pi - 4 * math.acos(4 / 4.5)
    assert sum(p.length for p in pieces) == pytest.approx(4.5 * left)


def test_clipping_keeps_what_runs_along_the_edge_and_drops_what_misses() -> None:
    assert len(clipped(Line(Point(0, 4), Point(1, 0)), BOX)) == 1
    assert clipped(Line(Point(0, 4.1), Point(1, 0)), BOX) == []
    assert clipped(Arc(ORIGIN, 9), BOX) == []
    assert clipped(Arc(ORIGIN, 2), BOX) == [Arc(ORIGIN, 2)]


def test_clipping_to_a_polygon_that_is_not_convex() -> None:
    ring = [Point(0, 0), Point(6, 0), Point(6, 4), Point(3, 1), Point(0, 4)]
    pieces = clipped_to(Line(Point(0, 2), Point(1, 0)), ring)
    assert [(p.start.x, p.end.x) for p in pieces] == [pytest.approx((0, 2)), pytest.approx((4, 6))]


def test_boxes() -> None:
    assert box_of([]) is None
    assert box_of([Arc(ORIGIN, 2, 0.1, 3)]) == pytest.approx(
        (2 * math.cos(3.1), 2 * math.sin(3.1), 2 * math.cos(0.1), 2)
    )
    assert box_of([ParabolaArc(ORIGIN, Point(0, 1), 0.25, -1, 2)]) == pytest.approx((-1, 0, 2, 4))
    assert box_of([Line(Point(0, 3), Point(1, 0))]) == (-math.inf, 3, math.inf, 3)
    assert box_of([ParabolaArc(ORIGIN, Point(0, 1), 0.25)]) == (-math.inf, 0, math.inf, math.inf)


def test_a_stadium_loop_by_green() -> None:
    """Segment 6, distance 2: area 24 + 4 pi, perimeter 12 + 4 pi (closed form, computed)."""
    a, b = Point(0, 0), Point(6, 0)
    loop = [
        Segment(Point(0, -2), Point(6, -2)),
        Arc(b, 2, -math.pi / 2, math.pi),
        Segment(Point(6, 2), Point(0, 2)),
        Arc(a, 2, math.pi / 2, math.pi),
    ]
    assert area(loop) == pytest.approx(24 + 4 * math.pi, rel=1e-12)
    assert perimeter(loop) == pytest.approx(12 + 4 * math.pi, rel=1e-12)
