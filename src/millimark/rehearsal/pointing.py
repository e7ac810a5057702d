"""Points that a pupil marks: where, how it looks, and how near the nearest mark comes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np

from millimark.loci.pointed import is_of_points, points_name
from millimark.plane.curves import Curve
from millimark.plane.point import Point
from millimark.rehearsal.bench import Bench, given_curves, wavy, work
from millimark.rehearsal.faults import Fault
from millimark.rehearsal.near import distance_to_curves, distance_to_points
from millimark.rehearsal.pencil import PencilStroke, Xy, resampled
from millimark.rehearsal.setting import Setting
from millimark.working.acts import MarkPoint

Rng = np.random.Generator
NEAR = 10.0
"""mm: a mark further than this from a point was not meant for it."""
TOUCH = 0.15
ALONG = 25
"""So many points of a stroke on a printed line: it runs along it and crosses it nowhere."""


def asked_points(setting: Setting) -> dict[str, tuple[Point, ...]]:
    """The points of each ask that wants points, by what they are called; paper mm."""
    return {
        points_name(answer): tuple(setting.to_paper(p) for p in answer.special_points)
        for answer in setting.answers
        if is_of_points(answer)
    }


def leading(setting: Setting) -> frozenset[str]:
    """Elements that only lead to points."""
    judged = {c.subject for c in setting.question.scheme if c.kind == "line"}
    return (
        frozenset(e.name for a in setting.answers if is_of_points(a) for e in a.elements) - judged
    )


def mark_points(
    setting: Setting, bench: Bench, faults: Sequence[Fault], rng: Rng
) -> list[PencilStroke]:
    """The marks of every point asked for: read off the pupil's own lines, or guessed where a
    fault says so."""
    strokes: list[PencilStroke] = []
    for name, places in asked_points(setting).items():
        step = next((s for s in setting.working.steps if s.element == name), None)
        own = {f.kind: f for f in faults if f.element == name}
        bench.strokes = []
        guessed = "point-off" in own or "point-missing" in own
        if step is not None and not guessed:
            work(bench, step, setting.to_paper, [])
        odd = int(rng.integers(len(places)))
        for k, place in enumerate(places):
            if "point-missing" in own and k == odd:
                continue
            at = place if guessed else _read(setting, bench, place)
            if "point-off" in own and k == odd:
                at = at.polar(own["point-off"].size, float(rng.uniform(0, 2 * math.pi)))
            at = Point(at.x + bench.stray(0.2), at.y + bench.stray(0.2))
            strokes += _mark(at, name, bench, rng)
        drawn = [] if guessed else bench.strokes
        strokes += [s for s in drawn if "no-arcs" not in own]
    return strokes


def _read(setting: Setting, bench: Bench, place: Point) -> Point:
    """Where the pupil takes the point to be: a mark of the working that stands there."""
    for step in setting.working.steps:
        for act in step.acts:
            if not isinstance(act, MarkPoint) or act.name not in bench.points:
                continue
            if setting.to_paper(act.at).distance(place) < 1e-3:
                return bench.points[act.name]
    return place


def _mark(at: Point, name: str, bench: Bench, rng: Rng) -> list[PencilStroke]:
    """A slanting or upright cross, or a dot."""
    kind = int(rng.integers(3))
    dark = float(np.clip(bench.hand.darkness + bench.stray(0.05), 0.3, 0.8))
    if kind == 2:
        turn = np.linspace(0, 5 * math.pi, 40)
        blot = np.column_stack((np.cos(turn), np.sin(turn))) * np.linspace(0.5, 0.1, 40)[:, None]
        return [PencilStroke(blot + np.array(at), "mark", name, width=0.6, darkness=dark)]
    lean = (math.pi / 4 if kind else 0.0) + float(rng.normal(0, 0.1))
    strokes = []
    for turn_by in (0.0, math.pi / 2):
        half = float(rng.uniform(1.4, 2.4))
        ends = np.array([at.polar(half, lean + turn_by), at.polar(-half, lean + turn_by)])
        xy = wavy(resampled(ends, 0.25), 0.05, rng)
        strokes.append(PencilStroke(xy, "mark", name, width=bench.hand.width, darkness=dark))
    return strokes


# --- the truth -------------------------------------------------------------------------------
def points_off(setting: Setting, strokes: Sequence[PencilStroke]) -> dict[str, list[float]]:
    """How far (mm) the nearest mark or crossing lies from each point asked for, by what the
    points are called; infinite where none is near."""
    asked = asked_points(setting)
    if not asked:
        return {}
    printed = given_curves(setting.figure, setting.to_paper)
    found: dict[str, list[float]] = {}
    taken: list[Point] = []
    for name, places in asked.items():
        found[name] = []
        for place in places:
            near = sorted(
                (p.distance(place), p)
                for p in _marks_near(strokes, printed, place)
                if all(p.distance(q) > 1.0 for q in taken)
            )
            if near and near[0][0] <= NEAR:
                taken.append(near[0][1])
                found[name].append(near[0][0])
            else:
                found[name].append(math.inf)
    return found


def _marks_near(
    strokes: Sequence[PencilStroke], printed: Sequence[Curve], place: Point
) -> Iterator[Point]:
    drawn = []
    for s in strokes:
        if s.role == "mark" and s.length and _closed(s.xy):
            yield Point(*(float(v) for v in s.xy.mean(axis=0)))
        elif s.role in ("answer", "construction", "mark"):
            xy = resampled(s.xy, 0.1)
            close = np.hypot(*(xy - np.array(place)).T) < NEAR + 2.0
            if close.any():
                drawn.append(xy[close])
    for one, two in combinations(drawn, 2):
        gaps = distance_to_points(one, two)
        if gaps.min() < TOUCH:
            yield Point(*(float(v) for v in one[int(np.argmin(gaps))]))
    for xy in drawn:
        for curve in printed:
            gaps = distance_to_curves(xy, [curve])
            if gaps.min() < TOUCH and (gaps < 0.5).sum() < ALONG:
                yield Point(*(float(v) for v in xy[int(np.argmin(gaps))]))


def _closed(xy: Xy) -> bool:
    """Whether a mark is a blot and not a stroke of a cross."""
    return float(np.ptp(xy, axis=0).max()) < 1.3
