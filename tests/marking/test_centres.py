"""The centre of a triangle by any two of its three lines, whichever the pupil chose.

Strokes whose truth is their formula: arcs about the printed corners, radii as given.
"""

from __future__ import annotations

import math
from itertools import combinations, permutations

import pytest
from tests.marking.pupil import Hand, on_paper, question

from millimark.loci.centres import lines_of
from millimark.loci.conditions import MarkPoints, TriangleCentre
from millimark.loci.figure import Figure
from millimark.plane.point import Point

TRIANGLE = Figure(
    {"A": Point(-4, -2), "B": Point(4, -2), "C": Point(-1, 3.5)}, polygons=(("A", "B", "C"),)
)


def asked(kind):
    centre = TriangleCentre(kind, ("A", "B", "C"))
    return question(TRIANGLE, MarkPoints(lines_of(centre)[:2], centre=centre))


QUESTIONS = {kind: asked(kind) for kind in ("centroid", "circumcentre", "incentre", "orthocentre")}
P = on_paper(QUESTIONS["centroid"])
SIDES = {"AB": 52.0, "BC": 47.0, "CA": 40.0}
"""Openings for each side, mm: all unlike, as where the compasses are set anew."""
ANGLES = {"A": 22.0, "B": 26.0, "C": 20.0}


def place(kind):
    """Where the centre is, paper mm, by the formulas of a triangle with sides a, b, c."""
    a, b, c = P["B"].distance(P["C"]), P["C"].distance(P["A"]), P["A"].distance(P["B"])
    weights = {
        "centroid": (1.0, 1.0, 1.0),
        "incentre": (a, b, c),
        "circumcentre": tuple(
            x * x * (y * y + z * z - x * x) for x, y, z in ((a, b, c), (b, c, a), (c, a, b))
        ),
    }[kind]
    total = sum(weights)
    xs = [w * p.x for w, p in zip(weights, P.values(), strict=True)]
    ys = [w * p.y for w, p in zip(weights, P.values(), strict=True)]
    return Point(sum(xs) / total, sum(ys) / total)


def bisect_side(hand, side, slip=0.0):
    """Equal arcs about the ends of a side, the second wider by ``slip`` mm, and their line."""
    one, two = P[side[0]], P[side[1]]
    hand.crossing_arcs(one, two, SIDES[side], SIDES[side] + slip)
    middle, up = (one + two) * 0.5, (two - one).unit().left()
    h = math.sqrt(SIDES[side] ** 2 - one.distance(two) ** 2 / 4) + 4.0
    hand.line(middle - up * h, middle + up * h, darkness=0.4)


def halve_angle(hand, corner):
    """An arc across both arms, equal arcs from its cuts, and the line through their crossing."""
    r = ANGLES[corner]
    vertex = P[corner]
    ways = [(P[other] - vertex).unit() for other in "ABC" if other != corner]
    cuts = [vertex + way * r for way in ways]
    for way in ways:
        middle = math.degrees(way.angle())
        half = math.degrees(5.0 / r)
        hand.arc(vertex, r, middle - half, 2 * half, 0.45)
    along = (ways[0] + ways[1]).unit()
    gap = cuts[0].distance(cuts[1])
    opening = 1.2 * gap
    tip = vertex + along * (r * ways[0].dot(along) + math.sqrt(opening**2 - gap**2 / 4))
    for cut in cuts:
        middle = math.degrees((tip - cut).angle())
        half = math.degrees(7.0 / opening)
        hand.arc(cut, opening, middle - half, 2 * half, 0.45)
    hand.line(vertex, tip + along * 25.0, darkness=0.4)


def cross(hand, at):
    for way in (Point(1.4, 1.4), Point(1.4, -1.4)):
        hand.line(at - way, at + way)


def median(hand, side):
    """The side's midpoint by its arcs, and the median to it."""
    bisect_side(hand, side)
    (corner,) = set("ABC") - set(side)
    hand.line(P[corner], (P[side[0]] + P[side[1]]) * 0.5, darkness=0.4)


WAYS = {
    "circumcentre": (bisect_side, tuple(SIDES)),
    "centroid": (median, tuple(SIDES)),
    "incentre": (halve_angle, tuple(ANGLES)),
}
PAIRS = [
    (kind, chosen)
    for kind, (_, lines) in WAYS.items()
    for chosen in (*combinations(lines, 2), lines)
]


def marked(kind, lines, point=True):
    hand = Hand()
    for line in lines:
        WAYS[kind][0](hand, line)
    if point:
        cross(hand, place(kind))
    return hand.marked(QUESTIONS[kind])


def decisions(marks):
    return [m.decision for m in marks.marks]


def codes(marks):
    return [f.fault for f in marks.faults]


@pytest.mark.parametrize(("kind", "lines"), PAIRS)
def test_any_two_and_all_three_earn_everything(kind, lines):
    marks = marked(kind, lines)
    assert decisions(marks) == ["awarded", "awarded", "awarded"]
    assert codes(marks) == []


