"""Which pencil is the pupil's line for each element, even where it is far off.

Every smooth support of an element (a line, a circle, one side or one end of a path) is a
target. Candidates are primitives, and runs of consecutive pieces of one stroke (a shaky
hand's circle is no single arc). Pieces go to the target that they explain best: length
along the target counts for, distance from it counts against, and so do faintness, being
construction arcs, hatching or crossed out. An element with no candidate worth its name is not
found: its match is empty.
"""

from __future__ import annotations

import math
from collections.abc import Sequence, Set
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from millimark.marking.expected import Box, Wanted, clipped_samples, samples
from millimark.marking.ink import Array
from millimark.marking.primitives import Ink, Primitive
from millimark.plane.curves import Arc, Curve, Line

REACH_MM = 24.0
"""A line further than this from the right place is not taken for an attempt at it."""
_TURN_LINE, _TURN_ROUND = math.radians(19.0), math.radians(27.0)
_DECAY_MM = 8.0
_EVIDENCE, _HATCH = 0.35, 0.10
_WORTH_MM = 3.0
"""Least score of a candidate: about 3 mm of perfect pencil."""
_TOGETHER_MM, _SHORT_MM = 1.6, 12.0
_IN_IT_MM, _STEADY_MM = 0.8, 0.35
_SMOOTH_COS = math.cos(math.radians(32.0))
"""Where a line goes on from one piece to the next it turns by less than this."""
_JOIN_MM, _SCRAP_MM = 3.6, 4.0
_JOIN_COS = math.cos(math.radians(45.0))
_RIVAL_MM, _RIVAL_SHARE, _BEND_MM = 40.0, 0.2, 1.2
_SHAKY_RAD = math.radians(30.0)


@dataclass(frozen=True)
class Target:
    """One smooth support of an element.

    ``curve`` is the support, unbounded for a line and the whole circle for an arc of a
    line or arc element; ``bounded`` says that pencil must lie alongside it (paths).
    ``room_mm`` is its length inside the frame, ``needed_mm`` what its element needs in all.
    """

    wanted: int
    curve: Curve
    bounded: bool
    room_mm: float
    needed_mm: float


@dataclass(frozen=True)
class Candidate:
    """Pieces that may be the pupil's line for a target."""

    pieces: tuple[int, ...]
    target: int
    score: float
    inside_mm: float
    deviation_mm: float
    offset_mm: float
    darkness: float
    clean: bool
    hatch: bool = False


@dataclass
class Match:
    """The pencil of one element: ``pieces`` in order, ``mains`` by target, ``rivals``.

    ``pieces`` empty: nothing was drawn for the element.
    """

    pieces: list[int] = field(default_factory=list)
    mains: list[Candidate] = field(default_factory=list)
    rivals: list[Candidate] = field(default_factory=list)


@dataclass(frozen=True)
class Matching:
    """The match of every wanted element, and the pieces that none of them took."""

    matches: tuple[Match, ...]
    targets: tuple[Target, ...]
    left: frozenset[int]


