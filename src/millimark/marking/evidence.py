"""Which construction arcs show the method: equal arcs about two points, arcs on two arms.

Whatever radius the pupil chose. Found: centres right and radii equal within `LIMIT_MM`, with
arcs that really cross. No arcs at all is a finding too, with its reason. Paper mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from millimark.marking.findings import EvidenceFinding, SeenArc
from millimark.marking.ink import Array
from millimark.marking.primitives import RUN, Ink
from millimark.marking.verdict import Verdict, at_most, both
from millimark.plane.point import Point
from millimark.scan.fitting import NoFit, fit_circle
from millimark.working.acts import ArcEvidence

LIMIT_MM = 2.0
"""Centres right and radii equal within this: common practice, no source."""
_NEEDLE_MM = 0.7
"""Standard deviation of a needle about the point it is meant for, mm: common practice, no
source. It steadies the centre of a short arc, which its own pencil does not fix."""
_OPENING_MM = 0.10
_CLUSTER_MM = 1.3
_NEAR_CROSSING_MM = 4.0
_NEARLY_MM = 14.0
_SMALLEST_MM = 6.0
_SHORT_ARC_MM = 32.0


@dataclass(frozen=True, eq=False)
class ArcsAbout:
    """Pieces that are arcs of one radius about a point.

    ``radius`` mean distance from the point; ``sigma`` its standard uncertainty; ``astray``
    how far the arcs' own centre is from the point, and ``astray_sigma``.
    """

    centre: Point
    pieces: tuple[int, ...]
    radius: float
    sigma: float
    own_centre: Point
    astray_sigma: float

    @property
    def astray(self) -> float:
        """Distance of the arcs' own centre from the point, mm."""
        return self.own_centre.distance(self.centre)


def find_evidence(
    ink: Ink, evidence: ArcEvidence, points: dict[str, Point], barred: frozenset[int]
) -> EvidenceFinding:
    """The best reading of the pencil as this evidence. ``barred`` pieces are left out."""
    centres = [points[name] for name in evidence.centres if name in points]
    if len(centres) < len(evidence.centres):
        return EvidenceFinding(evidence.name, "no", "its centres are not on this page")
    if not ink.pieces:
        return EvidenceFinding(evidence.name, "no", "there are no construction arcs")
    if evidence.kind == "equal-arcs":
        return _equal_arcs(ink, evidence, centres[0], centres[1], barred)
    vertex, *arms = centres
    found = _arm_arcs(ink, evidence, vertex, arms[0], arms[1], barred)
    if not evidence.opposite or found.verdict == "yes":
        return found
    across = [vertex * 2 - arm for arm in arms]
    other = _arm_arcs(ink, evidence, vertex, across[0], across[1], barred)
    return other if found.verdict == "no" or other.verdict == "yes" else found


# --- arcs about one point --------------------------------------------------------------
def arcs_about(ink: Ink, centre: Point, barred: Iterable[int] = ()) -> list[ArcsAbout]:
    """Clusters of pieces that turn about ``centre``, smallest radius first."""
    v = ink.xy - np.array(centre)
    rho = np.maximum(np.hypot(v[:, 0], v[:, 1]), 1e-9)
    radial = np.abs((ink.tangent * v).sum(axis=1)) / rho
    mean = ink.means(rho)
    spread = np.maximum.reduceat(rho, ink.starts) - np.minimum.reduceat(rho, ink.starts)
    span = ink.lengths / np.maximum(mean, 1.0)
    turned = ink.means(np.arcsin(np.clip(radial, 0.0, 1.0)))
    fits = (
        (mean > _SMALLEST_MM)
        & (spread < 1.0 + 4.0 * np.minimum(span, 2.0))
        & (turned < np.arctan(3.5 / np.maximum(mean, 1.0)) + math.radians(4.0))
        & (ink.lengths >= 3.0)
    )
    fits[list(barred)] = False
    fits &= ~_straight_for_long(ink, mean)
    chosen = np.flatnonzero(fits)
    chosen = chosen[np.argsort(mean[chosen], kind="stable")]
    clusters: list[list[int]] = []
    for k in chosen:
        if clusters and mean[k] - mean[clusters[-1][-1]] < _CLUSTER_MM:
            clusters[-1].append(int(k))
        else:
            clusters.append([int(k)])
    return [_about(ink, centre, tuple(c), rho) for c in clusters]


