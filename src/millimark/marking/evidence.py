"""Which construction arcs show the method: equal arcs, arcs on two arms, whole patterns.

Whatever radius the pupil chose. Found: centres right and radii equal within `LIMIT_MM`, with
arcs that really cross. No arcs at all is a finding too, with its reason. Paper mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from millimark.marking.arc_patterns import asked_crossings, find_pattern, stray_arcs
from millimark.marking.arcs_about import (
    LIMIT_MM,
    NEAR_CROSSING_MM,
    NEARLY_MM,
    SMALLEST_MM,
    ArcsAbout,
    arcs_about,
    cross_at,
    crossing,
    gap_to,
    shown,
)
from millimark.marking.corners import faint_past
from millimark.marking.findings import ElementFinding, EvidenceFinding
from millimark.marking.ink import Ink
from millimark.marking.verdict import Verdict, at_most, both
from millimark.plane.point import Point
from millimark.working.acts import ArcEvidence

_SHORT_ARC_MM = 32.0
_FURTHER_MM = 15.0
"""Two crossings on one side this far apart fix a line as well as one on either side."""
_ALONG = math.sin(math.radians(4.0))
"""Pieces that turn from a line by less run along it."""


def find_evidence(
    ink: Ink,
    evidence: ArcEvidence,
    points: dict[str, Point],
    barred: frozenset[int],
    mm_per_cm: float = 10.0,
) -> EvidenceFinding:
    """The best reading of the pencil as this evidence. ``barred`` pieces are left out;
    ``mm_per_cm`` paper mm of a centimetre that is asked for. Where a construction has other
    forms, arcs that fit none of those known leave it in doubt."""
    found = _find(ink, evidence, points, barred, mm_per_cm)
    attempted = bool(found.radii) and (found.shortfall or bool(found.pieces))
    if _is_plain(evidence) or found.verdict != "no" or attempted or not ink.pieces:
        return found
    if not stray_arcs(ink, points, barred | found.pieces):
        return found
    why = f"{found.why}; other arcs were drawn, perhaps for another construction"
    return replace(found, verdict="unsure", why=why)


def _is_plain(evidence: ArcEvidence) -> bool:
    """Whether the arcs have one form only, so that what is not there was not drawn."""
    return evidence.kind in ("equal-arcs", "arm-arcs") or evidence.least > 1


def unless_faint(
    found: EvidenceFinding,
    evidence: ArcEvidence,
    points: dict[str, Point],
    mm_per_cm: float,
    pencil: NDArray[np.float32],
    frame: tuple[float, float, float, float],
) -> EvidenceFinding:
    """Arcs of asked radii that were not seen at all, in doubt where something fainter than a
    stroke runs along one of them. ``pencil``: the picture of the ``frame``, paper mm."""
    pattern = evidence.pattern
    if pattern is None or found.verdict != "no" or found.radii:
        return found
    k = pencil.shape[1] / (frame[2] - frame[0])
    corner = Point(frame[0], frame[1])
    for one, two, at in asked_crossings(pattern, points, mm_per_cm):
        for circle, other in ((one, two), (two, one)):
            circles = ((circle.centre, circle.radius), other.centre)
            if faint_past(pencil, k, corner, circles, at):
                why = f"{found.why}, but something faint runs where they should be"
                return replace(found, verdict="unsure", why=why)
    return found


def unless_line_is_right(
    found: EvidenceFinding,
    evidence: ArcEvidence,
    elements: Sequence[ElementFinding],
    limit_mm: float,
) -> EvidenceFinding:
    """A chain of arcs of which only the first were seen, in doubt where its line is well inside
    the tolerance: the others may have left the answer frame or been lost in other lines."""
    broken = found.verdict == "no" and found.traces and not found.radii
    theirs = [e for e in elements if found.owner in ("", e.element)]
    right = bool(theirs) and all(
        e.found and e.worst_needed_mm is not None and e.worst_needed_mm < limit_mm / 2
        for e in theirs
    )
    if _is_plain(evidence) or not broken or not right:
        return found
    return replace(
        found, verdict="unsure", why=f"{found.why}; but the line is right: look for the others"
    )


def _find(
    ink: Ink,
    evidence: ArcEvidence,
    points: dict[str, Point],
    barred: frozenset[int],
    mm_per_cm: float,
) -> EvidenceFinding:
    centres = [points[name] for name in evidence.centres if name in points]
    if len(centres) < len(evidence.centres):
        return EvidenceFinding(evidence.name, "no", "its centres are not on this page")
    if not ink.pieces:
        return EvidenceFinding(evidence.name, "no", "there are no construction arcs")
    if evidence.kind == "some-of":
        return _some_of(ink, evidence, points, barred, mm_per_cm)
    if evidence.pattern is not None:
        return find_pattern(ink, evidence, evidence.pattern, points, barred, mm_per_cm)
    if evidence.kind == "equal-arcs":
        return _equal_arcs(ink, evidence, centres[0], centres[1], barred)
    vertex, *arms = centres
    found = _arm_arcs(ink, evidence, vertex, arms[0], arms[1], barred)
    if not evidence.opposite or found.verdict == "yes":
        return found
    across = [vertex * 2 - arm for arm in arms]
    other = _arm_arcs(ink, evidence, vertex, across[0], across[1], barred)
    return other if found.verdict == "no" or other.verdict == "yes" else found


def _some_of(
    ink: Ink,
    evidence: ArcEvidence,
    points: dict[str, Point],
    barred: frozenset[int],
    mm_per_cm: float,
) -> EvidenceFinding:
    """As many of the parts as are needed. Of equally good ones the first come first."""
    rank: dict[Verdict, int] = {"yes": 0, "unsure": 1, "no": 2}
    every = [_find(ink, part, points, barred, mm_per_cm) for part in evidence.parts]
    best = sorted(every, key=lambda f: (rank[f.verdict], not f.radii, not f.pieces))
    taken = best[: evidence.least]
    last = taken[-1]
    pieces = frozenset(k for f in every for k in f.pieces)
    why = last.why
    if evidence.least > 1:
        number = sum(f.verdict == "yes" for f in every)
        why = f"{number} of the {evidence.least} that are needed: {last.why}"
    return replace(
        last,
        evidence=evidence.name,
        why=why,
        pieces=pieces,
        arcs=tuple(dict.fromkeys(arc for f in taken for arc in f.arcs)),
        traces=any(f.traces for f in every),
    )


# --- equal arcs about two points ---------------------------------------------------------
@dataclass(frozen=True)
class _Pair:
    """Arcs about each of two points and the sides (-1, +1) on which they cross."""

    a: ArcsAbout
    b: ArcsAbout
    sides: tuple[int, ...]

    @property
    def mismatch(self) -> float:
        return abs(self.a.radius - self.b.radius)


def _pairs(
    ink: Ink, a: Point, b: Point, barred: Iterable[int], sides: Sequence[int] = (-1, 1)
) -> list[_Pair]:
    """Every pair of arcs about ``a`` and ``b``, the most convincing first."""
    barred = tuple(barred)
    found = [
        _Pair(p, q, tuple(s for s in sides if cross_at(ink, p, q, s)))
        for p in arcs_about(ink, a, barred)
        for q in arcs_about(ink, b, barred)
        if set(p.pieces) != set(q.pieces) and abs(p.radius - q.radius) < 14.0
    ]
    return sorted(found, key=lambda c: (-2 * len(c.sides) + 0.5 * c.mismatch, c.a.radius))


def _nearly_cross(ink: Ink, pair: _Pair) -> bool:
    """Whether pencil of both arcs comes near the crossing that was not seen: where the answer runs
    into an arc, what lies between may have been traced as the answer."""
    for side in {-1, 1} - set(pair.sides):
        at = crossing(pair.a, pair.b, side)
        if at is None:
            continue
        if max(gap_to(ink, arcs, at) for arcs in (pair.a, pair.b)) < NEARLY_MM:
            return True
    return False


def _equal_arcs(
    ink: Ink, evidence: ArcEvidence, a: Point, b: Point, barred: frozenset[int]
) -> EvidenceFinding:
    na, nb = evidence.centres[:2]
    pairs = _pairs(ink, a, b, barred)
    if not pairs:
        return EvidenceFinding(
            evidence.name,
            "no",
            f"no pair of arcs centred on {na} and {nb} was found",
            traces=_traces(ink, (a, b), barred),
        )
    best = pairs[0]
    needed = 2 if evidence.both_sides else 1
    pieces = frozenset(best.a.pieces + best.b.pieces)
    radii = (best.a.radius, best.b.radius)
    other = _other_side(best, pairs) if len(best.sides) < needed else None
    if other is not None:
        return _two_openings(ink, evidence, best, other)
    further = _further_on(best, pairs) if len(best.sides) < needed else None
    if further is not None:
        return _two_openings(ink, evidence, best, further, one_side=True)
    if len(best.sides) < needed:
        where = "do not cross" if not best.sides else "cross on one side only"
        half = a.distance(b) / 2
        short = max(radii) < half
        why = f"the arcs about {na} and {nb} {where}"
        if short:
            why += (
                f": their radii, {radii[0]:.1f} mm and {radii[1]:.1f} mm, are less than half of "
                f"{na}{nb}"
            )
        claim = pieces if best.sides or (short and best.mismatch < 4.0) else frozenset[int]()
        astray, seen = (best.a.astray, best.b.astray), shown(ink, best.a, best.b)
        verdict: Verdict = "no"
        if best.sides and _nearly_cross(ink, best):
            verdict, why = "unsure", f"{why}, but on the other side pencil of both comes near"
        return EvidenceFinding(
            evidence.name, verdict, why, radii, claim, astray, arcs=seen, shortfall=short
        )
    verdict, why = _judged(best, na, nb)
    if verdict == "no":
        # Arcs that show no method are claimed only if short: a long one may be an answer.
        pieces = frozenset(k for k in pieces if ink.lengths[k] < _SHORT_ARC_MM)
    if evidence.line_too:
        pieces |= _on_line(ink, *(crossing(best.a, best.b, side) for side in (-1, 1)))
    astray, seen = (best.a.astray, best.b.astray), shown(ink, best.a, best.b)
    return EvidenceFinding(evidence.name, verdict, why, radii, pieces, astray, arcs=seen)


def _on_line(ink: Ink, one: Point | None, two: Point | None) -> frozenset[int]:
    """Pieces ruled along the line through two crossings."""
    if one is None or two is None or one.distance(two) < SMALLEST_MM:
        return frozenset()
    ahead = (two - one).unit()
    off = ink.means(np.abs((ink.xy - np.array(one)) @ np.array([-ahead.y, ahead.x])))
    turn = ink.means(np.abs(ink.tangent @ np.array([-ahead.y, ahead.x])))
    return frozenset(int(k) for k in np.flatnonzero((off < LIMIT_MM) & (turn < _ALONG)))


def _other_side(best: _Pair, pairs: Sequence[_Pair]) -> _Pair | None:
    """Arcs that cross on the side where ``best`` does not: a needle that was set down anew on
    the other side leaves another radius about the point. None where no such arcs are near it."""
    for pair in pairs:
        apart = max(
            pair.mismatch,
            abs(pair.a.radius - best.a.radius),
            abs(pair.b.radius - best.b.radius),
        )
        if best.sides and set(pair.sides) - set(best.sides) and apart < 2.0 * LIMIT_MM:
            return pair
    return None


def _further_on(best: _Pair, pairs: Sequence[_Pair]) -> _Pair | None:
    """Arcs of another opening that cross on the side where ``best`` does, well away from it: where
    the paper ends on the other side, both pairs are struck on one. None where there are none."""
    at = next((crossing(best.a, best.b, side) for side in best.sides), None)
    if at is None or _judged(best)[0] == "no":
        return None
    for pair in pairs:
        there = [crossing(pair.a, pair.b, side) for side in pair.sides]
        apart = any(p is not None and at.distance(p) > _FURTHER_MM for p in there)
        if apart and _judged(pair)[0] != "no":
            return pair
    return None


def _two_openings(
    ink: Ink, evidence: ArcEvidence, one: _Pair, other: _Pair, one_side: bool = False
) -> EvidenceFinding:
    """Equal arcs of which each crossing was struck by itself: shown if both pairs are and agree;
    the teacher's otherwise, and where both lie on ``one_side``: arcs of other bisectors may cross
    so by chance."""
    na, nb = evidence.centres[:2]
    judged = [_judged(pair, na, nb) for pair in (one, other)]
    radii = [arcs.radius for arcs in (one.a, one.b, other.a, other.b)]
    sigma = max(math.hypot(p.a.sigma, p.b.sigma) for p in (one, other))
    verdicts = [*(v for v, _ in judged), at_most(max(radii) - min(radii), LIMIT_MM, sigma)]
    verdict: Verdict = "yes" if both(*verdicts) == "yes" and not one_side else "unsure"
    worse = next((why for v, why in judged if v != "yes"), None)
    spread = f"with radii from {min(radii):.1f} mm to {max(radii):.1f} mm"
    where = "twice on one side" if one_side else "on both sides"
    limit = "" if one_side else f"; the limit is {LIMIT_MM:.0f} mm"
    why = worse or f"the arcs about {na} and {nb} cross {where}, {spread}{limit}"
    members = list(dict.fromkeys((one.a, one.b, other.a, other.b)))
    return EvidenceFinding(
        evidence.name,
        verdict,
        why,
        (one.a.radius, one.b.radius),
        frozenset(k for arcs in members for k in arcs.pieces),
        tuple(arcs.astray for arcs in members),
        arcs=shown(ink, *members),
    )


def _traces(ink: Ink, centres: Sequence[Point], barred: frozenset[int]) -> bool:
    """Whether there are any arcs worth the name about the centres."""
    return any(
        ink.lengths[list(arcs.pieces)].sum() > SMALLEST_MM
        for centre in centres
        for arcs in arcs_about(ink, centre, barred)
    )


def _judged(pair: _Pair, na: str = "", nb: str = "") -> tuple[Verdict, str]:
    """Centres and radii of a crossing pair against the limit."""
    apart = at_most(pair.mismatch, LIMIT_MM, math.hypot(pair.a.sigma, pair.b.sigma))
    first = at_most(pair.a.astray, LIMIT_MM, pair.a.astray_sigma)
    second = at_most(pair.b.astray, LIMIT_MM, pair.b.astray_sigma)
    verdict = both(apart, first, second)
    radii = f"{pair.a.radius:.1f} mm about {na} and {pair.b.radius:.1f} mm about {nb}"
    if verdict == "yes":
        return verdict, f"arcs of one radius ({radii}) cross"
    if apart != "yes":
        return verdict, f"the arcs' radii differ: {radii}; the limit is {LIMIT_MM:.0f} mm"
    name, arcs = (na, pair.a) if first != "yes" else (nb, pair.b)
    return verdict, (
        f"the arcs meant for {name} are centred {arcs.astray:.1f} mm from it; "
        f"the limit is {LIMIT_MM:.0f} mm"
    )


# --- arcs on the arms of an angle ----------------------------------------------------------
def _arm_arcs(
    ink: Ink, evidence: ArcEvidence, vertex: Point, p: Point, q: Point, barred: frozenset[int]
) -> EvidenceFinding:
    name = evidence.centres[0]
    u, w = (p - vertex).unit(), (q - vertex).unit()
    firsts = [c for c in arcs_about(ink, vertex, barred) if _cuts_arms(ink, c, u, w)]
    if not firsts:
        return EvidenceFinding(
            evidence.name,
            "no",
            f"no arc about {name} that cuts both arms was found",
            traces=_traces(ink, (vertex,), barred),
        )
    best: tuple[float, ArcsAbout, _Pair] | None = None
    nearly = False
    for arcs in firsts:
        e, f = vertex + u * arcs.radius, vertex + w * arcs.radius
        for pair in _pairs(ink, e, f, barred, (-1, 1)):
            if set(pair.a.pieces) <= set(arcs.pieces) or set(pair.b.pieces) <= set(arcs.pieces):
                continue
            crossings = [crossing(pair.a, pair.b, s) for s in pair.sides]
            if not any(_inside_angle(at, vertex, u, w) for at in crossings):
                nearly |= pair.mismatch < LIMIT_MM and _nearly_cross(ink, pair)
                continue
            cost = pair.mismatch + 0.5 * (pair.a.astray + pair.b.astray)
            if best is None or cost < best[0]:
                best = (cost, arcs, pair)
    if best is None:
        why = f"the arc about {name} cuts both arms, but no equal arcs from the two cuts cross"
        return EvidenceFinding(
            evidence.name,
            "unsure" if nearly else "no",
            f"{why}: they come near each other" if nearly else why,
            (firsts[0].radius,),
            frozenset(firsts[0].pieces),
        )
    _, arcs, pair = best
    verdict, why = _judged(pair, "the first cut", "the second cut")
    centred = at_most(arcs.astray, LIMIT_MM, arcs.astray_sigma)
    if centred != "yes" and verdict == "yes":
        verdict = centred
        why = f"the first arc is centred {arcs.astray:.1f} mm from {name}"
    pieces = frozenset(arcs.pieces + pair.a.pieces + pair.b.pieces)
    return EvidenceFinding(
        evidence.name,
        verdict,
        why,
        (arcs.radius, pair.a.radius, pair.b.radius),
        pieces,
        (arcs.astray, pair.a.astray, pair.b.astray),
        arcs=shown(ink, arcs, pair.a, pair.b),
    )


def _cuts_arms(ink: Ink, arcs: ArcsAbout, u: Point, w: Point) -> bool:
    xy = ink.points(arcs.pieces)
    for direction in (u, w):
        cut = arcs.centre + direction * arcs.radius
        if float(np.hypot(*(xy - np.array(cut)).T).min()) > NEAR_CROSSING_MM:
            return False
    return True


def _inside_angle(at: Point | None, vertex: Point, u: Point, w: Point) -> bool:
    if at is None:
        return False
    v = at - vertex
    size = v.norm()
    if size < 3.0:
        return False
    middle = Point(u.x + w.x, u.y + w.y).unit()
    return v.dot(middle) / size > math.cos(math.radians(20.0))
