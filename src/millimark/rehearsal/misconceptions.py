"""A pupil who draws another construction than the one that is asked: lines ruled and arcs struck
where `loci.mistaken` has them, with the errors of a hand, and no arcs that show a method.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from millimark.loci.answer import Element
from millimark.loci.mistaken import Mistake, mistaken
from millimark.plane.curves import Arc, Curve, Segment
from millimark.plane.point import Point
from millimark.rehearsal.bench import STEP, cut_to, wavy
from millimark.rehearsal.hands import Hand
from millimark.rehearsal.near import Frame, samples
from millimark.rehearsal.pencil import Compass, PencilStroke, Xy, resampled
from millimark.rehearsal.setting import Setting

Rng = np.random.Generator
_LEAST_MM = 30.0
"""Less of a misconception inside the frame than this: the pupil would have seen it."""
_APART_MM = 2.5
"""Nearer than this to the right answer it is none."""
_LINE_MM = (60.0, 110.0)
_STRUCK_DEG = 32.0
"""How far to each side of the corner both arcs of `one-centre` go."""


def possible(setting: Setting) -> dict[str, tuple[str, ...]]:
    """By element, the misconceptions that can be drawn in this frame."""
    found: dict[str, tuple[str, ...]] = {}
    for element in setting.elements:
        if not element.curves:  # points that are to be marked
            continue
        codes = {m.code for m in _drawable(setting, element)}
        if codes:
            found[element.name] = tuple(sorted(codes))
    return found


def draw_instead(
    setting: Setting, element: Element, code: str, hand: Hand, rng: Rng
) -> list[PencilStroke] | None:
    """The element's strokes drawn as this misconception has them; None if there is no such."""
    choices = [m for m in _drawable(setting, element) if m.code == code]
    if not choices:
        return None
    mistake = choices[int(rng.integers(len(choices)))]
    curves = [c.transformed(setting.to_paper) for c in mistake.curves]
    if code not in ("one-centre", "one-vertex", "sides-swapped") and _straight(curves):
        curves = [curves[int(rng.integers(len(curves)))]]
    strokes = []
    for curve in curves:
        if code == "one-centre" and isinstance(curve, Arc):
            curve = _struck(curve, setting, element)
        strokes.append(_stroke(curve, setting.frame, element.name, hand, rng))
    return strokes


def _straight(curves: Sequence[Curve]) -> bool:
    return all(c.kind in ("line", "ray", "segment") for c in curves)


def _drawable(setting: Setting, element: Element) -> list[Mistake]:
    """Misconceptions that lie in the frame, long enough and clear of the right answer."""
    right = np.concatenate([
        samples(c.transformed(setting.to_paper), setting.frame) for c in element.curves
    ])  # fmt: skip
    return [
        m
        for m in mistaken(element.locus, setting.figure, setting.question.scale)
        if all(_fits(c, setting) for c in m.curves)
        and any(_clear(c.transformed(setting.to_paper), setting.frame, right) for c in m.curves)
    ]


def _fits(curve: Curve, setting: Setting) -> bool:
    """Whether enough of it lies in the frame."""
    curve = curve.transformed(setting.to_paper)
    xy = samples(curve, setting.frame)
    if len(xy) < 2:
        return False
    whole = curve.length if curve.bounded else math.inf
    length = float(np.hypot(*np.diff(xy, axis=0).T).sum())
    return length >= max(min(_LEAST_MM, 0.9 * whole), 0.9 * min(whole, _LINE_MM[0]))


def _clear(curve: Curve, frame: Frame, right: Xy) -> bool:
    """Whether it runs beside the right answer, not on it."""
    if not len(right):
        return True
    xy = samples(curve, frame)
    some = xy[:: max(1, len(xy) // 40)]
    gaps = np.hypot(
        some[:, None, 0] - right[None, ::20, 0], some[:, None, 1] - right[None, ::20, 1]
    )
    return bool(np.median(gaps.min(axis=1)) > _APART_MM)


def _struck(arc: Arc, setting: Setting, element: Element) -> Arc:
    """The part of a circle about one end of the base where the corner is looked for."""
    xy = np.concatenate([
        samples(c.transformed(setting.to_paper), setting.frame) for c in element.curves
    ])  # fmt: skip
    far = xy[int(np.argmax(np.hypot(xy[:, 0] - arc.centre.x, xy[:, 1] - arc.centre.y)))]
    way = math.atan2(far[1] - arc.centre.y, far[0] - arc.centre.x)
    half = math.radians(_STRUCK_DEG)
    return Arc(arc.centre, arc.radius, way - half, 2 * half)


def _stroke(curve: Curve, frame: Frame, name: str, hand: Hand, rng: Rng) -> PencilStroke:
    if isinstance(curve, Arc):
        return _arc(curve, name, hand, rng)
    if not _straight([curve]):
        xy = wavy(resampled(samples(curve, frame), STEP), 0.25 + hand.wave, rng, every=22.0)
        return PencilStroke(xy, "answer", name, "round", None, hand.width, hand.darkness)
    a, b = _ends(curve, frame, rng)
    side = (b - a).unit().left()
    a, b = (p + side * _stray(hand.ruler, rng) for p in (a, b))
    xy = wavy(resampled(np.array([a, b], dtype=np.float64), STEP), hand.wave, rng)
    return PencilStroke(xy, "answer", name, "straight", None, hand.width, hand.darkness)


def _ends(curve: Curve, frame: Frame, rng: Rng) -> tuple[Point, Point]:
    """A ray from its start, a line to both sides of the frame's middle, a segment whole."""
    if curve.bounded:
        return curve.start, curve.end
    middle = Point((frame[0] + frame[2]) / 2, (frame[1] + frame[3]) / 2)
    length = float(rng.uniform(*_LINE_MM))
    t0 = curve.t0 if math.isfinite(curve.t0) else curve.nearest(middle) - length / 2
    line = cut_to(Segment(curve.point_at(t0), curve.point_at(t0 + length)), frame)
    return line.a, line.b


def _arc(arc: Arc, name: str, hand: Hand, rng: Rng) -> PencilStroke:
    needle = Point(*(v + _stray(hand.needle, rng) for v in arc.centre))
    radius = arc.radius + _stray(hand.opening, rng)
    drawn = Arc(needle, radius, arc.from_, arc.sweep)
    xy = wavy(resampled(drawn.sampled(2e-4), STEP), hand.wave * 0.6, rng)
    compass = Compass((needle.x, needle.y), radius, "")
    return PencilStroke(xy, "answer", name, "round", compass, hand.width, hand.darkness)


def _stray(sigma: float, rng: Rng) -> float:
    return float(np.clip(rng.standard_normal(), -3, 3)) * sigma
