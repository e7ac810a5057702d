"""What a planted fault does to the strokes of one element.

Each takes the element's answer strokes and gives them back changed; construction arcs
are left alone unless the fault is about them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from millimark.rehearsal.bench import STEP, relined, wavy
from millimark.rehearsal.faults import Fault
from millimark.rehearsal.pencil import Compass, PencilStroke, Xy, normals, resampled
from millimark.rehearsal.ruled_first import with_the_answer

Strokes = list[PencilStroke]
Rng = np.random.Generator


def _shifted(strokes: Strokes, size: float, rng: Rng) -> Strokes:
    return [s.at(s.xy + normals(s.xy) * size) for s in strokes]


def _turned(strokes: Strokes, size: float, rng: Rng) -> Strokes:
    a = math.radians(size)
    turn = np.array([[math.cos(a), -math.sin(a)], [math.sin(a), math.cos(a)]])
    middle = np.concatenate([s.xy for s in strokes]).mean(axis=0)
    return [s.at((s.xy - middle) @ turn.T + middle) for s in strokes]


def _short(strokes: Strokes, size: float, rng: Rng) -> Strokes:
    """Keep a share of each arc, from a random place in it."""
    kept = []
    for s in strokes:
        n = max(2, int(size * len(s.xy)))
        first = int(rng.integers(0, max(1, len(s.xy) - n + 1)))
        kept.append(s.at(s.xy[first : first + n]))
    return kept


def _short_line(strokes: Strokes, size: float, rng: Rng) -> Strokes:
    """Keep ``size`` mm about the middle of each line."""
    kept = []
    for s in strokes:
        n = max(2, round(size / STEP))
        first = max(0, (len(s.xy) - n) // 2)
        kept.append(s.at(s.xy[first : first + n]))
    return kept


def _slipped(strokes: Strokes, size: float, rng: Rng) -> Strokes:
    """Compasses that open or close steadily by ``size`` mm over each arc."""
    changed = []
    for s in strokes:
        if s.compass is None:
            changed.append(s)
            continue
        out = s.xy - np.array(s.compass.centre)
        out = out / np.hypot(out[:, 0], out[:, 1])[:, None]
        drift = np.linspace(0.0, size, len(s.xy))
        changed.append(s.at(s.xy + out * drift[:, None]))
    return changed


def _freehand(strokes: Strokes, size: float, rng: Rng) -> Strokes:
    """No instrument: long waves of the hand with a tremor on them."""
    return [
        relined(s, wavy(wavy(s.xy, size, rng, every=24.0), size * 0.18, rng, every=5.0))
        for s in strokes
    ]


def _polygonal(strokes: Strokes, size: float, rng: Rng) -> Strokes:
    """Points plotted at the distance, about ``size`` mm apart, and joined with a ruler."""
    changed = []
    for s in strokes:
        n = max(3, round(s.length / size) + 1)
        corners = s.xy[np.linspace(0, len(s.xy) - 1, n).astype(int)]
        changed.append(relined(s, wavy(resampled(corners, STEP), 0.05, rng)))
    return changed


def _dot(strokes: Strokes, size: float, rng: Rng) -> Strokes:
    s = max(strokes, key=lambda one: one.length)
    at = s.xy[len(s.xy) // 2]
    a = np.linspace(0, 4 * math.pi, 24)
    blob = at + 0.35 * np.column_stack((np.cos(a), np.sin(a))) * np.linspace(1, 0.2, 24)[:, None]
    return [relined(replace(s, width=0.6, part=None), blob)]


def _squared(strokes: Strokes, size: float, rng: Rng) -> Strokes:
    """Corners ruled where the ends should be round."""
    return [
        relined(s, wavy(_corners(s.xy, s.compass), 0.05, rng))
        if s.part == "round" and s.compass is not None
        else s
        for s in strokes
    ]


def _corners(xy: Xy, compass: Compass) -> Xy:
    """The tangents at an arc's ends, run to their corners: one for a quarter, two for a half."""
    centre = np.array(compass.centre)
    a = xy[0] - centre
    sweep = _turn(xy - centre)
    begin = math.atan2(a[1], a[0])
    for whole in (math.pi, math.pi / 2):  # an arc runs on a little at its ends; a corner not
        if abs(abs(sweep) - whole) < 0.5:
            begin += (sweep - math.copysign(whole, sweep)) / 2
            sweep = math.copysign(whole, sweep)
    pieces = 1 if abs(sweep) < 0.75 * math.pi else 2
    each = sweep / pieces
    if pieces == 1 and abs(each) > 0.6 * math.pi:
        return np.vstack((xy[0], xy[-1]))
    corner = [_on(compass, begin)]
    for i in range(pieces):
        angle = begin + each * (i + 0.5)
        corner.append(_on(compass, angle, compass.radius / math.cos(each / 2)))
    corner.append(_on(compass, begin + sweep))
    legs = [resampled(np.array(leg), STEP) for leg in pairwise(corner)]
    return np.vstack(legs)


