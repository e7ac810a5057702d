"""Shading: on the right side of the pupil's own lines."""

from __future__ import annotations

import math

import pytest
from tests.marking.pupil import Hand, on_paper, question, region

from millimark.loci.conditions import AllOf, Distance, Nearer, PointOf
from millimark.loci.figure import Figure
from millimark.plane.point import Point

AB = Figure({"A": Point(-4, 0), "B": Point(4, 0)}, segments=(("A", "B"),))
NEAR_A = AllOf((Nearer(PointOf("A"), (PointOf("B"),)), Distance(PointOf("A"), "<", 5.0)))
Q = question(AB, region(NEAR_A))
P = on_paper(Q)
A, M = P["A"], Point((P["A"].x + P["B"].x) / 2, P["A"].y)


def answer(shade, off=0.0, radius=50.0, flat=False, inset=1.0, spacing=3.0):
    """Own bisector moved by ``off``, own circle; shaded where ``shade`` (-1: right side) says."""
    hand = Hand()
    hand.line(Point(M.x + off, M.y - 62), Point(M.x + off, M.y + 62))
    hand.arc(A, radius)

    def inside(x, y):
        side = (x - M.x - off) * shade > inset
        return side and (x - A.x) ** 2 + (y - A.y) ** 2 < (radius - inset) ** 2

    if shade:
        hand.flat(inside) if flat else hand.hatch(inside, spacing)
    return hand.marked(Q)


def decisions(marks):
    return [m.decision for m in marks.marks]


@pytest.mark.parametrize("flat", [False, True])
def test_right_region(flat):
    marks = answer(-1, flat=flat)
    assert decisions(marks) == ["awarded", "awarded", "awarded"]
    assert marks.region.right_side
    assert marks.region.overlap > 0.85


@pytest.mark.parametrize("flat", [False, True])
def test_wrong_side(flat):
    marks = answer(1, flat=flat)
    assert decisions(marks) == ["awarded", "awarded", "withheld"]
    assert not marks.region.right_side
    assert "wrong-side" in [f.fault for f in marks.faults]


def test_boundary_only():
    marks = answer(0)
    assert decisions(marks) == ["awarded", "awarded", "withheld"]
    assert not marks.region.shaded


@pytest.mark.parametrize(("off", "radius"), [(7.0, 50.0), (0.0, 44.0)])
def test_follow_through_on_the_pupils_own_lines(off, radius):
    marks = answer(-1, off=off, radius=radius)
    assert decisions(marks).count("withheld") == 1
    assert marks.marks[2].decision == "awarded"
    assert marks.marks[2].follow_through


def test_region_needs_one_boundary():
    marks = answer(-1, off=9.0, radius=42.0)
    assert decisions(marks) == ["withheld"] * 3
    assert "needs one of" in marks.marks[2].reason


@pytest.mark.parametrize("spacing", [1.5, 3.0, 5.0, 6.5])
def test_hatching_wide_or_narrow(spacing):
    assert answer(-1, spacing=spacing).marks[2].decision == "awarded"


def test_hatching_that_overshoots_slightly():
    assert answer(-1, inset=-1.0).marks[2].decision == "awarded"


def test_the_whole_circle_shaded_is_not_awarded():
    hand = Hand()
    hand.line(Point(M.x, M.y - 62), Point(M.x, M.y + 62))
    hand.arc(A, 50.0)
    hand.hatch(lambda x, y: (x - A.x) ** 2 + (y - A.y) ** 2 < 49**2)
    marks = hand.marked(Q)
    assert marks.marks[2].decision != "awarded"


# F and G 7 cm apart; the pupil's bisector lies 6.5 mm off: a lens 8.5 mm wide.
FG = Figure({"F": Point(-3.5, 0), "G": Point(3.5, 0)}, segments=(("F", "G"),))
LENS = question(
    FG, region(AllOf((Nearer(PointOf("F"), (PointOf("G"),)), Distance(PointOf("G"), "<", 5.0))))
)
G = on_paper(LENS)["G"]
BOUND = G.x - 35.0 - 6.5


