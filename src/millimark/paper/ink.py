"""What stands in a frame, in page millimetres: the given figure, the answer, the working.

Unbounded lines are cut at the frame. Nothing is drawn here: see ``figure_drawing``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from millimark.loci.conditions import AllOf, Inside, PolygonOf, ShadeRegion
from millimark.loci.figure import Figure
from millimark.loci.pointed import is_of_points
from millimark.loci.solve import solve
from millimark.paper.formats import Box
from millimark.paper.furniture import rectangle
from millimark.paper.placing import Placed
from millimark.plane.curves import Arc, Curve, Line, Ray, Segment
from millimark.plane.pieces import kept
from millimark.plane.point import Point
from millimark.working.acts import JoinMarks, RuleLine, StrikeArc

_EDGE = 1e-6  # mm: a piece this close to the frame's edge counts as inside


@dataclass(frozen=True)
class FrameInk:
    """Curves in page mm, all bounded.

    ``given``: printed lines; ``answer`` and ``construction``: the working's ink by role;
    ``loci``: by element, the needed locus cut at the frame; ``regions``: closed loops of
    each shaded region, cut at the frame; ``points``: labelled points; ``asked``: points that
    are to be marked.
    """

    given: tuple[Curve, ...]
    answer: tuple[Curve, ...]
    construction: tuple[Curve, ...]
    loci: tuple[tuple[str, tuple[Curve, ...]], ...]
    regions: tuple[tuple[tuple[Curve, ...], ...], ...]
    points: tuple[tuple[str, Point], ...]
    corners: frozenset[str]
    asked: tuple[Point, ...] = ()


def frame_ink(placed: Placed) -> FrameInk:
    """Everything that a question's frame can show."""
    to_page, frame = placed.to_page, placed.frame_mm
    figure = placed.question.figure
    inks = [
        (act.role, curve.transformed(to_page))
        for step in placed.working.steps
        for act in step.acts
        if isinstance(act, StrikeArc | RuleLine | JoinMarks)
        for curve in act.ink
    ]
    answers = placed.question.answers
    elements = [e for answer in answers if not is_of_points(answer) for e in answer.elements]
    asked = [p for answer in answers if is_of_points(answer) for p in answer.special_points]
    return FrameInk(
        given=tuple(
            clipped((c.transformed(to_page) for c in given_curves(figure)), placed.ink_box)
        ),
        answer=tuple(c for role, c in inks if role == "answer"),
        construction=tuple(c for role, c in inks if role != "answer"),
        loci=tuple(
            (e.name, tuple(clipped((c.transformed(to_page) for c in e.needed), frame)))
            for e in elements
        ),
        regions=tuple(_regions(placed)),
        points=tuple((name, to_page(p)) for name, p in figure.points.items()),
        corners=corner_labels(figure),
        asked=tuple(to_page(p) for p in asked),
    )


def given_curves(figure: Figure) -> list[Curve]:
    """The printed lines of a figure in cm; rays and lines still unbounded."""
    at = figure.points
    curves: list[Curve] = []
    drawn: set[frozenset[str]] = set()
    sides = [(p[i - 1], p[i]) for p in figure.polygons for i in range(len(p))]
    for a, b in (*sides, *figure.segments):
        if frozenset((a, b)) not in drawn:
            drawn.add(frozenset((a, b)))
            curves.append(Segment(at[a], at[b]))
    curves += [Ray(at[a], (at[b] - at[a]).unit()) for a, b in figure.rays]
    curves += [Line(at[a], (at[b] - at[a]).unit()) for a, b in figure.lines]
    curves += [Arc(c.centre, c.radius) for c in figure.circles]
    return curves


def corner_labels(figure: Figure) -> frozenset[str]:
    """Labels of points that two printed lines fix already, so that they need no cross."""
    ends: dict[str, set[str]] = {}
    sides = [(p[i - 1], p[i]) for p in figure.polygons for i in range(len(p))]
    for a, b in (*sides, *figure.segments):
        ends.setdefault(a, set()).add(b)
        ends.setdefault(b, set()).add(a)
    for a, b in figure.rays:
        ends.setdefault(a, set()).add(b)
    return frozenset(name for name, others in ends.items() if len(others) > 1)


def clipped(curves: Iterable[Curve], frame: Box) -> list[Curve]:
    """The pieces of curves (page mm) that lie in the frame."""
    x0, y0, x1, y1 = frame

    def inside(x: float, y: float) -> bool:
        return x0 - _EDGE <= x <= x1 + _EDGE and y0 - _EDGE <= y <= y1 + _EDGE

    return [p for c in curves for p in kept([c], rectangle(*frame), inside)]


def _regions(placed: Placed) -> list[tuple[tuple[Curve, ...], ...]]:
    """The loops of every region asked for; an unbounded one is closed by the frame."""
    found = []
    for ask, answer in zip(placed.question.asks, placed.question.answers, strict=True):
        if answer.region is None or not isinstance(ask, ShadeRegion):
            continue
        region = answer.region
        if not region.bounded:
            bounded = solve(*_in_frame(placed, ask)).region
            if bounded is None:
                continue
            region = bounded
        found.append(
            tuple(tuple(c.transformed(placed.to_page) for c in loop) for loop in region.loops)
        )
    return found


def _in_frame(placed: Placed, ask: ShadeRegion) -> tuple[Figure, ShadeRegion]:
    """The figure with the frame as a polygon, and the ask within it."""
    back = placed.to_page.inverse()
    x0, y0, x1, y1 = placed.frame_mm
    corners = {
        f"frame {i}": back(p)
        for i, p in enumerate((Point(x0, y1), Point(x1, y1), Point(x1, y0), Point(x0, y0)))
    }
    figure = placed.question.figure
    wider = Figure(
        {**figure.points, **corners},
        figure.segments,
        figure.rays,
        figure.lines,
        (*figure.polygons, tuple(corners)),
        figure.circles,
    )
    return wider, ShadeRegion(AllOf((ask.condition, Inside(PolygonOf(tuple(corners))))))


def all_curves(ink: FrameInk) -> Sequence[Curve]:
    """Every curve that may run through a label: given, answer, working and loci."""
    return (*ink.given, *ink.answer, *ink.construction, *(c for _, cs in ink.loci for c in cs))