def _on(compass: Compass, angle: float, reach: float | None = None) -> Xy:
    r = compass.radius if reach is None else reach
    return np.array(compass.centre) + r * np.array([math.cos(angle), math.sin(angle)])


def _turn(out: Xy) -> float:
    """Whole turn (radians, signed) of a run of directions."""
    angles = np.unwrap(np.arctan2(out[:, 1], out[:, 0]))
    return float(angles[-1] - angles[0])


def _half_missing(strokes: Strokes, size: float, rng: Rng) -> Strokes:
    """Only what lies on one side of the middle, along the longer direction."""
    every = np.concatenate([s.xy for s in strokes])
    middle = every.mean(axis=0)
    _, _, axes = np.linalg.svd(every - middle, full_matrices=False)
    side = axes[0] * (1.0 if rng.random() < 0.5 else -1.0)
    kept = []
    for s in strokes:
        inside = (s.xy - middle) @ side > 0
        if inside.sum() > 4:
            kept.append(s.at(s.xy[_longest(inside)]))
    return kept


def _longest(inside: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> slice:
    """The longest unbroken run of True, as a slice."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], inside.astype(int), [0]))))
    starts, ends = edges[::2], edges[1::2]
    k = int(np.argmax(ends - starts))
    return slice(int(starts[k]), int(ends[k]))


def _one_parallel(strokes: Strokes, size: float, rng: Rng) -> Strokes:
    straight = [s for s in strokes if s.part == "straight"]
    if len(straight) < 2:
        return strokes
    lost = straight[int(rng.integers(len(straight)))]
    return [s for s in strokes if s is not lost]


def _ends_missing(strokes: Strokes, size: float, rng: Rng) -> Strokes:
    return [s for s in strokes if s.part != "round"]


def _two_answers(strokes: Strokes, size: float, rng: Rng) -> Strokes:
    """A second line as good as the first, some millimetres aside, neither crossed out."""
    rivals = [
        replace(s, role="rival", xy=s.xy + normals(s.xy) * size, compass=None) for s in strokes
    ]
    return [*strokes, *rivals]


MISHAPS: dict[str, Callable[[Strokes, float, Rng], Strokes]] = {
    "line-shifted": _shifted,
    "near-limit": _shifted,
    "line-turned": _turned,
    "short": _short,
    "short-line": _short_line,
    "slipped": _slipped,
    "freehand": _freehand,
    "polygonal": _polygonal,
    "dot": _dot,
    "squared-ends": _squared,
    "half-missing": _half_missing,
    "one-parallel": _one_parallel,
    "ends-missing": _ends_missing,
    "two-answers": _two_answers,
}
MOVED = ("line-shifted", "near-limit", "line-turned")
"""The answer's lines lie elsewhere and are as straight and long as they were."""
NOT_RULED = ("freehand", "dot", "short-line")
"""Nobody ruled a whole line there first."""


def befall(
    strokes: Sequence[PencilStroke], element: str, fault: Fault, rng: Rng
) -> list[PencilStroke]:
    """All strokes, with the fault done to those of ``element``; unchanged if it does
    nothing to strokes."""
    if fault.kind == "no-arcs":
        return [s for s in strokes if not (s.element == element and s.role == "construction")]
    if fault.kind == "faint-arcs":
        faint = float(rng.uniform(0.13, 0.20))
        return [replace(s, darkness=faint) if s.role == "construction" else s for s in strokes]
    change = MISHAPS.get(fault.kind)
    mine = [s for s in strokes if s.element == element and s.role == "answer"]
    if change is None or not mine:
        return list(strokes)
    others = [s for s in strokes if not (s.element == element and s.role == "answer")]
    changed = change(mine, fault.size, rng)
    if fault.kind in MOVED or fault.kind in NOT_RULED:
        others = with_the_answer(others, mine, changed, fault.kind in MOVED)
    return [*others, *changed]
