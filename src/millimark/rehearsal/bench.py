"""The pupil at work: the acts of a working, done with instruments that err.

Everything is in the paper frame (real mm, y down). A crossing is read off the pupil's own
lines, so that an error made early is carried through to the end, as it is on paper.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from millimark.loci.figure import Figure
from millimark.plane.curves import Arc, Curve, Line, Segment
from millimark.plane.point import Point
from millimark.plane.similarity import Similarity
from millimark.rehearsal.arc_spans import (
    PAST,
    UNSEEN,
    Crossed,
    Marks,
    all_round,
    drawn_pieces,
    marks_on_arcs,
)
from millimark.rehearsal.crossings import cross, foot_on, steepest
from millimark.rehearsal.faults import Fault
from millimark.rehearsal.hands import Hand
from millimark.rehearsal.needles import crossing_pair, last_needle
from millimark.rehearsal.pencil import Compass, PencilStroke, Xy, normals, resampled
from millimark.working.acts import (
    AlignProtractor,
    Crossing,
    ElementWorking,
    JoinMarks,
    MarkPoint,
    RuleLine,
    SetCompasses,
    Step,
    StrikeArc,
)

STEP = 0.25
"""Spacing of points along a stroke, mm."""
ON_CURVE = 1e-3
"""A nominal point this close (mm) to a nominal curve was read off it."""
LONG = 400.0
"""mm: longer than a ruler and than the frame of any page; the frame cuts it."""


@dataclass
class Bench:
    """One pupil's sheet of paper while one question is drawn.

    ``printed`` maps labels to places as printed; ``drawn`` pairs each curve as it should
    be with what was drawn; ``rounds`` are the construction's whole circles, by needle and
    radius (mm).
    """

    hand: Hand
    rng: np.random.Generator
    printed: Mapping[str, Point]
    given: tuple[Curve, ...] = ()
    points: dict[str, Point] = field(default_factory=dict)
    drawn: list[tuple[Curve, Curve]] = field(default_factory=list)
    opening: float = 0.0
    strokes: list[PencilStroke] = field(default_factory=list)
    rounds: dict[tuple[str, float], Arc] = field(default_factory=dict)
    frame: tuple[float, float, float, float] = (-1e6, -1e6, 1e6, 1e6)

    def place(self, name: str) -> Point:
        """Where the pupil takes the named point to be: read off the drawing, else printed."""
        return self.points[name] if name in self.points else self.printed[name]

    def stray(self, sigma: float) -> float:
        """One error of the hand, mm; three standard deviations are the most it makes."""
        return float(np.clip(self.rng.standard_normal(), -3, 3)) * sigma


def given_curves(figure: Figure, to_paper: Similarity) -> tuple[Curve, ...]:
    """The printed lines, as paper curves; lines and rays as whole lines."""
    p = {name: to_paper(at) for name, at in figure.points.items()}
    straight: list[Curve] = [
        Line(p[a], (p[b] - p[a]).unit()) for a, b in (*figure.segments, *figure.rays, *figure.lines)
    ]
    for labels in figure.polygons:
        ends = zip(labels, (*labels[1:], labels[0]), strict=True)
        straight += [Line(p[a], (p[b] - p[a]).unit()) for a, b in ends]
    return (*straight, *(Arc(to_paper(c.centre), c.radius * to_paper.scale)
                         for c in figure.circles))  # fmt: skip


def work(
    bench: Bench,
    step: ElementWorking,
    to_paper: Similarity,
    faults: Iterable[Fault],
    starts: Sequence[Point] | None = None,
    marks: Marks | None = None,
) -> None:
    """Do every act of one element; its strokes are added to ``bench.strokes``.

    ``starts`` is None for a bounded element; the answer lines of an endless one are ruled
    from edge to edge of the frame, or from one of these starts (paper mm) to its edge.
    ``marks`` are those that the whole working reads off each arc; those of this element are
    known without.
    """
    faults = list(faults)
    wrong = _radius_faults(step, bench, faults)
    aside = _aside(bench, faults)
    struck: list[_Struck] = []
    for act in step.acts:
        if isinstance(act, SetCompasses):
            bench.opening = bench.stray(bench.hand.opening)
        elif isinstance(act, StrikeArc):
            struck += _strike(bench, act, step.element, to_paper, wrong, aside)
        elif isinstance(act, RuleLine):
            _rule(bench, act, step.element, to_paper, starts if act.role == "answer" else None)
        elif isinstance(act, MarkPoint):
            bench.points[act.name] = _mark(bench, act, to_paper)
        elif isinstance(act, JoinMarks):
            _join(bench, act, step.element, to_paper)
        elif isinstance(act, AlignProtractor):
            bench.points[act.name] = _protract(bench, act, to_paper)
    own = marks_on_arcs([step])
    for arc in struck:
        name = arc.act.name
        later = [m for m in (marks or {}).get(name, ()) if m not in own.get(name, ())]
        crossed = [_crossed(bench, arc, m, struck, to_paper) for m in own.get(name, ())]
        crossed += [Crossed(to_paper(m.at), UNSEEN) for m in later]
        for piece in drawn_pieces(arc.circle, arc.nominal, crossed, bench.hand, bench.rng):
            _leave(bench, arc.act, step.element, piece)


def _aside(bench: Bench, faults: Iterable[Fault]) -> Point:
    """How far from its point the needle stands for the answer's arcs."""
    off = sum(f.size for f in faults if f.kind == "needle-off")
    way = float(bench.rng.uniform(0, 2 * math.pi)) if off else 0.0
    return Point(0.0, 0.0).polar(off, way)


