"""Every kind of question that words know: a careful pupil can draw it and earns it all."""

from __future__ import annotations

import numpy as np
import pytest
from tests.rehearsal.questions import place

from millimark.paper.reading import paper_from_data
from millimark.rehearsal.answering import answer
from millimark.rehearsal.hands import CAREFUL, Pupil
from millimark.rehearsal.setting import set_out
from millimark.rehearsal.truth import question_truth

PUPIL = Pupil("Nobody Real", CAREFUL, False, "cross")
POINTS = "A and B are 7 cm apart."
SIDES = "Triangle PQR has PQ = 7 cm, QR = 6 cm and PR = 5 cm."
OBLONG = "Rectangle PQRS has PQ = 6 cm and QR = 4 cm."
DRAW, SHADE = "Draw the locus of points that are", "Shade the region"
ROUND = "A circle has centre O and radius 4 cm. A is on the circle."
FAR = "A circle has centre O and radius 3 cm. P is 7 cm from O."
KINDS = [
    (POINTS, f"{DRAW} the same distance from A as from B."),
    (POINTS, f"{DRAW} 3 cm from A."),
    (POINTS, f"{DRAW} 2 cm from the line segment AB."),
    (POINTS, f"{DRAW} 2 cm from the line AB."),
    (OBLONG, f"{DRAW} 2 cm outside PQRS."),
    ("Angle BAC is 50°.", f"{DRAW} the same distance from AB as from AC."),
    (SIDES, f"{DRAW} the same distance from PQ as from PR."),
    (
        SIDES,
        f"{SHADE} inside triangle PQR that is less than 4 cm from P and nearer to Q than to R.",
    ),
    (SIDES, f"{SHADE} inside triangle PQR that is more than 3 cm from P."),
    (SIDES, "Construct the perpendicular from P to QR."),
    (SIDES, "Construct the perpendicular to PQ at P."),
    (SIDES, "Construct the line through R parallel to PQ."),
    (SIDES, "Construct the circumcircle of triangle PQR."),
    (SIDES, "Construct the incircle of triangle PQR."),
    (SIDES, "Construct the median from P to QR."),
    *(
        (POINTS, f"Construct {built}.")
        for built in (
            "an angle of 30° at A on AB",
            "an angle of 60° at A on AB",
            "an angle of 90° at A on AB",
            "an angle of 120° at A on AB",
            "triangle ABC with AC = 5 cm and BC = 6 cm",
            "an equilateral triangle on AB",
            "square ABCD",
        )
    ),
    (ROUND, "Construct a regular hexagon in the circle with a corner at A."),
    (ROUND, "Construct the tangent to the circle at A."),
    (FAR, "Construct the tangents from P to the circle."),
    (POINTS, "Draw the lines through A that make an angle of 60° with AB."),
    (POINTS, "Draw the locus of points P such that angle APB = 90°."),
    (POINTS, "Draw the locus of points P such that angle APB is 50°."),
    (POINTS, "Draw the locus of points P such that PA = 2 PB."),
    (POINTS, "Draw the locus of points P such that PA + PB = 10 cm."),
    (SIDES, "Draw the locus of points equidistant from P and the line QR."),
    (POINTS, f"{SHADE} that is less than 4 cm from A and less than 5 cm from B."),
    (POINTS, f"{SHADE} that is less than 4 cm from A or less than 3 cm from B."),
    (POINTS, f"{SHADE} that is between 2 cm and 4 cm from A."),
    (POINTS, f"{SHADE} that is within 2 cm of the line segment AB and nearer to A than to B."),
]


@pytest.mark.parametrize("scale", [0.90, 1.0, 1.05])
@pytest.mark.parametrize(("given", "ask"), KINDS, ids=[ask for _, ask in KINDS])
def test_a_careful_pupil_earns_everything(given: str, ask: str, scale: float):
    paper = paper_from_data({"title": "Kinds", "questions": [{"given": [given], "ask": [ask]}]})
    question = paper.questions[0]
    setting = set_out(paper, question, place(question), scale)
    done = answer(setting, PUPIL, [], np.random.default_rng(2))
    truth = question_truth(setting, done, scale)
    assert all(e["mean_mm"] < 0.8 for e in truth["elements"])
    assert [m["decision"] for m in truth["deserved"]] == ["awarded"] * truth["out_of"]
    assert {s["role"] for s in truth["strokes"]} <= {"answer", "construction", "shade"}
