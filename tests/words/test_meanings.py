"""What sentences mean, written out by hand."""

from __future__ import annotations

import pytest

from millimark.loci.conditions import (
    AllOf,
    AngleCompared,
    AnyOf,
    Ask,
    AtDistance,
    BearingBetween,
    CircleOf,
    Distance,
    DrawLocus,
    Equidistant,
    Inside,
    Ladder,
    LineOf,
    MarkPoints,
    MidpointsFrom,
    Nearer,
    Not,
    Perpendicular,
    PointOf,
    PolygonOf,
    RatioOfDistances,
    RayOf,
    RopeEnd,
    SameSide,
    SegmentOf,
    ShadeRegion,
    SidesOf,
    Subtends,
    SumOfDistances,
    WithinRope,
)
from millimark.words.reading import understand

GIVEN = [
    "Triangle ABC has AB = 8 cm, BC = 7 cm and AC = 6 cm.",
    "O is 5 cm above C.",
    "A circle has centre O and radius 3 cm.",
]
A, B, C = PointOf("A"), PointOf("B"), PointOf("C")
AB, AC, BC = SegmentOf("A", "B"), SegmentOf("A", "C"), SegmentOf("B", "C")
ABC = PolygonOf(("A", "B", "C"))
SIDES = SidesOf(("A", "B", "C"))
OUT = Not(Inside(ABC, strict=False))