def _straight_for_long(ink: Ink, radius: Array) -> NDArray[np.bool_]:
    """Pieces called lines whose length would bend by over 0.8 mm on a circle of that radius."""
    bend = ink.lengths**2 / (8.0 * np.maximum(radius, 1.0))
    return np.array([p.shape == "line" for p in ink.pieces]) & (bend > 0.8)


def _about(ink: Ink, centre: Point, pieces: tuple[int, ...], rho: Array) -> ArcsAbout:
    at = np.concatenate([np.arange(ink.first[k], ink.first[k + 1]) for k in pieces])
    radius = float(rho[at].mean())
    own, sigma = _own_centre(ink.xy[at], centre)
    scatter = float(rho[at].std()) / math.sqrt(max(len(at) / RUN, 1.0))
    return ArcsAbout(centre, pieces, radius, math.hypot(scatter, _OPENING_MM), own, sigma)


def _own_centre(xy: Array, centre: Point) -> tuple[Point, float]:
    """Centre of the arcs, drawn towards ``centre`` as far as their pencil leaves it open."""
    fit = fit_circle(xy, 0.1, robust=False, run=RUN)
    prior = np.eye(2) / _NEEDLE_MM**2
    if isinstance(fit, NoFit):
        return centre, _NEEDLE_MM
    information = np.linalg.pinv(fit.covariance[:2, :2] + 1e-6 * np.eye(2))
    posterior = np.linalg.inv(information + prior)
    shift = posterior @ information @ (np.array(fit.centre) - np.array(centre))
    size = float(np.hypot(*shift))
    direction = shift / size if size > 1e-9 else np.array([1.0, 0.0])
    sigma = math.sqrt(float(direction @ posterior @ direction))
    return Point(centre.x + float(shift[0]), centre.y + float(shift[1])), sigma


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
        _Pair(p, q, tuple(s for s in sides if _cross(ink, p, q, s)))
        for p in arcs_about(ink, a, barred)
        for q in arcs_about(ink, b, barred)
        if set(p.pieces) != set(q.pieces) and abs(p.radius - q.radius) < 14.0
    ]
    return sorted(found, key=lambda c: (-2 * len(c.sides) + 0.5 * c.mismatch, c.a.radius))


def _crossing(p: ArcsAbout, q: ArcsAbout, side: int) -> Point | None:
    """Where the two circles cross on the left (+1) or right of the line from p to q."""
    apart = p.centre.distance(q.centre)
    if apart < 1e-6 or apart > p.radius + q.radius or apart < abs(p.radius - q.radius):
        return None
    along = (apart**2 + p.radius**2 - q.radius**2) / (2 * apart)
    up = math.sqrt(max(p.radius**2 - along**2, 0.0))
    d = (q.centre - p.centre).unit()
    return p.centre + d * along + d.left() * (side * up)


def _cross(ink: Ink, p: ArcsAbout, q: ArcsAbout, side: int) -> bool:
    """Whether pencil of both arcs reaches the crossing on that side."""
    at = _crossing(p, q, side)
    if at is None:
        return False
    for arcs in (p, q):
        off = np.hypot(*(ink.points(arcs.pieces) - np.array(at)).T)
        if off.min() > _NEAR_CROSSING_MM:
            return False
    return True