def lens(shade):
    """The thin lens, cross-hatched 2.5 mm apart where ``shade(x, y)`` of paper mm says."""
    hand = Hand()
    hand.line(Point(BOUND, G.y - 45), Point(BOUND, G.y + 45))
    hand.arc(G, 50.0, 130.0, 100.0)
    both_ways(hand, shade)
    return hand.marked(LENS)


def both_ways(hand, shade):
    hand.hatch(shade, 2.5)
    for k in range(-40, 41):
        at = [
            (G.x - 42 + t, G.y + 2.5 * k * 2**0.5 - t) for t in [0.3 * i - 30 for i in range(200)]
        ]
        run = [p for p in at if shade(*p)]
        if len(run) > 8:
            hand.path(run, 0.4)


def in_lens(x, y):
    return x < BOUND - 0.4 and (x - G.x) ** 2 + (y - G.y) ** 2 < 49.6**2


def test_a_thin_region_cross_hatched_is_not_a_crossing_out():
    """Such a lens was withheld with 'No shading was found'."""
    marks = lens(in_lens)
    assert marks.region.shaded
    assert marks.region.inside > 0.85
    assert marks.marks[2].decision == "awarded"


def test_a_crossing_out_across_a_boundary_is_no_shading():
    """A band of short strokes over the circle's edge, hardly any of the region."""
    marks = lens(lambda x, y: abs(x - BOUND - 14.0) < 4.0 and abs(y - G.y) < 12.0)
    assert marks.marks[2].decision == "withheld"


def unrecognised(x0, x1):
    """No shading that is recognised as such, but pencil too pale and sparse from x0 to x1."""
    hand = Hand()
    hand.line(Point(M.x, M.y - 62), Point(M.x, M.y + 62))
    hand.arc(A, 50.0)
    hand.flat(lambda x, y: x0 < x < x1 and abs(y - A.y) < 30.0, 0.018)
    return hand.marked(Q)


def test_pencil_in_the_right_region_that_nothing_explains_is_for_the_teacher():
    marks = unrecognised(A.x - 30.0, M.x - 5.0)
    assert not marks.region.shaded
    assert marks.region.unexplained > 0.25
    assert marks.marks[2].decision == "teacher"
    assert "pencil in the right region" in marks.marks[2].reason


def test_pencil_elsewhere_earns_nothing():
    assert unrecognised(M.x + 60.0, M.x + 75.0).marks[2].decision == "withheld"


def test_wrong_side_shaded_with_as_much_pencil_in_the_right_region_is_for_the_teacher():
    hand = Hand()
    hand.line(Point(M.x, M.y - 62), Point(M.x, M.y + 62))
    hand.arc(A, 50.0)
    hand.hatch(lambda x, y: x > M.x + 1 and (x - A.x) ** 2 + (y - A.y) ** 2 < 49**2)
    hand.flat(lambda x, y: abs(x - A.x) < 30.0 and abs(y - A.y) < 30.0, 0.018)
    marks = hand.marked(Q)
    assert marks.region.inside < 0.5
    assert marks.marks[2].decision == "teacher"


@pytest.mark.parametrize(("gap_mm", "decision"), [(5.0, "awarded"), (36.0, "teacher")])
def test_shading_over_a_long_break_in_the_boundary_is_no_boundary(gap_mm, decision):
    """An arc that stopped short under dense shading was taken as carried on."""
    hand = Hand()
    hand.line(Point(M.x, M.y - 62), Point(M.x, M.y + 62))
    half = gap_mm / 2 / 50.0 * 57.29578
    hand.arc(A, 50.0, 120.0 + half, 360.0 - 2 * half)
    hand.flat(lambda x, y: x < M.x - 1 and (x - A.x) ** 2 + (y - A.y) ** 2 < 51.5**2)
    marks = hand.marked(Q)
    assert marks.elements[1].kind == "arc"
    assert decisions(marks)[1] == decision


def hatched_along(off, spacing, boundary):
    """Shading parallel to the bisector, its outermost stroke ``off`` mm inside; the circle, and
    the bisector too if ``boundary``."""
    hand = Hand(seed=3)
    hand.arc(A, 50.0)
    if boundary:
        hand.line(Point(M.x, M.y - 62), Point(M.x, M.y + 62), 0.4)
    x = M.x - off
    while x > A.x - 48.0:
        half = (49.0**2 - (x - A.x) ** 2) ** 0.5 - 0.7 - hand.rng.uniform(0, 0.8)
        hand.line(Point(x, A.y - half), Point(x + 0.3, A.y + half), 0.4)
        x -= spacing * hand.rng.uniform(0.9, 1.1)
    return hand.marked(Q)


