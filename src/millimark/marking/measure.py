"""How far the pupil's line lies from the locus, and how much of the locus it covers.

Distances are from pencil centre lines to the true locus, real millimetres on paper. The
extreme is of the line, not of its noise: deviations are smoothed over about 1 mm, the last
half millimetre at loose ends is left out, and an extreme must hold for over a millimetre.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from millimark.loci.conditions import RegularIn, RegularOn, Tangents, TriangleOn
from millimark.marking.beside_outline import without_hatched_ends, without_hatching
from millimark.marking.companions import goes_on_from
from millimark.marking.courses import courses, roughness
from millimark.marking.coverage import (
    HOLD,
    SAMPLE_MM,
    Ground,
    beside_needed,
    no_parts,
    parts_covered,
)
from millimark.marking.disturbed import disturbed
from millimark.marking.ends import corners, ends_of
from millimark.marking.expected import Box, Wanted, clipped_samples
from millimark.marking.extremes import chained, extreme, extreme_sigma, overrun
from millimark.marking.findings import STEADY_MM, Deviation, ElementFinding
from millimark.marking.hatching import Hatching
from millimark.marking.ink import STEP_MM, Array, Ink, Piece
from millimark.marking.matching import Match
from millimark.marking.past_corners import part_beside, strays_from
from millimark.marking.side_by_side import on_own_curve
from millimark.marking.tails import rest_of_circle, without_tails
from millimark.marking.targets import Target, offset_from, seen_from
from millimark.plane.curves import Arc, Curve, Segment
from millimark.plane.point import Point
from millimark.scan.fitting import CircleFit, LineFit, NoFit, fit_circle, fit_line

_SCRAP_MM, _FEW_SCRAPS = 6.0, 0.25
"""A piece shorter than this, mm, is a scrap; a line may consist of them in a larger share."""
_HALF_MM = 0.8
"""Print nearer than this may hide half of a line, mm."""
_LEAST_CLEAR, _OVER_STROKES_MM, _OVER_PRINT_MM = 0.2, 9.0, 16.0
"""Where so much of a line, at least, is not disturbed, disturbed runs are carried over: those where
strokes end on it up to the second, mm, those beside print (a circle touches a printed line over
such a length) up to the third."""
_HATCH_MM = 0.05
"""What strokes that end on a line add to the uncertainty of its extreme, mm: measured on the
rehearsal's scans."""
_SHIFTS_MM, _MOSTLY_DARK = (-0.7, 0.0, 0.7), 0.8
"""Of a line that may be lost more than this share is dark, where it should be or so far beside."""
_STRUCK_MM, _AWAY_MM = 25.0, 5.0
"""An arc struck with the compasses is shorter than the first; what is farther off is elsewhere."""
_EXTREME_MM = 0.02
"""What finding the extreme of a wavy line adds to its uncertainty, mm (measured on the
rehearsal's scans)."""


def measure(
    ink: Ink,
    wanted: Wanted,
    found: Match,
    targets: tuple[Target, ...],
    ground: Ground,
    twice: Mapping[int, float],
) -> ElementFinding:
    """The measured element; not ``found`` where the match holds no pencil. ``twice`` says how much
    of which pieces is drawn twice, mm (their points stand in the middle of both)."""
    needed = [clipped_samples(c, ground.frame, SAMPLE_MM) for c in wanted.needed]
    if not found.pieces:
        lost = _may_be_lost(needed, ground)
        parts = no_parts(needed)
        return ElementFinding(wanted.name, wanted.element.kind, False, parts=parts, lost=lost)
    hatched = ground.lines is not None
    profile = tuple(_profiles(ink, wanted, found, targets, ground))
    off = np.concatenate([np.abs(d.off) for d in profile])
    xy = np.concatenate([d.xy for d in profile])
    drawn = profile[: len(found.pieces)]
    sigma = _deviation_sigma(ink, found, wanted, ground)
    course = courses(ink, found, targets, ground.frame)
    shaky = not hatched and wanted.element.kind != "path" and roughness(course) > STEADY_MM
    scraps = _scraps(ink, found, shaky) | _elsewhere(ink, found, needed)
    shape = _shape(ink, wanted, found, targets)
    if hatched:
        drawn = _outline(ink, wanted, found, shape, ground, drawn)
    by_piece = dict(zip(found.pieces, drawn, strict=True))
    own = chained({k: d for k, d in by_piece.items() if k in found.own})
    tips = profile[len(found.pieces) :]
    line = chained({k: d for k, d in by_piece.items() if k not in scraps})
    line += tips
    worst, where = extreme(line, None)
    worst_sigma, excess = extreme_sigma(line, own + tips, worst, where, course, sigma)
    on_line = np.concatenate([d.xy for d in line])
    beside = beside_needed(on_line, np.concatenate(needed) if needed else np.zeros((0, 2)))
    worst_needed, _ = extreme(line, beside)
    parts = parts_covered(wanted, needed, xy, off, sigma, ground)
    return ElementFinding(
        element=wanted.name,
        kind=wanted.element.kind,
        found=True,
        worst_mm=worst,
        worst_needed_mm=worst_needed,
        mean_mm=float(off.mean()),
        uncertainty_mm=sigma,
        coverage=parts["all"].coverage,
        offset_mm=shape.offset,
        offset_sigma_mm=_shape_sigma(shape.offset_sigma, 0.0, ground),
        angle_deg=shape.angle,
        angle_sigma_deg=shape.angle_sigma,
        centre=shape.centre,
        radius_mm=shape.radius,
        radius_asked_mm=shape.asked,
        radius_sigma_mm=_shape_sigma(shape.radius_sigma, shape.radius or 0.0, ground),
        roughness_mm=roughness(course),
        course=course,
        worst_at=where,
        parts=parts,
        drawn=shape.drawn,
        profile=profile,
        rival_mm=max((r.strays_mm for r in found.rivals), default=None),
        darkness=float(np.mean([ink.pieces[k].darkness for k in found.pieces])),
        scale_part_mm=ground.scale_sigma * wanted.length_mm,
        overrun_mm=overrun(ink.points([k for k in found.pieces if k not in scraps]), wanted),
        worst_sigma_mm=worst_sigma,
        excess_mm=excess,
        twice_mm=sum(twice.get(k, 0.0) for k in found.pieces),
    )


