"""Which pencil could be the pupil's line for a target, and how well it explains it."""

from __future__ import annotations

import math
from collections.abc import Sequence, Set
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from millimark.marking.ink import Array, Ink
from millimark.marking.last_strokes import ASIDE_RAD
from millimark.marking.polygons import chords_of
from millimark.marking.primitives import Primitive
from millimark.marking.stray_ends import circle_through
from millimark.marking.targets import REACH_MM, Target, View, extent
from millimark.plane.curves import Arc, Curve

_DECAY_MM = 8.0
_EVIDENCE, _HATCH = 0.35, 0.10
_BEND_MM = 1.2
_LEAST_RUN_MM, _PROGRESS, _FITTING = 15.0, 0.75, 0.35
"""A freehand line is longer than this, and makes this share of its length along its target; this
share of it runs as the target does."""
_CHORD_END_MM = 3.0
"""A chord's ends lie this near to the circle, and to the next chord's, mm."""
_RULED_MM = 6.0
"""A straight stroke longer than this, at the end of a freehand line, was ruled."""
_LONG_RULED_MM, _RULED_RMS_MM, TURNED_RAD = 25.0, 0.15, math.radians(12.0)
"""A piece longer than the first, mm, and as straight as the second, rms mm, was ruled; what turns
from it by more than the third is no part of it."""
_OFF_CIRCLE_MM, _OFF_CIRCLE_SIN = 1.0, math.sin(math.radians(6.0))
"""What lies further off the circle of an arc that the compasses drew, mm on average, and runs away
from it, is no part of it; where they slipped it runs along it."""
_BEND_COS = math.cos(math.radians(75.0))
SMOOTH_COS = math.cos(math.radians(32.0))
"""Where a line goes on from one piece to the next it turns by less than this."""


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


def candidates_for(
    ink: Ink,
    primitives: Sequence[Primitive],
    target: Target,
    number: int,
    view: View,
    aside: Set[int],
    hatch: Set[int],
    strokes: NDArray[np.bool_],
    construction: Set[int],
) -> list[Candidate]:
    shading = hatch | set(np.flatnonzero(strokes & (ink.means(view.turn) > ASIDE_RAD)).tolist())
    groups: list[tuple[int, ...]] = []
    polygon = _polygon(ink, target, view, aside)
    if not target.bounded:
        aside = aside | ruled_across(ink, target.curve, view.u)
    if not view.bends:
        aside = aside | _bent(ink, construction)
    for p in primitives:
        members = tuple(k for k in p.pieces if view.fits[k] and k not in aside)
        if members:
            groups.append(members)
    for runs in (_runs(ink, view, aside), _wavering(ink, view, aside)):
        groups += [g for g in runs if g not in groups]
    groups += [polygon] if polygon else []
    found = []
    own = [_without_shading_ends(g, shading) for g in groups]
    if not view.bends:
        own = [_without_turned_ends(ink, g) for g in own]
    elif not target.bounded:
        own = [_without_ends_off_circle(ink, g) for g in own]
    for members in dict.fromkeys(own):
        at = np.concatenate([np.arange(ink.first[k], ink.first[k + 1]) for k in members])
        u, t = view.u[at], view.t[at]
        inside = _inside_mm(t, target)
        if inside <= 0.0:
            continue
        deviation = float(np.abs(u).mean())
        built = _mostly(ink, members, construction) and deviation > 1.5
        drawn = _mostly(ink, members, shading)
        weight = (_EVIDENCE if built else 1.0) * (_HATCH if drawn else 1.0)
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
                not (construction & set(members) or drawn),
                drawn,
            )
        )
    return found


def _without_shading_ends(members: tuple[int, ...], shading: Set[int]) -> tuple[int, ...]:
    """A run without the strokes of hatching that it begins or ends with; whole if all are such."""
    own = [n for n, k in enumerate(members) if k not in shading]
    return members[own[0] : own[-1] + 1] if own else members