@pytest.mark.parametrize(
    ("kind", "line"), [(kind, line) for kind, (_, lines) in WAYS.items() for line in lines]
)
def test_one_line_earns_one_mark_wherever_it_is(kind, line):
    """The arcs of the one that is there are no attempt at another: none is told as unequal."""
    marks = marked(kind, (line,))
    first, second, point = marks.marks
    assert (first.decision, point.code) == ("awarded", "A1")
    assert second.decision != "awarded"
    assert point.decision != "awarded"
    assert set(codes(marks)) <= {"no-arcs"}
    if second.decision == "withheld":
        what = "angle" if kind == "incentre" else "side"
        assert f"a second {what} of ABC were found" in second.reason
        assert codes(marks) == ["no-arcs"]


@pytest.mark.parametrize("kind", WAYS)
def test_no_arcs_earn_nothing(kind):
    marks = marked(kind, ())
    assert decisions(marks) == ["withheld"] * 3
    assert codes(marks) == ["no-arcs", "no-arcs"]


@pytest.mark.parametrize(("good", "bad"), list(permutations(SIDES, 2)))
def test_a_second_construction_that_went_wrong_is_told_by_its_own_arcs(good, bad):
    """6 mm between the radii of the second side's arcs, whichever side that is."""
    hand = Hand()
    bisect_side(hand, good)
    bisect_side(hand, bad, slip=6.0)
    cross(hand, place("circumcentre"))
    marks = hand.marked(QUESTIONS["circumcentre"])
    assert decisions(marks)[0] == "awarded"
    assert decisions(marks)[1:] != ["awarded", "awarded"]
    assert "awarded" not in decisions(marks)[1:]
    told = {f.fault: f.size_mm for f in marks.faults}
    assert set(told) <= {"unequal-arcs"}
    if told:
        assert told["unequal-arcs"] == pytest.approx(6.0, abs=0.3)


def test_arcs_about_one_corner_are_not_compared_with_those_of_the_other_construction():
    """A bisector of AB with 52 mm, then 43 mm about C alone: nothing that could be unequal."""
    hand = Hand()
    bisect_side(hand, "AB")
    for side in ("BC", "CA"):
        (end,) = set(side) - {"C"}
        middle = math.degrees((P[end] - P["C"]).angle())
        for turn in (-55.0, 55.0):
            hand.arc(P["C"], 43.0, middle + turn - 10.0, 20.0, 0.45)
    cross(hand, place("circumcentre"))
    marks = hand.marked(QUESTIONS["circumcentre"])
    assert decisions(marks)[0] == "awarded"
    assert "awarded" not in decisions(marks)[1:]
    assert not {"unequal-arcs", "arcs-too-small"} & set(codes(marks))


def test_arcs_that_miss_each_other_are_told_of_the_side_that_they_were_struck_for():
    """41 mm about C and 46 mm about A, on no crossing; the 52 mm about B belong to AB."""
    hand = Hand()
    bisect_side(hand, "AB")
    for corner, other, radius in (("A", "C", 46.0), ("C", "A", 41.0)):
        middle = math.degrees((P[other] - P[corner]).angle())
        for turn in (-25.0, 25.0):
            hand.arc(P[corner], radius, middle + turn - 9.0, 18.0, 0.45)
    cross(hand, place("circumcentre"))
    marks = hand.marked(QUESTIONS["circumcentre"])
    assert decisions(marks) == ["awarded", "withheld", "withheld"]
    assert "about A and C do not cross" in marks.marks[1].reason
    (fault,) = marks.faults
    assert (fault.fault, fault.size_mm) == ("unequal-arcs", pytest.approx(5.0, abs=0.3))


def test_arcs_that_cross_those_of_the_other_construction_are_for_the_teacher():
    """52 mm about B as for AB, and 57 mm about C: whether B's arc was meant for both is open."""
    hand = Hand()
    bisect_side(hand, "AB")
    hand.crossing_arcs(P["B"], P["C"], SIDES["AB"], SIDES["AB"] + 5.0)
    cross(hand, place("circumcentre"))
    marks = hand.marked(QUESTIONS["circumcentre"])
    assert decisions(marks) == ["awarded", "teacher", "teacher"]
    assert "may have been struck for it" in marks.marks[1].reason
    assert codes(marks) == []


def test_each_mark_shows_its_own_arcs():
    marks = marked("circumcentre", ("BC", "CA"))
    first, second = marks.evidence
    radii = [sorted(round(arc.radius) for arc in e.arcs) for e in (first, second)]
    assert sorted(radii) == [[40, 40], [47, 47]]
    assert second.pieces < first.pieces  # the first claims what is drawn for any of them
    assert {e.owner for e in marks.evidence} == {"circumcentre of triangle ABC"}


def test_lines_that_no_pupil_need_draw_are_not_told():
    assert marked("circumcentre", ("BC", "CA")).elements == ()