MEANINGS: list[tuple[str, Ask]] = [
    ("Draw the locus of points 35 mm from A.", DrawLocus(AtDistance(A, 3.5))),
    ("Draw the locus of points 2 cm from the line segment AB.", DrawLocus(AtDistance(AB, 2.0))),
    ("Draw the locus of points 2 cm from AB.", DrawLocus(AtDistance(AB, 2.0))),
    (
        "Draw the locus of points 2 cm from the line AB.",
        DrawLocus(AtDistance(LineOf("A", "B"), 2.0)),
    ),
    ("Draw the locus of points 2 cm outside ABC.", DrawLocus(AtDistance(ABC, 2.0))),
    ("Draw the locus of points 2 cm from triangle ABC.", DrawLocus(AtDistance(ABC, 2.0))),
    ("Draw the locus of points 2 cm from the sides of ABC.", DrawLocus(AtDistance(SIDES, 2.0))),
    (
        "Draw the locus of points 1 cm inside triangle ABC.",
        DrawLocus(AtDistance(SIDES, 1.0), Inside(ABC)),
    ),
    (
        "Draw the locus of points 1 cm from the circle.",
        DrawLocus(AtDistance(CircleOf("O"), 1.0)),
    ),
    ("Construct the perpendicular bisector of AB.", DrawLocus(Equidistant((A, B)))),
    ("Draw the locus of points equidistant from A, B and C.", DrawLocus(Equidistant((A, B, C)))),
    (
        "Draw the locus of points equidistant from AB and AC.",
        DrawLocus(Equidistant((RayOf("A", "B"), RayOf("A", "C")))),
    ),
    (
        "Construct the bisector of angle ACB.",
        DrawLocus(Equidistant((RayOf("C", "A"), RayOf("C", "B")))),
    ),
    (
        "Draw the locus of points equidistant from the lines AB and AC.",
        DrawLocus(Equidistant((LineOf("A", "B"), LineOf("A", "C")))),
    ),
    (
        "Draw the locus of points equidistant from the line segments AB and AC.",
        DrawLocus(Equidistant((AB, AC))),
    ),
    ("Shade the region less than 4 cm from A.", ShadeRegion(Distance(A, "<", 4.0))),
    ("Shade the region within 4 cm of A.", ShadeRegion(Distance(A, "<=", 4.0))),
    ("Shade the region at least 4 cm from A.", ShadeRegion(Distance(A, ">=", 4.0))),
    ("Shade the region more than 4 cm from A.", ShadeRegion(Distance(A, ">", 4.0))),
    (
        "Shade the region less than 4 cm from A or B.",
        ShadeRegion(AnyOf((Distance(A, "<", 4.0), Distance(B, "<", 4.0)))),
    ),
    (
        "Shade the region more than 4 cm from A or B.",
        ShadeRegion(AllOf((Distance(A, ">", 4.0), Distance(B, ">", 4.0)))),
    ),
    (
        "Shade the region less than 4 cm from A and B.",
        ShadeRegion(AllOf((Distance(A, "<", 4.0), Distance(B, "<", 4.0)))),
    ),
    ("Shade the region nearer to A than to B.", ShadeRegion(Nearer(A, (B,)))),
    ("Shade the region further from A than from B.", ShadeRegion(Nearer(B, (A,)))),
    ("Shade the region no further from A than from B.", ShadeRegion(Nearer(A, (B,), False))),
    ("Shade the region nearer to AB than to AC.", ShadeRegion(Nearer(AB, (AC,)))),
    ("Shade the region nearer to A than to any other vertex.", ShadeRegion(Nearer(A, (B, C)))),
    ("Shade the region nearer to AB than to any other side.", ShadeRegion(
        Nearer(AB, (BC, SegmentOf("C", "A"))))),
    ("Shade the region inside the triangle.", ShadeRegion(Inside(ABC))),
    ("Shade the region outside ABC and less than 2 cm from ABC.", ShadeRegion(
        AllOf((OUT, Distance(ABC, "<", 2.0))))),
    ("Shade the region inside ABC and less than 2 cm from ABC.", ShadeRegion(
        AllOf((Inside(ABC), Distance(SIDES, "<", 2.0))))),
    ("Shade the region on the same side of AB as C.", ShadeRegion(SameSide(LineOf("A", "B"), C))),
    (
        "Shade the region less than 3 cm from A and nearer to B than to A or less than 1 cm from C.",
        ShadeRegion(
            AnyOf(
                (
                    AllOf((Distance(A, "<", 3.0), Nearer(B, (A,)))),
                    Distance(C, "<", 1.0),
                )
            )
        ),
    ),
    (
        "Draw the locus of points P such that PA + PB = 10 cm.",
        DrawLocus(SumOfDistances(A, B, 10.0)),
    ),
    ("Draw the locus of points P such that PA = 2PB.", DrawLocus(RatioOfDistances(A, B, 2.0))),
    (
        "Draw the locus of points half as far from A as from B.",
        DrawLocus(RatioOfDistances(A, B, 0.5)),
    ),
    ("Draw the locus of points P such that angle APB = 50°.", DrawLocus(Subtends(A, B, 50.0))),
    (
        "Shade the points P such that angle APB > 40°.",
        ShadeRegion(AngleCompared(A, B, ">", 40.0)),
    ),
    (
        "Shade the region on a bearing between 040° and 110° from A.",
        ShadeRegion(BearingBetween(A, 40.0, 110.0)),
    ),
    (
        "Construct the perpendicular from C to AB.",
        DrawLocus(Perpendicular(LineOf("A", "B"), C)),
    ),
    (
        "Draw the locus of the midpoint of AP as P moves along BC.",
        DrawLocus(MidpointsFrom(A, BC)),
    ),
    (
        "Draw the locus of the point 2 cm from the foot of a ladder of length 5 cm whose foot "
        "slides along AB and whose top slides along AC.",
        DrawLocus(Ladder(A, B, C, 5.0, 0.4)),
    ),
    (
        "Draw the locus of the end of a rope of length 5 cm fixed at B round ABC.",
        DrawLocus(RopeEnd(B, 5.0, (ABC,))),
    ),
    (
        "Shade the region within reach of a rope of length 5 cm fixed at B outside ABC.",
        ShadeRegion(WithinRope(B, 5.0, (ABC,))),
    ),
    (
        "Mark the points that are 5 cm from A and 4 cm from B.",
        MarkPoints((AtDistance(A, 5.0), AtDistance(B, 4.0))),
    ),
]  # fmt: skip


@pytest.mark.parametrize(("sentence", "ask"), MEANINGS)
def test_a_sentence_means(sentence: str, ask: Ask) -> None:
    assert understand(GIVEN, [sentence]).asks == (ask,)


def test_lengths_in_other_units_are_the_same_lengths() -> None:
    """The inch is 2.54 cm (international yard and pound agreement of 1959; from memory)."""
    said = {
        "1 in": 2.54, "1 inch": 2.54, "1 ft": 30.48, "1 yd": 91.44, "30 mm": 3.0, "0.05 m": 5.0,
    }  # fmt: skip
    for words, cm in said.items():
        (ask,) = understand(GIVEN, [f"Draw the locus of points {words} from A."]).asks
        assert isinstance(ask, DrawLocus)
        assert isinstance(ask.locus, AtDistance)
        assert ask.locus.length == pytest.approx(cm, rel=1e-15), words