def _radius_faults(
    step: ElementWorking, bench: Bench, faults: Iterable[Fault]
) -> dict[str, tuple[float, float]]:
    """For each needle point whose construction arcs go wrong: (factor, mm added)."""
    wrong: dict[str, tuple[float, float]] = {}
    for fault in faults:
        if fault.kind == "unequal-arcs" and (at := last_needle(step)) is not None:
            wrong[at] = (1.0, fault.size)
        pair = crossing_pair(step) if fault.kind == "small-arcs" else None
        if pair is not None:
            wrong |= dict.fromkeys(pair, (0.0, fault.size))
    return wrong


@dataclass(frozen=True)
class _Struck:
    """An arc that shows a construction: as it should be, and the circle that the compasses
    would draw. How much of it is drawn comes out when it is known what crosses it."""

    act: StrikeArc
    nominal: Arc
    circle: Arc


def _strike(
    bench: Bench,
    act: StrikeArc,
    element: str,
    to_paper: Similarity,
    wrong: Mapping[str, tuple[float, float]],
    aside: Point,
) -> list[_Struck]:
    """Draw an answer's arc, its needle ``aside`` (mm), or a whole circle; what is to be drawn in
    part, if it is that."""
    nominal = act.arc.transformed(to_paper)
    hand = bench.hand
    at = bench.place(act.centre)
    needle = Point(at.x + bench.stray(hand.needle), at.y + bench.stray(hand.needle))
    if act.role == "answer":
        needle = needle + aside
    factor, extra = wrong.get(act.centre, (1.0, 0.0)) if act.role == "construction" else (1.0, 0.0)
    if factor == 0.0:  # a share of half the way between the two needles
        one, two = (bench.place(name) for name in wrong)
        extra *= one.distance(two) / 2
    radius = max(3.0, nominal.radius * factor + extra + bench.opening)
    if act.role == "construction" and not nominal.is_whole:
        return _construction(bench, act, element, nominal, Arc(needle, radius))
    before, after = (abs(bench.stray(2.0)) / radius for _ in range(2))
    sweep = nominal.sweep
    if nominal.is_whole:
        sweep = math.copysign(2 * math.pi - 0.02 + after, sweep)
        start = nominal.from_ + float(bench.rng.uniform(0, 2 * math.pi))
    else:
        sweep += math.copysign(before + after, sweep)
        start = nominal.from_ - nominal.sense * before
    actual = Arc(needle, radius, start, sweep)
    bench.drawn.append((nominal, actual))
    _leave(bench, act, element, actual)
    return []