def _without_turned_ends(ink: Ink, members: tuple[int, ...]) -> tuple[int, ...]:
    """A run without the ends that turn away from what was ruled: at a crossing with an arc a stroke
    may go on along either."""
    main = max(members, key=lambda k: ink.lengths[k])
    if len(members) < 2 or not _is_ruled(ink, main):
        return members
    along = _chord(ink, main)
    turned = {
        k
        for k in members
        if ink.lengths[k] > _RULED_MM and abs(float(_chord(ink, k) @ along)) < math.cos(TURNED_RAD)
    }
    return _between(members, main, turned)


def _without_ends_off_circle(ink: Ink, members: tuple[int, ...]) -> tuple[int, ...]:
    """The same for a run along what the compasses drew."""
    main = max(members, key=lambda k: ink.lengths[k])
    if len(members) < 2 or ink.pieces[main].shape != "arc" or ink.lengths[main] < _LONG_RULED_MM:
        return members
    centre, radius, rms = circle_through(ink.pieces[main].xy)
    if rms > _RULED_RMS_MM:
        return members
    left = set()
    for k in members:
        v = ink.pieces[k].xy - centre
        out = v[len(v) // 2] / max(float(np.hypot(*v[len(v) // 2])), 1e-9)
        off = float(np.abs(np.hypot(*v.T) - radius).mean()) > _OFF_CIRCLE_MM
        turned = abs(float(_chord(ink, k) @ out)) > _OFF_CIRCLE_SIN
        if off and turned and ink.lengths[k] > _RULED_MM:
            left.add(k)
    return _between(members, main, left)


def _between(members: tuple[int, ...], main: int, others: Set[int]) -> tuple[int, ...]:
    """The run about its ``main`` piece up to the nearest of the ``others`` on either side."""
    at = members.index(main)
    first = max((n + 1 for n in range(at) if members[n] in others), default=0)
    last = next((n for n in range(at, len(members)) if members[n] in others), len(members))
    return members[first:last]


def _is_ruled(ink: Ink, k: int) -> bool:
    """Whether a piece is long and straight as no hand draws it."""
    piece = ink.pieces[k]
    if piece.shape != "line" or piece.length < _LONG_RULED_MM:
        return False
    along = _chord(ink, k)
    off = (piece.xy - piece.xy.mean(axis=0)) @ np.array([-along[1], along[0]])
    return float(np.std(off)) < _RULED_RMS_MM


def _chord(ink: Ink, k: int) -> Array:
    """Unit vector from a piece's first point to its last."""
    chord: Array = ink.pieces[k].xy[-1] - ink.pieces[k].xy[0]
    return chord / max(float(np.hypot(*chord)), 1e-9)


def _mostly(ink: Ink, members: Sequence[int], kind: Set[int]) -> bool:
    """Whether over half the length of the members is of one kind."""
    theirs = [k for k in members if k in kind]
    return bool(ink.lengths[theirs].sum() > 0.5 * ink.lengths[list(members)].sum())


def _polygon(ink: Ink, target: Target, view: View, aside: Set[int]) -> tuple[int, ...]:
    """The chords that were drawn for a circle; none if it was not drawn so."""
    if target.bounded or not isinstance(target.curve, Arc):
        return ()
    return tuple(k for k in chords_of(target.curve, ink, view.u) if k not in aside)


def ruled_across(ink: Ink, curve: Curve, off: Array) -> frozenset[int]:
    """Ruled lines that would bend by over `_BEND_MM` on a circle and are no sides of a polygon
    drawn for it: none is part of it. ``off`` (N,) is every point's distance outside it, mm."""
    if not isinstance(curve, Arc):
        return frozenset()
    bend = ink.lengths**2 / (8.0 * curve.radius)
    ruled = [k for k, p in enumerate(ink.pieces) if p.shape == "line" and bend[k] > _BEND_MM]
    ends = np.maximum(np.abs(off[ink.first[:-1]]), np.abs(off[ink.first[1:] - 1]))
    chords = [k for k in ruled if ends[k] <= _CHORD_END_MM]
    sides = {k for k in chords if any(_meet(ink, k, other) for other in chords if other != k)}
    return frozenset(ruled) - sides


def _meet(ink: Ink, one: int, other: int) -> bool:
    """Whether two pieces end at one place."""
    ends, others = ink.pieces[one].xy[[0, -1]], ink.pieces[other].xy[[0, -1]]
    return bool((np.hypot(*(ends[:, None] - others[None]).T) < _CHORD_END_MM).any())


def _bent(ink: Ink, construction: Set[int]) -> frozenset[int]:
    """Construction arcs that bend by over `_BEND_MM`: none is part of a ruled line."""
    ends = {k: ink.pieces[k].xy[[0, -1]] for k in construction if ink.pieces[k].shape == "arc"}
    sagitta = {k: ink.lengths[k] ** 2 - float(((b - a) ** 2).sum()) for k, (a, b) in ends.items()}
    # of an arc l and its chord c: sagitta^2 = 3 (l^2 - c^2) / 16, nearly
    return frozenset(k for k, v in sagitta.items() if 3.0 * v / 16.0 > _BEND_MM**2)


def _inside_mm(t: Array, target: Target) -> float:
    """Length of the target alongside which there is pencil, each stretch counted once."""
    if target.bounded:
        t0, t1 = extent(target.curve)
        t = t[(t >= t0) & (t <= t1)]
    if not len(t):
        return 0.0
    return min(float(len(np.unique(np.round(t)))), max(target.room_mm, 1.0))


def _runs(ink: Ink, view: View, aside: Set[int]) -> list[tuple[int, ...]]:
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


def _wavering(ink: Ink, view: View, aside: Set[int]) -> list[tuple[int, ...]]:
    """Consecutive pieces of one stroke that make their way along the target as a whole, though
    some of them turn aside: a line drawn freehand."""
    runs: list[tuple[int, ...]] = []
    near = (ink.means(np.abs(view.u)) < REACH_MM) & view.beside
    for pieces in ink.strokes():
        run: list[int] = []
        for k in pieces:
            free = bool(near[k]) and k not in aside
            if run and not (free and _bends(ink, run[-1], k)):
                runs.append(tuple(run))
                run = []
            if free:
                run.append(k)
        runs.append(tuple(run))
    runs = [_without_ruled_ends(ink, view, run) for run in runs]
    return [run for run in runs if len(run) > 1 and _makes_way(ink, view, run)]


def _without_ruled_ends(ink: Ink, view: View, run: tuple[int, ...]) -> tuple[int, ...]:
    """The run without straight ends that turn aside: strokes of hatching, which begin and end on
    the line that they hang on."""
    while run and _ruled_aside(ink, view, run[0]):
        run = run[1:]
    while run and _ruled_aside(ink, view, run[-1]):
        run = run[:-1]
    return run


def _ruled_aside(ink: Ink, view: View, k: int) -> bool:
    return ink.pieces[k].shape == "line" and ink.lengths[k] > _RULED_MM and not view.fits[k]


def _makes_way(ink: Ink, view: View, run: Sequence[int]) -> bool:
    """Whether the run's ends lie along the target, its length is not lost in going aside, and
    much of it fits."""
    first, last = ink.first[run[0]], ink.first[run[-1] + 1] - 1
    along, aside = abs(view.t[last] - view.t[first]), abs(view.u[last] - view.u[first])
    length = float(ink.lengths[list(run)].sum())
    fitting = float(ink.lengths[[k for k in run if view.fits[k]]].sum())
    straight = aside < along * math.tan(view.turn_limit) and along > _PROGRESS * length
    return bool(straight and length > _LEAST_RUN_MM and fitting > _FITTING * length)


def _bends(ink: Ink, first: int, then: int) -> bool:
    """Whether a hand may have gone on from one piece to the next."""
    return float(ink.pieces[first].tangent[-1] @ ink.pieces[then].tangent[0]) > _BEND_COS


def _goes_on(ink: Ink, first: int, then: int) -> bool:
    """Whether the next piece of the same stroke goes on without a corner."""
    a, b = ink.pieces[first], ink.pieces[then]
    return a.stroke == b.stroke and float(a.tangent[-1] @ b.tangent[0]) > SMOOTH_COS


def reference_darkness(ink: Ink) -> float:
    dark = np.array([p.darkness for p in ink.pieces])
    return max(float(np.percentile(dark, 85)), 1e-3)


def weighed(c: Candidate, dark: float) -> Candidate:
    return replace(c, score=c.score * min(1.0, c.darkness / dark) ** 0.7)