def _may_be_lost(needed: list[Array], ground: Ground) -> bool:
    """Whether pencil lies along most of a line of which no stroke was traced: under an even tone,
    or as its edge."""
    places = np.concatenate(needed) if needed else np.zeros((0, 2))
    if not len(places):
        return False
    shifts = (np.array([x, y]) for x in _SHIFTS_MM for y in _SHIFTS_MM)
    return any(float(ground.dark(places + shift).mean()) > _MOSTLY_DARK for shift in shifts)


def _scraps(ink: Ink, found: Match, shaky: bool) -> frozenset[int]:
    """Short pieces beside the main ones, which fill gaps of the line but do not say how far it
    strays: many a one is the end of an arc or of a stroke of hatching. Of a ``shaky`` line what
    goes on where it ends is no scrap. None where the line consists of them."""
    beside = [k for k in found.pieces if k not in found.own]
    short = [k for k in beside if ink.lengths[k] < _SCRAP_MM]
    line = [k for k in found.pieces if k not in short]
    scraps = frozenset(short)
    if shaky:
        scraps -= frozenset(goes_on_from(ink, line, short))
    share = ink.lengths[list(scraps)].sum() / ink.lengths[found.pieces].sum()
    return scraps if share < _FEW_SCRAPS else frozenset()


def _elsewhere(ink: Ink, found: Match, needed: list[Array]) -> frozenset[int]:
    """Pieces of short strokes wholly away from all that is needed and from the longer ones of the
    line: arcs that were struck along the locus elsewhere, to find its other parts."""
    from scipy.spatial import cKDTree

    stroke = {ink.pieces[k].stroke: 0.0 for k in found.pieces}
    for k in found.pieces:
        stroke[ink.pieces[k].stroke] += ink.lengths[k]
    free = [k for k in found.pieces if k not in found.joined]
    short = [k for k in free if stroke[ink.pieces[k].stroke] < _STRUCK_MM]
    longer = [ink.pieces[k].xy for k in found.pieces if k not in short]
    if not short or not longer or not sum(map(len, needed)):
        return frozenset()
    near = cKDTree(np.concatenate([*longer, *needed]))
    return frozenset(k for k in short if near.query(ink.pieces[k].xy)[0].min() > _AWAY_MM)


