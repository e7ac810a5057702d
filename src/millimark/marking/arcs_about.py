"""Arcs about one point: which pencil turns about it, with what radius, and where two such cross.

Paper millimetres. A short arc does not fix its own centre: that is drawn towards the point as
far as the pencil leaves it open.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from millimark.marking.findings import SeenArc
from millimark.marking.ink import Array, Ink, closest
from millimark.marking.primitives import RUN
from millimark.marking.verdict import Verdict, at_most
from millimark.plane.point import Point
from millimark.scan.fitting import NoFit, fit_circle

LIMIT_MM = 2.0
"""Centres right and radii equal within this: common practice, no source."""
_NEEDLE_MM = 0.7
"""Standard deviation of a needle about the point it is meant for, mm: common practice, no
source. It steadies the centre of a short arc, which its own pencil does not fix."""
_OPENING_MM = 0.10
_BESIDE_MM = 0.5
"""Standard uncertainty of a radius from a needle that stands beside its point, mm."""
_CLUSTER_MM = 1.3
_SHORT_MM, _LED_ASIDE_MM = 12.0, 0.5
"""Of shorter arcs, mm, the ends may lie so far aside, mm, where they run into another line."""
_MOVED_MM, _STRAY_SHARE, _STRAY_MM = 1.0, 0.35, 8.0
"""What moves the centre by more than the first, mm, is a stray if it is less than this share of
the pencil and shorter than the third, mm: a needle that was set down anew moves it, too."""
NEAR_CROSSING_MM = 4.0
"""Pencil this near to a crossing reaches it: its last millimetres are lost in the other line."""
NEARLY_MM = 14.0
"""Pencil this near to a crossing that was not seen leaves it in doubt."""
_PLACES_MM, _ANEW_MM = 8.0, 1.0
"""Pencil of one radius further apart than the first, mm, may have been struck with the needle set
down anew; it stood on one point if the radii from there differ by less than the second."""
_LEAST_MM, _SAME_MM, _BETWEEN_MM = 3.0, 0.5, 4.0
"""A shorter piece is an arc only with its other half: of the same radius, within so many mm."""
SMALLEST_MM = 6.0
"""Radius below which an arc is a letter's, mm."""


@dataclass(frozen=True, eq=False)
class ArcsAbout:
    """Pieces that are arcs of one radius about a point.

    ``radius`` mean distance from the point; ``sigma`` its standard uncertainty; ``astray``
    how far the arcs' own centre is from the point, and ``astray_sigma``. ``left_out`` is a piece of
    that radius that moved their centre away: perhaps no part of them. ``led_aside`` is how far off
    the centre would seem to be if a line that short arcs run into led their ends aside. ``anew``
    says that in each place by itself they turn about the point, all at about one radius.
    """

    centre: Point
    pieces: tuple[int, ...]
    radius: float
    sigma: float
    own_centre: Point
    astray_sigma: float
    left_out: tuple[int, ...] = ()
    led_aside: float = 0.0
    anew: bool = False

    @property
    def astray(self) -> float:
        """Distance of the arcs' own centre from the point, mm."""
        return self.own_centre.distance(self.centre)

    @property
    def centred(self) -> Verdict:
        """Whether the needle stood on the point; a short arc cannot say for certain that not."""
        verdict = "yes" if self.anew else at_most(self.astray, LIMIT_MM, self.astray_sigma)
        if verdict != "no" or not self.led_aside:
            return verdict
        return at_most(self.astray, LIMIT_MM, math.hypot(self.astray_sigma, self.led_aside))


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
        (mean > SMALLEST_MM)
        & (spread < 1.0 + 4.0 * np.minimum(span, 2.0))
        & (turned < np.arctan(3.5 / np.maximum(mean, 1.0)) + math.radians(4.0))
    )
    fits[list(barred)] = False
    fits &= ~_straight_for_long(ink, mean)
    fits &= (ink.lengths >= _LEAST_MM) | _halves(ink, np.flatnonzero(fits), mean)
    chosen = np.flatnonzero(fits)
    chosen = chosen[np.argsort(mean[chosen], kind="stable")]
    clusters: list[list[int]] = []
    for k in chosen:
        if clusters and mean[k] - mean[clusters[-1][-1]] < _CLUSTER_MM:
            clusters[-1].append(int(k))
        else:
            clusters.append([int(k)])
    found = [_without_strays(ink, _about(ink, centre, tuple(c), rho), rho) for c in clusters]
    return [replace(arcs, anew=_struck_anew(ink, arcs, rho)) for arcs in found]


def _struck_anew(ink: Ink, arcs: ArcsAbout, rho: Array) -> bool:
    """Whether arcs that do not turn about their point as one do so in each place by itself: the
    needle stands a little elsewhere each time that it is set down."""
    if arcs.centred == "yes" or len(arcs.pieces) < 2:
        return False
    each = [_about(ink, arcs.centre, place, rho) for place in _places(ink, arcs.pieces)]
    radii = [a.radius for a in each]
    return (
        len(each) > 1
        and max(radii) - min(radii) < _ANEW_MM
        and all(a.centred == "yes" for a in each)
    )


