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
from collections.abc import Collection, Sequence, Set
from dataclasses import dataclass, field, replace

import numpy as np

from millimark.marking.arc_remains import remains_of
from millimark.marking.candidates import (
    Candidate,
    Roles,
    candidates_for,
    reference_darkness,
    weighed,
)
from millimark.marking.companions import closing, companions
from millimark.marking.expected import Box, Wanted, clipped_samples
from millimark.marking.ink import Ink
from millimark.marking.no_rivals import chord_beside_arc, hangs_on, joins_given
from millimark.marking.primitives import Primitive
from millimark.marking.same_hand import followed
from millimark.marking.targets import Target, View, targets_of
from millimark.marking.unlike import bent
from millimark.plane.curves import Arc
from millimark.plane.point import Point

_WORTH_MM = 3.0
"""Least score of a candidate: about 3 mm of perfect pencil."""
_TICK_MM = 6.5
"""A tick or an arm of a cross is shorter than this, mm."""
_FAR_MM, _BIT = 4.0, 0.3
"""So far from a circle, mm on average, an arc shorter than this share of what is needed of it is
none of it."""
_STRAIGHT = ("line", "segment", "ray")
_RIVAL_MM, _RIVAL_SHARE = 40.0, 0.12
_BESIDE_MM, _WEAVES, _AS_DARK, _MOST_BESIDE = 8.0, math.radians(50.0), 0.6, 0.5
"""Pieces within so many mm of a line, turned from it by less, and this share of its darkness, make
another one if they run beside this share of it."""


@dataclass
class Match:
    """The pencil of one element: ``pieces`` in order, ``mains`` by target, ``rivals``, and the
    pieces ``joined`` to others: on which the hand went on, or which close a gap between them.

    ``pieces`` empty: nothing was drawn for the element.
    """

    pieces: list[int] = field(default_factory=list)
    mains: list[Candidate] = field(default_factory=list)
    rivals: list[Candidate] = field(default_factory=list)
    joined: list[int] = field(default_factory=list)

    @property
    def own(self) -> frozenset[int]:
        """The pieces that are the line for sure: the main ones, and those joined to them."""
        return frozenset(k for c in self.mains for k in c.pieces) | frozenset(self.joined)


@dataclass(frozen=True)
class Matching:
    """The match of every wanted element, and their targets."""

    matches: tuple[Match, ...]
    targets: tuple[Target, ...]


def match(
    ink: Ink,
    primitives: Sequence[Primitive],
    wanted: Sequence[Wanted],
    frame: Box,
    construction: Set[int] = frozenset(),
    given: Collection[Point] = (),
) -> Matching:
    """Give pieces to elements. ``construction`` holds the pieces of recognised evidence; what joins
    two ``given`` points is no second answer."""
    targets = [t for k, w in enumerate(wanted) for t in targets_of(k, w, frame)]
    matches = tuple(Match() for _ in wanted)
    if not ink.pieces:
        return Matching(matches, tuple(targets))
    roles = Roles.of(ink, primitives, construction)
    aside, hatch = roles.out, roles.hatch
    shading = hatch | set(np.flatnonzero(roles.strokes).tolist())
    views = [View.of(ink, t, frame) for t in targets]
    dark = reference_darkness(ink)
    candidates = [
        c
        for n in range(len(targets))
        for c in candidates_for(ink, primitives, targets[n], n, views[n], roles)
    ]
    candidates = [weighed(c, dark) for c in candidates]
    candidates.sort(key=lambda c: -c.score)
    served, taken = _served(candidates, targets)
    for n, c in sorted(served.items()):
        m = matches[targets[n].wanted]
        m.mains.append(c)
        m.pieces.extend(k for k in c.pieces if k not in m.pieces)
    remains = remains_of(ink, construction)
    for n, c in sorted(served.items()):
        m = matches[targets[n].wanted]
        closed = taken | aside if views[n].bends else taken | aside | remains
        more = companions(ink, views[n], c, closed | hatch | views[n].across, roles)
        line = (*c.pieces, *more)
        closed |= shading | construction
        on = [k for k in followed(ink, views[n], line, closed) if k not in line]
        taken.update(more + on)
        m.pieces.extend(k for k in more + on if k not in m.pieces)
        m.joined.extend(on)
    for m, w in zip(matches, wanted, strict=True):
        if w.element.kind == "path" and m.pieces:
            path = np.concatenate([clipped_samples(c, frame, 1.0) for c in w.curves])
            straight = all(c.kind in _STRAIGHT for c in w.curves)
            closed = taken | aside | shading | construction
            closed |= bent(ink, construction) if straight else set()
            more = closing(ink, m.pieces, closed, path, given)
            taken.update(more)
            m.pieces.extend(more)
            m.joined.extend(more)
    for n, c in sorted(served.items()):
        others = [
            other
            for other in candidates
            if other.target == n and not _is_no_rival(ink, roles, other, c, given, targets[n])
        ]
        rival = _rival(c, others, taken, targets[n].needed_mm)
        if rival is None and not hatch and not targets[n].bounded:
            rival = _beside(ink, views[n], c, taken | aside | construction)
        if rival is not None:
            matches[targets[n].wanted].rivals.append(rival)
    return Matching(matches, tuple(targets))