def _construction(
    bench: Bench, act: StrikeArc, element: str, nominal: Arc, circle: Arc
) -> list[_Struck]:
    """Leave an arc to be drawn in part; draw it all round, once, by a hand that does so."""
    key = (act.centre, round(nominal.radius, 3))
    circle = bench.rounds.get(key, circle)
    bench.drawn.append((nominal, circle))
    if key in bench.rounds:
        return []
    around = all_round(circle, bench.frame, bench.rng) if bench.hand.circles else []
    if not around:
        return [_Struck(act, nominal, circle)]
    bench.rounds[key] = circle
    for piece in around:
        _leave(bench, act, element, piece)
    return []


def _crossed(
    bench: Bench, arc: _Struck, mark: MarkPoint, struck: Sequence[_Struck], to_paper: Similarity
) -> Crossed:
    """Where an arc is to be crossed for a mark: by the other arc as it was struck, or where the
    pupil took the mark to be."""
    how = mark.how
    named = (how.first, how.second) if isinstance(how, Crossing) else ()
    for other in struck:
        if other is not arc and other.act.name in named:
            at = cross(arc.circle, other.circle, to_paper(mark.at))
            if at is not None:
                return Crossed(at, PAST)
    return Crossed(bench.points[mark.name], PAST)


def _leave(bench: Bench, act: StrikeArc, element: str, actual: Arc) -> None:
    """The pencil of an arc."""
    xy = resampled(actual.sampled(2e-4), STEP)
    answer = act.role == "answer"
    bench.strokes.append(
        PencilStroke(
            wavy(xy, bench.hand.wave * 0.6, bench.rng),
            act.role,
            element,
            "round",
            Compass((actual.centre.x, actual.centre.y), actual.radius, act.centre),
            width=_line_width(bench, answer),
            darkness=_line_darkness(bench, answer),
        )
    )


def _rule(
    bench: Bench,
    act: RuleLine,
    element: str,
    to_paper: Similarity,
    starts: Sequence[Point] | None = None,
) -> None:
    nominal = Segment(to_paper(act.segment.a), to_paper(act.segment.b))
    a, b = (bench.place(name) for name in act.through)
    if a.distance(b) < 1e-6:
        return
    side = (b - a).unit().left()
    a, b = (p + side * bench.stray(bench.hand.ruler) for p in (a, b))
    u = (b - a).unit()
    along = 1.0 if u.dot(nominal.direction) >= 0 else -1.0
    ends = [a + u * ((end - a).dot(u)) for end in (nominal.a, nominal.b)]
    if starts is not None:
        for i, way in enumerate((-along, along)):
            if all(ends[i].distance(s) > 4.0 for s in starts):
                ends[i] = ends[i] + u * (way * LONG)
    first = ends[0] - u * (along * bench.stray(0.8))
    last = ends[1] + u * (along * bench.stray(0.8))
    actual = cut_to(Segment(first, last), bench.frame)
    bench.drawn.append((nominal, actual))
    xy = resampled(np.array([actual.a, actual.b], dtype=np.float64), STEP)
    answer = act.role == "answer"
    bench.strokes.append(
        PencilStroke(
            wavy(xy, bench.hand.wave, bench.rng),
            act.role,
            element,
            "straight",
            width=_line_width(bench, answer),
            darkness=_line_darkness(bench, answer),
        )
    )


def _join(bench: Bench, act: JoinMarks, element: str, to_paper: Similarity) -> None:
    """A smooth curve by eye through plotted marks: it wanders between them."""
    nominal = act.curve.transformed(to_paper)
    xy = resampled(nominal.sampled(1e-3), STEP)
    aside = Point(bench.stray(bench.hand.needle), bench.stray(bench.hand.needle))
    xy = wavy(xy + np.array(aside), 0.25 + bench.hand.wave, bench.rng, every=22.0)
    bench.drawn.append((nominal, nominal))
    answer = act.role == "answer"
    bench.strokes.append(
        PencilStroke(
            xy,
            act.role,
            element,
            "round",
            width=_line_width(bench, answer),
            darkness=_line_darkness(bench, answer),
        )
    )