def _places(ink: Ink, pieces: tuple[int, ...]) -> list[tuple[int, ...]]:
    """The pieces, those together that lie in one place."""
    places: list[tuple[int, ...]] = []
    for k in pieces:
        near = [
            p
            for p in places
            if any(closest(ink.pieces[k], ink.pieces[o])[0] < _PLACES_MM for o in p)
        ]
        places = [p for p in places if p not in near]
        places.append((*(o for p in near for o in p), k))
    return places


def _halves(ink: Ink, pieces: NDArray[np.int_], radius: Array) -> NDArray[np.bool_]:
    """Those of the pieces that face another one of the same radius across a short gap: halves of
    one arc that other lines cut in two."""
    found = np.zeros(len(ink.pieces), dtype=bool)
    short = [int(k) for k in pieces if ink.lengths[k] < _LEAST_MM]
    for i, k in enumerate(short):
        for other in short[i + 1 :]:
            if abs(radius[k] - radius[other]) > _SAME_MM:
                continue
            ends = [ink.pieces[p].xy[[0, -1]] for p in (k, other)]
            gap = float(np.hypot(*(ends[0][:, None] - ends[1][None]).T).min())
            found[[k, other]] |= gap < _BETWEEN_MM
    return found


def _without_strays(ink: Ink, arcs: ArcsAbout, rho: Array) -> ArcsAbout:
    """The arcs without a short piece (of a letter, say) that alone moves their centre away."""
    if arcs.astray < _MOVED_MM or len(arcs.pieces) < 2:
        return arcs
    total = float(ink.lengths[list(arcs.pieces)].sum())
    others = [
        replace(
            _about(ink, arcs.centre, tuple(k for k in arcs.pieces if k != stray), rho),
            left_out=(stray,),
        )
        for stray in arcs.pieces
        if ink.lengths[stray] < min(_STRAY_SHARE * total, _STRAY_MM)
        and ink.pieces[stray].shape != "arc"
    ]
    best = min(others, key=lambda a: a.astray, default=arcs)
    return best if best.astray < arcs.astray / 2 else arcs


def _straight_for_long(ink: Ink, radius: Array) -> NDArray[np.bool_]:
    """Pieces called lines whose length would bend by over 0.8 mm on a circle of that radius."""
    bend = ink.lengths**2 / (8.0 * np.maximum(radius, 1.0))
    return np.array([p.shape == "line" for p in ink.pieces]) & (bend > 0.8)


def _about(ink: Ink, centre: Point, pieces: tuple[int, ...], rho: Array) -> ArcsAbout:
    at = np.concatenate([np.arange(ink.first[k], ink.first[k + 1]) for k in pieces])
    radius = float(rho[at].mean())
    own, sigma = _own_centre(ink.xy[at], centre)
    scatter = float(rho[at].std()) / math.sqrt(max(len(at) / RUN, 1.0))
    length = float(ink.lengths[list(pieces)].sum())
    aside = radius * _LED_ASIDE_MM / length if length < _SHORT_MM else 0.0
    opening = math.hypot(scatter, _OPENING_MM)
    return ArcsAbout(centre, pieces, radius, opening, own, sigma, led_aside=aside)


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


def radii_agree(apart: float, sigma: float) -> Verdict:
    """Whether radii that are ``apart`` mm, known to ``sigma``, are one opening of the compasses.
    They are measured from where the needle should stand: one that stood beside it earns no mark,
    but loses none either."""
    verdict = at_most(apart, LIMIT_MM, sigma)
    if verdict != "no":
        return verdict
    return at_most(apart, LIMIT_MM, math.hypot(sigma, _BESIDE_MM))


def crossing(p: ArcsAbout, q: ArcsAbout, side: int) -> Point | None:
    """Where the two circles cross on the left (+1) or right of the line from p to q."""
    apart = p.centre.distance(q.centre)
    if apart < 1e-6 or apart > p.radius + q.radius or apart < abs(p.radius - q.radius):
        return None
    along = (apart**2 + p.radius**2 - q.radius**2) / (2 * apart)
    up = math.sqrt(max(p.radius**2 - along**2, 0.0))
    d = (q.centre - p.centre).unit()
    return p.centre + d * along + d.left() * (side * up)


def cross_at(ink: Ink, p: ArcsAbout, q: ArcsAbout, side: int) -> bool:
    """Whether pencil of both arcs reaches the crossing on that side."""
    at = crossing(p, q, side)
    if at is None:
        return False
    return all(gap_to(ink, arcs, at) <= NEAR_CROSSING_MM for arcs in (p, q))


def gap_to(ink: Ink, arcs: ArcsAbout, at: Point, perhaps: bool = False) -> float:
    """How near the pencil of the arcs comes to a place, mm; also what is ``perhaps`` theirs."""
    pieces = (*arcs.pieces, *arcs.left_out) if perhaps else arcs.pieces
    return float(np.hypot(*(ink.points(pieces) - np.array(at)).T).min())


def shown(ink: Ink, *arcs: ArcsAbout) -> tuple[SeenArc, ...]:
    """The arcs as they are to be shown."""
    return tuple(SeenArc(ink.points(a.pieces), a.radius) for a in arcs)
