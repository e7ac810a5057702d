"""Ways in which a teacher words one given or one ask. Each group means one thing.

The wordings are our own, after the habits of examination English (common practice, no source).
"""

from __future__ import annotations

APART = (
    "A and B are 8 cm apart.",
    "The points A and B are 8 cm apart",
    "Points A and B are 8cm apart.",
    "Two points A and B are 8 cm apart.",
    "Two points, A and B, are 8 cm apart.",
    "A and B are two points 8 cm apart.",
    "A is 8 cm from B.",
    "A is 8 cm away from B",
    "Point A is 8 cm from point B.",
    "B is 80 mm from A",
    "The distance between A and B is 8 cm.",
    "The distance between the points A and B is 8 cm.",
    "The distance from A to B is 8 cm",
    "The distance AB is 8 cm.",
    "AB is 8 cm long.",
    "AB = 8 cm",
    "AB = 8cm.",
    "AB is 8 cm.",
    "The line AB is 8 cm long.",
    "The line segment AB is 8 cm long.",
    "Line segment AB has length 8 cm.",
    "The line segment AB has a length of 8 cm.",
    "AB is a line segment of length 8 cm.",
    "AB is a straight line of length 8 cm.",
    "AB is a line 8 cm long.",
    "AB is a line of length 8 cm.",
    "A line segment AB is 8 cm long.",
    "The length of AB is 8 cm.",
    "The length of the line AB is 8.0 cm.",
    "The straight line AB is 8 cm long",
    "A line AB of length 8 cm is drawn.",
    "Line AB is 8 cm in length.",
    "The points A and B are exactly 8 cm apart.",
    "A and B are points such that AB = 8 cm.",
    "A and B are two points such that AB = 8 cm",
    "Points A and B are such that AB = 8 cm.",
    "There are two points A and B, 8 cm apart.",
    "Side AB is 8 cm.",
    "B is 8 cm to the right of A.",
    "AB is a horizontal line 8 cm long.",
    "AB is a horizontal line segment of length 8 cm",
    "AB measures 8 cm.",
    "The segment AB is eight centimetres long.",
    "Segment AB is 8 centimetres long.",
    "A and B are a distance of 8 cm apart.",
    "A and B are a distance 8 cm apart",
    "Line AB = 8 cm.",
)

TRIANGLE = (
    "Triangle PQR has PQ = 7 cm, QR = 6 cm and PR = 5 cm.",
    "In triangle PQR, PQ = 7 cm, QR = 6 cm and PR = 5 cm.",
    "PQR is a triangle with PQ = 7 cm, QR = 6 cm and PR = 5 cm.",
    "PQR is a triangle in which PQ = 7 cm, QR = 6 cm and PR = 5 cm.",
    "PQR is a triangle. PQ = 7 cm, QR = 6 cm, PR = 5 cm.",
    "The triangle PQR has sides PQ = 7 cm, QR = 6 cm and PR = 5 cm.",
    "Triangle PQR has sides PQ 7 cm, QR 6 cm and PR 5 cm.",
    "Triangle PQR has sides of 7 cm, 6 cm and 5 cm.",
    "In △PQR, PQ = 7 cm, QR = 6 cm and RP = 5 cm",
    "PQ = 7 cm, QR = 6 cm and PR = 5 cm.",
    "Triangle PQR: PQ = 7 cm, QR = 6 cm, PR = 5 cm.",
    "In the triangle PQR, PQ is 7 cm, QR is 6 cm and PR is 5 cm.",
    "Triangle PQR is such that PQ = 7 cm, QR = 6 cm and PR = 5 cm",
    "PQR is a triangle where PQ is 7 cm long, QR is 6 cm long and PR is 5 cm long.",
    "Triangle PQR with PQ = 7 cm, QR = 6 cm and PR = 5 cm.",
    "The sides of triangle PQR are PQ = 7 cm, QR = 6 cm and PR = 5 cm.",
    "A triangle PQR has PQ = 7 cm, QR = 6 cm and PR = 5 cm.",
    "The diagram shows triangle PQR with PQ = 7 cm, QR = 6 cm and PR = 5 cm.",
    "In triangle PQR, side PQ is 7 cm, side QR is 6 cm and side PR is 5 cm.",
)

