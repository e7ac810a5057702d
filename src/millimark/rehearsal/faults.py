"""The faults that can be planted, out of what markers see on paper.

Each kind has what it applies to: ``arcs`` (a circle or arc about a point), ``path`` (a
locus round a segment or polygon), ``line`` (a bisector), ``region``, or ``page`` (any
answer). Sizes are real millimetres, degrees or shares, as the table says.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from millimark.loci.answer import Element
from millimark.loci.conditions import AtDistance, Equidistant, PointOf
from millimark.rehearsal.hands import Pupil
from millimark.rehearsal.needles import crossing_pair, last_needle
from millimark.working.acts import ElementWorking

MISCONCEPTIONS = (
    "through-midpoint", "parallel-drawn", "perpendicular-drawn", "sixty-drawn", "wrong-scale",
    "counted-back", "bearing-reversed", "bearing-anticlockwise", "bearing-from-east",
    "scale-ignored", "scale-inverted", "one-centre", "sides-swapped", "one-vertex",
)  # fmt: skip
"""Another construction than the one that is asked: see `loci.mistaken`."""


@dataclass(frozen=True)
class Kind:
    """A kind of fault: what it can befall, the sizes it takes, and how often it is chosen."""

    name: str
    befalls: tuple[str, ...]
    sizes: tuple[float, float]
    unit: str
    weight: float
    signed: bool = False


KINDS: tuple[Kind, ...] = (
    Kind("length-wrong", ("arcs", "path"), (3.0, 8.0), "mm", 3.0, signed=True),
    Kind("ruler-end", ("arcs", "path"), (3.0, 6.0), "mm", 1.0),
    Kind("needle-off", ("arcs",), (2.5, 5.0), "mm", 0.8),
    Kind("short", ("arcs",), (0.3, 0.75), "share", 1.5),
    Kind("slipped", ("arcs",), (3.0, 8.0), "mm", 1.2, signed=True),
    Kind("freehand", ("arcs", "line"), (0.9, 2.0), "mm", 1.0),
    Kind("dot", ("arcs", "line"), (0.0, 0.0), "", 0.4),
    Kind("squared-ends", ("path",), (0.0, 0.0), "", 2.5),
    Kind("half-missing", ("path",), (0.5, 0.5), "share", 1.2),
    Kind("one-parallel", ("path",), (1.0, 1.0), "lines", 1.2),
    Kind("ends-missing", ("path",), (0.0, 0.0), "", 1.2),
    Kind("unequal-arcs", ("bisects", "needles"), (3.0, 9.0), "mm", 1.5, signed=True),
    Kind("small-arcs", ("bisects", "pair"), (0.6, 0.9), "share", 1.0),
    Kind("no-arcs", ("line", "shown"), (0.0, 0.0), "", 2.0),
    Kind("line-shifted", ("line",), (3.0, 8.0), "mm", 1.0, signed=True),
    Kind("line-turned", ("line",), (3.5, 9.0), "deg", 1.0, signed=True),
    Kind("short-line", ("line",), (8.0, 20.0), "mm", 0.5),
    Kind("two-answers", ("arcs", "line"), (6.0, 12.0), "mm", 0.4, signed=True),
    *(Kind(code, ("mistaken",), (0.0, 0.0), "", 1.0) for code in MISCONCEPTIONS),
    Kind("polygonal", ("arcs",), (24.0, 36.0), "mm", 0.6),
    Kind("parallax", (), (0.9, 1.6), "mm", 0.0, signed=True),
    Kind("point-off", ("points",), (3.5, 8.0), "mm", 1.5),
    Kind("point-missing", ("points",), (0.0, 0.0), "", 1.0),
    Kind("wrong-side", ("region",), (0.0, 0.0), "", 2.0),
    Kind("not-shaded", ("region",), (0.0, 0.0), "", 1.2),
    Kind("blank", ("page",), (0.0, 0.0), "", 0.5),
)
BY_NAME = {kind.name: kind for kind in KINDS}

NEAR_LIMIT = "near-limit"
"""Not a fault but a test of the marker's honesty: an error planted close to the tolerance."""