def _nearly_cross(ink: Ink, pair: _Pair) -> bool:
    """Whether pencil of both arcs comes near the crossing that was not seen: where the answer runs
    into an arc, what lies between may have been traced as the answer."""
    for side in {-1, 1} - set(pair.sides):
        at = _crossing(pair.a, pair.b, side)
        if at is None:
            continue
        off = [np.hypot(*(ink.points(c.pieces) - np.array(at)).T).min() for c in (pair.a, pair.b)]
        if max(off) < _NEARLY_MM:
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
        astray, seen = (best.a.astray, best.b.astray), _seen(ink, best.a, best.b)
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
    astray, seen = (best.a.astray, best.b.astray), _seen(ink, best.a, best.b)
    return EvidenceFinding(evidence.name, verdict, why, radii, pieces, astray, arcs=seen)


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


def _two_openings(ink: Ink, evidence: ArcEvidence, one: _Pair, other: _Pair) -> EvidenceFinding:
    """Equal arcs of which each side was drawn by itself: shown if both sides are and agree; the
    teacher's otherwise."""
    na, nb = evidence.centres[:2]
    judged = [_judged(pair, na, nb) for pair in (one, other)]
    radii = [arcs.radius for arcs in (one.a, one.b, other.a, other.b)]
    sigma = max(math.hypot(p.a.sigma, p.b.sigma) for p in (one, other))
    verdicts = [*(v for v, _ in judged), at_most(max(radii) - min(radii), LIMIT_MM, sigma)]
    verdict: Verdict = "yes" if both(*verdicts) == "yes" else "unsure"
    worse = next((why for v, why in judged if v != "yes"), None)
    why = worse or (
        f"the arcs about {na} and {nb} cross on both sides, with radii from {min(radii):.1f} mm "
        f"to {max(radii):.1f} mm; the limit is {LIMIT_MM:.0f} mm"
    )
    members = list(dict.fromkeys((one.a, one.b, other.a, other.b)))
    return EvidenceFinding(
        evidence.name,
        verdict,
        why,
        (one.a.radius, one.b.radius),
        frozenset(k for arcs in members for k in arcs.pieces),
        tuple(arcs.astray for arcs in members),
        arcs=_seen(ink, *members),
    )


def _traces(ink: Ink, centres: Sequence[Point], barred: frozenset[int]) -> bool:
    """Whether there are any arcs worth the name about the centres."""
    return any(
        ink.lengths[list(arcs.pieces)].sum() > _SMALLEST_MM
        for centre in centres
        for arcs in arcs_about(ink, centre, barred)
    )


def _seen(ink: Ink, *arcs: ArcsAbout) -> tuple[SeenArc, ...]:
    """The arcs as they are to be shown."""
    return tuple(SeenArc(ink.points(a.pieces), a.radius) for a in arcs)


def _judged(pair: _Pair, na: str, nb: str) -> tuple[Verdict, str]:
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
    for arcs in firsts:
        e, f = vertex + u * arcs.radius, vertex + w * arcs.radius
        for pair in _pairs(ink, e, f, barred, (-1, 1)):
            if set(pair.a.pieces) <= set(arcs.pieces) or set(pair.b.pieces) <= set(arcs.pieces):
                continue
            crossings = [_crossing(pair.a, pair.b, s) for s in pair.sides]
            if not any(_inside_angle(at, vertex, u, w) for at in crossings):
                continue
            cost = pair.mismatch + 0.5 * (pair.a.astray + pair.b.astray)
            if best is None or cost < best[0]:
                best = (cost, arcs, pair)
    if best is None:
        return EvidenceFinding(
            evidence.name,
            "no",
            f"the arc about {name} cuts both arms, but no equal arcs from the two cuts cross",
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
        arcs=_seen(ink, arcs, pair.a, pair.b),
    )


def _cuts_arms(ink: Ink, arcs: ArcsAbout, u: Point, w: Point) -> bool:
    xy = ink.points(arcs.pieces)
    for direction in (u, w):
        cut = arcs.centre + direction * arcs.radius
        if float(np.hypot(*(xy - np.array(cut)).T).min()) > _NEAR_CROSSING_MM:
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