RECTANGLE = (
    "Rectangle PQRS has PQ = 6 cm and QR = 4 cm.",
    "PQRS is a rectangle with PQ = 6 cm and QR = 4 cm.",
    "PQRS is a rectangle, PQ = 6 cm and QR = 4 cm.",
    "Rectangle PQRS is 6 cm by 4 cm.",
    "Rectangle PQRS measures 6 cm by 4 cm.",
    "PQRS is a 6 cm by 4 cm rectangle.",
    "A 6 cm by 4 cm rectangle PQRS.",
    "Rectangle PQRS has sides PQ = 6 cm and QR = 4 cm",
    "Rectangle PQRS has length 6 cm and width 4 cm",
    "PQRS is a rectangle measuring 6 cm by 4 cm.",
    "Rectangle PQRS is 6 cm long and 4 cm wide.",
    "PQRS is a rectangle in which PQ = 6 cm and PS = 4 cm.",
    "PQRS is a rectangle 6 cm by 4 cm.",
    "PQRS is a rectangle of length 6 cm and width 4 cm.",
    "In rectangle PQRS, PQ = 6 cm and QR = 4 cm.",
    "The diagram shows a rectangle PQRS. PQ = 6 cm and QR = 4 cm.",
    "Rectangle PQRS has sides of 6 cm and 4 cm.",
    "PQRS is a rectangle with sides 6 cm and 4 cm.",
    "Rectangle PQRS has a length of 6 cm and a width of 4 cm.",
)

SQUARE = (
    "Square ABCD has sides of 5 cm.",
    "Square ABCD has side 5 cm.",
    "ABCD is a square of side 5 cm.",
    "ABCD is a square with side 5 cm.",
    "ABCD is a square with sides of length 5 cm.",
    "Square ABCD has sides of length 5 cm.",
    "Square ABCD has AB = 5 cm.",
    "ABCD is a square with side length 5 cm.",
    "Square ABCD has side length 5 cm.",
    "A square ABCD has side 5 cm.",
    "ABCD is a square and AB = 5 cm.",
    "The square ABCD has sides 5 cm long.",
    "Each side of square ABCD is 5 cm.",
    "Each side of the square ABCD is 5 cm long.",
    "ABCD is a square of side length 5 cm",
    "The sides of square ABCD are 5 cm.",
    "The sides of the square ABCD are all 5 cm long.",
    "Square ABCD is 5 cm by 5 cm.",
)

ANGLE = (
    "Angle BAC is 50°, AB = 7 cm and AC = 6 cm.",
    "Angle BAC = 50°, AB = 7 cm and AC = 6 cm.",
    "Angle BAC is 50 degrees. AB = 7 cm. AC = 6 cm.",
    "The angle BAC is 50°, AB is 7 cm and AC is 6 cm.",
    "∠BAC = 50°, AB = 7 cm, AC = 6 cm.",
    "AB = 7 cm and AC = 6 cm. Angle BAC is 50°.",
    "AB is 7 cm long, AC is 6 cm long and angle BAC is 50°.",
    "AB and AC meet at A. AB = 7 cm, AC = 6 cm and the angle BAC = 50°.",
    "BAC is an angle of 50°, AB = 7 cm and AC = 6 cm.",
    "Lines AB and AC meet at an angle of 50°. AB = 7 cm and AC = 6 cm.",
    "The size of angle BAC is 50°. AB = 7 cm, AC = 6 cm.",
    "Angle BAC measures 50°, with AB = 7 cm and AC = 6 cm.",
    "Angle BAC is 50°, where AB = 7 cm and AC = 6 cm",
    "AB and AC are two lines. Angle BAC = 50°, AB = 7 cm, AC = 6 cm.",
    "AB = 7 cm, AC = 6 cm and angle A = 50°.",
    "Angle BAC is 50° with AB = 7 cm and AC = 6 cm",
)

