"""Arcs of one radius about two points that cross, whatever radius the pupil chose. Paper mm."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

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
    radii_agree,
    shown,
)
from millimark.marking.faint import Picture, flat_crossing, runs_by
from millimark.marking.findings import EvidenceFinding
from millimark.marking.ink import Ink
from millimark.marking.limbs import Limbs
from millimark.marking.round_about import with_untraced
from millimark.marking.scene import Scene
from millimark.marking.verdict import Verdict, both
from millimark.plane.point import Point
from millimark.working.acts import ArcEvidence

_SHORT_ARC_MM = 32.0
_FURTHER_MM = 15.0
"""Two crossings on one side this far apart fix a line as well as one on either side."""
_ARM_MM = 5.0
"""The arms of most crosses that mark a point are shorter, mm: common practice, no source."""
_LONG_MM, _LEVEL = 12.0, math.sin(math.radians(25.0))
"""A stroke longer than the first, mm, that turns from a circle by less than the second lies on it
for millimetres."""
_TOUCHING = math.cos(math.radians(20.0))
"""Circles that cross at a smaller angle touch, as far as pencil can say."""
_ALONG = math.sin(math.radians(4.0))
"""Pieces that turn from a line by less run along it."""


@dataclass(frozen=True)
class Pair:
    """Arcs about each of two points and the sides (-1, +1) on which they cross."""

    a: ArcsAbout
    b: ArcsAbout
    sides: tuple[int, ...]

    @property
    def mismatch(self) -> float:
        return abs(self.a.radius - self.b.radius)

    @property
    def alike(self) -> Verdict:
        """Whether both were struck with one opening of the compasses."""
        return radii_agree(self.mismatch, math.hypot(self.a.sigma, self.b.sigma))


def pairs_about(
    ink: Ink, a: Point, b: Point, barred: frozenset[int], picture: Picture
) -> list[Pair]:
    """Every pair of arcs about ``a`` and ``b``, the most convincing first."""
    limbs = Limbs(ink, barred, picture)
    found = [
        Pair(p, q, tuple(s for s in (-1, 1) if cross_at(ink, p, q, s) or limbs.cross(p, q, s)))
        for p in arcs_about(ink, a, barred)
        for q in arcs_about(ink, b, barred)
        if set(p.pieces) != set(q.pieces)
        and abs(p.radius - q.radius) < 14.0
        and _really_cross(p, q)
    ]
    return sorted(found, key=lambda c: (-2 * len(c.sides) + 0.5 * c.mismatch, c.a.radius))


def _really_cross(p: ArcsAbout, q: ArcsAbout) -> bool:
    """Whether the circles cross rather than touch: a line half way between the points touches
    circles about both."""
    apart = p.centre.distance(q.centre)
    cos = (p.radius**2 + q.radius**2 - apart**2) / (2.0 * p.radius * q.radius)
    return not -1.0 <= cos < -_TOUCHING


def _hint(scene: Scene, ink: Ink, a: Point, b: Point, best: Pair | None) -> str:
    """What speaks for arcs that were not seen, as the rest of a reason; empty where nothing does.
    ``ink`` may hold more than the scene's, ``best`` is the pair that was seen."""
    if best is None or not best.sides:
        if best is None and faintly_crossed(ink, a, b, scene.barred, scene.picture):
            return ", but pencil runs where one of them would be"
        if best is not None and best.alike == "yes" and nearly_cross(ink, best):
            return ", but pencil of both comes near where they would"
        if best is not None and _out_of_sight(best, scene.picture):
            return ", but they would cross outside the frame"
        if flat_crossing(scene.picture, a, b):
            return ", but pencil parts from the line between them as flat arcs would"
        return ": two cross at a very small angle" if _nearly_touch(scene, a, b) else ""
    if nearly_cross(ink, best):
        return ", but on the other side pencil of both comes near"
    if _faintly_cross(best, scene.picture):
        return ", but on the other side pencil runs along both"
    if _out_of_sight(best, scene.picture):
        return ", but on the other side they would leave the frame"
    if best.alike == "yes" and _runs_out(ink, a, b, scene.picture):
        return ", but the line through the crossing runs out of the frame, where others may cross"
    return ""


def _nearly_touch(scene: Scene, a: Point, b: Point) -> bool:
    """Whether strokes of their own about each of the points cross at so small an angle that they
    pass for touching."""
    about = [arcs_about(scene.ink, point, scene.barred) for point in (a, b)]
    return any(
        not set(p.pieces) & set(q.pieces)
        and not _really_cross(p, q)
        and any(cross_at(scene.ink, p, q, side) for side in (-1, 1))
        for p in about[0]
        for q in about[1]
    )