def match(
    ink: Ink,
    primitives: Sequence[Primitive],
    wanted: Sequence[Wanted],
    frame: Box,
    construction: Set[int] = frozenset(),
) -> Matching:
    """Give pieces to elements. ``construction`` holds the pieces of recognised evidence."""
    targets = [t for k, w in enumerate(wanted) for t in targets_of(k, w, frame)]
    matches = tuple(Match() for _ in wanted)
    if not ink.pieces:
        return Matching(matches, tuple(targets), frozenset())
    aside = {k for p in primitives if p.cancelled for k in p.pieces}
    hatch = {k for p in primitives if p.hatch for k in p.pieces}
    views = [_View.of(ink, t, frame) for t in targets]
    dark = _reference_darkness(ink)
    candidates = [
        c
        for n in range(len(targets))
        for c in _candidates(ink, primitives, targets[n], n, views[n], aside, hatch, construction)
    ]
    candidates = [_weighed(c, dark) for c in candidates]
    candidates.sort(key=lambda c: -c.score)
    taken: set[int] = set()
    served: dict[int, Candidate] = {}
    for c in candidates:
        if c.target in served or c.score < _WORTH_MM or taken & set(c.pieces):
            continue
        served[c.target] = c
        taken.update(c.pieces)
    _share(candidates, served, targets)
    for n, c in sorted(served.items()):
        m = matches[targets[n].wanted]
        m.mains.append(c)
        m.pieces.extend(k for k in c.pieces if k not in m.pieces)
    for n, c in sorted(served.items()):
        m = matches[targets[n].wanted]
        closed = taken | aside | hatch
        more = _companions(ink, views[n], c, closed, construction - set(c.pieces))
        taken.update(more)
        m.pieces.extend(k for k in more if k not in m.pieces)
    for n, c in sorted(served.items()):
        rival = _rival(c, candidates, taken, targets[n].needed_mm)
        if rival is not None:
            matches[targets[n].wanted].rivals.append(rival)
    left = frozenset(range(len(ink.pieces))) - taken - aside - hatch
    return Matching(matches, tuple(targets), left)


# --- targets -------------------------------------------------------------------------
def targets_of(index: int, wanted: Wanted, frame: Box) -> list[Target]:
    """The supports of an element's curves, each once, in the curves' order."""
    whole = wanted.element.kind != "path"
    found: list[Target] = []
    needed = 0.5 * sum(len(clipped_samples(c, frame)) for c in wanted.needed)
    for curve in wanted.curves:
        support = _support(curve) if whole else curve
        if any(_same(support, t.curve) for t in found):
            continue
        room = len(clipped_samples(curve, frame)) * 0.5
        found.append(Target(index, support, not whole, room, needed))
    return found


def _support(curve: Curve) -> Curve:
    if curve.kind in ("segment", "ray", "line"):
        t = curve.t0 if math.isfinite(curve.t0) else 0.0
        return Line(curve.point_at(t), curve.direction_at(t))
    if isinstance(curve, Arc):
        return Arc(curve.centre, curve.radius)
    return curve


def _same(a: Curve, b: Curve) -> bool:
    if isinstance(a, Line) and isinstance(b, Line):
        off = (b.anchor - a.anchor).cross(a.direction)
        return abs(a.direction.cross(b.direction)) < 1e-9 and abs(off) < 1e-6
    if isinstance(a, Arc) and isinstance(b, Arc):
        same = a.centre.distance(b.centre) < 1e-6 and abs(a.radius - b.radius) < 1e-6
        return same and a.is_circle and b.is_circle
    return a == b


# --- how the ink looks from a target ---------------------------------------------------
@dataclass(frozen=True, eq=False)
class _View:
    """Per point: signed offset ``u`` mm, place ``t`` mm along the target, ``turn`` radians.

    ``fits`` says which pieces could be drawn for the target; ``round_mm`` is its length if
    it closes, else 0: places may then be told from either side.
    """

    u: Array
    t: Array
    turn: Array
    fits: NDArray[np.bool_]
    round_mm: float
    turn_limit: float
    bends: bool

    @staticmethod
    def of(ink: Ink, target: Target, frame: Box) -> _View:
        u, t, along = seen_from(target.curve, ink.xy, frame)
        cos = np.clip(np.abs((ink.tangent * along).sum(axis=1)), 0.0, 1.0)
        turn = np.arccos(cos)
        bends = target.curve.kind not in ("line", "segment", "ray")
        limit = _TURN_ROUND if bends else _TURN_LINE
        fits = (ink.means(np.abs(u)) < REACH_MM) & (ink.means(turn) < limit)
        if target.bounded:
            t0, t1 = _extent(target.curve)
            beside = (t > t0 - 3.0) & (t < t1 + 3.0)
            fits &= ink.means(beside.astype(np.float64)) > 0.35
        circle = isinstance(target.curve, Arc) and target.curve.is_circle
        return _View(u, t, turn, fits, target.curve.length if circle else 0.0, limit, bends)


