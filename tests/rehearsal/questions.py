"""Questions for this room's tests, put together without words or pages."""

from __future__ import annotations

import math
from collections.abc import Mapping

from millimark.loci.conditions import (
    AllOf,
    Ask,
    AtDistance,
    Distance,
    DrawLocus,
    Equidistant,
    Inside,
    Nearer,
    PointOf,
    PolygonOf,
    RayOf,
    SegmentOf,
    ShadeRegion,
)
from millimark.loci.figure import Figure
from millimark.loci.solve import solve
from millimark.paper.question import Paper, Question, Tolerance
from millimark.paper.scheme import default_scheme
from millimark.plane.point import Point
from millimark.sheet.layout import QuestionPlace
from millimark.working.instruments import Instruments
from millimark.working.plan import plan

FRAME = (15.0, 30.0, 195.0, 200.0)
ROOM = (17.0, 16.0)


def two_points(apart: float = 8.0) -> Figure:
    return Figure({"A": Point(0, 0), "B": Point(apart, 0)}, segments=(("A", "B"),))


def wedge(degrees: float = 50.0) -> Figure:
    a = math.radians(degrees)
    return Figure(
        {"A": Point(0, 0), "B": Point(8, 0), "C": Point(8 * math.cos(a), 8 * math.sin(a))},
        rays=(("A", "B"), ("A", "C")),
    )


def triangle() -> Figure:
    points = {"P": Point(0, 0), "Q": Point(8, 0), "R": Point(3.2, 5.8)}
    return Figure(points, polygons=(("P", "Q", "R"),))


BISECTOR = DrawLocus(Equidistant((PointOf("A"), PointOf("B"))))
CIRCLE = DrawLocus(AtDistance(PointOf("A"), 4.0))
STADIUM = DrawLocus(AtDistance(SegmentOf("A", "B"), 2.0))
ANGLE = DrawLocus(Equidistant((RayOf("A", "B"), RayOf("A", "C"))))
REGION = ShadeRegion(
    AllOf(
        (
            Inside(PolygonOf(("P", "Q", "R"))),
            Nearer(SegmentOf("P", "Q"), (SegmentOf("P", "R"),)),
            Distance(PointOf("Q"), "<", 5.0),
        )
    )
)
FIVE: Mapping[str, tuple[Figure, Ask]] = {
    "1": (two_points(), BISECTOR),
    "2": (two_points(6.0), CIRCLE),
    "3": (two_points(7.0), STADIUM),
    "4": (wedge(), ANGLE),
    "5": (triangle(), REGION),
}


def question(number: str, figure: Figure, ask: Ask) -> Question:
    answers = (solve(figure, ask),)
    tolerance = Tolerance()
    working = plan(figure, answers, Instruments(), ROOM)
    shown = {step.element: step.evidence for step in working.steps}
    scheme = default_scheme(answers, tolerance, shown)
    return Question(number, None, (), (), figure, (ask,), len(scheme), tolerance, scheme, answers)


def paper(*numbers: str) -> Paper:
    questions = tuple(question(n, *FIVE[n]) for n in numbers or FIVE)
    return Paper("A rehearsal's paper", "A4", Instruments(), True, questions)


def place(q: Question, turn_deg: float = 0.0) -> QuestionPlace:
    """The question in the middle of its frame."""
    xs = [p.x for p in q.figure.points.values()]
    ys = [p.y for p in q.figure.points.values()]
    middle_x, middle_y = (FRAME[0] + FRAME[2]) / 2, (FRAME[1] + FRAME[3]) / 2
    origin = (middle_x - 5 * (min(xs) + max(xs)), middle_y + 5 * (min(ys) + max(ys)))
    points = {n: (origin[0] + 10 * p.x, origin[1] - 10 * p.y) for n, p in q.figure.points.items()}
    return QuestionPlace(q.number, FRAME, 10.0, points, origin, turn_deg)