def _served(
    candidates: Sequence[Candidate], targets: Sequence[Target]
) -> tuple[dict[int, Candidate], set[int]]:
    """The best candidate for each target that has one, the best of all first, and their pieces."""
    taken: set[int] = set()
    served: dict[int, Candidate] = {}
    for c in candidates:
        too_short = c.inside_mm < _least(targets[c.target]) or _is_bit(c, targets[c.target])
        if c.target in served or c.score < _WORTH_MM or too_short or taken & set(c.pieces):
            continue
        served[c.target] = c
        taken.update(c.pieces)
    _share(candidates, served, targets)
    return served, taken


def _is_no_rival(
    ink: Ink,
    roles: Roles,
    other: Candidate,
    main: Candidate,
    given: Collection[Point],
    target: Target,
) -> bool:
    """Whether a second line is no second answer: a stroke of hatching, or what joins given
    points."""
    if target.curve.kind not in _STRAIGHT:
        return chord_beside_arc(ink, other, main, target.curve)
    return hangs_on(ink, roles, other, main) or joins_given(ink, other.pieces, given)


def _least(target: Target) -> float:
    """Least length of pencil along a target, mm: of a long line, more than a tick or the arm of a
    cross that marks a point; of a part of a path, more than a scrap."""
    return min(_TICK_MM, (target.room_mm if target.bounded else target.needed_mm) / 5.0)


def _is_bit(c: Candidate, target: Target) -> bool:
    """Whether a candidate for a circle is a far arc of some other: what was drawn for it in the
    wrong place has its length."""
    far = c.deviation_mm > _FAR_MM and c.inside_mm < _BIT * target.needed_mm
    return far and isinstance(target.curve, Arc) and not target.bounded


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


def _beside(ink: Ink, view: View, main: Candidate, closed: Set[int]) -> Candidate | None:
    """Loose pieces that together run beside most of a straight line, as dark as it is: a freehand
    line that weaves about a ruled one, say."""
    if view.bends:
        return None
    off, turn = ink.means(np.abs(view.u)), ink.means(view.turn)
    pieces = tuple(
        k
        for k, p in enumerate(ink.pieces)
        if k not in closed
        and p.darkness > _AS_DARK * main.darkness
        and off[k] < _BESIDE_MM
        and turn[k] < _WEAVES
    )
    if not pieces:
        return None
    at, own = (
        np.concatenate([np.arange(ink.first[k], ink.first[k + 1]) for k in part])
        for part in (pieces, main.pieces)
    )
    shared = np.intersect1d(np.round(view.t[at]), np.round(view.t[own]))
    away = float(np.abs(view.u[at]).max())
    apart = away > main.deviation_mm + _BESIDE_MM / 4
    if len(shared) < _MOST_BESIDE * main.inside_mm or not apart:
        return None
    return replace(main, pieces=pieces, strays_mm=away, inside_mm=float(len(shared)))


def _rival(
    main: Candidate, candidates: Sequence[Candidate], taken: Set[int], needed_mm: float
) -> Candidate | None:
    """Another clean line of about the same length, as far as it is needed, and darkness that could
    be the answer."""
    least = max(0.5 * min(main.inside_mm, needed_mm), min(0.4 * needed_mm, _RIVAL_MM))
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
