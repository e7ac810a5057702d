"""More wordings after the habits of examination papers: each is read, solved and written back."""

from __future__ import annotations

import pytest

from millimark.loci.solve import solve
from millimark.words.reading import sort_sentences, understand

AB = ("A and B are 8 cm apart.",)
ABC = ("Triangle ABC has AB = 8 cm, BC = 7 cm and AC = 6 cm.",)
RECTANGLE = ("Rectangle ABCD has AB = 8 cm and BC = 5 cm.",)

WORDINGS = [
    (
        AB,
        "Construct the locus of points which are equidistant from the points A and B and "
        "are within 5cm of A.",
    ),
    (
        RECTANGLE,
        "Show the set of points within rectangle ABCD which are more than 3 cm from A "
        "and closer to BC than CD.",
    ),
    (
        RECTANGLE,
        "Shade the region inside the rectangle which is closer to the line AB than to the line DC.",
    ),
    (RECTANGLE, "Draw the locus of points inside the rectangle that are exactly 2 cm from AB."),
    (RECTANGLE, "Draw, accurately, the locus of points 2 cm from A."),
    (
        RECTANGLE,
        "Shade the region that is less than 3cm from A and less than 4cm from B and "
        "nearer to AB than BC.",
    ),
    (AB, "Shade the region that is within 3cm of either A or B."),
    (AB, "Shade the region that is within 3 cm of A or within 2 cm of B."),
    (
        AB,
        "Shade the region that is more than 2 cm from the line segment AB but less than 3 cm from B.",
    ),
    (
        RECTANGLE,
        "Shade the region of points that are at least 2 cm from every side of the rectangle.",
    ),
    (ABC, "Shade the set of points inside the triangle that are nearer AB than AC."),
    (AB, "Shade the region R which is less than 5 cm from A and closer to B than A."),
    (AB, "Shade the region, R, of points that are less than 5 cm from A."),
    (AB, "Shade the region of points that are less than 5 cm from A. Label the region R."),
    (AB, "Mark with a cross the points that are 5 cm from A and 6 cm from B."),
    (AB, "Draw the locus of points that are always 3 cm away from A."),
    (AB, "Draw the locus of points that stay 3 cm from A."),
    (
        AB,
        "Draw the locus of a point which moves so that it is always the same distance from A and B.",
    ),
    (AB, "Draw the locus of a point that moves such that it is equidistant from A and B"),
    (AB, "A point P moves so that it is always 3 cm from A. Draw the locus of P."),
    (AB, "The point P moves so that PA = PB. Draw the locus of P."),
    (AB, "A point moves so that it is equidistant from A and B. Draw its locus."),
    (AB, "P is always 3 cm from A. Construct the locus of P."),
    (
        RECTANGLE,
        "Shade the part of the rectangle that is more than 3 cm from A and nearer to CD than to AB.",
    ),
    (
        RECTANGLE,
        "Shade the region inside ABCD that is closer to AB than to CD and more than 3 cm from D.",
    ),
    (
        RECTANGLE,
        "Shade the points in the rectangle which are within 4 cm of A but not within 3 cm of B.",
    ),
    (
        RECTANGLE,
        "Shade the region that is inside the rectangle and less than 4 cm from A but "
        "more than 3 cm from B.",
    ),
    (
        RECTANGLE,
        "Shade the region within the rectangle which is at least 3 cm from C and no more "
        "than 2 cm from AB.",
    ),
    (
        RECTANGLE,
        "Shade the region that lies inside ABCD, is less than 4 cm from A and is nearer "
        "to AD than to AB.",
    ),
    (
        RECTANGLE,
        "Shade the region satisfying all of these: inside ABCD, less than 4 cm from A, "
        "nearer to AD than to AB.",
    ),
    (RECTANGLE, "Shade the area within 2 cm of the edge of the rectangle."),
    (RECTANGLE, "Draw the locus of points that are 2 cm from the perimeter of rectangle ABCD."),
    (RECTANGLE, "Draw the locus of points 1.5 cm outside the rectangle ABCD."),
    (
        RECTANGLE,
        "Draw the locus of all points outside rectangle ABCD which are exactly 1.5cm "
        "from the nearest side.",
    ),
    (ABC, "Draw the locus of points that are 2 cm from triangle ABC."),
    (ABC, "Construct the perpendicular bisector of side BC."),
    (ABC, "Construct the perpendicular bisectors of AB and BC."),
    (ABC, "Construct the bisector of angle B."),
    (ABC, "Construct the bisector of angle ABC and the perpendicular bisector of AB."),
    (ABC, "Draw the perpendicular line from C to AB."),
    (ABC, "Construct the altitude from C to AB."),
    (ABC, "Construct the line through C which is perpendicular to AB."),
    (AB, "Draw a circle of radius 3 cm, centre A."),
    (AB, "Draw the circle, centre A and radius 3 cm."),
    (AB, "Draw an arc of radius 3 cm with centre A."),
    (AB, "Construct the set of points equidistant to A and B."),
    (AB, "Draw the locus of points with the same distance to A and B."),
    (AB, "Draw the locus of points having equal distances from A and B."),
    (AB, "Shade the region with points closer to A than to B."),
    (
        AB,
        "Shade the region containing all the points that are closer to A than to B and "
        "at most 5 cm from A.",
    ),
    (
        AB,
        "Shade all points which satisfy the following: nearer to A than to B and less "
        "than 5 cm from A.",
    ),
    (
        AB,
        "Shade the region of points whose distance from A is at most 5 cm and whose "
        "distance from B is at least 4 cm.",
    ),
    (AB, "Shade the region such that all points are within 5 cm of A and closer to A than B."),
    (AB, "Shade the region where points are no nearer than 3 cm to A."),
    (AB, "Shade the region which is further than 3 cm from A and nearer to A than B."),
    (AB, "Draw the locus of points that are 3cm from A and shade the region less than 3cm from A."),
    (AB, "Construct the locus of the points 3 cm from line segment AB"),
    (AB, "Draw the locus of points exactly 3 cm from segment AB."),
    (AB, "Draw the locus of points whose perpendicular distance from AB is 2 cm."),
    (AB, "Draw the locus of points that are a perpendicular distance of 2 cm from the line AB."),
    (AB, "Draw the locus of points that are equidistant from the ends of AB."),
    (AB, "Draw the locus of points equidistant from the two points."),
    (AB, "Construct the locus of points equidistant from the endpoints of the line segment AB."),
    (AB, "Shade the region of all points P such that P is nearer to A than to B."),
    (AB, "Find the locus of all points P such that AP = BP."),
    (AB, "Find the set of points P for which AP is less than 4 cm."),
    (AB, "Shade the points that are closer to A than B, but more than 3 cm away from A."),
    (AB, "Shade the area where a point would be less than 4 cm from A."),
    (AB, "On your diagram, show the region which is less than 4 cm from A."),
    (AB, "Use ruler and compasses only to construct the locus of points 3 cm from A."),
    (AB, "Using compasses, draw the locus of points 3 cm from A."),
    (
        AB,
        "Using a pair of compasses and a ruler, construct the perpendicular bisector of "
        "AB. You must show all construction arcs.",
    ),
    (AB, "Construct, using ruler and compasses only, the perpendicular bisector of AB."),
    (AB, "Construct accurately the perpendicular bisector of the line segment AB."),
    (AB, "Draw the locus of points in the plane that are 3 cm from A."),
    (AB, "Draw the locus of points on the page which are 3 cm from A."),
]


