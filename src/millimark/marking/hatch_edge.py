"""Whether what passes for a ruled boundary is only the outermost stroke of the shading.

Hatching along a boundary that was not drawn ends in a stroke that lies where the boundary
should. A drawn boundary differs in something: it is darker, or longer than the strokes beside it,
or its construction is there. Where it differs in nothing nobody can tell.
"""

from __future__ import annotations

import math
from collections.abc import Sequence, Set
from dataclasses import replace

import numpy as np

from millimark.marking.findings import ElementFinding, EvidenceFinding
from millimark.marking.ink import Array, Ink
from millimark.marking.matching import Matching
from millimark.marking.through import line_through

_PARALLEL = math.radians(5.0)
_LEAST_MM, _REACH_MM = 6.0, 24.0
"""The shortest stroke that counts, and how far from the line strokes are looked for, mm."""
_TOGETHER_MM = 0.9
_STROKES = 3
"""So many strokes on one side, about as far apart as the line from the first, are hatching."""
_WIDEST_MM, _EVEN = 8.0, 1.8
_LONGER_MM = 5.0
"""A ruled boundary runs on beyond the strokes beside it by more than this."""
_DARKER = 1.15
_UNEVEN_MM = 0.5


def with_hatching(
    elements: Sequence[ElementFinding],
    evidence: Sequence[EvidenceFinding],
    matching: Matching,
    ink: Ink,
) -> tuple[ElementFinding, ...]:
    """The elements of a region's boundary, marked what shading makes doubtful of them. Where its
    construction arcs were found a line was ruled."""
    ruled = {e.owner for e in evidence if e.found}
    marked = []
    for e, m in zip(elements, matching.matches, strict=True):
        edge = e.found and e.kind == "line" and e.element not in ruled and bool(m.pieces)
        uneven = e.found and e.kind != "path" and (e.roughness_mm or 0.0) > _UNEVEN_MM
        marked.append(
            replace(e, hatch_edge=edge and is_hatch_edge(ink, m.pieces), entangled=uneven)
        )
    return tuple(marked)


def is_hatch_edge(ink: Ink, pieces: Sequence[int]) -> bool:
    """Whether the line made of these pieces differs in nothing from hatching beside it."""
    at = np.concatenate([np.arange(ink.first[k], ink.first[k + 1]) for k in pieces])
    middle, along = line_through(ink.xy[at])
    place = (ink.xy - middle) @ along
    off = (ink.xy - middle) @ np.array([-along[1], along[0]])
    own = (float(place[at].min()), float(place[at].max()))
    dark = float(np.mean([ink.pieces[k].darkness for k in pieces]))
    for side in (1.0, -1.0):
        strokes = _beside(ink, set(pieces), along, side * off, place)
        if _hatched(strokes) and not _stands_out(own, dark, strokes):
            return True
    return False


Stroke = tuple[float, float, float, float]
"""Distance from the line, places of its two ends along it, darkness."""


def _beside(ink: Ink, own: Set[int], along: Array, off: Array, place: Array) -> list[Stroke]:
    """The parallel strokes on one side, nearest first; pieces of one line as one stroke."""
    found: list[Stroke] = []
    for k in range(len(ink.pieces)):
        here = slice(ink.first[k], ink.first[k + 1])
        distance, length = float(off[here].mean()), float(ink.lengths[k])
        if k in own or length < _LEAST_MM or not _TOGETHER_MM < distance < _REACH_MM:
            continue
        chord = ink.xy[here][-1] - ink.xy[here][0]
        turn = abs(float(chord @ np.array([-along[1], along[0]])))
        if turn > math.tan(_PARALLEL) * abs(float(chord @ along)):
            continue
        found.append(
            (distance, float(place[here].min()), float(place[here].max()), ink.pieces[k].darkness)
        )
    return _joined(sorted(found))


def _joined(strokes: Sequence[Stroke]) -> list[Stroke]:
    lines: list[Stroke] = []
    for s in strokes:
        if lines and s[0] - lines[-1][0] < _TOGETHER_MM:
            last = lines[-1]
            dark = (last[3] + s[3]) / 2.0
            lines[-1] = (last[0], min(last[1], s[1]), max(last[2], s[2]), dark)
        else:
            lines.append(s)
    return lines


def _hatched(strokes: Sequence[Stroke]) -> bool:
    """Whether the strokes lie as far from each other as the first from the line."""
    if len(strokes) < _STROKES:
        return False
    gaps = np.diff([0.0, *(s[0] for s in strokes[: _STROKES + 1])])
    usual = float(np.median(gaps[1:]))
    return bool(gaps.max() < _WIDEST_MM and usual / _EVEN < gaps[0] < usual * _EVEN)


def _stands_out(own: tuple[float, float], dark: float, strokes: Sequence[Stroke]) -> bool:
    """Whether the line is darker than the strokes, or longer than they would lead to."""
    if dark > _DARKER * float(np.median([s[3] for s in strokes])):
        return True
    first, second = strokes[0], strokes[1]
    share = first[0] / max(second[0] - first[0], 1e-6)
    low = first[1] - min(max(second[1] - first[1], 0.0) * share, _LONGER_MM)
    high = first[2] + min(max(first[2] - second[2], 0.0) * share, _LONGER_MM)
    return low - own[0] > _LONGER_MM or own[1] - high > _LONGER_MM
