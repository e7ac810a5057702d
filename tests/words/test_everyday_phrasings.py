"""Everyday phrasings that a teacher would print are read and solved."""

import pytest

from millimark.loci.solve import solve
from millimark.words.reading import understand

APART = ["A and B are 8 cm apart."]
FROM_A = ["Draw the locus of points 3 cm from A."]

PHRASINGS = [
    (["A is a point."], FROM_A),
    (["Point A is given."], FROM_A),
    (["A is a fixed point."], FROM_A),
    (["The point A is given."], ["Draw the set of points which are 3.5cm from A"]),
    (["The points A, B and C are given.", "AB = 7 cm, BC = 6 cm and AC = 5 cm."], FROM_A),
    (["AB is a line segment of length 7 cm."], ["Draw the locus of points 2 cm from AB."]),
    (["The line segment AB has length 7 cm."], ["Draw the locus of points 2 cm from AB."]),
    (
        ["Triangle PQR has sides PQ = 7 cm, QR = 6 cm, PR = 5 cm."],
        ["Draw the locus of points 3 cm from P."],
    ),
    (
        ["Rectangle ABCD has sides AB = 8 cm and BC = 5 cm."],
        ["Draw the locus of points 2 cm outside ABCD."],
    ),
    (["Rectangle ABCD is 8 cm by 5 cm."], ["Draw the locus of points 2 cm outside ABCD."]),
    (
        ["A, B and C are points.", "AB = 7 cm, BC = 6 cm and AC = 5 cm."],
        ["Shade the region nearest to A."],
    ),
    (["A and B are 8 cm apart.", "C is 5 cm from A and 6 cm from B, above AB."], FROM_A),
    (APART, ["Shade the region that is not nearer to A than to B and less than 5cm from A."]),
    (
        ["AB and CD are parallel lines 4 cm apart.", "AB = 8 cm."],
        ["Draw the locus of points equidistant from AB and CD."],
    ),
    (
        ["Lines AB and AC meet at 60°."],
        ["Draw the locus of points equidistant from the lines AB and AC."],
    ),
    (["A, B are 8 cm apart."], ["Draw all the points that are 3 cm from A."]),
    (APART, ["Draw a circle with centre A and radius 3 cm."]),
    (APART, ["Draw a circle, centre A, radius 3 cm."]),
    (APART, ["Draw the locus of a point that is always 3 cm from A."]),
    (APART, ["Draw the locus of a point which moves so that it is always 3 cm from A."]),
    (APART, ["Draw accurately the locus of all points that are 3 cm from A."]),
    (APART, ["Using ruler and compasses only, construct the perpendicular bisector of AB."]),
    (APART, ["Indicate, by shading, the region that is less than 3 cm from A and nearer to B."]),
    (APART, ["Shade the region where points are less than 5 cm from A and nearer to B than A."]),
    (
        APART,
        ["Shade all the points that are both less than 5 cm from A and less than 5 cm from B."],
    ),
]


@pytest.mark.parametrize(("given", "ask"), PHRASINGS)
def test_everyday_phrasings_are_read_and_solved(given, ask):
    understood = understand(given, ask)
    answers = [solve(understood.figure, each) for each in understood.asks]
    assert all(answer.curves or answer.region for answer in answers)
