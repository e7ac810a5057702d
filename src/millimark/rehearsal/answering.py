"""One pupil answers one question: acts, mishaps, shading and whatever else gets on paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from millimark.loci.answer import Element
from millimark.plane.point import Point
from millimark.rehearsal import extras
from millimark.rehearsal.arc_spans import marks_on_arcs
from millimark.rehearsal.bench import Bench, given_curves, work
from millimark.rehearsal.faults import MISCONCEPTIONS, NEAR_LIMIT, Fault
from millimark.rehearsal.hands import Pupil
from millimark.rehearsal.misconceptions import draw_instead
from millimark.rehearsal.mishaps import befall
from millimark.rehearsal.pencil import PencilStroke, Shading, Sketch
from millimark.rehearsal.pointing import asked_points, leading, mark_points
from millimark.rehearsal.pricks import holes_of
from millimark.rehearsal.reading_off import readings
from millimark.rehearsal.setting import Setting, misread
from millimark.rehearsal.shading import CELL, grid, shade, tone_of
from millimark.rehearsal.sides import inside, own_lines
from millimark.rehearsal.writing import write_readings

Rng = np.random.Generator
MEASURED = ("point-off", "point-missing", "no-arcs")
"""Faults of points that leave no construction."""
LENGTH_FAULTS = ("length-wrong", "ruler-end", "parallax", NEAR_LIMIT)


@dataclass(frozen=True, eq=False)
class Answered:
    """What was drawn, the faults that really were planted, and the figures that were written down,
    one for each thing that is to be measured (none by who left the answer blank)."""

    sketch: Sketch
    faults: tuple[Fault, ...]
    written: tuple[str, ...] = ()


def answer(setting: Setting, pupil: Pupil, faults: Sequence[Fault], rng: Rng) -> Answered:
    """Draw the answer. A blank answer has no strokes (its habits leave marks all the same)."""
    kinds = {f.kind for f in faults}
    strokes: list[PencilStroke] = []
    shading: Shading | None = None
    planted = list(faults)
    written: list[str] = []
    if "blank" not in kinds:
        strokes, planted = _lines(setting, pupil, faults, rng)
        own = [s for s in strokes if s.role == "answer"]
        shading = _shading(setting, pupil, own, kinds, rng)
        if shading is not None:
            strokes += shade(shading, pupil, rng)
        figures, written = write_readings(readings(setting, own), pupil.hand, rng)
        strokes += figures
    else:
        planted = [f for f in faults if f.kind in ("blank", "stray", "labels")]
    strokes += _habits(setting, pupil, strokes, kinds, rng)
    holes = holes_of(strokes, pupil.hand, rng)
    return Answered(Sketch(tuple(strokes), shading, holes), tuple(planted), tuple(written))


def _lines(
    setting: Setting, pupil: Pupil, faults: Sequence[Fault], rng: Rng
) -> tuple[list[PencilStroke], list[Fault]]:
    """Construction and answer lines of every element, faults done; the faults that took."""
    bench = Bench(pupil.hand, rng, setting.points, given_curves(setting.figure, setting.to_paper))
    bench.frame = setting.frame
    strokes: list[PencilStroke] = []
    planted = [f for f in faults if f.element is None]
    for i, element in enumerate(setting.elements):
        mine = [f for f in faults if f.element == element.name]
        at_work = setting
        for fault in [f for f in mine if f.kind in LENGTH_FAULTS and element.kind != "line"]:
            changed = misread(setting, element, fault.size) or misread(
                setting, element, -fault.size
            )
            if changed is None:
                mine.remove(fault)
            at_work = changed or setting
        name = at_work.elements[i].name
        step = next((s for s in at_work.working.steps if s.element == name), None)
        if step is None:
            continue
        bench.strokes = []
        marks = marks_on_arcs(at_work.working.steps)
        work(bench, step, setting.to_paper, mine, _starts(element, setting), marks)
        drawn = [replace(s, element=element.name) for s in bench.strokes]
        for fault in [f for f in mine if f.kind in MISCONCEPTIONS]:
            instead = draw_instead(setting, element, fault.kind, pupil.hand, rng)
            if instead is None:
                mine.remove(fault)
            drawn = instead or drawn
        for fault in mine:
            if not (fault.kind in LENGTH_FAULTS and element.kind != "line"):
                drawn = befall(drawn, element.name, fault, rng)
        strokes += drawn
        planted += mine
    strokes += mark_points(setting, bench, faults, rng)
    planted += [f for f in faults if f.element in asked_points(setting)]
    measured = [f for f in planted if f.kind in MEASURED and f.element in asked_points(setting)]
    if measured:
        strokes = [s for s in strokes if s.element not in leading(setting) or s.role == "mark"]
    for fault in planted:
        if fault.kind == "faint-arcs":
            strokes = befall(strokes, "", fault, rng)
    return strokes, planted


def _starts(element: Element, setting: Setting) -> tuple[Point, ...] | None:
    """Where the rays of an endless set of lines start, all of which count; None for any
    other element."""
    if element.kind != "path" or not all(c.kind in ("line", "ray") for c in element.needed):
        return None
    return tuple(setting.to_paper(c.start) for c in element.needed if c.kind == "ray")


def _shading(
    setting: Setting,
    pupil: Pupil,
    answer_lines: Sequence[PencilStroke],
    kinds: set[str],
    rng: Rng,
) -> Shading | None:
    """The area that this pupil shades; None where nothing is to be, or was, shaded."""
    if setting.region is None or "not-shaded" in kinds:
        return None
    right = own_region(setting, answer_lines)
    if "wrong-side" in kinds:
        right = _wrong_side(setting, right, answer_lines, rng)
    x0, y0 = setting.frame[:2]
    return Shading(right, (x0 + CELL / 2, y0 + CELL / 2), CELL, tone_of(pupil, rng))


def own_region(setting: Setting, answer_lines: Sequence[PencilStroke]) -> NDArray[np.bool_]:
    """(H, W) bool over the frame's shading grid: the region that the pupil's lines bound."""
    xy, shape = grid(setting.frame)
    condition = setting.region
    if condition is None:
        return np.zeros(shape, dtype=np.bool_)
    own = own_lines(setting.elements, answer_lines, setting.printed)
    return inside(condition, setting.printed, xy, own).reshape(shape)


def _wrong_side(
    setting: Setting, right: NDArray[np.bool_], answer_lines: Sequence[PencilStroke], rng: Rng
) -> NDArray[np.bool_]:
    """A neighbouring piece: the other side of one condition, all the others kept."""
    from millimark.loci.conditions import AllOf, Inside, Not

    condition = setting.region
    xy, shape = grid(setting.frame)
    own = own_lines(setting.elements, answer_lines, setting.printed)
    if isinstance(condition, AllOf):
        turnable = [i for i, c in enumerate(condition.conditions) if not isinstance(c, Inside)]
        for i in rng.permutation(turnable):
            parts = list(condition.conditions)
            parts[int(i)] = Not(parts[int(i)])
            other = inside(AllOf(tuple(parts)), setting.printed, xy, own).reshape(shape)
            if 300 < other.sum() < 0.5 * other.size:
                return other & ~right
    h, w = shape
    near = np.zeros(shape, dtype=np.bool_)
    near[h // 5 : -h // 5, w // 5 : -w // 5] = True
    return ~right & near


def _habits(
    setting: Setting, pupil: Pupil, strokes: Sequence[PencilStroke], kinds: set[str], rng: Rng
) -> list[PencilStroke]:
    answers = [s for s in strokes if s.role == "answer"]
    more: list[PencilStroke] = []
    if "double-line" in kinds:
        more += extras.doubled(answers, rng)
    if "first-try" in kinds:
        more += extras.first_try(answers, setting.frame, rng)
    if "rubbed-out" in kinds:
        more += extras.rubbed_out(answers, setting.frame, rng)
    if "near-arc" in kinds:
        more += extras.near_arc(answers, rng)
    if "stray" in kinds:
        more += extras.stray_marks(setting.frame, rng)
    if "labels" in kinds:
        more += extras.label(setting.frame, rng, pupil.hand.darkness)
    return more