TWO_LENGTHS = (
    "C is 4 cm from A and 5 cm from B.",
    "C is 4 cm from A and C is 5 cm from B.",
    "The point C is 4 cm from A and 5 cm from B.",
    "Point C is 4 cm away from A and 5 cm away from B.",
    "C is 4 cm from A. C is 5 cm from B.",
    "AC = 4 cm and BC = 5 cm.",
    "C is a point 4 cm from A and 5 cm from B.",
    "C is the point which is 4 cm from A and 5 cm from B.",
    "C is the point such that AC = 4 cm and BC = 5 cm.",
    "C is a point such that AC is 4 cm and BC is 5 cm.",
    "A third point C is 4 cm from A and 5 cm from B.",
    "The distance from A to C is 4 cm and the distance from B to C is 5 cm.",
    "C is 4 cm from A, and 5 cm from B.",
    "C is above AB, 4 cm from A and 5 cm from B.",
    "C is below AB and is 4 cm from A and 5 cm from B.",
)

ON_SEGMENT = (
    "C is on AB, 3 cm from A.",
    "C lies on AB and AC = 3 cm.",
    "C is the point on AB that is 3 cm from A.",
    "C is a point on AB such that AC = 3 cm.",
    "The point C lies on the line AB, 3 cm from A.",
    "C lies on the line segment AB such that AC = 3 cm.",
    "C is on AB with AC = 3 cm",
    "C is a point on AB, 3 cm from A",
    "C is 3 cm along AB from A.",
    "C is 3 cm from A on AB.",
    "C is on the line segment AB, 3 cm from A.",
    "C is on AB and 3 cm from A",
    "C is 3 cm from A along AB",
    "Point C is on line AB so that AC = 3 cm.",
)

MIDPOINT = (
    "M is the midpoint of AB.",
    "M is the mid-point of the line AB.",
    "The midpoint of AB is M.",
    "M is halfway between A and B.",
    "M is half way along AB.",
    "M is the middle of AB.",
    "M lies halfway along AB",
    "M is half-way between A and B.",
)

AB = ("A and B are 8 cm apart.",)
PQR = ("Triangle PQR has PQ = 7 cm, QR = 6 cm and PR = 5 cm.",)
PQRS = ("Rectangle PQRS has PQ = 6 cm and QR = 4 cm.",)
BAC = ("Angle BAC is 50°, AB = 7 cm and AC = 6 cm.",)

GIVENS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "apart": ((), APART),
    "triangle": ((), TRIANGLE),
    "rectangle": ((), RECTANGLE),
    "square": ((), SQUARE),
    "angle": ((), ANGLE),
    "two_lengths": (AB, TWO_LENGTHS),
    "on_segment": (AB, ON_SEGMENT),
    "midpoint": (AB, MIDPOINT),
}

FROM_POINT = (
    "Draw the locus of points 3 cm from A",
    "Draw the locus of all points 3 cm from A.",
    "Draw the locus of points that are 3 cm from A.",
    "Draw the locus of all the points that are exactly 3 cm from A.",
    "Draw the locus of the points which are 3 cm from A.",
    "Construct the locus of points 3 cm from A.",
    "Construct the locus of all points that are a distance of 3 cm from A.",
    "Draw the locus of points at a distance of 3 cm from A.",
    "Draw the locus of a point that is always 3 cm from A.",
    "Draw the locus of a point P which is always 3 cm from A.",
    "Draw the locus of a point which moves so that it is always 3 cm from A.",
    "Draw the locus of the set of points 3 cm from A.",
    "Draw the set of points that are 3 cm from A.",
    "Draw all the points that are exactly 3 cm from A.",
    "Draw all points 3 cm from the point A.",
    "Show the locus of points which are always 3cm from A.",
    "On the diagram, draw the locus of points that are 3 cm from A.",
    "Draw accurately the locus of points 3 cm from A.",
    "Accurately draw the locus of points that are 3 cm from A.",
    "Draw the locus of points whose distance from A is 3 cm.",
    "Using a ruler and compasses, draw the locus of points 3 cm from A.",
    "Draw the locus of points 3 cm away from A.",
    "Draw the locus of points 30 mm from A.",
    "Draw the path of a point that is always 3 cm from A.",
    "Draw the locus of points exactly 3 cm from A",
    "Sketch the locus of points 3 cm from A.",
    "Mark all the points that are 3 cm from A.",
    "Find the locus of points which are 3 cm from A.",
    "Draw the locus of all points which are a constant distance of 3 cm from A.",
    "Draw the locus of the point P such that P is 3 cm from A",
    "Draw the locus of the points P such that AP = 3 cm.",
    "Draw the locus of a point P such that PA = 3 cm.",
    "Draw the locus of a point that moves so that its distance from A is always 3 cm.",
    "Draw the circle with centre A and radius 3 cm.",
    "Draw a circle of radius 3 cm with centre A.",
    "Draw a circle, centre A, radius 3 cm.",
    "Draw the locus of points that lie 3 cm from A.",
    "Draw the locus of every point 3 cm from A.",
    "Draw the locus of all the points at a distance of exactly 3 cm from the point A.",
    "Draw the locus of points that are at a distance 3 cm from A.",
    "Draw the locus of points P, 3 cm from A.",
)

