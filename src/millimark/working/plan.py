"""The planner: from exact answers to a working that fits the room and the instruments."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence, Set
from dataclasses import replace

from millimark.errors import FitError, PlanError
from millimark.loci.answer import Answer, Element
from millimark.loci.conditions import OnBearing, TriangleCentre
from millimark.loci.figure import Figure
from millimark.loci.pointed import is_of_points, is_printed
from millimark.plane.boxes import Box, box_of
from millimark.plane.curves import Curve
from millimark.plane.point import Point
from millimark.working import showing_arcs
from millimark.working.acts import ArcEvidence, ElementWorking, Working
from millimark.working.bench import Bench
from millimark.working.bounds import extent
from millimark.working.flatness import flat_crossings
from millimark.working.handedness import for_hand
from millimark.working.instruments import Instruments
from millimark.working.methods import draw
from millimark.working.plotting import FREEHAND
from millimark.working.pointing import as_construction, points_marked
from millimark.working.sameness import SAME
from millimark.working.wording import cm

_AMPLE_CM = 30.0
"""Room on every side for any construction, cm."""


def plan(
    figure: Figure,
    answers: Sequence[Answer],
    instruments: Instruments,
    room_cm: tuple[float, float],
    arcs: bool = True,
) -> Working:
    """How the answers are drawn: empty steps for answers that have nothing to draw.

    All ink fits in a box ``room_cm`` wide and high (figure frame, cm) that holds what must be
    there: the figure and the bounded part of the answers. An element of a region that bounds
    none of it is not drawn. ``FitError`` where that is
    larger than the room, ``PlanError`` where no working fits: it says what would help.
    """
    must = _must_hold(figure, answers)
    rooms = _rooms(must, room_cm)
    said: PlanError | None = None
    for room in rooms:
        try:
            working = _on_bench(Bench(figure, instruments, room, arcs), answers)
        except PlanError as error:
            said = said or error
            continue
        box = extent(working)
        if room.holds_box(box):
            return working
        said = said or PlanError(
            f"The working is {cm(box.width)} wide and {cm(box.height)} high; the room is "
            f"{cm(room.width)} by {cm(room.height)}.",
            "Give the question more room, or use shorter lengths.",
        )
    raise _with_help(said, figure, answers, instruments, room_cm, arcs)


def _on_bench(bench: Bench, answers: Sequence[Answer]) -> Working:
    steps: list[ElementWorking] = []
    notes: list[str] = []
    for answer in answers:
        if is_of_points(answer):
            steps += _pointed(bench, answer, steps)
            continue
        for element in answer.elements:
            bounds_nothing = answer.region is not None and not element.needed
            if bounds_nothing or element.name in (s.element for s in steps):
                continue
            step = _step(bench, element, steps)
            steps.append(step)
            if step.method == FREEHAND:
                notes.append(f"{element.name}: {FREEHAND}.")
    notes.extend(flat_crossings(bench.acts))
    return for_hand(Working(tuple(steps), tuple(notes)), bench.instruments.left_handed)


def _step(bench: Bench, element: Element, steps: Sequence[ElementWorking]) -> ElementWorking:
    """One element drawn. Its method is freehand where any piece of it is."""
    drawn = draw(bench, element, own_needed(element))
    if not drawn:
        raise PlanError(
            f"Nothing can be drawn for the {element.name}: one touches the other.",
            "Name points and lines that lie apart.",
        )
    evidence = tuple(
        replace(_told_apart(e, steps), element=element.name) for d in drawn for e in d.evidence
    )
    first = next((d for d in drawn if d.method == FREEHAND), drawn[0])
    return ElementWorking(element.name, first.method, bench.take(), evidence, first.reason)


def _pointed(
    bench: Bench, answer: Answer, before: Sequence[ElementWorking]
) -> list[ElementWorking]:
    """The lines that lead to points, those that are not there already, then the points."""
    steps: list[ElementWorking] = []
    there = {s.element for s in before}
    for element in _to_draw(answer, there):
        if any(s.element == element.name for s in steps):
            continue
        step = _step(bench, element, (*before, *steps))
        if not isinstance(element.locus, OnBearing):  # whose lines carry marks of their own
            step = replace(step, acts=as_construction(step.acts))
        steps.append(step)
    fresh = {s.element for s in steps}
    evidence: Sequence[ArcEvidence] = [e for s in steps for e in s.evidence]
    if answer.centre is not None:
        evidence = _of_centre(bench, answer, answer.centre, there, steps)
    marked = points_marked(bench, answer, evidence, fresh)
    steps = [replace(s, evidence=()) for s in steps]
    if steps and steps[-1].element == marked.element:
        own = steps.pop()
        marked = replace(
            marked, method=own.method, acts=(*own.acts, *marked.acts), reason=own.reason
        )
    return [*steps, marked]


def _to_draw(answer: Answer, there: Set[str]) -> list[Element]:
    """The lines that still lead to the points; of a centre's three, as many as still fix it."""
    missing = [e for e in answer.elements if not is_printed(e) and e.name not in there]
    if answer.centre is None:
        return missing
    known = sum(e.name in there for e in (*answer.elements, *answer.instead))
    return missing[: max(0, len(answer.elements) - known)]


