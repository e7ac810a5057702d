"""Givens of every kind with lengths (cm) and angles (degrees) that must come out.

Expected values are elementary geometry (Pythagoras, cosine and sine rule, angle sums),
worked out here with ``math``.
"""

from __future__ import annotations

import math

Wanted = dict[str, float]

FIGURES: tuple[tuple[tuple[str, ...], Wanted], ...] = (
    (("A is at (1, 2) and B is at (4, 6).",), {"AB": 5}),
    (
        (
            "A is the point (1, 2).",
            "B is the point (4, 6).",
        ),
        {"AB": 5},
    ),
    (("A(1, 2) and B(4, 6).",), {"AB": 5}),
    (
        (
            "A is at (-1.5, 0)",
            "B is at (1.5, -4).",
        ),
        {"AB": 5},
    ),
    (("B is 7 cm from A on a bearing of 070°.",), {"AB": 7}),
    (
        (
            "B is 7 km from A on a bearing of 070°.",
            "1 cm represents 2 km.",
        ),
        {"AB": 3.5},
    ),
    (
        (
            "The scale is 1 cm to 2 km.",
            "B is 7 km from A on a bearing of 070°.",
            "C is 5 km from B on a bearing of 160°.",
        ),
        {"AB": 3.5, "BC": 2.5, "ABC": 90},
    ),
    (("The bearing of B from A is 070° and AB = 7 cm.",), {"AB": 7}),
    (
        (
            "The bearing of C from A is 050°.",
            "The bearing of C from B is 320°.",
            "B is 8 cm due east of A.",
        ),
        {"AB": 8, "ACB": 90},
    ),
    (
        (
            "Scale 1 : 50 000.",
            "A is 3 km from B.",
        ),
        {"AB": 6},
    ),
    (
        (
            "The scale is 1 : 50000.",
            "A is 3 km from B.",
        ),
        {"AB": 6},
    ),
    (
        (
            "Use a scale of 1 cm to 5 m.",
            "AB is 40 m long.",
        ),
        {"AB": 8},
    ),
    (
        (
            "1 inch represents 1 mile.",
            "A and B are 2 miles apart.",
        ),
        {"AB": 5.08},
    ),
    (
        (
            "The map is drawn to a scale of 1 cm to 10 km.",
            "Town A and town B are 60 km apart.",
        ),
        {"AB": 6},
    ),
    (("A and B are 3 in apart.",), {"AB": 7.62}),
    (("A and B are 3 inches apart.",), {"AB": 7.62}),
    (("A and B are 75 mm apart.",), {"AB": 7.5}),
    (("Triangle ABC is right-angled at B with AB = 3 cm and BC = 4 cm.",), {"AC": 5}),
    (("Triangle ABC is right-angled at B, AB = 3 cm and AC = 5 cm.",), {"BC": 4}),
    (
        ("Triangle ABC is right-angled at B, AB = 3 cm and the hypotenuse is 5 cm.",),
        {"BC": 4, "AC": 5},
    ),
    (("Triangle ABC has a right angle at B, AB = 3 cm and hypotenuse AC = 5 cm.",), {"BC": 4}),
    (("Right-angled triangle ABC has angle ABC = 90°, AB = 3 cm and AC = 5 cm.",), {"BC": 4}),
    (("Triangle ABC has AB = 6 cm, AC = 5 cm and angle BAC = 60°.",), {"BC": math.sqrt(31)}),
    (("Triangle ABC has AB = 6 cm, angle A = 60° and AC = 5 cm.",), {"BC": math.sqrt(31)}),
    (
        ("Triangle ABC has AB = 6 cm, angle BAC = 40° and angle ABC = 60°.",),
        {"AC": 6 * math.sin(math.radians(60)) / math.sin(math.radians(80))},
    ),
    (
        ("Triangle ABC has AB = 6 cm, angle A = 40° and angle C = 80°.",),
        {"AC": 6 * math.sin(math.radians(60)) / math.sin(math.radians(80))},
    ),
    (("Triangle ABC has AB = 6 cm and angles A and B are each 60°.",), {"AC": 6}),
    (("ABC is an equilateral triangle with side 6 cm.",), {"AB": 6, "BC": 6, "AC": 6}),
    (("Equilateral triangle ABC has sides of 6 cm.",), {"BC": 6}),
    (("Triangle ABC is equilateral and AB = 6 cm.",), {"BC": 6}),
    (("Each side of triangle ABC is 6 cm.",), {"BC": 6}),
    (("Isosceles triangle ABC has AB = AC = 6 cm and BC = 5 cm.",), {"AB": 6, "AC": 6, "BC": 5}),
    (
        ("ABC is an isosceles triangle with AB = AC, BC = 6 cm and angle BAC = 90°.",),
        {"AB": 6 / math.sqrt(2)},
    ),
    (
        ("Isosceles triangle ABC has equal sides AB and AC of 6 cm and BC = 4 cm.",),
        {"AB": 6, "AC": 6},
    ),
    (
        ("ABC is an isosceles triangle with AB = AC = 6 cm and angle ABC = 70°.",),
        {"AC": 6, "BAC": 40},
    ),
    (
        ("Parallelogram ABCD has AB = 7 cm, AD = 4 cm and angle BAD = 60°.",),
        {"CD": 7, "BC": 4, "ABC": 120},
    ),
    (
        ("Parallelogram ABCD has AB = 7 cm, BC = 4 cm and angle A = 60°.",),
        {"CD": 7, "AD": 4, "ABC": 120},
    ),
    (("Rhombus ABCD has side 5 cm and angle A = 60°.",), {"BD": 5, "BC": 5}),
    (("Rhombus ABCD has diagonals of 6 cm and 8 cm.",), {"AB": 5, "AC": 6, "BD": 8}),
    (("Rhombus ABCD has AC = 6 cm and BD = 8 cm.",), {"AB": 5, "CD": 5}),
    (("Kite ABCD has AB = AD = 4 cm, CB = CD = 6 cm and AC = 7 cm.",), {"AD": 4, "CD": 6}),
    (("Kite ABCD has AB = 4 cm, BC = 6 cm and AC = 7 cm.",), {"AD": 4, "CD": 6}),
    (
        (
            "Trapezium ABCD has AB parallel to DC, AB = 8 cm, AD "
            "= 4 cm, DC = 5 cm and angle BAD = 60°.",
        ),
        {"CD": 5},
    ),
    (
        ("Trapezium ABCD has AB = 8 cm, BC = 4 cm, CD = 5 cm and DA = 4 cm.",),
        {"AB": 8, "CD": 5, "AD": 4},
    ),
    (
        (
            "ABCD is a trapezium with AB parallel to CD, AB = 8 cm, "
            "BC = 4 cm, CD = 5 cm and DA = 4 cm.",
        ),
        {"AB": 8, "AD": 4},
    ),
    (
        ("Quadrilateral ABCD has AB = 6 cm, BC = 5 cm, CD = 4 cm, DA = 5 cm and AC = 7 cm.",),
        {"CD": 4, "AD": 5},
    ),
    (
        (
            "Quadrilateral ABCD has AB = 6 cm, BC = 5 cm, CD "
            "= 4 cm, angle ABC = 80° and angle BCD = 110°.",
        ),
        {"CD": 4, "BCD": 110},
    ),
    (("Regular hexagon ABCDEF has side 3 cm.",), {"AD": 6, "BC": 3}),
    (("ABCDE is a regular pentagon with sides of 4 cm.",), {"AC": 4 * (1 + math.sqrt(5)) / 2}),
    (("Regular octagon ABCDEFGH has sides of length 2 cm.",), {"AB": 2, "ABC": 135}),
    (("A regular hexagon ABCDEF has side 3 cm.",), {"AD": 6}),
    (("A circle has centre O and radius 3 cm.",), {}),
    (("A circle with centre O has radius 3 cm.",), {}),
    (("A circle has centre O and diameter 6 cm.",), {}),
    (("A circle, centre O, has radius 3 cm.",), {}),
    (("O is the centre of a circle of radius 3 cm.",), {}),
    (
        (
            "A circle of radius 3 cm has centre O.",
            "P is on the circle.",
        ),
        {"OP": 3},
    ),
    (
        (
            "A circle has centre O and radius 3 cm.",
            "A and B are points.",
            "A and B are on the circle and AB = 4 cm.",
        ),
        {"OA": 3, "OB": 3, "AB": 4},
    ),
    (
        (
            "A circle has centre O and radius 3 cm.",
            "A is on the circle.",
            "B is on the circle and AB = 4 cm.",
        ),
        {"OA": 3, "OB": 3, "AB": 4},
    ),
    (
        (
            "AB = 6 cm.",
            "AB is a diameter of a circle with centre O.",
        ),
        {"AO": 3},
    ),
    (
        (
            "AB = 6 cm.",
            "A circle has centre A and passes through B.",
        ),
        {},
    ),
    (
        (
            "AB = 6 cm.",
            "C is 4 cm from A and AC is perpendicular to AB.",
        ),
        {"BC": math.sqrt(52)},
    ),
    (("AB = 6 cm, BC = 4 cm and AB is perpendicular to BC.",), {"AC": math.sqrt(52)}),
    (
        (
            "AB = 6 cm.",
            "CD is parallel to AB, AC = 3 cm, angle BAC = 90° and CD = 6 cm.",
        ),
        {"AC": 3, "CD": 6, "BD": 3},
    ),
    (
        (
            "AB and CD are parallel lines 4 cm apart.",
            "AB = 8 cm.",
        ),
        {"AC": 4, "BD": 4},
    ),
    (
        (
            "AB = 8 cm.",
            "C is on AB produced and BC = 3 cm.",
        ),
        {"AC": 11},
    ),
    (
        (
            "AB = 8 cm.",
            "C is on AB produced, 3 cm from B.",
        ),
        {"AC": 11},
    ),
    (
        (
            "AB = 8 cm.",
            "D is 3 cm from A on AB.",
            "E is 2 cm above D.",
        ),
        {"AE": math.sqrt(13)},
    ),
    (
        (
            "Rectangle ABCD is 8 cm by 5 cm.",
            "P is inside rectangle ABCD, 3 cm from A and 6 cm from B.",
        ),
        {"AP": 3, "BP": 6},
    ),
    (
        (
            "Rectangle ABCD is 8 cm by 5 cm.",
            "P is outside rectangle ABCD, 5 cm from A and 5 cm from B.",
        ),
        {"AP": 5, "BP": 5},
    ),
    (
        (
            "A rectangular garden ABCD is 8 m by 6 m.",
            "Use a scale of 1 cm to 1 m.",
        ),
        {"AB": 8, "BC": 6},
    ),
    (
        (
            "The garden ABCD is a rectangle, AB = 8 m and BC = 6 m.",
            "1 cm represents 1 m.",
        ),
        {"AB": 8},
    ),
    (
        (
            "A ship S is 6 km from lighthouse L on a bearing of 120°.",
            "1 cm represents 1 km.",
        ),
        {"LS": 6},
    ),
    (
        (
            "Tree T is 4 m from tree S.",
            "The scale is 1 cm to 1 m.",
        ),
        {"ST": 4},
    ),
    (
        (
            "AB is horizontal and 6 cm long.",
            "BC is vertical and 4 cm long.",
        ),
        {"AC": math.sqrt(52)},
    ),
    (
        (
            "AB = 6 cm and AB = BC.",
            "Angle ABC is 90°",
        ),
        {"BC": 6},
    ),
    (
        (
            "AB = BC = CD = DA = 5 cm.",
            "Angle ABC = 90°.",
        ),
        {"BD": math.sqrt(50)},
    ),
    (
        (
            "P, Q and R are the vertices of a triangle.",
            "PQ = 7 cm, QR = 6 cm and PR = 5 cm.",
        ),
        {"PQ": 7},
    ),
    (
        (
            "A is 5 cm north of B.",
            "C is 5 cm east of B.",
        ),
        {"AC": math.sqrt(50)},
    ),
    (("B is 4 cm to the right of A and C is 3 cm above B.",), {"AC": 5}),
    (("A₁ and A₂ are 5 cm apart.",), {}),
    (("P and P' are 5 cm apart.",), {}),
    (("AB = 8½ cm.",), {"AB": 8.5}),
    (("AB is 8·5 cm long",), {"AB": 8.5}),
)