HABITS: dict[str, float] = {
    "faint-arcs": 0.08,
    "first-try": 0.05,
    "double-line": 0.06,
    "stray": 0.12,
    "labels": 0.20,
    "rubbed-out": 0.06,
    "near-arc": 0.06,
}
"""Things that must not cost a mark, with how often they are seen."""


@dataclass(frozen=True)
class Fault:
    """A planted fault: its kind, the element it befell (None: the region or all), its size."""

    kind: str
    element: str | None = None
    size: float = 0.0


def befalls(element: Element, step: ElementWorking | None = None) -> tuple[str, ...]:
    """What kinds of thing an element is, in the words of the table; ``step`` is how it is drawn."""
    arcs: tuple[str, ...] = ()
    if step is not None and step.evidence:
        arcs = ("shown",)
        arcs += ("needles",) if last_needle(step) is not None else ()
        arcs += ("pair",) if crossing_pair(step) is not None else ()
    if element.kind == "line":
        two_points = isinstance(element.locus, Equidistant) and all(
            isinstance(f, PointOf) for f in element.locus.features
        )
        return ("line", "bisects", *arcs) if two_points else ("line", *arcs)
    return ("arcs", *arcs) if element.kind == "arc" else ("path", *arcs)


def choose(
    elements: Sequence[Element],
    region: bool,
    rng: np.random.Generator,
    rate: float,
    steps: Sequence[ElementWorking] = (),
    mistakes: Mapping[str, Sequence[str]] | None = None,
    points: Sequence[str] = (),
) -> tuple[Fault, ...]:
    """Faults and habits for one answer; empty for most. ``rate`` is the chance of a fault;
    ``steps`` say how the elements are drawn, ``mistakes`` by element which misconceptions
    there are of it; ``points`` what points are called that are to be marked."""
    planted: list[Fault] = []
    if rng.random() < rate:
        by_name = {s.element: s for s in steps}
        planted.append(_one_fault(elements, region, rng, by_name, mistakes or {}, points))
    elif elements and rng.random() < 0.08:
        element = elements[int(rng.integers(len(elements)))]
        planted.append(Fault(NEAR_LIMIT, element.name, float(rng.uniform(1.2, 2.8))))
    planted += [Fault(name) for name, chance in HABITS.items() if rng.random() < chance]
    return tuple(planted)


def _one_fault(
    elements: Sequence[Element],
    region: bool,
    rng: np.random.Generator,
    steps: Mapping[str, ElementWorking],
    mistakes: Mapping[str, Sequence[str]],
    points: Sequence[str],
) -> Fault:
    options: list[tuple[Kind, str | None]] = [(BY_NAME["blank"], None)]
    options += [(k, None) for k in KINDS if region and "region" in k.befalls]
    for e in elements:
        options += [
            (k, e.name) for k in KINDS if set(k.befalls) & set(befalls(e, steps.get(e.name)))
        ]
        options += [(BY_NAME[code], e.name) for code in mistakes.get(e.name, ())]
    for name in points:
        shown = name in steps and bool(steps[name].evidence)
        options += [(k, name) for k in KINDS if "points" in k.befalls]
        options += [(BY_NAME["no-arcs"], name)] if shown else []
    weights = np.array([k.weight for k, _ in options])
    kind, element = options[int(rng.choice(len(options), p=weights / weights.sum()))]
    return Fault(kind.name, element, size_of(kind, rng))


def misread_ruler(
    pupil: Pupil, elements: Sequence[Element], planted: Sequence[Fault]
) -> list[Fault]:
    """What a pupil who reads every length wrong by one amount does to an answer's lengths; nothing
    where another fault was planted."""
    if not pupil.reads_mm or any(f.kind in BY_NAME or f.kind == NEAR_LIMIT for f in planted):
        return []
    kind = "ruler-end" if abs(pupil.reads_mm) > BY_NAME["parallax"].sizes[1] else "parallax"
    named = [e for e in elements if isinstance(e.locus, AtDistance)]
    return [Fault(kind, e.name, pupil.reads_mm) for e in named]


def size_of(kind: Kind, rng: np.random.Generator) -> float:
    """A size for this kind of fault, evenly over its range, of either sign where it has one."""
    size = float(rng.uniform(*kind.sizes))
    return -size if kind.signed and rng.random() < 0.5 else size