SAME_DISTANCE = (
    "Draw the locus of points that are the same distance from A as from B.",
    "Draw the locus of points the same distance from A and B.",
    "Draw the locus of points that are the same distance from A and from B.",
    "Draw the locus of points equidistant from A and B.",
    "Draw the locus of all points equidistant from the points A and B.",
    "Draw the locus of all the points that are equidistant from A and B.",
    "Construct the locus of points that are an equal distance from A and B.",
    "Draw the locus of points that are the same distance from both A and B.",
    "Draw the locus of points at the same distance from A and B.",
    "Draw the locus of points which are at equal distances from A and B.",
    "Construct the perpendicular bisector of AB.",
    "Construct the perpendicular bisector of the line AB.",
    "Construct the perpendicular bisector of the line segment AB.",
    "Draw the perpendicular bisector of line AB.",
    "Using a ruler and compasses only, construct the perpendicular bisector of AB.",
    "Use a ruler and compasses to construct the perpendicular bisector of AB. ",
    "Use ruler and compasses to construct the perpendicular bisector of AB.",
    (
        "Using ruler and compasses only, construct the perpendicular bisector of AB. "
        "Show all your construction lines."
    ),
    "Draw the locus of points that are as far from A as from B.",
    "Draw the locus of points equally far from A and B.",
    "Construct the locus of points equidistant from A and from B",
    "Draw the locus of points that are always the same distance from A as they are from B.",
    "Draw the locus of points P such that PA = PB.",
    "Draw the locus of a point that moves so that it is always equidistant from A and B.",
    (
        "Draw the locus of the points which are the same distance from point A as they "
        "are from point B."
    ),
    "Draw the locus of a point which is equidistant from A and B.",
    "Draw the set of all points that are equidistant from A and B.",
    "Draw the line of points that are equidistant from A and B.",
    "Construct the locus of points that are the same distance from A as B.",
    "Draw all the points that are the same distance from A as from B.",
    "Draw the locus of points which are equally distant from A and B.",
    "Show all the points that are the same distance from A and B.",
    "Bisect the line AB.",
    "Draw the locus of points that are an equal distance from A and from B.",
    "Draw the locus of points whose distances from A and B are equal.",
    "Construct the locus of points, the same distance from A as from B",
    "Construct a line that is the perpendicular bisector of AB.",
    "Draw the locus of points equal distances from A and B",
    "Draw the locus of points whose distance from A is the same as their distance from B",
    "Draw the locus of points whose distance from A is equal to their distance from B",
)

FROM_SEGMENT = (
    "Draw the locus of points 2 cm from the line segment AB.",
    "Draw the locus of points that are 2 cm from the line segment AB.",
    "Draw the locus of all points that are exactly 2 cm from the line segment AB.",
    "Draw the locus of points 2 cm from AB",
    "Construct the locus of points which are 2 cm from segment AB.",
    "Draw the locus of points at a distance of 2 cm from the line segment AB.",
    "Draw the locus of points that are always 2 cm from the line segment joining A and B.",
    "Draw the locus of points 2 cm away from line segment AB.",
)

ANGLE_BISECTOR = (
    "Construct the bisector of angle BAC.",
    "Construct the angle bisector of angle BAC.",
    "Construct the angle bisector of BAC.",
    "Bisect angle BAC.",
    "Draw the bisector of the angle BAC.",
    "Using ruler and compasses only, construct the bisector of angle BAC.",
    "Draw the locus of points that are the same distance from AB as from AC.",
    "Draw the locus of points equidistant from AB and AC.",
    "Draw the locus of points that are equidistant from the arms of angle BAC.",
    "Draw the locus of points the same distance from the arms AB and AC.",
    "Construct the locus of points that are the same distance from AB and AC.",
    "Draw the line that bisects angle BAC.",
    "Construct the line which bisects angle BAC",
    "Construct the bisector of ∠BAC.",
    "Bisect the angle BAC",
    "Construct the bisector of the angle at A.",
    "Construct the bisector of angle A.",
)

