"""Asks to construct figures on printed points: what they mean, and what is refused with a reason."""

from __future__ import annotations

import pytest

from millimark.errors import GivensError, MillimarkError, NoAnswerError, WordsError
from millimark.loci.conditions import (
    AngleOn,
    Ask,
    CircleOf,
    CopiedAngle,
    DrawLocus,
    EqualParts,
    MarkPoints,
    Median,
    PointOf,
    RayOf,
    RegularIn,
    RegularOn,
    SegmentOf,
    TriangleOn,
)
from millimark.loci.figures_on import AngleAtEnd, SideTo
from millimark.loci.solve import solve
from millimark.words.reading import understand

A, B = PointOf("A"), PointOf("B")
AB = SegmentOf("A", "B")
BASE = ["AB is 8 cm long."]
TRIANGLE = ["Triangle ABC has AB = 8 cm, BC = 7 cm and AC = 6 cm."]
ROUND = ["A circle has centre O and radius 4 cm.", "A is on the circle."]

MEANINGS: list[tuple[list[str], str, Ask]] = [
    (
        BASE,
        "Construct triangle ABC with AC = 5 cm and BC = 60 mm.",
        DrawLocus(TriangleOn(AB, "C", (SideTo(A, 5.0), SideTo(B, 6.0)))),
    ),
    (
        BASE,
        "Construct triangle ABC with angle BAC = 50° and AC = 5 cm below AB.",
        DrawLocus(TriangleOn(AB, "C", (SideTo(A, 5.0), AngleAtEnd(A, 50.0)), "below")),
    ),
    (
        BASE,
        "Construct triangle ABC with angle C = 70° and angle B = 50°.",
        DrawLocus(TriangleOn(AB, "C", (AngleAtEnd(A, 60.0), AngleAtEnd(B, 50.0)))),
    ),
    (
        BASE,
        "Construct triangle ABC with a right angle at B and AC = 10 cm.",
        DrawLocus(TriangleOn(AB, "C", (SideTo(A, 10.0), AngleAtEnd(B, 90.0)))),
    ),
    (
        BASE,
        "Construct equilateral triangle ABC.",
        DrawLocus(RegularOn(AB, 3, ("C",))),
    ),
    (
        ["AB is 8 cm long.", "C is 3 cm below A."],
        "Construct square BADE on the same side of AB as C.",
        DrawLocus(RegularOn(SegmentOf("B", "A"), 4, ("D", "E"), PointOf("C"))),
    ),
    (BASE, "Construct square CDAB.", DrawLocus(RegularOn(AB, 4, ("C", "D")))),
    (
        ROUND,
        "Construct regular hexagon BCDEFA in the circle.",
        DrawLocus(RegularIn(CircleOf("O"), A, 6, ("B", "C", "D", "E", "F"))),
    ),
    (BASE, "Construct angle CBA = 30°.", DrawLocus(AngleOn(RayOf("B", "A"), 30.0))),
    (
        TRIANGLE,
        "Copy angle ABC at A on AB.",
        DrawLocus(CopiedAngle((RayOf("B", "A"), RayOf("B", "C")), RayOf("A", "B"))),
    ),
    (TRIANGLE, "Draw the median from C to AB.", DrawLocus(Median(PointOf("C"), AB))),
    (BASE, "Divide the line AB into six equal parts.", MarkPoints((EqualParts(AB, 6),))),
]


@pytest.mark.parametrize(("given", "ask", "meaning"), MEANINGS, ids=[m[1] for m in MEANINGS])
def test_a_sentence_means_what_is_written_out(given: list[str], ask: str, meaning: Ask) -> None:
    assert understand(given, [ask]).asks == (meaning,)


@pytest.mark.parametrize("degrees", [30, 45, 60, 90, 120])
def test_the_angles_of_a_course_are_drawn_on_one_side_with_a_note(degrees: int) -> None:
    understood = understand(BASE, [f"Construct an angle of {degrees}° at A with AB as an arm."])
    assert understood.asks == (DrawLocus(AngleOn(RayOf("A", "B"), float(degrees))),)
    assert understood.notes == (
        "It may stand on either side of AB; the one above AB is shown. "
        "Write 'above AB' to ask for that one alone.",
    )


def test_a_side_that_is_named_needs_no_note() -> None:
    assert understand(BASE, ["Construct a square on AB above AB."]).notes == ()


