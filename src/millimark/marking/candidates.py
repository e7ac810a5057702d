"""Which pencil could be the pupil's line for a target, and how well it explains it."""

from __future__ import annotations

import math
from collections.abc import Sequence, Set
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from millimark.marking.arc_crossings import arc_crossings, joins_two
from millimark.marking.ink import Array, Ink
from millimark.marking.last_strokes import ASIDE_RAD, last_strokes
from millimark.marking.polygons import chords_of
from millimark.marking.primitives import Primitive, crossed_out_in, hatching_in
from millimark.marking.run_ends import (
    without_arc_ends,
    without_ends_off_circle,
    without_shading_ends,
    without_turned_ends,
)
from millimark.marking.runs import runs_along, wavering
from millimark.marking.same_hand import followed
from millimark.marking.targets import Target, View, extent
from millimark.marking.unlike import bent, struck_across
from millimark.plane.curves import Arc

_DECAY_MM = 8.0
_EVIDENCE, _HATCH, _HATCH_MM = 0.35, 0.10, 2.5
"""Construction and hatching count for so much less; hatching further off, mm, for nothing."""
_HAND_MM = 20.0
"""A line on which a hand went on from piece to piece is longer than this, mm: so are no scraps of
hatching."""
_SIDE = 0.4
"""Of a figure's side more than this share is drawn in one: what is shorter and shows the method was
struck to find its end."""


@dataclass(frozen=True)
class Candidate:
    """Pieces that may be the pupil's line for a target; mm along it and from it: ``deviation_mm``
    on average, ``strays_mm`` at most."""

    pieces: tuple[int, ...]
    target: int
    score: float
    inside_mm: float
    deviation_mm: float
    strays_mm: float
    offset_mm: float
    darkness: float
    clean: bool
    hatch: bool = False


@dataclass(frozen=True, eq=False)
class Roles:
    """What is known of the pieces: which are crossed ``out``, hatching or construction arcs, and
    which (K,) may be the last ``strokes`` of hatching. ``crossings`` (N, 2) are where the arcs
    cross."""

    out: frozenset[int]
    hatch: frozenset[int]
    strokes: NDArray[np.bool_]
    construction: frozenset[int]
    crossings: Array

    @staticmethod
    def of(ink: Ink, primitives: Sequence[Primitive], construction: Set[int]) -> Roles:
        out, hatch = crossed_out_in(primitives), hatching_in(primitives)
        crossings = arc_crossings(ink, construction)
        strokes = last_strokes(ink, hatch)
        return Roles(out, hatch, strokes, frozenset(construction), crossings)


def candidates_for(
    ink: Ink,
    primitives: Sequence[Primitive],
    target: Target,
    number: int,
    view: View,
    roles: Roles,
) -> list[Candidate]:
    aside, hatch, construction = set(roles.out), roles.hatch, roles.construction
    hanging = roles.strokes & (ink.means(view.turn) > ASIDE_RAD)
    shading = hatch | set(np.flatnonzero(hanging).tolist())
    groups: list[tuple[int, ...]] = []
    polygon = _polygon(ink, target, view, aside)
    aside |= view.across
    if not view.bends:
        aside |= bent(ink, construction)
        if target.bounded:
            short = _SIDE * target.room_mm
            aside |= {k for k in construction if ink.lengths[k] < short}
    for p in primitives:
        members = tuple(k for k in p.pieces if view.fits[k] and k not in aside)
        if members:
            groups.append(members)
    free = [without_arc_ends(ink, run, construction) for run in wavering(ink, view, aside)]
    for runs in (runs_along(ink, view, aside), free):
        groups += [g for g in runs if g not in groups]
    groups += [polygon] if polygon else []
    found = []
    for members in _lines(ink, groups, target, view, roles, shading):
        at = np.concatenate([np.arange(ink.first[k], ink.first[k + 1]) for k in members])
        u, t = view.u[at], view.t[at]
        inside = _inside_mm(t, target)
        if inside <= 0.0 or (not view.bends and struck_across(ink, members)):
            continue
        deviation = float(np.abs(u).mean())
        built = _mostly(ink, members, construction) and deviation > 1.5
        drawn = _mostly(ink, members, shading)
        if drawn and not view.bends and joins_two(ink, members, roles.crossings):
            drawn = False
        hatching = _HATCH if deviation < _HATCH_MM else 0.0
        weight = (_EVIDENCE if built else 1.0) * (hatching if drawn else 1.0)
        dark = float(np.mean([ink.pieces[k].darkness for k in members]))
        found.append(
            Candidate(
                members,
                number,
                weight * inside * math.exp(-deviation / _DECAY_MM),
                inside,
                deviation,
                float(np.abs(u).max()),
                float(u.mean()),
                dark,
                not (construction & set(members) or drawn),
                drawn,
            )
        )
    return found


def _lines(
    ink: Ink,
    groups: list[tuple[int, ...]],
    target: Target,
    view: View,
    roles: Roles,
    shading: Set[int],
) -> list[tuple[int, ...]]:
    """The groups, and those on which a hand went on from them, without the ends that are none of
    their line; each once."""
    others = roles.out | roles.construction | shading
    on = [followed(ink, view, g, others) for g in groups]
    groups = groups + [g for g in on if float(ink.lengths[list(g)].sum()) > _HAND_MM]
    own = [without_shading_ends(g, shading) for g in groups]
    if not view.bends:
        own = [without_turned_ends(ink, g) for g in own]
    elif not target.bounded:
        own = [without_ends_off_circle(ink, g, bool(roles.hatch)) for g in own]
    return list(dict.fromkeys(own))


def _mostly(ink: Ink, members: Sequence[int], kind: Set[int]) -> bool:
    """Whether over half the length of the members is of one kind."""
    theirs = [k for k in members if k in kind]
    return bool(ink.lengths[theirs].sum() > 0.5 * ink.lengths[list(members)].sum())


def _polygon(ink: Ink, target: Target, view: View, aside: Set[int]) -> tuple[int, ...]:
    """The chords that were drawn for a circle; none if it was not drawn so."""
    if target.bounded or not isinstance(target.curve, Arc):
        return ()
    return tuple(k for k in chords_of(target.curve, ink, view.u) if k not in aside)


def _inside_mm(t: Array, target: Target) -> float:
    """Length of the target alongside which there is pencil, each stretch counted once."""
    if target.bounded:
        t0, t1 = extent(target.curve)
        t = t[(t >= t0) & (t <= t1)]
    if not len(t):
        return 0.0
    return min(float(len(np.unique(np.round(t)))), max(target.room_mm, 1.0))


def reference_darkness(ink: Ink) -> float:
    dark = np.array([p.darkness for p in ink.pieces])
    return max(float(np.percentile(dark, 85)), 1e-3)


def weighed(c: Candidate, dark: float) -> Candidate:
    return replace(c, score=c.score * min(1.0, c.darkness / dark) ** 0.7)