# --- deviation -------------------------------------------------------------------------
def _profiles(
    ink: Ink,
    wanted: Wanted,
    found: Match,
    targets: tuple[Target, ...],
    ground: Ground,
) -> list[Deviation]:
    """One profile for each piece: smoothed signed distance from the nearest curve, carried over
    what disturbs it; then the tips of sharp corners, each held as a profile of its own."""
    frame = ground.frame
    supports = [targets[c.target].curve for c in found.mains]
    bounded = wanted.element.kind == "path"
    if bounded:
        supports = list(wanted.curves)
    sided = isinstance(wanted.element.locus, TriangleOn | RegularOn | RegularIn | Tangents)
    if sided:
        bounded = False  # the tip of a corner that is off lies past the ends of its sides
    pieces = [ink.pieces[k].xy for k in found.pieces]
    tailless = without_tails(pieces, wanted.curves if bounded else (), frame)
    profiles = []
    for k, (first, last), own in zip(
        found.pieces, ends_of(ink, found.pieces), tailless, strict=True
    ):
        xy = ink.pieces[k].xy
        off = _nearest_offset(supports, xy, frame, bounded)
        off = _smoothed(_undisturbed(off, ink.pieces[k], ground))
        keep = slice(first.cut, len(xy) - last.cut)
        part = _part_of_side(ink, k, found, targets, frame) if sided else own
        loose = (first.loose and part.start <= keep.start, last.loose and part.stop >= keep.stop)
        keep = slice(max(part.start, keep.start), min(part.stop, keep.stop))
        mains = [targets[m.target].curve for m in found.mains if bounded and k in m.pieces]
        rest = [rest_of_circle(curve, xy[keep], frame) for curve in mains]
        wanted_part = ~np.any(rest, axis=0) if rest else np.ones(len(xy[keep]), dtype=bool)
        profiles.append(Deviation(xy[keep][wanted_part], off[keep][wanted_part], loose))
    for tip in corners(ink, found.pieces):  # held for as long as an extreme must
        held = np.repeat(tip[None], HOLD, axis=0)
        off = _nearest_offset(supports, held, frame, bounded)
        profiles.append(Deviation(held, off, (False, False)))
    return profiles


def _part_of_side(
    ink: Ink, piece: int, found: Match, targets: tuple[Target, ...], frame: Box
) -> slice:
    """What of a piece lies beside the side that it was drawn for; all of it where that is none."""
    xy = ink.pieces[piece].xy
    own = [m for m in found.mains if piece in m.pieces] or found.mains
    sides = [side for m in own if isinstance(side := targets[m.target].curve, Segment)]
    if not sides:
        return slice(0, len(xy))
    side = min(sides, key=lambda side: strays_from(side, xy, frame))
    return part_beside(side, xy, frame)


def _nearest_offset(curves: list[Curve], xy: Array, frame: Box, bounded: bool) -> Array:
    """Signed distance from the nearest of the curves, ends respected if ``bounded``."""
    best = np.full(len(xy), np.inf)
    for curve in curves:
        u = offset_from(curve, xy, frame) if bounded else seen_from(curve, xy, frame)[0]
        best = np.where(np.abs(u) < np.abs(best), u, best)
    return best


def _outline(
    ink: Ink,
    wanted: Wanted,
    found: Match,
    shape: _Shape,
    ground: Ground,
    drawn: tuple[Deviation, ...],
) -> tuple[Deviation, ...]:
    """The profiles of the pieces ``drawn`` without what is hatching rather than the line."""
    hatching = Hatching(ground.free)
    if len(shape.drawn) == 1 and wanted.element.kind != "path":
        own = shape.drawn[0]
        drawn = on_own_curve(drawn, own, ground.frame)
        drawn = without_hatched_ends(drawn, own, ground.frame, hatching)
    return without_hatching(drawn, [ink.pieces[k].stroke for k in found.pieces], hatching)


def _undisturbed(off: Array, piece: Piece, ground: Ground) -> Array:
    """The deviations of a piece where it is pulled aside (by print that hides half of it, or by the
    strokes of hatching that may end on it) carried over from either side; as they are where hardly
    any place is clear, and over long runs."""
    clear, most_mm = ~disturbed(piece.sigma), _OVER_STROKES_MM
    if ground.lines is None:
        clear, most_mm = clear | ~ground.hides(piece.xy, _HALF_MM), _OVER_PRINT_MM
    if clear.mean() < _LEAST_CLEAR:
        return off
    at = np.arange(len(off))
    before = np.maximum.accumulate(np.where(clear, at, -1))
    after = np.minimum.accumulate(np.where(clear, at, len(at))[::-1])[::-1]
    carried = ~clear & (before >= 0) & (after < len(at))
    carried &= (after - before) * STEP_MM <= most_mm
    return np.where(carried, np.interp(at, at[clear], off[clear]), off)


def _smoothed(values: Array) -> Array:
    """Median of 3 against lone outliers, then the mean of 3: about 1 mm. Ends are held."""
    if len(values) < 5:
        return values
    padded = np.pad(values, 1, mode="edge")
    middle = np.median(np.stack((padded[:-2], padded[1:-1], padded[2:])), axis=0)
    # Held ends would flatten a slope: the first and last point keep their own value.
    middle[[0, -1]] = values[[0, -1]]
    padded = np.pad(middle, 1, mode="reflect", reflect_type="odd")
    smooth: Array = (padded[:-2] + padded[1:-1] + padded[2:]) / 3.0
    return smooth