BOTH_BISECTORS = (
    "Draw the locus of points that are the same distance from the lines AB and AC.",
    "Draw the locus of points equidistant from the lines AB and AC.",
    "Draw the locus of points that are equidistant from the two lines AB and AC.",
    "Draw the locus of points the same distance from the line AB as from the line AC.",
)

LESS = (
    "Shade the region of points that are less than 4 cm from A.",
    "Shade the region less than 4 cm from A.",
    "Shade the region that is less than 4 cm from A.",
    "Shade the region which is less than 4 cm from A.",
    "Shade the region where points are less than 4 cm from A.",
    "Shade all the points that are less than 4 cm from A.",
    "Shade the set of points that are less than 4 cm from A.",
    "Shade the set of points less than 4 cm from A",
    "Shade the area that is less than 4 cm from A.",
    "Shade the region containing all points less than 4 cm from A.",
    "Shade the region containing the points that are less than 4 cm from A.",
    "Shade the locus of points less than 4 cm from A.",
    "Shade the locus of all points that are less than 4 cm from A.",
    "Draw the locus of points less than 4 cm from A.",
    "Show, by shading, the region that is less than 4 cm from A.",
    "Show by shading the region of points less than 4 cm from A.",
    "On the diagram, shade the region that is less than 4 cm from A.",
    "Shade, on the diagram, the region that is less than 4 cm from A.",
    "Shade the region in which all points are less than 4 cm from A.",
    "Shade the region in which every point is less than 4 cm from A.",
    "Shade the region where every point is less than 4 cm from A.",
    "Shade clearly the region less than 4 cm from A.",
    "Find and shade the region that is less than 4 cm from A.",
    "Shade the region nearer than 4 cm to A.",
    "Shade the region closer than 4 cm to A.",
    "Shade the region whose points are less than 4 cm from A.",
    "Shade the points less than 4 cm from A.",
    "Shade the region of all points which are less than 4 cm from A",
    "Shade the region made up of points that are less than 4 cm from A.",
    "Shade the region such that all points are less than 4 cm from A",
    "Construct and shade the region of points less than 4 cm from A.",
    "Draw and shade the region that is less than 4 cm from A.",
    "Shade in the region that is less than 4 cm from A.",
    "Shade the region under 4 cm from A.",
    "Shade the region of points at a distance of less than 4 cm from A.",
    "Shade the region of points that are a distance of less than 4 cm from A.",
    "Shade the region of points at a distance less than 4 cm from A",
    "Shade the region where all the points are less than 4 cm from A.",
    "Shade the region for which all the points are less than 4 cm from A.",
    "Indicate the region that is less than 4 cm from A.",
    "Show the region that is less than 4 cm from A.",
    "Shade the region of points whose distance from A is less than 4 cm.",
    "Shade the region of points P such that AP < 4 cm.",
    "Shade the region satisfied by points less than 4 cm from A",
    "Shade every point that is less than 4 cm from A.",
    "Shade the region that represents the points less than 4 cm from A.",
    "Shade the region where a point is less than 4 cm from A.",
)

WITHIN = (
    "Shade the region within 4 cm of A.",
    "Shade the region that is within 4 cm of A.",
    "Shade the region of points that are no more than 4 cm from A.",
    "Shade the region of points that are at most 4 cm from A.",
    "Shade the region up to 4 cm from A.",
    "Shade the region 4 cm or less from A.",
    "Shade the region that is 4 cm or less from A",
    "Shade the region not more than 4 cm from A.",
    "Shade the region less than or equal to 4 cm from A.",
    "Shade the points within a distance of 4 cm of A.",
    "Shade the region of points that are within 4 cm from A.",
    "Shade the region within 4 cm of point A",
    "Shade the region that is no further than 4 cm from A.",
    "Shade all points within 4cm of A",
    "Shade the region that is within 4 cm from A",
)

