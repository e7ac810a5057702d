"""The stage: one question's answer frame in page millimetres, with a tray for the ruler below.

Origin top-left of the page, y down, as everywhere on paper.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from millimark.drawing.canvas import Lettering, Pen
from millimark.drawing.look import (
    CROSS_PEN,
    GIVEN_PEN,
    LABEL,
    PLUM,
    POINT_LABEL,
    REGION_PAINT,
)
from millimark.drawing.svg import SvgCanvas
from millimark.paper.figure_drawing import cross_at, draw_frame, draw_given
from millimark.paper.formats import Box
from millimark.paper.ink import clipped, given_curves
from millimark.paper.labels import place_labels
from millimark.paper.question_pages import Drawn
from millimark.plane.boxes import box_of
from millimark.plane.curves import Arc, Curve
from millimark.plane.point import Point
from millimark.plane.similarity import Similarity, page_frame
from millimark.showing.tools import hinge_height, leg_length
from millimark.working.acts import JoinMarks, RuleLine, SetCompasses, StrikeArc, Working
from millimark.working.bounds import extent
from millimark.working.catalogue import Built
from millimark.working.instruments import Instruments

TRAY = 46.0
"""mm below the frame, where the ruler lies while the compasses are set on it."""
MARGIN = 14.0  # mm round a construction that stands by itself
EDGE = 6.0  # mm at the sides of the frame
ROUND = 16.0  # mm of paper that are seen round the ink
LEAST = 100.0  # mm of paper that are seen at least, across
MARK_PEN = Pen(0.35, PLUM)
MARK_LABEL = Lettering(LABEL, PLUM, anchor="middle")


@dataclass(frozen=True)
class Stage:
    """What is there before the first act, and what is to be done.

    ``ground`` and ``shading`` are SVG elements in page mm: the printed frame, and the regions
    that are shaded at the end ("" where none is asked for). ``box`` is what is seen: ``crop``
    of the frame, headroom for the compasses above it and, where they are set on the ruler,
    the tray below.
    """

    number: str
    title: str
    asked: tuple[str, ...]
    working: Working
    instruments: Instruments
    to_page: Similarity
    frame: Box
    ground: str
    shading: str
    points: tuple[tuple[str, Point], ...]
    given: tuple[Curve, ...]

    @property
    def heading(self) -> str:
        """Title and question, as they head a page."""
        return f"{self.title}: question {self.number}" if self.number else self.title

    @cached_property
    def crop(self) -> Box:
        """The part of the answer frame that is seen: all ink and points with paper round them."""
        ink = extent(self.working)
        corners = [self.to_page(p) for p in ink.ring()]
        seen = box_of(self.given, [*corners, *(at for _, at in self.points)])
        if seen is None:
            return self.frame
        x0, y0, x1, y1 = seen.grown(max(ROUND, (LEAST - seen.width) / 2))
        a, b, c, d = self.frame
        return max(x0, a), max(y0, b), min(x1, c), min(y1, d)

    @property
    def box(self) -> Box:
        x0, y0, x1, y1 = self.crop
        measured = any(
            isinstance(act, SetCompasses) and act.between is None
            for step in self.working.steps
            for act in step.acts
        )
        return (x0 - EDGE, self._top(y0), x1 + EDGE, y1 + (TRAY if measured else EDGE))

    def _top(self, y0: float) -> float:
        """The page mm above which nothing is seen: room for edge and compasses."""
        leg = leg_length(self.instruments)
        tops = [
            hinge_height(c.centre.y, p.y, c.radius, leg)
            for step in self.working.steps
            for act in step.acts
            if isinstance(act, StrikeArc)
            for c in (act.arc.transformed(self.to_page),)
            if isinstance(c, Arc)
            for p in (c.start, c.point_at(c.t1 / 2), c.end)
        ]
        return min([y0 - EDGE, *tops])

    @property
    def tray(self) -> Point:
        """Where the ruler's zero lies while the compasses are set."""
        x0, _, _, y1 = self.crop
        return Point(x0 + 12.0, y1 + 12.0)


def stage_of(drawn: Drawn, title: str, instruments: Instruments) -> Stage:
    """The stage for a question as it stands on its page."""
    placed, question = drawn.placed, drawn.question
    return Stage(
        question.number,
        title,
        (*question.given, *question.ask),
        placed.working,
        instruments,
        placed.to_page,
        placed.frame_mm,
        _ground(drawn),
        _shading(drawn),
        drawn.ink.points,
        drawn.ink.given,
    )


def stage_for_construction(built: Built) -> Stage:
    """The stage for a construction of the catalogue, in a frame of its own."""
    figure, working = built.bench.figure, built.working
    (step,) = working.steps
    ink = extent(working)
    whole = box_of((), figure.points.values())
    box = ink.joined(whole) if whole else ink
    to_page = page_frame(Point(MARGIN - 10 * box.x0, MARGIN + 10 * box.y1))
    frame = (0.0, 0.0, 10 * box.width + 2 * MARGIN, 10 * box.height + 2 * MARGIN)
    given = clipped((c.transformed(to_page) for c in given_curves(figure)), frame)
    points = tuple((name, to_page(p)) for name, p in figure.points.items())
    drawn = [
        curve.transformed(to_page)
        for act in step.acts
        if isinstance(act, StrikeArc | RuleLine | JoinMarks)
        for curve in act.ink
    ]
    canvas = SvgCanvas(frame)
    canvas.stroke(given, GIVEN_PEN)
    for _, at in points:
        canvas.stroke(cross_at(at), CROSS_PEN)
    for label in place_labels(points, [*given, *drawn], frame):
        canvas.write(label.text, label.at, POINT_LABEL)
    return Stage(
        "", step.element[:1].upper() + step.element[1:], (), working,
        built.bench.instruments, to_page, frame, inner(canvas.svg()), "", points, tuple(given),
    )  # fmt: skip


def _ground(drawn: Drawn) -> str:
    canvas = SvgCanvas(drawn.picture_box)
    draw_frame(canvas, drawn.placed.frame_mm)
    draw_given(canvas, drawn.ink, drawn.labels, drawn.marks, drawn.access)
    return inner(canvas.svg())


def _shading(drawn: Drawn) -> str:
    if not drawn.ink.regions:
        return ""
    canvas = SvgCanvas(drawn.picture_box)
    for loops in drawn.ink.regions:
        canvas.fill(loops, REGION_PAINT)
    return inner(canvas.svg())


def inner(svg: str) -> str:
    """The elements inside an SVG picture, without the ``svg`` tag round them."""
    return svg[svg.index(">") + 1 : svg.rindex("</svg>")]