def _deviation_sigma(ink: Ink, found: Match, wanted: Wanted, ground: Ground) -> float:
    """Standard uncertainty of one deviation, mm: the map, the print scale, the pencil's centre,
    and what hatching may do to it."""
    across = float(np.median(np.concatenate([ink.pieces[k].sigma for k in found.pieces])))
    scale = ground.scale_sigma * wanted.length_mm
    hatch = 0.0 if ground.lines is None else _HATCH_MM
    parts = (ground.map_sigma_mm, scale, across / math.sqrt(3.0), _EXTREME_MM, hatch)
    return math.hypot(*parts)


def _shape_sigma(sigma: float | None, size_mm: float, ground: Ground) -> float | None:
    """Standard uncertainty of a fitted radius or offset, mm: ``sigma`` of the hand's wander, the
    map, and the print scale over a ``size_mm``."""
    if sigma is None:
        return None
    return math.hypot(sigma, ground.map_sigma_mm, ground.scale_sigma * size_mm)


# --- shape -----------------------------------------------------------------------------
@dataclass(frozen=True)
class _Shape:
    """What the pupil's own line or circle is, against the locus."""

    offset: float | None = None
    offset_sigma: float | None = None
    angle: float | None = None
    angle_sigma: float | None = None
    centre: Point | None = None
    radius: float | None = None
    asked: float | None = None
    radius_sigma: float | None = None
    drawn: tuple[Curve, ...] = ()


def _shape(ink: Ink, wanted: Wanted, found: Match, targets: tuple[Target, ...]) -> _Shape:
    """Fit of the pupil's own curves: one line or circle, or one curve for each piece of a path."""
    drawn: list[Curve] = []
    last: LineFit | CircleFit | None = None
    for main in found.mains:
        near = [k for k in found.pieces if _belongs(ink, k, main.target, found, targets)]
        fit = _fit(ink, near or list(main.pieces), targets[main.target].curve)
        if fit is None:
            continue
        last = fit
        drawn.append(_curve(fit, ink.points(near or list(main.pieces))))
    if wanted.element.kind == "path" or last is None or len(found.mains) != 1:
        return _Shape(drawn=tuple(drawn))
    target = targets[found.mains[0].target].curve
    if isinstance(last, LineFit):
        turn = math.degrees(
            math.asin(min(1.0, abs(last.direction.cross(target.direction_at(0.0)))))
        )
        at = last.point
        offset = abs((at - target.point_at(0.0)).cross(target.direction_at(0.0)))
        across = math.sqrt(float(last.covariance[0, 0]))
        sigma = math.degrees(math.sqrt(float(last.covariance[1, 1])))
        return _Shape(offset, across, turn, sigma, drawn=tuple(drawn))
    if isinstance(target, Arc):
        return _Shape(
            offset=last.centre.distance(target.centre),
            offset_sigma=last.centre_sigma,
            centre=last.centre,
            radius=last.radius,
            asked=target.radius,
            radius_sigma=last.radius_sigma,
            drawn=tuple(drawn),
        )
    return _Shape(drawn=tuple(drawn))


def _belongs(ink: Ink, piece: int, target: int, found: Match, targets: tuple[Target, ...]) -> bool:
    """Whether the piece runs along this target rather than another of the element's."""
    if len(found.mains) == 1:
        return True
    for main in found.mains:
        if piece in main.pieces:
            return main.target == target
    middle = ink.pieces[piece].xy[len(ink.pieces[piece].xy) // 2]
    p = Point(float(middle[0]), float(middle[1]))
    distances = {m.target: targets[m.target].curve.distance_to(p) for m in found.mains}
    return min(distances, key=lambda t: distances[t]) == target


def _fit(ink: Ink, pieces: list[int], curve: Curve) -> LineFit | CircleFit | None:
    xy = ink.points(pieces)
    sigma = np.concatenate([np.maximum(ink.pieces[k].sigma, 0.02) for k in pieces])
    if isinstance(curve, Arc):
        fit = fit_circle(xy, sigma, robust=True, wander=True)
        return None if isinstance(fit, NoFit) else fit
    if curve.kind in ("segment", "ray", "line"):
        straight = fit_line(xy, sigma, robust=True, wander=True)
        return None if isinstance(straight, NoFit) else straight
    return None


def _curve(fit: LineFit | CircleFit, xy: Array) -> Curve:
    """The fitted line or arc as far as its pencil goes."""
    if isinstance(fit, LineFit):
        return Segment(
            fit.point + fit.direction * fit.span[0], fit.point + fit.direction * fit.span[1]
        )
    v = xy - np.array(fit.centre)
    angle = np.sort(np.arctan2(v[:, 1], v[:, 0]))
    gaps = np.diff(np.concatenate((angle, [angle[0] + 2 * math.pi])))
    widest = int(np.argmax(gaps))
    if gaps[widest] * fit.radius < 3.0:
        return Arc(fit.centre, fit.radius)
    start = float(angle[(widest + 1) % len(angle)])
    return Arc(fit.centre, fit.radius, start, 2 * math.pi - float(gaps[widest]))