def _of_centre(
    bench: Bench,
    answer: Answer,
    centre: TriangleCentre,
    there: Set[str],
    steps: Sequence[ElementWorking],
) -> tuple[ArcEvidence, ...]:
    """What shows two of the lines that fix a centre, whichever they are: those drawn in ``steps``
    and those that might have been; lines that were ``there`` before have marks of their own."""
    drawn = {s.element: s.evidence for s in steps}
    lines = [e for e in (*answer.elements, *answer.instead) if e.name not in there]
    known = len(answer.elements) + len(answer.instead) - len(lines)
    shown = [drawn.get(e.name) or _would_show(bench, e) for e in lines]
    return showing_arcs.of_centre(centre, [e[0] for e in shown if e], known)


def _would_show(bench: Bench, element: Element) -> tuple[ArcEvidence, ...]:
    """What the construction of a line that is not drawn would leave on a sheet without edges; ()
    where the instruments do not reach."""
    wide = box_of(element.needed, bench.figure.points.values()) or bench.room
    sheet = Bench(bench.figure, bench.instruments, wide.grown(_AMPLE_CM), bench.arcs)
    drawn = sheet.attempt(lambda: draw(sheet, element, own_needed(element)))
    return tuple(e for d in drawn or () for e in d.evidence)


def _told_apart(evidence: ArcEvidence, steps: Sequence[ElementWorking]) -> ArcEvidence:
    """Evidence whose name no earlier step has: both bisectors of two lines need arcs."""
    if any(e.name == evidence.name for step in steps for e in step.evidence):
        return replace(evidence, name=f"{evidence.name}, for the other bisector")
    return evidence


def _with_help(
    said: PlanError | None,
    figure: Figure,
    answers: Sequence[Answer],
    instruments: Instruments,
    room_cm: tuple[float, float],
    arcs: bool,
) -> PlanError:
    """The reason why nothing was found, with what would help if the page were turned."""
    reason = said or PlanError("No working was found for this room.", "Give it more room.")
    width, height = room_cm
    must = _must_hold(figure, answers)
    if must.width <= height and must.height <= width and abs(width - height) > 0.5:
        centre = must.centre
        room = Box(centre.x - height / 2, centre.y - width / 2,
                   centre.x + height / 2, centre.y + width / 2)  # fmt: skip
        turned = "landscape" if height > width else "portrait"
        try:
            _on_bench(Bench(figure, instruments, room, arcs), answers)
        except PlanError:
            return reason
        return PlanError(reason.message, f"Turn the page to {turned}. {reason.hint}")
    return reason


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


def _rooms(must: Box, room_cm: tuple[float, float]) -> list[Box]:
    """Where the room may lie about what must be there: centred first, then to each side."""
    width, height = room_cm
    spare_x, spare_y = width - must.width, height - must.height
    if min(spare_x, spare_y) < -1e-9:
        raise FitError(
            f"The figure and its answer are {cm(must.width)} wide and {cm(must.height)} high; "
            f"the room for them is {cm(width)} by {cm(height)}.",
            "Use shorter lengths, a smaller scale or a larger page.",
        )
    return [
        Box(x, y, x + width, y + height)
        for share_x, share_y in itertools.product((0.5, 0.0, 1.0), repeat=2)
        for x, y in ((must.x0 - spare_x * share_x, must.y0 - spare_y * share_y),)
    ]


def _must_hold(figure: Figure, answers: Sequence[Answer]) -> Box:
    """The box of the figure and of every bounded piece that is needed."""
    elements = [e for answer in answers for e in answer.elements]
    boxes = [
        box_of((), figure.points.values()),
        box_of((), [p for answer in answers for p in answer.special_points]),
        box_of(c for e in elements for c in e.needed if c.bounded),
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