def cut_to(line: Segment, frame: tuple[float, float, float, float]) -> Segment:
    """The line kept 1 mm inside the frame, as a ruler's line is; itself if it lies outside."""
    low, high = line.t0, line.t1
    box = ((frame[0] + 1, frame[2] - 1), (frame[1] + 1, frame[3] - 1))
    for start, way, (least, most) in zip(line.a, line.direction, box, strict=True):
        if abs(way) > 1e-9:
            near, far = sorted(((least - start) / way, (most - start) / way))
            low, high = max(low, near), min(high, far)
    return Segment(line.point_at(low), line.point_at(high)) if high - low > 1.0 else line


def _line_width(bench: Bench, answer: bool) -> float:
    usual = bench.hand.width * (1.0 if answer else 0.85)
    return float(np.clip(usual + bench.stray(0.05), 0.3, 0.7))


def _line_darkness(bench: Bench, answer: bool) -> float:
    usual = bench.hand.darkness - (0.0 if answer else 0.17)
    return float(np.clip(usual + bench.stray(0.04), 0.25, 0.75))


def _protract(bench: Bench, act: AlignProtractor, to_paper: Similarity) -> Point:
    """The protractor's mark, turned about its vertex by an error of half a degree or so."""
    vertex, at = bench.place(act.vertex), to_paper(act.at)
    turn = math.radians(bench.stray(1.6 * bench.hand.ruler))
    reach, direction = vertex.distance(at), (at - vertex).angle()
    return vertex.polar(reach, direction + turn)


def _mark(bench: Bench, act: MarkPoint, to_paper: Similarity) -> Point:
    """A crossing is read off the lines, a step off the ruler; a free place is where it is."""
    if isinstance(act.how, Step):
        start, towards = bench.place(act.how.start), bench.place(act.how.towards)
        length = act.how.length * to_paper.scale + bench.stray(bench.hand.opening)
        return start + (towards - start).unit() * length
    return _read_point(bench, to_paper(act.at))


def _read_point(bench: Bench, nominal: Point) -> Point:
    """Where the pupil's own lines put a point that should be at ``nominal``.

    On one curve only: the nearest place on it. On none, or where the curves do not
    cross: as judged by eye, about 1.5 mm off.
    """
    curves = [pair for pair in bench.drawn if pair[0].distance_to(nominal) < ON_CURVE]
    curves += [(c, c) for c in bench.given if c.distance_to(nominal) < ON_CURVE]
    best = steepest(curves, nominal)
    slip = bench.hand.needle / 2
    if best is not None:
        crossing = cross(best[0], best[1], nominal)
        if crossing is not None:
            return Point(crossing.x + bench.stray(slip), crossing.y + bench.stray(slip))
    elif curves:
        actual = curves[0][1]
        near = foot_on(actual, nominal)
        return Point(near.x + bench.stray(slip), near.y + bench.stray(slip))
    eye = 1.5 if curves else bench.hand.ruler
    return Point(nominal.x + bench.stray(eye), nominal.y + bench.stray(eye))


def wavy(xy: Xy, size: float, rng: np.random.Generator, every: float = 9.0) -> Xy:
    """The line with slow sideways waves of standard deviation ``size`` mm added; the
    waves are about ``every`` mm long."""
    if len(xy) < 3 or size <= 0:
        return xy
    length = float(np.hypot(*np.diff(xy, axis=0).T).sum())
    knots = rng.standard_normal(max(4, int(length / every * 2) + 2))
    at = np.linspace(0, len(knots) - 1, len(xy))
    base = np.floor(at).astype(int)
    t = (1 - np.cos(np.pi * (at - base))) / 2
    wave = knots[base] * (1 - t) + knots[np.minimum(base + 1, len(knots) - 1)] * t
    moved: Xy = xy + normals(xy) * (size * np.clip(wave, -2.5, 2.5))[:, None]
    return moved


def relined(stroke: PencilStroke, xy: Xy) -> PencilStroke:
    """The stroke along another line, no longer what the compasses drew."""
    return replace(stroke, xy=xy, compass=None)