@pytest.mark.parametrize(("given", "said"), WORDINGS)
def test_a_wording_is_read_solved_and_written_back(given: tuple[str, ...], said: str) -> None:
    understood = understand(*sort_sentences([*given, said]))
    for ask in understood.asks:
        solve(understood.figure, ask)
    again = understand(understood.canonical_given, understood.canonical_ask)
    assert understood.asks
    assert again.asks == understood.asks


GIVENS = [
    "Triangle ABC is such that AB = 6 cm, BC = 5 cm and angle ABC = 70°.",
    "ABC is a right-angled triangle with the right angle at B, AB = 3 cm and BC = 4 cm.",
    "ABC is a triangle, right-angled at B, with AB = 3 cm and BC = 4 cm.",
    "In the right-angled triangle ABC, angle B = 90°, AB = 3 cm and AC = 5 cm.",
    "The triangle ABC is isosceles with AB = AC = 5 cm and BC = 6 cm.",
    "The sides AB and AC of isosceles triangle ABC are both 5 cm and BC = 6 cm.",
    "ABCD is a quadrilateral with AB = 6 cm, BC = 5 cm, CD = 4 cm, DA = 5 cm and AC = 7 cm.",
    "ABCD is a parallelogram. AB = 7 cm, BC = 4 cm and angle ABC = 120°.",
    (
        "ABCD is a trapezium in which AB is parallel to DC. AB = 8 cm, AD = 4 cm, DC = 5 "
        "cm and angle DAB = 60°."
    ),
    "ABCD is a kite with AB = AD = 4 cm, BC = DC = 6 cm and BD = 5 cm.",
    "ABCD is a rhombus of side 5 cm and angle ABC is 60°.",
    "ABCDEF is a regular hexagon of side 3 cm.",
    "ABCDE is a regular pentagon of side 4 cm.",
    "A regular pentagon ABCDE has sides of length 4 cm.",
    "A is the point (0, 0), B is the point (8, 0) and C is the point (3, 5).",
    "The coordinates of A are (1, 2) and the coordinates of B are (5, 5).",
    "A has coordinates (1, 2) and B has coordinates (5, 5).",
    "Points A(1, 2) and B(5, 5) are given.",
    "Plot the points A(1, 2) and B(5, 5).",
    "O is the centre of a circle with radius 4 cm.",
    "A circle, centre O, radius 4 cm.",
    "The circle with centre O has radius 4 cm.",
    "A circle has centre O and a radius of 4 cm.",
    "A circle of diameter 8 cm has centre O.",
    "P is a point on a circle with centre O and radius 4 cm.",
    "AB is the diameter of a circle and AB = 8 cm.",
    "A circle has diameter AB and AB = 8 cm.",
    (
        "A circle with centre O has radius 4 cm. A is a point on the circle. B is a "
        "point outside the circle such that OB = 7 cm and AB = 5 cm."
    ),
    "CD is perpendicular to AB at C. AB = 8 cm, AC = 3 cm, C is on AB and CD = 4 cm.",
    "AB = 8 cm. C is 3 cm from A on AB and CD is perpendicular to AB. CD = 4 cm.",
    "AB and CD are parallel and 4 cm apart. AB = 8 cm.",
    "The parallel lines AB and CD are 4 cm apart. AB = 8 cm.",
    "Scale: 1 cm represents 2 km. A and B are 8 km apart.",
    "The scale of the map is 1 cm to 2 km. A is 8 km from B.",
    "The scale of the map is 1 : 25 000. A is 2 km from B.",
    "1 cm = 2 km. A is 8 km from B.",
    "A map has a scale of 1 cm to 2 km. A is 8 km from B.",
    "On a map, 1 cm represents 2 km. A is 8 km from B.",
    "A scale of 1 cm to 2 km is used. A is 8 km from B.",
    "Using a scale of 1 cm to 10 m, AB is 80 m.",
    "Ship B is 8 km due north of ship A. 1 cm represents 1 km.",
    "Ship B is 8 km from ship A on a bearing of 045°. 1 cm represents 1 km.",
    "Town B is due east of town A and 8 km from it. 1 cm represents 1 km.",
    "B is 8 km away from A on a bearing of 120°. 1 cm represents 1 km.",
    "The bearing of B from A is 120° and the distance from A to B is 8 cm.",
    "From A, the bearing of B is 120° and AB = 8 cm.",
    "B is on a bearing of 120° from A. AB = 8 cm.",
    "C is on a bearing of 200° from B and 5 cm from B. B is 8 cm north of A.",
    "A lighthouse L is 10 km due east of a harbour H. 1 cm represents 1 km.",
    "Two towns, A and B, are 60 km apart. 1 cm represents 10 km.",
    "Three points A, B and C are such that AB = 6 cm, BC = 5 cm and AC = 7 cm.",
    "A, B and C are three points with AB = 6 cm, BC = 5 cm and AC = 7 cm.",
    "A, B and C are the vertices of a triangle with AB = 6 cm, BC = 5 cm and AC = 7 cm.",
    "AB is a line 8 cm long. C is a point 3 cm above AB and 5 cm from A.",
    "AB is 8 cm long and C is 5 cm from A and 6 cm from B.",
    "AB = 8 cm, AC = 5 cm, BC = 6 cm.",
    "AB=8cm",
    "A and B are points 8 cm apart.",
    "Points A and B lie 8 cm apart.",
    "A is 8 cm to the left of B.",
    "A is directly below B and 4 cm from B.",
    "M is the midpoint of the line segment AB and AB = 8 cm.",
    "AM = MB and M is on AB. AB = 8 cm.",
    "P is on AB such that AP : PB = 1 : 3. AB = 8 cm.",
    "P divides AB in the ratio 1 : 3 and AB = 8 cm.",
    (
        "C is on the same side of AB as D. AB = 8 cm. D is above AB, 5 cm from A and 5 "
        "cm from B. C is 3 cm from A and 7 cm from B."
    ),
    "A rectangle ABCD is 8 cm long and 5 cm wide.",
    "The rectangle ABCD has length 8 cm and width 5 cm.",
    "ABCD is a rectangle, 8 cm by 5 cm.",
    "A garden is in the shape of a rectangle ABCD, 8 m by 6 m. 1 cm represents 1 m.",
    "The diagram shows a rectangular garden, ABCD, which is 8 m by 6 m. 1 cm represents 1 m.",
    "A square field ABCD has sides of 80 m. 1 cm represents 10 m.",
    "A triangular field ABC has AB = 80 m, BC = 70 m and AC = 60 m. 1 cm represents 10 m.",
    "A field ABC is in the shape of a triangle. AB = 8 cm, BC = 7 cm and AC = 6 cm.",
    "The perimeter of square ABCD is 20 cm.",
    "Equilateral triangle ABC has perimeter 18 cm.",
    "Angle ABC = 120°, BA = 4 cm, BC = 5 cm.",
    "AB makes an angle of 40° with AC. AB = 6 cm, AC = 5 cm.",
    "The lines OA and OB are perpendicular. OA = 6 cm and OB = 5 cm.",
    "OA and OB are two lines at right angles. OA = 6 cm and OB = 5 cm.",
    "OA and OB meet at right angles. OA = 6 cm and OB = 5 cm.",
    "A wall OB and the floor OA are at right angles. OA = 6 cm and OB = 5 cm.",
]


@pytest.mark.parametrize("said", GIVENS)
def test_a_given_is_read_and_written_back(said: str) -> None:
    once = understand(*sort_sentences([said]))
    assert once.figure.points
    assert understand(once.canonical_given, once.canonical_ask).figure == once.figure
