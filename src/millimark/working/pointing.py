"""Points that are asked for: found where the lines of their loci cross, and marked there."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import replace
from itertools import combinations

from millimark.errors import PlanError
from millimark.loci.answer import Answer
from millimark.loci.conditions import AtDistance, PointOf
from millimark.loci.pointed import points_name
from millimark.plane.point import Point
from millimark.working import showing_arcs
from millimark.working.acts import (
    Act,
    ArcEvidence,
    ElementWorking,
    Ink,
    JoinMarks,
    RuleLine,
    StrikeArc,
)
from millimark.working.bench import Bench
from millimark.working.printed import printed_through
from millimark.working.sameness import SAME

WHY_POINTS = "The place lies on every one of the lines, so it does everything that is asked."
LEAST_SLOPE = 0.15
"""Sine of the angle below which two lines do not fix a place; common practice, no source."""


def points_marked(
    bench: Bench, answer: Answer, evidence: Sequence[ArcEvidence], fresh: Set[str]
) -> ElementWorking:
    """Mark every point of the answer where inks that are there cross. ``evidence``: what the
    loci's constructions show; ``fresh``: the loci that were drawn for these points alone.
    PlanError where a point lies on no crossing."""
    for at in answer.special_points:
        _marked(bench, at)
    name = points_name(answer)
    shown = (*evidence, *_two_distances(answer, fresh))
    return ElementWorking(
        name,
        "marked where lines cross",
        bench.take(),
        tuple(replace(e, element=name) for e in shown),
        WHY_POINTS,
    )


def _marked(bench: Bench, at: Point) -> str:
    """The mark at a place, made on the crossing that is seen best."""
    known = next((n for n, p in bench.points.items() if p.distance(at) < SAME), None)
    if known is not None and not known.startswith("mark "):
        return known
    inks: list[Ink] = [n for n, ink in bench.inks.items() if ink.distance_to(at) < SAME]
    inks += printed_through(bench.figure, at)
    pairs = [(_slope(bench, pair, at), pair) for pair in combinations(inks, 2)]
    slope, best = max(pairs, key=lambda p: p[0], default=(0.0, None))
    if best is None or slope < LEAST_SLOPE:
        raise PlanError(
            "A point that is asked for lies where no two lines by ruler and compasses cross.",
            "Ask for a point on lines and circles that can be constructed.",
        )
    caption = "Mark the crossing with a small cross and call it ?."
    return bench.cross(best[0], best[1], at, caption, shown=True)


def _slope(bench: Bench, pair: tuple[Ink, Ink], at: Point) -> float:
    u, v = (ink.direction_at(ink.nearest(at)) for ink in (bench.ink(i) for i in pair))
    return abs(u.cross(v))


def _two_distances(answer: Answer, fresh: Set[str]) -> tuple[ArcEvidence, ...]:
    """Arcs of two asked radii about printed points; () where the loci are others."""
    if not all(e.name in fresh for e in answer.elements):
        return ()
    match [e.locus for e in answer.elements]:
        case [AtDistance(PointOf(a), r), AtDistance(PointOf(b), s)]:
            near = None
            if len(answer.special_points) == 1:
                near = ("the place", answer.special_points[0])
            return (showing_arcs.two_lengths(a, r, b, s, near),)
    return ()


def as_construction(acts: Sequence[Act]) -> tuple[Act, ...]:
    """Acts whose ink only leads to the points."""
    return tuple(
        replace(act, role="construction")
        if isinstance(act, StrikeArc | RuleLine | JoinMarks)
        else act
        for act in acts
    )