def _extent(curve: Curve) -> tuple[float, float]:
    return (0.0, curve.length) if curve.bounded else (curve.t0, curve.t1)


def seen_from(curve: Curve, xy: Array, frame: Box) -> tuple[Array, Array, Array]:
    """Signed offset mm, place along the curve mm, and the curve's unit tangent, per point.

    A line's offset is positive to the left of its direction (as numbers, not as seen),
    an arc's outside the circle. Straight curves are taken beyond their ends and arcs all
    round, so that pencil that overshoots still has an offset.
    """
    if curve.kind in ("line", "segment", "ray"):
        t = curve.t0 if math.isfinite(curve.t0) else 0.0
        p, d = np.array(curve.point_at(t)), np.array(curve.direction_at(t))
        v = xy - p
        return v @ np.array([-d[1], d[0]]), v @ d, np.broadcast_to(d, xy.shape)
    if isinstance(curve, Arc):
        v = xy - np.array(curve.centre)
        rho = np.maximum(np.hypot(v[:, 0], v[:, 1]), 1e-9)
        turn = curve.sense * (np.arctan2(v[:, 1], v[:, 0]) - curve.from_)
        middle = curve.t1 / 2
        turn = (turn - middle + math.pi) % (2 * math.pi) - math.pi + middle
        return (
            rho - curve.radius,
            turn * curve.radius,
            np.column_stack((-v[:, 1], v[:, 0])) / rho[:, None],
        )
    from scipy.spatial import cKDTree

    fine = samples(curve, frame, 0.2)
    along = np.gradient(fine, axis=0)
    along /= np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-12)[:, None]
    at = cKDTree(fine).query(xy)[1]
    v, d = xy - fine[at], along[at]
    return d[:, 0] * v[:, 1] - d[:, 1] * v[:, 0], at * 0.2, d


# --- candidates ------------------------------------------------------------------------
def _candidates(
    ink: Ink,
    primitives: Sequence[Primitive],
    target: Target,
    number: int,
    view: _View,
    aside: Set[int],
    hatch: Set[int],
    construction: Set[int],
) -> list[Candidate]:
    groups: list[tuple[int, ...]] = []
    for p in primitives:
        members = tuple(k for k in p.pieces if view.fits[k] and k not in aside)
        if members:
            groups.append(members)
    groups += [g for g in _runs(ink, view, aside) if g not in groups]
    found = []
    for members in groups:
        at = np.concatenate([np.arange(ink.first[k], ink.first[k + 1]) for k in members])
        u, t = view.u[at], view.t[at]
        inside = _inside_mm(t, target)
        if inside <= 0.0:
            continue
        deviation = float(np.abs(u).mean())
        built = bool(set(members) <= construction) and deviation > 1.5
        drawn = bool(set(members) <= hatch)
        straight = not target.bounded and _too_straight(ink, members, target.curve)
        weight = (_EVIDENCE if built else 1.0) * (_HATCH if drawn or straight else 1.0)
        dark = float(np.mean([ink.pieces[k].darkness for k in members]))
        found.append(
            Candidate(
                members,
                number,
                weight * inside * math.exp(-deviation / _DECAY_MM),
                inside,
                deviation,
                float(u.mean()),
                dark,
                not (construction & set(members) or drawn or straight),
                drawn,
            )
        )
    return found


def _too_straight(ink: Ink, pieces: Sequence[int], curve: Curve) -> bool:
    """Whether a ruled line is taken for an arc: it would bend by over `_BEND_MM` on the circle."""
    if not isinstance(curve, Arc):
        return False
    longest = max(pieces, key=lambda k: ink.lengths[k])
    bend = float(ink.lengths[longest]) ** 2 / (8.0 * curve.radius)
    return ink.pieces[longest].shape == "line" and bend > _BEND_MM


def _inside_mm(t: Array, target: Target) -> float:
    """Length of the target alongside which there is pencil, each stretch counted once."""
    if target.bounded:
        t0, t1 = _extent(target.curve)
        t = t[(t >= t0) & (t <= t1)]
    if not len(t):
        return 0.0
    return min(float(len(np.unique(np.round(t)))), max(target.room_mm, 1.0))


