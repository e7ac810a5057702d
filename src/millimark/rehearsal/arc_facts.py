"""Which construction arcs a perfect marker would count, from the compasses as they were held.

Real mm in the paper frame. Every arc comes with the place of its needle and its opening, so
nothing is fitted.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from millimark.plane.point import Point
from millimark.rehearsal.arc_chains import pattern_slack
from millimark.rehearsal.near import distance_to_points
from millimark.rehearsal.pencil import PencilStroke, Xy, past_ends, resampled
from millimark.working.acts import ArcEvidence


@dataclass(frozen=True)
class EvidenceFacts:
    """Construction arcs of one kind. ``slack_mm`` is how much every needed thing (centres,
    equal radii, crossing) has in hand, or how far the worst is out; None if arcs are absent."""

    evidence: str
    found: bool
    slack_mm: float | None


CENTRE_LIMIT = RADIUS_LIMIT = 2.0
"""mm: needle within, radii equal within."""


def evidence_facts(
    evidence: ArcEvidence,
    strokes: Sequence[PencilStroke],
    points: Mapping[str, Point],
    mm_per_cm: float = 10.0,
) -> EvidenceFacts:
    """Judge one piece of evidence from the arcs as struck, whatever they were struck for;
    ``points`` in paper mm."""
    arcs = [s for s in strokes if s.role == "construction" and s.compass]
    slack = _slack(evidence, arcs, points, mm_per_cm)
    return EvidenceFacts(evidence.name, slack is not None and slack > 0, slack)


def _slack(
    evidence: ArcEvidence,
    arcs: Sequence[PencilStroke],
    points: Mapping[str, Point],
    mm_per_cm: float,
) -> float | None:
    if evidence.kind == "some-of":
        each = [_slack(part, arcs, points, mm_per_cm) for part in evidence.parts]
        there = sorted((s for s in each if s is not None), reverse=True)
        return there[evidence.least - 1] if len(there) >= evidence.least else None
    if evidence.pattern is not None:
        return pattern_slack(evidence.pattern, arcs, points, mm_per_cm)
    places = [np.array(points[label]) for label in evidence.centres]
    if evidence.kind == "equal-arcs":
        return _equal_arcs(arcs, places[0], places[1], 2 if evidence.both_sides else 1)
    return _arm_arcs(arcs, places[0], places[1], places[2])


def _about(arcs: Sequence[PencilStroke], centre: Xy) -> list[PencilStroke]:
    """Arcs whose needle stood within 6 mm of a place."""
    return [s for s in arcs if s.compass is not None and math.dist(s.compass.centre, centre) < 6.0]


def _equal_arcs(arcs: Sequence[PencilStroke], a: Xy, b: Xy, crossings: int) -> float | None:
    """Slack of arcs of one radius about a and b that cross at least ``crossings`` times."""
    one, two = _about(arcs, a), _about(arcs, b)
    if not one or not two:
        return None
    pairs = [(s, t) for s in one for t in two]
    overshoot: list[float] = []
    for side in (1.0, -1.0):
        overshoot.append(max(_overshoot(s, t, a, b, side) for s, t in pairs))
    radii = [_pair_slack(s, t, a, b) for s, t in pairs]
    crossing = sorted(overshoot, reverse=True)[crossings - 1]
    return min(max(radii), crossing)


def _pair_slack(s: PencilStroke, t: PencilStroke, a: Xy, b: Xy) -> float:
    if s.compass is None or t.compass is None:
        return -math.inf
    return min(
        RADIUS_LIMIT - abs(s.compass.radius - t.compass.radius),
        CENTRE_LIMIT - math.dist(s.compass.centre, a),
        CENTRE_LIMIT - math.dist(t.compass.centre, b),
    )


def _overshoot(s: PencilStroke, t: PencilStroke, a: Xy, b: Xy, side: float) -> float:
    """How far (mm) two arcs run past their crossing on one side of ab; below 0, how far
    they are from crossing there."""
    near = distance_to_points(s.xy, resampled(t.xy, 0.05))
    left = side * ((b[0] - a[0]) * (s.xy[:, 1] - a[1]) - (b[1] - a[1]) * (s.xy[:, 0] - a[0])) > 0
    if not left.any():
        return -20.0
    k = int(np.argmin(np.where(left, near, np.inf)))
    gap = float(near[k])
    if gap > 0.2:
        return -gap
    return past_ends(s.xy[k], s, t)


def _arm_arcs(arcs: Sequence[PencilStroke], vertex: Xy, b: Xy, c: Xy) -> float | None:
    """Slack of an arc about the vertex that cuts both arms, and equal arcs about the cuts."""
    first = _about(arcs, vertex)
    best: float | None = None
    for stroke in first:
        if stroke.compass is None:
            continue
        r = stroke.compass.radius
        cuts = [vertex + r * (arm - vertex) / np.hypot(*(arm - vertex)) for arm in (b, c)]
        rest = [s for s in arcs if s not in first]
        slack = _equal_arcs(rest, cuts[0], cuts[1], 1)
        if slack is None:
            continue
        pencil = np.concatenate([s.xy for s in first])
        reach = float(distance_to_points(np.array(cuts), pencil).max())
        slack = min(slack, CENTRE_LIMIT - math.dist(stroke.compass.centre, vertex))
        slack = min(slack, CENTRE_LIMIT - reach)
        best = slack if best is None else max(best, slack)
    return best
