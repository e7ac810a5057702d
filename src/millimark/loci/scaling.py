"""Solving huge, tiny and far-off figures in a frame of ordinary size, and back.

The working precision is a length (1e-9 cm), so a figure of 1e-6 cm or 1e+6 cm, or one far from
the origin, is first moved and scaled to about 10 cm.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from typing import Any, get_args

from millimark.loci.answer import Answer, Element, Measured, RegionAnswer
from millimark.loci.conditions import (
    Ask,
    AtDistance,
    Condition,
    Distance,
    Locus,
    RopeEnd,
    SumCompared,
    SumOfDistances,
    WithinRope,
)
from millimark.loci.figure import Figure
from millimark.loci.names import locus_name
from millimark.plane.curves import Curve
from millimark.plane.point import Point
from millimark.plane.similarity import Similarity

LENGTHS = ("length", "radius")
"""Fields of asks that are lengths, cm."""
ORDINARY = (1.0, 60.0)
"""Sizes (cm) that need no other frame: those of paper."""
NEAR = 200.0
"""How far (cm) from the origin a figure of ordinary size may lie without being moved."""


def solved_in_frame(figure: Figure, ask: Ask, solve: Callable[[Figure, Ask], Answer]) -> Answer:
    """``solve(figure, ask)``, in an ordinary frame where the figure is out of the ordinary."""
    into = ordinary_frame(figure, ask)
    if into is None:
        return solve(figure, ask)
    originals: dict[Locus, Locus] = {}
    answer = solve(framed(figure, into), scaled_lengths(ask, into.scale, originals))
    return _back(answer, figure, into.inverse(), originals)


def ordinary_frame(figure: Figure, ask: Ask | Condition) -> Similarity | None:
    """The move and scaling that bring the figure (a single point: what is asked) to about 10 cm at
    the origin; None where it is of ordinary size and place already."""
    points = [*figure.points.values(), *[c.centre for c in figure.circles]]
    xs, ys = [p.x for p in points], [p.y for p in points]
    x0, x1 = min(xs, default=0.0), max(xs, default=0.0)
    y0, y1 = min(ys, default=0.0), max(ys, default=0.0)
    far = max(-x0, x1, -y0, y1)
    size = max(x1 - x0, y1 - y0, *[c.radius for c in figure.circles])
    if ORDINARY[0] <= size <= ORDINARY[1] and far <= NEAR:
        return None
    # Lengths beyond all measure of the figure count for it, or they leave no digits.
    size = max(size, _longest(ask) / (1.0 if size == 0.0 else 1e5))
    if size == 0.0 or (ORDINARY[0] <= size <= ORDINARY[1] and far <= NEAR):
        return None
    k = 10.0 / size
    return Similarity(Point(-k * points[0].x, -k * points[0].y), k)


def framed(figure: Figure, into: Similarity) -> Figure:
    """The figure carried into another frame."""
    return replace(
        figure,
        points={label: into(p) for label, p in figure.points.items()},
        circles=tuple(
            replace(c, centre=into(c.centre), radius=c.radius * into.scale) for c in figure.circles
        ),
    )


def _longest(ask: Any) -> float:
    """The greatest length that an ask names."""
    if isinstance(ask, tuple):
        return max((_longest(a) for a in ask), default=0.0)
    if not is_dataclass(ask):
        return 0.0
    own = [float(getattr(ask, name, None) or 0.0) for name in LENGTHS]
    return max([*own, *(_longest(getattr(ask, f.name)) for f in fields(ask))])


def scaled_lengths(ask: Any, k: float, originals: dict[Locus, Locus] | None = None) -> Any:
    """The ask with every length times ``k``; ``originals`` learns which locus came from which."""
    originals = {} if originals is None else originals
    if isinstance(ask, tuple):
        return tuple(scaled_lengths(a, k, originals) for a in ask)
    if not is_dataclass(ask) or isinstance(ask, type):
        return ask
    changes: dict[str, Any] = {}
    for f in fields(ask):
        old = getattr(ask, f.name)
        lengthy = f.name in LENGTHS and old is not None
        changes[f.name] = old * k if lengthy else scaled_lengths(old, k, originals)
    new = replace(ask, **changes)
    was, now = _drawn(ask), _drawn(new)
    if was is not None and now is not None:
        originals[now] = was
    return new


def _drawn(ask: Any) -> Locus | None:
    """The locus that an ask's part is, or that draws a condition's border; None for others."""
    match ask:
        case Distance(feature, _, length):
            return AtDistance(feature, length)
        case SumCompared(a, b, _, length):
            return SumOfDistances(a, b, length)
        case WithinRope(anchor, length, obstacles):
            return RopeEnd(anchor, length, obstacles)
    return ask if isinstance(ask, get_args(Locus)) else None


def _back(
    answer: Answer, figure: Figure, home: Similarity, originals: dict[Locus, Locus]
) -> Answer:
    def curves(found: tuple[Curve, ...]) -> tuple[Curve, ...]:
        return tuple(c.transformed(home) for c in found)

    def element(e: Element) -> Element:
        locus = originals.get(e.locus, e.locus)
        name = locus_name(locus) if e.name == locus_name(e.locus) else e.name
        return Element(name, e.kind, locus, curves(e.curves), curves(e.needed))

    region = answer.region
    if region is not None:
        region = RegionAnswer(
            tuple(curves(loop) for loop in region.loops),
            region.area * home.scale**2,
            region.perimeter * home.scale,
            region.bounded,
            region.empty,
            region.parts,
            home(region.inside_point) if region.inside_point else None,
        )
    return Answer(
        dict(figure.points),
        curves(answer.curves),
        region,
        answer.special,
        tuple(element(e) for e in answer.elements),
        tuple(home(p) for p in answer.special_points),
        _measured_back(answer.measured, home),
        answer.centre,
        tuple(element(e) for e in answer.instead),
    )


def _measured_back(found: Measured | None, home: Similarity) -> Measured | None:
    if found is None:
        return None
    power = {"cm": 1, "cm2": 2, "deg": 0}[found.unit]
    return Measured(
        found.value * home.scale**power, found.unit, tuple(home(p) for p in found.between)
    )