def nearly_cross(ink: Ink, pair: Pair) -> bool:
    """Whether pencil that may be of both arcs comes near the crossing that was not seen: where the
    answer runs into an arc, what lies between may have been traced as the answer."""
    for side in {-1, 1} - set(pair.sides):
        at = crossing(pair.a, pair.b, side)
        if at is None:
            continue
        if max(gap_to(ink, arcs, at, True) for arcs in (pair.a, pair.b)) < NEARLY_MM:
            return True
    return False


def _out_of_sight(pair: Pair, picture: Picture) -> bool:
    """Whether a crossing that was not seen lies outside the answer frame, or at its edge."""
    places = [crossing(pair.a, pair.b, side) for side in {-1, 1} - set(pair.sides)]
    return any(at is not None and not picture.shows(at, NEAR_CROSSING_MM) for at in places)


def _runs_out(ink: Ink, a: Point, b: Point, picture: Picture) -> bool:
    """Whether the line half way between the points was ruled up to the edge of the answer frame."""
    middle, ahead = (a + b) * 0.5, (b - a).unit()
    off = ink.means(np.abs((ink.xy - np.array(middle)) @ np.array(ahead)))
    ends = (
        Point(float(x), float(y))
        for k in np.flatnonzero((off < LIMIT_MM) & (ink.lengths > _FURTHER_MM))
        for x, y in ink.pieces[k].xy[[0, -1]]
    )
    return any(not picture.shows(end, NEAR_CROSSING_MM) for end in ends)


def _faintly_cross(pair: Pair, picture: Picture) -> bool:
    """Whether pencil that was not traced runs along both circles by a crossing not seen."""
    places = [crossing(pair.a, pair.b, side) for side in {-1, 1} - set(pair.sides)]
    return any(
        all(any(runs_by(picture, arcs.centre, arcs.radius, at)) for arcs in (pair.a, pair.b))
        for at in places
        if at is not None
    )


def faintly_crossed(ink: Ink, a: Point, b: Point, barred: frozenset[int], picture: Picture) -> bool:
    """Whether pencil that was not traced runs as an equal arc up to one that was."""
    for one, other in ((a, b), (b, a)):
        for arcs in arcs_about(ink, one, barred):
            if ink.lengths[list(arcs.pieces)].sum() < _ARM_MM:
                continue
            for side in (-1, 1):
                mirrored = replace(arcs, centre=other)
                at = crossing(arcs, mirrored, side) if _really_cross(arcs, mirrored) else None
                if at is None or gap_to(ink, arcs, at) > NEAR_CROSSING_MM:
                    continue
                ruled = _runs_as(ink, arcs.pieces, other, at)
                if not ruled and any(runs_by(picture, other, arcs.radius, at)):
                    return True
    return False


def _runs_as(ink: Ink, arcs: Collection[int], centre: Point, at: Point) -> bool:
    """Whether a long stroke, none of the ``arcs``, passes a place nearly as the circle about
    ``centre`` does: the pencil there is that stroke's."""
    out = np.array((at - centre).unit())
    for k, piece in enumerate(ink.pieces):
        off = np.hypot(*(piece.xy - np.array(at)).T)
        near = int(np.argmin(off))
        across = abs(float(piece.tangent[near] @ out))
        if k not in arcs and piece.length > _LONG_MM and off[near] < LIMIT_MM and across < _LEVEL:
            return True
    return False


