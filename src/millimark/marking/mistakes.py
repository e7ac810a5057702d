"""Which misconception, if any, the pencil shows: another construction than the one asked for.

Every misconception that `loci.mistaken` knows of an element is laid on the paper, and the pupil's
lines are compared with it, with the right answer and with a line that lies anywhere: by
likelihood, the hand's wander about a construction being normal. One is named only where it
stands out from the right answer, from the other misconceptions and from chance.
"""

from __future__ import annotations

import math
from collections.abc import Sequence, Set
from dataclasses import dataclass

import numpy as np

from millimark.loci.mistaken import Mistake, mistaken
from millimark.marking.expected import Expected, Wanted
from millimark.marking.findings import Fault
from millimark.marking.ink import Ink
from millimark.marking.matching import Matching
from millimark.marking.mistake_words import MISTAKES
from millimark.marking.polygons import chords_of
from millimark.marking.primitives import Primitive, hatching_in
from millimark.marking.targets import seen_from
from millimark.marking.unbent_rope import unbent_rope
from millimark.plane.curves import Arc, Curve

_HAND_MM = 0.7
"""How far a hand's construction lies from where it belongs, mm (standard deviation): common
practice, no source."""
_ANYWHERE_MM = 60.0
"""Over what a line that follows no rule is taken to lie anywhere, at each of its two ends."""
_CHANCE = (_HAND_MM * math.sqrt(2.0 * math.pi) / _ANYWHERE_MM) ** 2
"""Likelihood of a line that lies anywhere, beside one right on a construction."""
_LEAST_MM, _LEAST_TURN = 18.0, 0.35
"""Pencil shorter than this, mm, or an arc over less than this, radians, tells nothing."""
_BEHIND_MM = 3.0
_CONFIDENT = 0.75
_RIGHT_MM = 2.5
"""A line this near to another element's right place is that element's."""
_TOGETHER = frozenset({"one-centre", "one-vertex", "sides-swapped", "whole"})
"""Of these every curve has to be there, and then of the right answer too; of others one will do."""


@dataclass(frozen=True)
class Drawn:
    """What there is to explain: the pencil and what it was matched to."""

    ink: Ink
    primitives: Sequence[Primitive]
    matching: Matching


def misconception(wanted: Wanted, expect: Expected, drawn: Drawn) -> Fault | None:
    """The misconception that explains a line of the pupil's for this element; None if none does."""
    hatching = hatching_in(drawn.primitives)
    rope = unbent_rope(wanted, drawn.ink, hatching, expect)
    if rope is not None:
        return rope
    if _is_polygon(wanted, drawn.ink, expect, hatching):
        return Fault("polygonal", MISTAKES["polygonal"].text, element=wanted.name)
    known = mistaken(wanted.element.locus, expect.figure, expect.question.scale)
    lines = _lines(wanted, drawn, expect) if known else []
    if not lines:
        return None
    causes: dict[str, float] = {}
    for m in known:
        causes[m.code] = max(causes.get(m.code, 0.0), _likelihood(m, lines, drawn.ink, expect))
    whole = bool(_TOGETHER & set(causes))
    answer = Mistake("whole" if whole else "right", wanted.element.curves)
    right = _likelihood(answer, lines, drawn.ink, expect)
    best = max(causes, key=lambda code: causes[code])
    confidence = causes[best] / (sum(causes.values()) + right + _CHANCE * len(lines) * len(known))
    if confidence < _CONFIDENT:
        return None
    return Fault(best, MISTAKES[best].text, None, confidence, wanted.name)


def _is_polygon(wanted: Wanted, ink: Ink, expect: Expected, hatching: Set[int]) -> bool:
    """Whether the pencil along a circle is chords of it, not all of them strokes of hatching."""
    circles = [c for c in wanted.curves if isinstance(c, Arc)]
    if not circles or wanted.element.kind != "arc" or not ink.pieces:
        return False
    off = seen_from(circles[0], ink.xy, expect.frame)[0]
    return bool(set(chords_of(circles[0], ink, off)) - hatching)


def _lines(wanted: Wanted, drawn: Drawn, expect: Expected) -> list[tuple[int, ...]]:
    """The groups of pieces that are lines or arcs of some length and no other element's."""
    spoken = {
        k
        for w, m in zip(expect.wanted, drawn.matching.matches, strict=True)
        for main in m.mains
        if main.deviation_mm < _RIGHT_MM and w is not wanted
        for k in main.pieces
    }
    return [
        tuple(p.pieces)
        for p in drawn.primitives
        if not p.hatch and not p.cancelled and p.length >= _LEAST_MM and not spoken & set(p.pieces)
    ]


def _likelihood(
    mistake: Mistake, lines: Sequence[tuple[int, ...]], ink: Ink, expect: Expected
) -> float:
    """How well its curves are drawn, at best 1; 0 where nothing is."""
    each = [_drawn_along(c, lines, ink, expect) for c in mistake.curves]
    if mistake.code in _TOGETHER:
        return min(each, default=0.0)
    return max(each, default=0.0)


def _drawn_along(
    curve: Curve, lines: Sequence[tuple[int, ...]], ink: Ink, expect: Expected
) -> float:
    """The likelihood of the best line along one curve (figure cm)."""
    placed = curve.transformed(expect.to_paper)
    u, t, _ = seen_from(placed, ink.xy, expect.frame)
    best = 0.0
    for pieces in lines:
        at = np.concatenate([np.arange(ink.first[k], ink.first[k + 1]) for k in pieces])
        least = _LEAST_MM
        if isinstance(placed, Arc):
            least = max(least, _LEAST_TURN * placed.radius)
        behind = math.isfinite(placed.t0) and float(np.median(t[at])) < placed.t0 - _BEHIND_MM
        if float(np.ptp(t[at])) < least or (behind and not isinstance(placed, Arc)):
            continue
        best = max(best, math.exp(-float((u[at] ** 2).mean()) / _HAND_MM**2))
    return best
