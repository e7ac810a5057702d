"""Every locus, region, measurement and standard line in the ways in which it can be asked.

Each group means one thing, on the figure that its givens make. The wordings are our own.
"""

from __future__ import annotations

AB = ("A and B are 8 cm apart.",)
ABC = ("Triangle ABC has AB = 8 cm, BC = 7 cm and AC = 6 cm.",)
CORNER = ("Angle AOB is a right angle, OA = 7 cm and OB = 7 cm.",)
CIRCLE = ("A circle has centre O and radius 3 cm.", "P is 5 cm from O.")
ROLLING = (
    "XY is 20 cm long.",
    "Square ABCD has side 2 cm.",
    "A is on XY, 3 cm from X.",
    "B is on XY, 5 cm from X.",
)
SHED = ("Rectangle PQRS is 6 cm by 4 cm.",)

COURSE: tuple[tuple[tuple[str, ...], tuple[str, ...]], ...] = (
    (
        AB,
        (
            "Draw the locus of points whose distances from A and B add up to 10 cm.",
            "Draw the locus of points P such that PA + PB = 10 cm.",
            (
                "Draw the locus of a point that moves so that the sum of its distances "
                "from A and B is 10 cm."
            ),
            "Draw the locus of points the sum of whose distances from A and B is 10 cm.",
        ),
    ),
    (
        AB,
        (
            "Draw the locus of points that are twice as far from A as from B.",
            "Draw the locus of points P such that PA = 2PB.",
            "Draw the locus of points P such that PA = 2 PB",
            "Draw the locus of points which are 2 times as far from A as they are from B.",
            "Draw the locus of points whose distance from A is twice their distance from B.",
            "Draw the locus of points P such that PA : PB = 2 : 1.",
            "Draw the locus of points whose distances from A and B are in the ratio 2 : 1.",
            "Draw the locus of points P for which PA is twice PB.",
        ),
    ),
    (
        AB,
        (
            "Draw the locus of points from which AB is seen at an angle of 50°.",
            "Draw the locus of points P such that angle APB = 50°.",
            "Draw the locus of points at which AB subtends an angle of 50°.",
            "Draw the locus of points P such that angle APB is 50°.",
        ),
    ),
    (
        AB,
        (
            "Draw the locus of points P such that angle APB is a right angle.",
            "Draw the locus of points P such that angle APB = 90°",
        ),
    ),
    (
        ABC,
        (
            "Construct the perpendicular from C to AB.",
            "Construct the perpendicular to AB through C.",
            "Draw the line through C perpendicular to AB.",
            "Construct the line from C that is perpendicular to AB.",
            "Draw a line perpendicular to AB that passes through C.",
            "Draw the line through C at right angles to AB.",
            "Construct a perpendicular from the point C to the line AB.",
            "Construct the perpendicular to the line AB from C.",
        ),
    ),
    (
        ABC,
        (
            "Construct the perpendicular to AB at A.",
            "Construct the line perpendicular to AB at A.",
            "Construct the line through A perpendicular to AB",
            "Draw the perpendicular to AB through the point A",
        ),
    ),
    (
        ABC,
        (
            "Construct the line through C parallel to AB.",
            "Draw a line parallel to AB through C.",
            "Construct the parallel to AB through C.",
            "Draw the line through the point C that is parallel to the line AB.",
            "Draw a line parallel to AB that passes through C.",
        ),
    ),
    (
        (
            "A and B are 8 cm apart.",
            "AB is 8 cm long.",
        ),
        (
            "Construct an angle of 60° at A.",
            "Construct a 60° angle at A.",
            "Construct an angle of 60° at A on AB.",
            "Construct a 60° angle at A with AB as one arm.",
            "Construct angle BAC = 60°.",
            "Construct an angle BAC of 60°.",
        ),
    ),
    (
        AB,
        (
            "Draw the lines through A that make an angle of 60° with AB.",
            "Draw the lines from A at 60° to AB.",
        ),
    ),
    (
        ("AB is 8 cm long.",),
        (
            "Construct triangle ABC with AC = 5 cm and BC = 6 cm.",
            "Draw the triangle ABC in which AB = 8 cm, BC = 6 cm and AC = 5 cm.",
            "Using ruler and compasses only, construct triangle ABC so that AC = 5 cm, BC = 6 cm.",
            "Draw accurately triangle CAB with CA = 5 cm and CB = 6 cm.",
            "Construct the triangle ABC, where AC = 5 cm and BC = 6 cm.",
            "Construct triangle ABC with sides AC = 5 cm and BC = 6 cm.",
        ),
    ),
    (
        ("AB is 8 cm long.",),
        (
            "Construct triangle ABC with AC = 5 cm and angle BAC = 50°, below AB.",
            "Construct a triangle ABC where angle A = 50° and AC = 5 cm below AB.",
        ),
    ),
    (
        ("QR is 6 cm long.",),
        (
            "Construct triangle PQR with angle PQR = 45° and angle PRQ = 60°.",
            "Construct triangle PQR with angle Q = 45° and angle P = 75°.",
        ),
    ),
    (
        ("AB is 6 cm long.",),
        (
            "Construct triangle ABC with a right angle at B and AC = 10 cm.",
            "Construct right-angled triangle ABC in which angle ABC is a right angle "
            "and AC = 10 cm.",
            "Draw triangle ABC with angle B = 90° and AC = 10 cm.",
        ),
    ),
    (
        ("AB is 6 cm long.",),
        (
            "Construct isosceles triangle ABC with AC = BC = 5 cm.",
            "Construct triangle ABC with AC = 5 cm and BC = 5 cm.",
        ),
    ),
    (
        ("AB is 6 cm long.",),
        (
            "Construct an equilateral triangle on AB.",
            "Draw an equilateral triangle with base AB.",
            "Draw an equilateral triangle with AB as one side.",
            "Draw the equilateral triangle on the side AB.",
        ),
    ),
    (
        ("AB is 4 cm long.",),
        ("Construct square ABCD.", "Draw the square ABCD.", "Draw a square ABCD on the line AB."),
    ),
    (("AB is 4 cm long.",), ("Construct the regular hexagon ABCDEF above AB.",)),
    (
        ("A circle has centre O and radius 4 cm.", "A is on the circle."),
        (
            "Construct a regular hexagon in the circle with a corner at A.",
            "Construct a regular hexagon inscribed in the circle from A.",
        ),
    ),
    (
        ("A circle has centre O and radius 4 cm.", "A is on the circle."),
        ("Construct regular pentagon ABCDE in the circle.",),
    ),
    (
        ("AB is 8 cm long.",),
        (
            "Divide AB into 3 equal parts.",
            "Divide the line AB into three equal lengths.",
            "Trisect AB.",
            "Mark the points that divide AB into three equal parts.",
        ),
    ),
    (("AB is 8 cm long.",), ("Mark its midpoint.", "Mark the midpoint of AB.")),
    (
        (
            "Triangle ABC has AB = 8 cm, BC = 7 cm and AC = 6 cm.",
            "D is 3 cm below A.",
            "DE is horizontal and 6 cm long.",
        ),
        (
            "Copy angle BAC at D on DE.",
            "Construct an angle equal to angle BAC at D on DE.",
        ),
    ),
    (
        ("Triangle ABC has AB = 8 cm, BC = 7 cm and AC = 6 cm.",),
        ("Construct the median from A to BC.", "Draw the median of triangle ABC from A."),
    ),
    (
        ("Triangle ABC has AB = 8 cm, BC = 7 cm and AC = 6 cm.",),
        ("Construct the medians of triangle ABC.", "Draw all the medians of triangle ABC."),
    ),
    (
        ("Triangle ABC has AB = 8 cm, BC = 7 cm and AC = 6 cm.",),
        ("Construct the altitudes of triangle ABC.",),
    ),
    (
        ("Triangle ABC has AB = 8 cm, BC = 7 cm and AC = 6 cm.",),
        (
            "Construct the perpendicular bisectors of the sides of triangle ABC.",
            "Construct the perpendicular bisector of each side of the triangle.",
        ),
    ),
    (
        ("Triangle ABC has AB = 8 cm, BC = 7 cm and AC = 6 cm.",),
        ("Mark the centroid of triangle ABC.", "Find the centroid of triangle ABC."),
    ),
    (
        AB,
        (
            "Draw the line from A on a bearing of 070°.",
            "Draw the locus of points that are on a bearing of 070° from A.",
            "Draw the locus of points whose bearing from A is 070°.",
        ),
    ),
    (
        CIRCLE,
        (
            "Construct the tangents from P to the circle.",
            "Construct the tangents from P to the circle with centre O.",
            "Draw the tangents to the circle from P.",
            "Draw the tangents from the point P to the circle, centre O.",
        ),
    ),
    (
        ABC,
        (
            "Construct the circumcircle of triangle ABC.",
            "Construct the circumscribed circle of triangle ABC.",
            "Draw the circle that passes through A, B and C.",
            "Draw the circle through the points A, B and C.",
            "Draw the circle passing through the three vertices of triangle ABC.",
            "Construct the circumcircle of ABC",
        ),
    ),
    (
        ABC,
        (
            "Construct the incircle of triangle ABC.",
            "Construct the inscribed circle of triangle ABC.",
            "Draw the circle that touches all three sides of triangle ABC.",
            "Draw the circle which touches the three sides of the triangle ABC.",
        ),
    ),
    (
        ABC,
        (
            "Draw the locus of the midpoint of AP as P moves along BC.",
            "Draw the locus of the midpoint of AP, as P moves along the line segment BC.",
            "Draw the locus of the midpoint of AP where P is any point on BC.",
        ),
    ),
    (
        ABC,
        ("Draw the locus of the point one third of the way from A to P as P moves along BC.",),
    ),
    (
        AB,
        (
            "Draw the locus of the foot of the perpendicular from A to lines through B.",
            (
                "Draw the locus of the foot of the perpendicular from A to a line "
                "through B as the line turns."
            ),
        ),
    ),
    (
        CIRCLE,
        (
            "Draw the locus of the midpoints of chords of the circle that are 4 cm long.",
            "Draw the locus of the midpoints of chords of length 4 cm of the circle with centre O.",
            "Draw the locus of the midpoints of all chords of the circle of length 4 cm.",
        ),
    ),
    (
        (
            "A circle has centre O and radius 3 cm.",
            "P is 2 cm from O.",
        ),
        (
            "Draw the locus of the midpoints of chords of the circle that pass through P.",
            "Draw the locus of the midpoints of chords of the circle through P.",
        ),
    ),
    (
        CORNER,
        (
            (
                "Draw the locus of the midpoint of a ladder of length 6 cm whose foot "
                "slides along OA and whose top slides along OB."
            ),
            (
                "Draw the locus of the middle of a ladder 6 cm long as its foot slides "
                "along OA and its top slides down OB."
            ),
            (
                "Draw the locus of the midpoint of a ladder of length 6 cm as its bottom "
                "moves along OA and its top moves down OB"
            ),
        ),
    ),
    (
        CORNER,
        (
            (
                "Draw the locus of the point one third of the way up a ladder of length "
                "6 cm whose foot slides along OA and whose top slides along OB."
            ),
            (
                "Draw the locus of the point 2 cm from the foot of a ladder of length 6 "
                "cm whose foot slides along OA and whose top slides along OB."
            ),
        ),
    ),
    (
        ROLLING,
        (
            "Draw the locus of D as square ABCD rolls along XY.",
            "Draw the path of D as the square ABCD rolls along XY.",
            "Draw the locus of vertex D as square ABCD rolls along the line XY.",
        ),
    ),
    (
        ROLLING,
        (
            "Draw the locus of the centre of square ABCD as it rolls along XY.",
            "Draw the path of the centre of the square ABCD as it rolls along the line XY.",
        ),
    ),
    (
        SHED,
        (
            (
                "Draw the locus of the centre of a wheel of radius 1 cm that rolls round "
                "the outside of rectangle PQRS."
            ),
            "Draw the path of the centre of a circle of radius 1 cm that rolls around PQRS.",
        ),
    ),
    (
        SHED,
        (
            (
                "Draw the locus of the centre of a wheel of radius 1 cm that rolls "
                "inside rectangle PQRS."
            ),
            (
                "Draw the locus of the centre of a disc of radius 1 cm rolling round the "
                "inside of rectangle PQRS"
            ),
        ),
    ),
    (
        AB,
        (
            "Draw the locus of a point on the rim of a wheel of radius 1 cm that rolls along AB.",
            (
                "Draw the locus of a point on the rim of a wheel of radius 1 cm that "
                "rolls from A towards B for one full turn."
            ),
            (
                "Draw the path of a point on the circumference of a wheel of radius 1 cm "
                "that rolls from A towards B for 1 turn."
            ),
        ),
    ),
    (
        SHED,
        (
            "Shade the region within reach of a rope of length 5 cm fixed at Q outside PQRS.",
            (
                "Shade the region that a goat can reach on a rope of length 5 cm tied to "
                "Q outside rectangle PQRS."
            ),
            "Shade the region that is within reach of a rope of 5 cm fixed at Q outside PQRS.",
            "Shade the region that can be reached by a rope of 5 cm fixed at Q outside PQRS",
        ),
    ),
    (
        (
            "Rectangle PQRS is 6 cm by 4 cm.",
            "A goat is tied to Q by a rope 5 cm long.",
        ),
        (
            "Shade the region that the goat can reach.",
            "Shade the area the goat can reach.",
            "Shade the area that the goat can graze.",
            "Shade the region the goat can reach",
        ),
    ),
    (
        SHED,
        (
            "Draw the locus of the end of a rope of length 5 cm fixed at Q round PQRS.",
            (
                "Draw the path of the end of a taut rope 5 cm long fixed at Q that bends "
                "round rectangle PQRS."
            ),
        ),
    ),
    (
        CIRCLE,
        (
            "Shade the region inside the circle that is less than 3 cm from P.",
            "Shade the region that is inside the circle and less than 3 cm from P.",
            "Shade the points inside the circle with centre O that are less than 3 cm from P.",
        ),
    ),
    (
        CIRCLE,
        ("Shade the region outside the circle that is less than 1 cm from the circle.",),
    ),
    (
        CIRCLE,
        (
            "Draw the locus of points 1 cm outside the circle.",
            "Draw the locus of points that are 1 cm outside the circle with centre O.",
        ),
    ),
    (
        CIRCLE,
        ("Draw the locus of points 1 cm from the circle.",),
    ),
    (
        CIRCLE,
        ("Draw the locus of points 1 cm inside the circle.",),
    ),
    (
        AB,
        (
            "Mark the points that are 5 cm from A and 6 cm from B.",
            "Find the points which are 5 cm from A and 6 cm from B.",
            "Mark the two points that are 5 cm from A and 6 cm from B.",
        ),
    ),
    (
        ABC,
        (
            (
                "Mark the point where the perpendicular bisector of AB meets the "
                "bisector of angle ABC."
            ),
            (
                "Find the point where the perpendicular bisector of AB crosses the "
                "bisector of angle ABC."
            ),
            (
                "Mark the points where the perpendicular bisector of AB and the bisector "
                "of angle ABC meet."
            ),
        ),
    ),
    (
        ABC,
        (
            "Find the point that is equidistant from A, B and C.",
            "Mark the point which is equidistant from the vertices of the triangle.",
            "Mark the point that is the same distance from A, B and C.",
            "Find the point equidistant from the three vertices of triangle ABC.",
        ),
    ),
    (
        ABC,
        (
            "Find the shortest distance from C to AB.",
            "Measure the shortest distance between C and AB.",
            "What is the shortest distance from C to the line segment AB?",
        ),
    ),
    (
        ABC,
        (
            (
                "Find the greatest distance from C to the region of points that are less "
                "than 2 cm from A."
            ),
        ),
    ),
    (
        ABC,
        (
            "Find the length of AB.",
            "Measure AB.",
            "Measure the length of the line AB.",
            "How long is AB?",
            "Write down the length of AB.",
            "How far is A from B?",
            "Find the distance between A and B.",
            "Measure the length of side AB",
        ),
    ),
    (
        ABC,
        (
            "Find the size of angle ABC.",
            "Measure angle ABC.",
            "What is the size of angle ABC?",
            "Measure the angle ABC.",
            "Calculate the size of the angle ABC.",
        ),
    ),
    (
        ABC,
        (
            "Find the bearing of B from A.",
            "Measure the bearing of B from A.",
            "Work out the bearing of B from A.",
            "What is the three-figure bearing of B from A?",
        ),
    ),
    (
        ABC,
        (
            "Find the area of triangle ABC.",
            "What is the area of the triangle?",
            "Work out the area of triangle ABC.",
        ),
    ),
    (
        ABC,
        ("Find the perimeter of triangle ABC.",),
    ),
    (
        CIRCLE,
        ("Find the circumference of the circle.",),
    ),
    (
        CIRCLE,
        ("Find the area of the circle.",),
    ),
    (
        AB,
        (
            (
                "Find the area of the region of points that are less than 5 cm from A "
                "and less than 5 cm from B."
            ),
            "Find the area of the region that is less than 5 cm from A and less than 5 cm from B.",
        ),
    ),
    (
        AB,
        ("Find the length of the locus of points that are 2 cm from the line segment AB.",),
    ),
    (
        AB,
        (
            "Shade the region of points whose distances from A and B add up to less than 10 cm.",
            "Shade the region of points P such that PA + PB < 10 cm.",
        ),
    ),
    (
        AB,
        (
            "Shade the region of points that are more than 2 times as far from A as from B.",
            "Shade the region that is more than twice as far from A as from B.",
        ),
    ),
    (
        AB,
        (
            "Shade the region of points from which AB is seen at an angle of more than 40°.",
            "Shade the region of points P such that angle APB > 40°.",
            "Shade the points P for which angle APB is more than 40°.",
        ),
    ),
    (
        AB,
        (
            (
                "Shade the region of points that are on a bearing between 040° and 110° "
                "from A and less than 5 cm from A."
            ),
            (
                "Shade the region whose bearing from A is between 040° and 110° and less "
                "than 5 cm from A."
            ),
        ),
    ),
    (
        AB,
        (
            "Shade the region that is either less than 3 cm from A or less than 4 cm from B.",
            "Shade the region less than 3 cm from A or less than 4 cm from B.",
            "Shade the region of points that are less than 3 cm from A or less than 4 cm from B.",
        ),
    ),
    (
        AB,
        (
            "Shade the region less than 3 cm from A or B.",
            "Shade the region that is less than 3 cm from either A or B.",
        ),
    ),
    (
        AB,
        (
            "Shade the region less than 5 cm from both A and B.",
            "Shade the region less than 5 cm from A and B.",
            "Shade the region that is less than 5 cm from A and from B.",
            "Shade the region that is less than 5 cm from each of A and B.",
        ),
    ),
    (
        AB,
        (
            "Shade the region between 3 cm and 5 cm from A.",
            "Shade the region that is more than 3 cm and less than 5 cm from A.",
            "Shade the region that is more than 3 cm but less than 5 cm from A.",
            "Shade the region between 3 and 5 cm from A.",
            "Shade the region that is more than 3 cm from A but less than 5 cm from A.",
        ),
    ),
    (
        AB,
        ("Shade the region that is neither less than 3 cm from A nor less than 3 cm from B.",),
    ),
    (
        ABC,
        (
            "Shade the region inside the triangle that is nearest to A.",
            "Shade the region inside the triangle that is nearer to A than to B or C.",
            "Shade the region inside triangle ABC that is closer to A than to either B or C.",
            "Shade the region inside the triangle that is nearer to A than to any other vertex.",
            "Shade the region inside the triangle that is closest to A.",
            "Shade the region inside triangle ABC that is nearer to A than to both B and C",
            (
                "Shade the region inside triangle ABC that is nearer to A than to the "
                "other two vertices"
            ),
            "Shade the region inside triangle ABC that is nearest to A of the points A, B and C.",
        ),
    ),
    (
        ABC,
        (
            "Shade the region inside the triangle that is nearest to AB.",
            "Shade the region inside the triangle that is nearer to AB than to any other side.",
            "Shade the region inside the triangle nearer to AB than to the other two sides.",
        ),
    ),
    (
        ABC,
        ("Shade the region on the same side of AB as C that is less than 3 cm from AB.",),
    ),
    (
        ABC,
        (
            "Shade the region inside the triangle that is more than 1 cm from the sides.",
            "Shade the region inside the triangle that is more than 1 cm from every side.",
            "Shade the region inside the triangle more than 1 cm from all the sides.",
        ),
    ),
    (
        ABC,
        (
            "Draw the locus of points inside the triangle that are 1 cm from the sides.",
            "Draw the locus of points 1 cm inside triangle ABC.",
            (
                "Draw the locus of points inside triangle ABC that are 1 cm from the "
                "edges of the triangle."
            ),
        ),
    ),
    (
        ABC,
        (
            "Draw the locus of points equidistant from the three sides of triangle ABC.",
            "Mark the point that is equidistant from the sides of triangle ABC.",
            "Find the point the same distance from all three sides of the triangle.",
        ),
    ),
    (
        (
            "A and B are 8 cm apart.",
            "C is above AB, 5 cm from A and 6 cm from B.",
        ),
        (
            "Draw the locus of points equidistant from C and the line AB.",
            "Draw the locus of points that are the same distance from C as from the line AB.",
            (
                "Draw the locus of points whose distance from C is equal to their "
                "distance from the line AB."
            ),
        ),
    ),
    (
        CIRCLE,
        (
            "Draw the locus of points equidistant from P and the circle.",
            "Draw the locus of points that are the same distance from P as from the circle.",
        ),
    ),
    (
        (
            "A circle has centre O and radius 3 cm.",
            "A circle has centre Q and radius 2 cm.",
            "O and Q are 8 cm apart.",
        ),
        (
            (
                "Draw the locus of points equidistant from the circle with centre O and "
                "the circle with centre Q."
            ),
        ),
    ),
    (
        (
            "A, B and C are points.",
            "AB = 6 cm, BC = 5 cm and AC = 8 cm.",
            "ABC is a path.",
        ),
        ("Draw the locus of points 1 cm from the path ABC.",),
    ),
)