def equal_arcs(scene: Scene, evidence: ArcEvidence, a: Point, b: Point) -> EvidenceFinding:
    """The most convincing pair of arcs about ``a`` and ``b``, judged; in doubt where pencil that
    was not traced runs where an arc is missing. Arcs of other radii are not equal, wherever else
    they may cross."""
    ink, barred, picture = scene.ink, scene.barred, scene.picture
    na, nb = evidence.centres[:2]
    ink = with_untraced(ink, picture, (a, b), barred)
    pairs = pairs_about(ink, a, b, barred, picture)
    if not pairs:
        hint = _hint(scene, ink, a, b, None)
        verdict: Verdict = "unsure" if hint else "no"
        why = f"no pair of arcs centred on {na} and {nb} was found{hint}"
        traces = traces_about(ink, (a, b), barred)
        return EvidenceFinding(evidence.name, verdict, why, traces=traces)
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
    unlike = bool(best.sides) and all(pair.alike == "no" for pair in pairs)
    if len(best.sides) < needed and not unlike:
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
        hint = _hint(scene, ink, a, b, best)
        verdict = "unsure" if hint else "no"
        why = f"{why}{hint}"
        return EvidenceFinding(
            evidence.name, verdict, why, radii, claim, astray, arcs=seen, shortfall=short
        )
    verdict, why = judged(best, na, nb)
    if verdict == "no":
        # Arcs that show no method are claimed only if short: a long one may be an answer.
        pieces = frozenset(k for k in pieces if ink.lengths[k] < _SHORT_ARC_MM)
    if evidence.line_too:
        pieces |= _on_line(ink, *(crossing(best.a, best.b, side) for side in (-1, 1)))
    astray, seen = (best.a.astray, best.b.astray), shown(ink, best.a, best.b)
    return EvidenceFinding(
        evidence.name, verdict, why, radii, pieces, astray, arcs=seen, whole=True
    )


def _on_line(ink: Ink, one: Point | None, two: Point | None) -> frozenset[int]:
    """Pieces ruled along the line through two crossings."""
    if one is None or two is None or one.distance(two) < SMALLEST_MM:
        return frozenset()
    ahead = (two - one).unit()
    off = ink.means(np.abs((ink.xy - np.array(one)) @ np.array([-ahead.y, ahead.x])))
    turn = ink.means(np.abs(ink.tangent @ np.array([-ahead.y, ahead.x])))
    return frozenset(int(k) for k in np.flatnonzero((off < LIMIT_MM) & (turn < _ALONG)))


def _other_side(best: Pair, pairs: Sequence[Pair]) -> Pair | None:
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


def _further_on(best: Pair, pairs: Sequence[Pair]) -> Pair | None:
    """Arcs of another opening that cross on the side where ``best`` does, well away from it: where
    the paper ends on the other side, both pairs are struck on one. None where there are none."""
    at = next((crossing(best.a, best.b, side) for side in best.sides), None)
    if at is None or judged(best)[0] == "no":
        return None
    for pair in pairs:
        there = [crossing(pair.a, pair.b, side) for side in pair.sides]
        apart = any(p is not None and at.distance(p) > _FURTHER_MM for p in there)
        if apart and judged(pair)[0] != "no":
            return pair
    return None


def _two_openings(
    ink: Ink, evidence: ArcEvidence, one: Pair, other: Pair, one_side: bool = False
) -> EvidenceFinding:
    """Equal arcs of which each crossing was struck by itself: shown if both pairs are and agree;
    the teacher's otherwise, and where both lie on ``one_side``: arcs of other bisectors may cross
    so by chance."""
    na, nb = evidence.centres[:2]
    told = [judged(pair, na, nb) for pair in (one, other)]
    radii = [arcs.radius for arcs in (one.a, one.b, other.a, other.b)]
    sigma = max(math.hypot(p.a.sigma, p.b.sigma) for p in (one, other))
    verdicts = [*(v for v, _ in told), radii_agree(max(radii) - min(radii), sigma)]
    verdict: Verdict = "yes" if both(*verdicts) == "yes" and not one_side else "unsure"
    worse = next((why for v, why in told if v != "yes"), None)
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


def traces_about(ink: Ink, centres: Sequence[Point], barred: frozenset[int]) -> bool:
    """Whether there are any arcs worth the name about the centres."""
    return any(
        ink.lengths[list(arcs.pieces)].sum() > SMALLEST_MM
        for centre in centres
        for arcs in arcs_about(ink, centre, barred)
    )


def judged(pair: Pair, na: str = "", nb: str = "") -> tuple[Verdict, str]:
    """Centres and radii of a crossing pair against the limit."""
    first = pair.a.centred
    second = pair.b.centred
    verdict = both(pair.alike, first, second)
    radii = f"{pair.a.radius:.1f} mm about {na} and {pair.b.radius:.1f} mm about {nb}"
    if verdict == "yes":
        return verdict, f"arcs of one radius ({radii}) cross"
    if pair.alike != "yes":
        return verdict, f"the arcs' radii differ: {radii}; the limit is {LIMIT_MM:.0f} mm"
    name, arcs = (na, pair.a) if first != "yes" else (nb, pair.b)
    return verdict, (
        f"the arcs meant for {name} are centred {arcs.astray:.1f} mm from it; "
        f"the limit is {LIMIT_MM:.0f} mm"
    )