def _runs(ink: Ink, view: _View, aside: Set[int]) -> list[tuple[int, ...]]:
    """Consecutive pieces of one stroke, two or more, that all fit the target."""
    runs: list[tuple[int, ...]] = []
    run: list[int] = []
    for k in range(len(ink.pieces) + 1):
        joins = (
            k < len(ink.pieces)
            and bool(view.fits[k])
            and k not in aside
            and (not run or _goes_on(ink, run[-1], k))
        )
        if joins:
            run.append(k)
            continue
        if len(run) > 1:
            runs.append(tuple(run))
        run = [k] if k < len(ink.pieces) and view.fits[k] and k not in aside else []
    return runs


def _goes_on(ink: Ink, first: int, then: int) -> bool:
    """Whether the next piece of the same stroke goes on without a corner."""
    a, b = ink.pieces[first], ink.pieces[then]
    return a.stroke == b.stroke and float(a.tangent[-1] @ b.tangent[0]) > _SMOOTH_COS


def _reference_darkness(ink: Ink) -> float:
    dark = np.array([p.darkness for p in ink.pieces])
    return max(float(np.percentile(dark, 85)), 1e-3)


def _weighed(c: Candidate, dark: float) -> Candidate:
    return replace(c, score=c.score * min(1.0, c.darkness / dark) ** 0.7)


def _share(
    candidates: Sequence[Candidate], served: dict[int, Candidate], targets: Sequence[Target]
) -> None:
    """One pencil line may serve two elements whose loci fall together."""
    for c in candidates:
        if c.target in served or c.deviation_mm > 2.5 or not c.clean:
            continue
        if c.inside_mm < 0.4 * targets[c.target].room_mm and c.inside_mm < 25.0:
            continue
        served[c.target] = c


def _companions(
    ink: Ink, view: _View, main: Candidate, closed: Set[int], construction: Set[int]
) -> list[int]:
    """Further pieces of the same line: what carries it on or fills a gap in it, and a second
    line drawn over the first. Short strokes beside it (the edge of hatching) are neither.

    An answer may serve as a construction arc: pieces of ``construction`` count if they run in it.
    """
    near, level = _running_with(ink, view, main, construction)
    bins = [
        set(np.round(view.t[a:b]).astype(int).tolist()) for a, b in pairwise(ink.first.tolist())
    ]
    covered: set[int] = set().union(*(bins[k] for k in main.pieces))
    chosen: list[int] = []
    for k in sorted(np.flatnonzero(near), key=lambda k: -ink.lengths[k]):
        if int(k) in closed:
            continue
        again = ink.lengths[k] > max(_SHORT_MM, 0.3 * main.inside_mm)
        if again or len(bins[k] - covered) > 0.5 * len(bins[k]):
            chosen.append(int(k))
            covered |= bins[k]
    fresh = np.array([len(b - covered) > 0.5 * len(b) for b in bins])
    return chosen + _continuations(ink, view, [*main.pieces, *chosen], closed, level & fresh)


