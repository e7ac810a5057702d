"""The planner: from exact answers to a working that fits the room and the instruments."""

from __future__ import annotations

import math
from collections.abc import Sequence

from millimark.errors import FitError
from millimark.loci.answer import Answer, Element
from millimark.loci.conditions import AtDistance
from millimark.loci.figure import Figure
from millimark.plane.curves import Curve
from millimark.plane.point import Point
from millimark.working.acts import ArcEvidence, ElementWorking, Working
from millimark.working.bench import SAME, Bench, cm
from millimark.working.bounds import Box, box_of
from millimark.working.distances import at_distance
from millimark.working.drawn import Drawn
from millimark.working.equidistant import equidistant
from millimark.working.instruments import Instruments


def plan(
    figure: Figure,
    answers: Sequence[Answer],
    instruments: Instruments,
    room_cm: tuple[float, float],
    arcs: bool = True,
) -> Working:
    """How the answers are drawn: empty steps for answers that have nothing to draw.

    All ink fits in a box ``room_cm`` wide and high (figure frame, cm) that is centred on
    what must be there: the figure and the bounded part of the answers. ``FitError`` where
    that is larger than the room, ``PlanError`` where no working fits.
    """
    bench = Bench(figure, instruments, _room(figure, answers, room_cm), arcs)
    steps: list[ElementWorking] = []
    for answer in answers:
        for element in answer.elements:
            if element.name in (s.element for s in steps):
                continue
            method, evidence = _draw(bench, element)
            steps.append(ElementWorking(element.name, method, bench.take(), evidence))
    return Working(tuple(steps))


def _draw(bench: Bench, element: Element) -> tuple[str, tuple[ArcEvidence, ...]]:
    needed = own_needed(element)
    if isinstance(element.locus, AtDistance):
        return at_distance(bench, element.locus, needed, element.curves), ()
    drawn: tuple[Drawn, ...] = equidistant(bench, element.locus.features, needed)
    return drawn[0].method, tuple(e for d in drawn for e in d.evidence)


def own_needed(element: Element) -> tuple[Curve, ...]:
    """The needed pieces that lie on the element's own curves; all of them if none is told."""
    mine = tuple(
        piece
        for piece in element.needed
        if any(c.distance_to(inner_point(piece)) < SAME for c in element.curves)
    )
    return mine or element.curves


def inner_point(piece: Curve) -> Point:
    """A point of the piece that is not one of its ends."""
    if piece.bounded:
        return piece.point_at((piece.t0 + piece.t1) / 2)
    if math.isfinite(piece.t0):
        return piece.point_at(piece.t0 + 1.0)
    return piece.point_at(piece.t1 - 1.0 if math.isfinite(piece.t1) else 0.37)


def _room(figure: Figure, answers: Sequence[Answer], room_cm: tuple[float, float]) -> Box:
    must = _must_hold(figure, answers)
    width, height = room_cm
    if must.width > width + 1e-9 or must.height > height + 1e-9:
        raise FitError(
            f"The figure and its answer are {cm(must.width)} wide and {cm(must.height)} high; "
            f"the room for them is {cm(width)} by {cm(height)}.",
            "Use shorter lengths, a smaller scale or a larger page.",
        )
    c = must.centre
    return Box(c.x - width / 2, c.y - height / 2, c.x + width / 2, c.y + height / 2)


def _must_hold(figure: Figure, answers: Sequence[Answer]) -> Box:
    """The box of the figure and of every bounded piece that is needed."""
    elements = [e for answer in answers for e in answer.elements]
    boxes = [
        box_of((), figure.points.values()),
        box_of(c for e in elements for c in e.needed),
        *(
            Box(c.centre.x - c.radius, c.centre.y - c.radius,
                c.centre.x + c.radius, c.centre.y + c.radius)
            for c in figure.circles
        ),
    ]  # fmt: skip
    found = [b for b in boxes if b is not None]
    if not found:
        return Box(0.0, 0.0, 0.0, 0.0)
    joined = found[0]
    for box in found[1:]:
        joined = joined.joined(box)
    return joined
