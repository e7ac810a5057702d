"""Papers that the tests of this room print: invented places, all loci of a first lesson."""

from __future__ import annotations

from typing import Any

from millimark.paper.question import Paper
from millimark.paper.reading import paper_from_data

BISECTOR = {
    "story": "Two bells stand on the shore; a boat keeps as far from one as from the other.",
    "given": ["A and B are 8 cm apart."],
    "ask": ["Draw the locus of points that are the same distance from A as from B."],
}
CIRCLE = {
    "given": ["C and D are 6 cm apart."],
    "ask": ["Draw the locus of points that are 4.5 cm from C."],
}
STADIUM = {
    "given": ["E and F are 7 cm apart."],
    "ask": ["Draw the locus of points that are 2 cm from the line segment EF."],
}
ANGLE = {
    "given": ["Angle GHK is 50°."],
    "ask": ["Draw the locus of points that are the same distance from HG as from HK."],
}
REGION = {
    "given": ["Triangle PQR has PQ = 8 cm, QR = 7 cm and PR = 6.5 cm."],
    "ask": [
        "Shade the region inside triangle PQR that is nearer to PQ than to PR "
        "and less than 5 cm from Q."
    ],
}
RING = {
    "given": ["Rectangle PQRS has PQ = 7 cm and QR = 5 cm."],
    "ask": ["Draw the locus of points outside PQRS that are 2 cm from PQRS."],
}
QUESTIONS = (BISECTOR, CIRCLE, STADIUM, ANGLE, REGION)


def paper_data(*questions: dict[str, Any], **more: Any) -> dict[str, Any]:
    chosen = questions or QUESTIONS
    return {"title": "The shore of Ness", "questions": [dict(q) for q in chosen], **more}


def paper_of(*questions: dict[str, Any], **more: Any) -> Paper:
    return paper_from_data(paper_data(*questions, **more))