@pytest.mark.parametrize("spacing", [2.2, 3.0, 4.5])
@pytest.mark.parametrize("off", [0.0, 1.0, 1.8])
def test_the_outermost_stroke_of_shading_is_no_boundary(off, spacing):
    """It was awarded as the boundary, which was not drawn."""
    mark = hatched_along(off, spacing, boundary=False).marks[0]
    assert mark.decision == "teacher"
    assert "outermost stroke" in mark.reason


@pytest.mark.parametrize("off", [1.5, 2.5, 4.0])
def test_a_boundary_with_shading_along_it_is_one(off):
    assert decisions(hatched_along(off, 3.0, boundary=True)) == ["awarded"] * 3


@pytest.mark.parametrize(("gap_mm", "decision"), [(4.0, "awarded"), (16.0, "teacher")])
def test_a_break_over_an_even_tone_is_not_carried_on(gap_mm, decision):
    """A line shows on a tone: none over 16 mm of 78 proves nothing."""
    small = question(AB, region(AllOf((Nearer(PointOf("A"), (PointOf("B"),)),
                                       Distance(PointOf("B"), "<", 5.0)))))  # fmt: skip
    b, hand = on_paper(small)["B"], Hand()
    hand.line(Point(M.x, M.y - 62), Point(M.x, M.y + 62))
    half = gap_mm / 2 / 50.0 * 57.29578
    hand.arc(b, 50.0, 180.0 + half, 45.0 - half)
    hand.arc(b, 50.0, 135.0, 45.0 - half)
    hand.flat(lambda x, y: x < M.x - 1 and (x - b.x) ** 2 + (y - b.y) ** 2 < 51.5**2, 0.15)
    assert [m.decision for m in hand.marked(small).marks if "ircle" in m.criterion] == [decision]


def test_a_few_strokes_in_a_small_region_are_looked_at():
    """A pupil whose own circle was too small had 50 square millimetres to shade: withheld, once."""
    hand = Hand()
    hand.line(Point(M.x, M.y - 62), Point(M.x, M.y + 62))
    b = P["B"]
    hand.arc(b, 44.0)
    small = question(AB, region(AllOf((Nearer(PointOf("A"), (PointOf("B"),)),
                                       Distance(PointOf("B"), "<", 4.5)))))  # fmt: skip
    for y in (-4.0, 0.0, 4.0):
        hand.line(Point(M.x - 3.4, M.y + y - 1.0), Point(M.x - 0.4, M.y + y + 1.0), 0.4)
    assert hand.marked(small).marks[2].decision != "withheld"


def test_a_region_too_small_to_shade_is_the_teachers():
    """From a rehearsal: 14 square millimetres between an arc and a line, withheld as not shaded."""
    b, hand = P["B"], Hand()
    hand.line(Point(M.x, M.y - 62), Point(M.x, M.y + 62))
    hand.arc(b, 41.5)
    small = question(AB, region(AllOf((Nearer(PointOf("A"), (PointOf("B"),)),
                                       Distance(PointOf("B"), "<", 4.15)))))  # fmt: skip
    marks = hand.marked(small)
    assert marks.region.room_mm2 < 60.0
    assert marks.marks[2].decision == "teacher"


def test_a_circle_far_too_large_leaves_it_open_which_cell_is_meant():
    """Of the lens that the pupil's own circle cuts off, most lies outside the true circle."""
    lens = AllOf((Nearer(PointOf("B"), (PointOf("A"),)), Distance(PointOf("A"), "<", 5.0)))
    asked = question(AB, region(lens))
    hand = Hand()
    hand.line(Point(M.x, M.y - 62), Point(M.x, M.y + 62))
    hand.arc(A, 57.5, -60.0, 120.0)
    hand.hatch(lambda x, y: x > M.x + 1.0 and math.hypot(x - A.x, y - A.y) < 56.5)
    marks = hand.marked(asked)
    assert marks.marks[2].decision == "teacher"