MORE = (
    "Shade the region more than 4 cm from A.",
    "Shade the region of points that are more than 4 cm from A.",
    "Shade the region greater than 4 cm from A.",
    "Shade the region further than 4 cm from A.",
    "Shade the region that is over 4 cm from A.",
    "Shade the region that is farther than 4 cm from A.",
    "Shade the region that is not within 4 cm of A.",
    "Shade the region more than 4 cm away from A.",
    "Shade the region beyond 4 cm from A",
)

AT_LEAST = (
    "Shade the region at least 4 cm from A.",
    "Shade the region that is no less than 4 cm from A.",
    "Shade the region not less than 4 cm from A.",
    "Shade the region 4 cm or more from A.",
    "Shade the region of points that are at least 4 cm away from A.",
    "Shade the region greater than or equal to 4 cm from A",
)

NEARER = (
    "Shade the region of points that are nearer to A than to B.",
    "Shade the region closer to A than to B.",
    "Shade the region that is closer to A than B.",
    "Shade the region nearer A than B.",
    "Shade the region of points that are nearer A than B.",
    "Shade the region of points which are closer to A than they are to B.",
    "Shade the region that is nearer to A than it is to B.",
    "Shade all the points that are closer to point A than to point B.",
    "Shade the region which is nearer to the point A than to the point B.",
    "Shade the region further from B than from A.",
    "Shade the region that is further away from B than A.",
    "Shade the region that is further from B than it is from A",
    "Shade the locus of points that are nearer to A than B",
    "Shade the region where points are closer to A than to B",
    "Shade the region containing points nearer to A than to B",
    "Shade the region whose points are nearer to A than to B",
    "Shade the region less far from A than from B",
    "Shade the region nearest to A",
    "Shade the points P such that PA < PB",
)

NEARER_AND_LESS = (
    "Shade the region that is nearer to A than to B and less than 5 cm from B.",
    "Shade the region of points that are nearer to A than to B and less than 5 cm from B.",
    "Shade the region of points that are closer to A than to B, and less than 5 cm from B.",
    "Shade the region closer to A than B and less than 5 cm from B.",
    "Shade the region that is both nearer to A than to B and less than 5 cm from B.",
    "Shade the region that is closer to A than to B but less than 5 cm from B.",
    (
        "Shade the region of points which are closer to A than to B and which are less "
        "than 5 cm from B."
    ),
    "Shade the region which is nearer to A than to B and also less than 5 cm from B.",
    "Shade the region of points that are nearer to A than to B and are less than 5 cm from B.",
    "Shade the region that is nearer to A than B and is less than 5 cm from B.",
    "Shade the region nearer to A than to B, but also less than 5 cm from B.",
    (
        "Shade the region that satisfies both conditions: nearer to A than to B and less "
        "than 5 cm from B."
    ),
    "Shade the region of points that are nearer to A than to B and that are less than 5 cm from B.",
    "Shade the set of all points that are nearer to A than to B and less than 5 cm from B.",
    "Shade the points that are both nearer to A than to B and less than 5 cm from B",
    (
        "Shade the region where points are nearer to A than B and at the same time less "
        "than 5 cm from B"
    ),
    "Shade the region that is nearer to A than to B, and is less than 5 cm from B.",
)

LESS_AND_MORE = (
    "Shade the region of points less than 4 cm from A and more than 5 cm from B.",
    "Shade the region that is less than 4 cm from A and more than 5 cm from B.",
    "Shade the region less than 4 cm from A but more than 5 cm from B.",
    "Shade the region of points that are less than 4 cm from A, but more than 5 cm from B.",
)

