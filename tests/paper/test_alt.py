"""Alternative text says what a figure shows."""

from __future__ import annotations

import pytest

from millimark.paper.alt import describe

from .papers import ANGLE, BISECTOR, REGION, RING, STADIUM, paper_of

SAID = {
    "two points": (BISECTOR, "Points A and B, 8 cm apart, B to the right of A."),
    "segment": (STADIUM, "Line segment EF, 7 cm long."),
    "angle": (ANGLE, "Angle GHK of 50°, its arms HG, 6 cm, and HK, 6 cm."),
    "triangle": (REGION, "Triangle PQR with sides PQ 8 cm, QR 7 cm and RP 6.5 cm."),
    "rectangle": (
        RING,
        "Quadrilateral PQRS with sides PQ 7 cm, QR 5 cm, RS 7 cm and SP 5 cm.",
    ),
    "point with a place": (
        {
            "given": ["A and B are 6 cm apart.", "C is 4 cm above A."],
            "ask": ["Draw the locus of points that are 2 cm from C."],
        },
        "Points A, B and C: B 6 cm from A, to the right of it; C 4 cm from A, above it.",
    ),
}


@pytest.mark.parametrize(("question", "said"), SAID.values(), ids=SAID)
def test_a_figure_is_described(question: dict[str, object], said: str) -> None:
    assert describe(paper_of(question).questions[0].figure) == said