REFUSED: list[tuple[list[str], str, str]] = [
    (BASE, "Construct triangle ABC with AC = 2 cm and BC = 3 cm.", "together longer|8 cm"),
    (BASE, "Construct triangle ABC with AC = 5 cm.", "1 facts"),
    (BASE, "Construct triangle ABC with AC = 5 cm, BC = 6 cm and angle A = 40°.", "3 facts"),
    (BASE, "Construct triangle ABC with AC = 5 cm and AC = 6 cm.", "5 and 6"),
    (BASE, "Construct triangle ABC with AB = 7 cm, AC = 5 cm and BC = 6 cm.", "printed 8 cm long"),
    (BASE, "Construct triangle ABC with AC = 5 cm and DE = 6 cm.", "no part of triangle"),
    (BASE, "Construct triangle ABC with angle A = 30° and BC = 5 cm.", "Two triangles"),
    (BASE, "Construct triangle PQR with PQ = 5 cm and QR = 6 cm.", "no printed side"),
    (TRIANGLE, "Construct triangle ABC with AC = 5 cm and BC = 6 cm.", "given already"),
    (BASE, "Construct triangle ABA with AC = 5 cm and BC = 6 cm.", "corner twice"),
    (BASE, "Construct square ABCD with AC = 5 cm and BC = 6 cm.", "cannot be built"),
    (BASE, "Construct right-angled triangle ABC with AC = 5 cm and BC = 6 cm.", "not a right-ang"),
    (BASE, "Construct isosceles triangle ABC with AC = 5 cm and BC = 6 cm.", "not an isosceles"),
    (BASE, "Construct a rectangle on AB.", "not fixed by one"),
    (BASE, "Construct square ABC.", "4 corners"),
    (BASE, "Construct square ABCD on BC.", "printed side AB"),
    (BASE, "Construct square PQRS.", "0 corners"),
    (BASE, "Construct square ACBD.", "2 corners"),
    (BASE, "Construct a square on AB above AC.", "names the point C|side of AC"),
    (ROUND, "Construct regular hexagon PQRSTU in the circle.", "0 corners"),
    (ROUND, "Construct a regular hexagon in the circle with a corner at O.", "not on the circle"),
    (BASE, "Construct an angle of 60° at A on BC.", "no end of BC"),
    (BASE, "Construct an angle of 180° at A on AB.", "180°"),
    (BASE, "Construct angle ABC = 200°.", "200°"),
    (TRIANGLE, "Construct angle BAC = 40°.", "2 printed arms"),
    (TRIANGLE, "Draw the median of triangle ABC from D.", "no corner"),
    (BASE, "Divide AB into 1 equal parts.", "into 1"),
    (BASE, "Divide AB into 2.5 equal parts.", "into 2.5"),
    (TRIANGLE, "Mark its midpoint.", "0 line segments"),
    (["AB is 6 cm long.", "BC is 4 cm long and angle ABC = 90°."], "Mark its midpoint.", "2 line"),
]


@pytest.mark.parametrize(("given", "ask", "said"), REFUSED, ids=[r[1] for r in REFUSED])
def test_what_is_not_fixed_is_refused_with_a_reason(given: list[str], ask: str, said: str) -> None:
    with pytest.raises(MillimarkError, match=said):
        _solved(given, ask)


def _solved(given: list[str], ask: str) -> None:
    understood = understand(given, [ask])
    for one in understood.asks:
        solve(understood.figure, one)


def test_a_line_called_by_a_small_letter_is_pointed_at() -> None:
    with pytest.raises(WordsError, match="'l' was not expected") as caught:
        understand(BASE, ["Draw the locus of points 2 cm from the line l."])
    assert caught.value.column == 45
    assert "two capital letters" in (caught.value.hint or "")


def test_two_figures_that_nothing_joins_say_which_point_is_loose() -> None:
    with pytest.raises(GivensError, match="do not fix where C is"):
        understand(["AB is 6 cm long.", "CD is 4 cm long."], ["Draw the locus 2 cm from AB."])


def test_a_circle_of_another_name_is_refused() -> None:
    with pytest.raises(NoAnswerError, match="0 circles with centre P"):
        understand(ROUND, ["Construct regular hexagon ABCDEF in circle P."])