def _running_with(
    ink: Ink, view: _View, main: Candidate, construction: Set[int]
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Which pieces run in the main one's course, and which lie level enough to go on from it."""
    at = np.concatenate([np.arange(ink.first[k], ink.first[k + 1]) for k in main.pieces])
    model = _trend(view.t[at], view.u[at])
    off = ink.means(np.abs(view.u - model(view.t)))
    if view.round_mm:
        for turn_mm in (-view.round_mm, view.round_mm):
            off = np.minimum(off, ink.means(np.abs(view.u - model(view.t + turn_mm, 45.0))))
    # A shaky line's next piece may lie as far from its trend, and turn as much, as the line does.
    shaky = float((view.u[at] - model(view.t[at])).std())
    short = ink.lengths < _SHORT_MM
    near = off < np.where(short, 0.5, 1.0) * max(_TOGETHER_MM, 2.5 * shaky)
    near &= ink.means(view.turn) < math.radians(15.0 + 25.0 * min(1.0, shaky / 0.8))
    apart = np.isin(np.arange(len(ink.pieces)), list(construction))
    near &= ~apart | ((off < _IN_IT_MM) & ~short)
    level = (off < max(_TOGETHER_MM, 5.0 * shaky)) & ~apart
    if shaky < _STEADY_MM and not view.bends:
        # A ruled line does not go on as an arc.
        arc = np.array([p.shape == "arc" and p.length > _SHORT_MM for p in ink.pieces])
        near, level = near & ~arc, level & ~arc
    return near, level


def _continuations(
    ink: Ink, view: _View, line: list[int], closed: Set[int], level: NDArray[np.bool_]
) -> list[int]:
    """Pieces that go on where the line stops, in its direction: a shaky or drifting line, of
    which a short piece may well run across the right direction."""
    ends = [e for k in line for e in _ends(ink, k)]
    limit = view.turn_limit + np.where(ink.lengths < _SHORT_MM, _SHAKY_RAD, 0.5 * _SHAKY_RAD)
    near = level & (ink.means(view.turn) < limit)
    free = [int(k) for k in np.flatnonzero(near) if int(k) not in closed and int(k) not in line]
    added: list[int] = []
    while True:
        joined = next(
            (k for k in free if any(_joins(e, f) for e in ends for f in _ends(ink, k))), None
        )
        if joined is None:
            return added
        free.remove(joined)
        added.append(joined)
        ends += _ends(ink, joined)


def _ends(ink: Ink, piece: int) -> list[_End]:
    """Both ends of a piece."""
    p = ink.pieces[piece]
    return [
        _End(p.xy[0], -p.tangent[0], p.length),
        _End(p.xy[-1], p.tangent[-1], p.length),
    ]


@dataclass(frozen=True, eq=False)
class _End:
    """An end of a piece: the point, the direction in which the pencil left it, its length."""

    at: Array
    out: Array
    length: float


def _joins(a: _End, b: _End) -> bool:
    """Whether two ends lie close and look at each other; a scrap must lie closer and straighter."""
    scrap = min(a.length, b.length) < _SCRAP_MM
    gap = b.at - a.at
    size = float(np.hypot(gap[0], gap[1]))
    facing = float(a.out @ b.out) < -(_SMOOTH_COS if scrap else _JOIN_COS)
    ahead = size < 0.8 or float(gap @ a.out) > 0.6 * size
    return facing and ahead and size < (0.6 if scrap else 1.0) * _JOIN_MM


class _trend:  # noqa: N801 - used as a function of t
    """The main candidate's offset as a straight function of t, level well beyond its ends."""

    def __init__(self, t: Array, u: Array) -> None:
        self.low, self.high = float(t.min()), float(t.max())
        self.mean = float(u.mean())
        spread = t - t.mean()
        self.slope = float((spread * u).sum() / max(float((spread**2).sum()), 1e-9))
        self.middle = float(t.mean())

    def __call__(self, t: Array, beyond: float = 10.0) -> Array:
        inside = np.clip(t, self.low - beyond, self.high + beyond)
        value: Array = self.mean + self.slope * (inside - self.middle)
        return value


def _rival(
    main: Candidate, candidates: Sequence[Candidate], taken: Set[int], needed_mm: float
) -> Candidate | None:
    """Another clean line of about the same length and darkness that could be the answer."""
    least = max(0.6 * main.inside_mm, min(0.4 * needed_mm, _RIVAL_MM))
    for c in candidates:
        if c.target != main.target or taken & set(c.pieces) or c.inside_mm <= least:
            continue
        alike = (
            c.clean and c.darkness > 0.75 * main.darkness and c.score > _RIVAL_SHARE * main.score
        )
        # What looks like hatching but lies much nearer may be the boundary that it hangs on.
        nearer = c.hatch and c.deviation_mm < 0.4 * main.deviation_mm and c.deviation_mm < 2.0
        if alike or nearer:
            return c
    return None
