"""Construction arcs that hang together: needles on the pupil's own cuts, openings carried on.

The pattern says which arcs there are and how each place comes from earlier ones; whatever
openings and sides the pupil chose, the reading that fits best is looked for among the pencil
about each place. Paper mm.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from millimark.marking.arc_crossings import arc_crossings
from millimark.marking.arc_search import Reading, Search, called
from millimark.marking.arc_traces import asked_radius_seen, begun_otherwise, faintly_there
from millimark.marking.arcs_about import SMALLEST_MM, ArcsAbout, arcs_about, crossing, shown
from millimark.marking.corners import cut_at
from millimark.marking.expected import Box
from millimark.marking.findings import EvidenceFinding
from millimark.marking.ink import Array, Ink
from millimark.marking.scene import Scene
from millimark.marking.through import line_through
from millimark.marking.verdict import RANK, Verdict
from millimark.plane.point import Point
from millimark.working.acts import ArcEvidence, ArcPattern, Needle

_MOST_READINGS = 12
"""Readings that are carried on from needle to needle."""
_STRAY_ARC_MM = (5.0, 90.0)
_SHORT_ARC_MM = 32.0
_LOOSE_MM, _CLUTTER_MM = (4.5, 25.0), 5.0
"""How long arcs are that may belong to no known construction, mm; so near to a point a crossing is
its mark or its letter."""
_ON_COURSE_MM, _JUST_PAST_MM = 1.5, 45.0
"""A crossing lies on a line's course within the first, as far past its end as the second, mm."""
_OUT = (-1.0, -1.0, 1.0, 1.0)
"""Which way is out at the frame's left, top, right and bottom edge."""
_AT_EDGE_MM, _ON_ITS_WAY, _TOGETHER_MM = 1.5, math.sin(math.radians(20.0)), 20.0
"""A stroke ends at an edge this near to it, mm, if it runs to it by more than the second; two such
ends lie within the third, mm."""


def find_pattern(scene: Scene, evidence: ArcEvidence, pattern: ArcPattern) -> EvidenceFinding:
    """The pencil that fits the pattern best, judged; 'no' where a needle's arcs are missing."""
    corners = asked_crossings(pattern, scene.points, scene.mm_per_cm)
    cut = cut_at(scene.ink, [at for *_, at in corners])
    barred = frozenset(k for k, old in enumerate(cut.whole) if old in scene.barred)
    found = _found(Search(replace(scene, ink=cut.ink, barred=barred), pattern), evidence)
    return replace(found, pieces=cut.before(found.pieces))


def asked_crossings(
    pattern: ArcPattern, points: Mapping[str, Point], mm_per_cm: float
) -> tuple[tuple[ArcsAbout, ArcsAbout, Point], ...]:
    """Circles of asked radii about printed points with each crossing of theirs: there a figure
    has its corner."""
    circles = {
        n.at: _circle(points, n, mm_per_cm)
        for n in pattern.needles
        if n.opening is not None and n.at in points
    }
    return tuple(
        (one, two, at)
        for m in pattern.meetings
        if (one := circles.get(m.first)) and (two := circles.get(m.second))
        for side in (-1, 1)
        if (at := crossing(one, two, side)) is not None
    )


def _circle(points: Mapping[str, Point], needle: Needle, mm_per_cm: float) -> ArcsAbout | None:
    """The circle that is asked for about a printed point; None where its radius is not known."""
    if isinstance(needle.opening, int | float):
        radius = needle.opening * mm_per_cm
    elif needle.opening is not None and all(name in points for name in needle.opening):
        radius = points[needle.opening[0]].distance(points[needle.opening[1]])
    else:
        return None
    at = points[needle.at]
    return ArcsAbout(at, (), radius, 0.0, at, 0.0)


def _found(search: Search, evidence: ArcEvidence) -> EvidenceFinding:
    """The best reading, judged."""
    pattern = search.pattern
    readings = [Reading()]
    for number, needle in enumerate(pattern.needles):
        further = [r for reading in readings for r in search.carried_on(reading, number)]
        if not further:
            return _missing(search, evidence, readings, needle)
        readings = sorted(further, key=lambda r: r.cost)[:_MOST_READINGS]
    judged = [(search.judged(r), r) for r in sorted(readings, key=search.whole_cost)[:3]]
    (verdict, why), best = min(judged, key=lambda j: RANK[j[0][0]])
    ink, pieces, radii = search.ink, best.pieces, _told_radii(pattern, best)
    begun = verdict == "no" and begun_otherwise(search, best)
    if verdict == "no":
        # Arcs that show no method are claimed only if short: a long one may be an answer.
        pieces = frozenset(k for k in pieces if ink.lengths[k] < _SHORT_ARC_MM)
    return EvidenceFinding(
        evidence.name,
        verdict,
        why,
        () if begun else radii,
        pieces,
        tuple(arcs.astray for arcs in best.arcs),
        arcs=shown(ink, *best.arcs),
        shortfall=verdict == "no" and search.too_small(best),
        traces=begun,
    )


