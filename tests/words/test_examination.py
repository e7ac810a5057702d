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