IN_TRIANGLE = (
    (
        "Shade the region inside triangle PQR that is nearer to PQ than to PR and less "
        "than 4 cm from Q."
    ),
    (
        "Shade the region inside the triangle that is nearer to PQ than to PR and less "
        "than 4 cm from Q."
    ),
    (
        "Shade the region inside the triangle PQR which is closer to PQ than PR and less "
        "than 4 cm from Q."
    ),
    "Shade the region of the triangle that is nearer to PQ than to PR and less than 4 cm from Q.",
    "Shade the region in triangle PQR that is nearer to PQ than PR and less than 4 cm from Q.",
    (
        "Shade the points inside triangle PQR that are nearer to PQ than to PR and less "
        "than 4 cm from Q."
    ),
    "Shade the part of triangle PQR that is nearer to PQ than to PR and less than 4 cm from Q.",
    (
        "Shade the region within triangle PQR that is nearer to PQ than to PR and less "
        "than 4 cm from Q."
    ),
    (
        "Shade the region inside the triangle which is nearer to the side PQ than to the "
        "side PR and less than 4 cm from Q."
    ),
    "Shade the region inside PQR that is nearer to PQ than to PR and less than 4 cm from Q.",
    (
        "Inside triangle PQR, shade the region that is nearer to PQ than to PR and less "
        "than 4 cm from Q."
    ),
    (
        "Inside the triangle, shade the region that is nearer to PQ than to PR and less "
        "than 4 cm from Q."
    ),
    (
        "Shade the region of points inside triangle PQR that are nearer to PQ than to PR "
        "and less than 4 cm from Q."
    ),
    (
        "Shade all the points inside the triangle that are closer to PQ than to PR and "
        "less than 4 cm from vertex Q."
    ),
    (
        "Shade the region inside the triangle where the points are closer to PQ than to "
        "PR and less than 4 cm from Q."
    ),
    (
        "Shade the region that is inside triangle PQR, nearer to PQ than to PR and less "
        "than 4 cm from Q."
    ),
    (
        "Shade the region of points inside triangle PQR, nearer to PQ than to PR, and "
        "less than 4 cm from Q."
    ),
)

IN_RECTANGLE = (
    (
        "Shade the region inside rectangle PQRS that is more than 2 cm from P and nearer "
        "to PQ than to RS."
    ),
    (
        "Shade the region inside the rectangle that is more than 2 cm from P and nearer "
        "to PQ than to RS."
    ),
    "Shade the region in the rectangle that is more than 2 cm from P and nearer to PQ than RS.",
)

ROUND_RECTANGLE = (
    "Shade the region outside rectangle PQRS that is less than 2 cm from the rectangle.",
    "Shade the region outside the rectangle that is less than 2 cm from PQRS.",
    "Shade the region outside PQRS that is less than 2 cm from PQRS.",
    "Shade the region outside the rectangle less than 2 cm from the rectangle.",
)

OUTSIDE_RECTANGLE = (
    "Draw the locus of points 2 cm outside rectangle PQRS.",
    "Draw the locus of points that are 2 cm from rectangle PQRS and outside it.",
    "Draw the locus of points outside the rectangle that are 2 cm from the rectangle.",
    "Draw the locus of points outside rectangle PQRS that are 2 cm from PQRS.",
    "Draw the locus of points 2 cm outside PQRS",
    "Draw the locus of points outside the rectangle which are exactly 2 cm from its sides",
    "Draw the locus of points outside the rectangle that are 2 cm from the edge of the rectangle.",
    "Draw the locus of points that are 2 cm outside the rectangle.",
    (
        "Draw the locus of all points outside the rectangle that are 2 cm from the sides "
        "of the rectangle"
    ),
)

BISECTOR_IN_TRIANGLE = (
    "Draw the locus of points inside triangle PQR that are the same distance from PQ as from PR.",
    "Draw the locus of points inside the triangle equidistant from PQ and PR.",
    "Inside the triangle, draw the locus of points that are equidistant from PQ and PR",
)

ASKS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "from_point": (AB, FROM_POINT),
    "same_distance": (AB, SAME_DISTANCE),
    "from_segment": (AB, FROM_SEGMENT),
    "angle_bisector": (BAC, ANGLE_BISECTOR),
    "both_bisectors": (BAC, BOTH_BISECTORS),
    "less": (AB, LESS),
    "within": (AB, WITHIN),
    "more": (AB, MORE),
    "at_least": (AB, AT_LEAST),
    "nearer": (AB, NEARER),
    "nearer_and_less": (AB, NEARER_AND_LESS),
    "less_and_more": (AB, LESS_AND_MORE),
    "in_triangle": (PQR, IN_TRIANGLE),
    "in_rectangle": (PQRS, IN_RECTANGLE),
    "round_rectangle": (PQRS, ROUND_RECTANGLE),
    "outside_rectangle": (PQRS, OUTSIDE_RECTANGLE),
    "bisector_in_triangle": (PQR, BISECTOR_IN_TRIANGLE),
}