def _told_radii(pattern: ArcPattern, best: Reading) -> tuple[float, ...]:
    """Radii, those of the opening that differs most last: a fault is told from the last two."""
    radii = [arcs.radius for arcs in best.arcs]
    widest: tuple[float, int, int] = (-1.0, 0, 0)
    for i, one in enumerate(pattern.needles):
        for j in range(i + 1, len(radii)):
            if pattern.needles[j].radius == one.radius:
                widest = max(widest, (abs(radii[i] - radii[j]), i, j))
    if widest[0] < 0.0:
        return (radii[0],)
    last = [radii[widest[1]], radii[widest[2]]]
    return (*(r for k, r in enumerate(radii) if k not in widest[1:]), *last)


def _missing(
    search: Search, evidence: ArcEvidence, readings: list[Reading], needle: Needle
) -> EvidenceFinding:
    """No arcs for a needle: with those before it as what was seen. Where one of two asked radii
    is there and right, the other may have been lost in the lines: the teacher looks."""
    best = readings[0]
    why = f"no arcs about {called(needle.at)} were found"
    if isinstance(needle.opening, int | float):
        why = f"{why} with the radius that is asked"
    verdict: Verdict = "no"
    if needle.opening is not None and asked_radius_seen(search):
        verdict = "unsure"
    elif faintly_there(search, readings, needle):
        verdict, why = "unsure", f"{why}, but pencil runs where they would cross the others"
    pieces = best.pieces if verdict == "unsure" else frozenset[int]()
    seen = shown(search.ink, *best.arcs)
    return EvidenceFinding(
        evidence.name, verdict, why, (), pieces, arcs=seen, traces=bool(best.arcs)
    )


def stray_arcs(ink: Ink, points: Mapping[str, Point], known: frozenset[int]) -> bool:
    """Whether there are two or more construction arcs that are about none of the points and
    not among the ``known`` pieces: perhaps those of another construction."""
    low, high = _STRAY_ARC_MM
    about = {
        k for at in points.values() for arcs in arcs_about(ink, at, known) for k in arcs.pieces
    }
    number = sum(
        piece.shape == "arc"
        and low <= piece.length <= high
        and k not in known
        and k not in about
        and _bends(piece.xy) > SMALLEST_MM
        for k, piece in enumerate(ink.pieces)
    )
    return number >= 2


def loose_crossing(scene: Scene, known: frozenset[int]) -> bool:
    """Whether two short strokes, none of the ``known``, cross on a ruled line or just past its end,
    away from every point that is printed or was to be marked: arcs that fit nothing."""
    ink = scene.ink
    low, high = _LOOSE_MM
    short = {k for k, v in enumerate(ink.lengths) if low <= v <= high and k not in known}
    ruled = [p for p in ink.pieces if p.shape == "line" and p.length >= high]
    taken = np.array([(p.x, p.y) for p in (*scene.points.values(), *scene.asked)]).reshape(-1, 2)
    for at in arc_crossings(ink, short):
        if (np.hypot(*(taken - at).T) < _CLUTTER_MM).any():
            continue
        if any(_on_or_past(piece.xy, at) for piece in ruled):
            return True
    return False


def _on_or_past(xy: Array, at: Array) -> bool:
    """Whether a place lies on a line's points (N, 2), or on its course just past its ends."""
    middle, way = line_through(xy)
    t, v = (xy - middle) @ way, at - middle
    off, along = abs(float(v[0] * way[1] - v[1] * way[0])), float(v @ way)
    low, high = float(t.min()) - _JUST_PAST_MM, float(t.max()) + _JUST_PAST_MM
    return off < _ON_COURSE_MM and low < along < high


def run_out(ink: Ink, frame: Box, barred: frozenset[int]) -> bool:
    """Whether two short strokes end at one edge of the answer ``frame`` beside each other, on
    their way out: arcs that cross where nothing can be seen of them."""
    ends = [
        (k, side, end)
        for k, piece in enumerate(ink.pieces)
        if k not in barred and piece.length <= _SHORT_ARC_MM
        for end, out in ((piece.xy[0], -piece.tangent[0]), (piece.xy[-1], piece.tangent[-1]))
        for side, (limit, way) in enumerate(zip(frame, _OUT, strict=True))
        if abs(end[side % 2] - limit) < _AT_EDGE_MM and out[side % 2] * way > _ON_ITS_WAY
    ]
    return any(
        k != other and side == edge and math.dist(a, b) < _TOGETHER_MM
        for k, side, a in ends
        for other, edge, b in ends
    )


def _bends(xy: np.ndarray[tuple[int, int], np.dtype[np.float64]]) -> float:
    """The radius of the circle through a piece's ends and middle; infinite for a straight one."""
    a, b, c = xy[0], xy[len(xy) // 2], xy[-1]
    u, v, w = b - a, c - a, c - b
    area = abs(float(u[0] * v[1] - u[1] * v[0]))
    if area < 1e-9:
        return float("inf")
    return float(np.hypot(*u) * np.hypot(*v) * np.hypot(*w)) / (2.0 * area)
