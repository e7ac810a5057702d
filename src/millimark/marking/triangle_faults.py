"""Which side of a triangle has the wrong length, told by where the pupil's two sides meet."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from millimark.loci.conditions import TriangleOn
from millimark.loci.figures_on import AngleAtEnd, SideTo
from millimark.marking.circle_faults import MATTERS, incomplete
from millimark.marking.expected import Wanted
from millimark.marking.findings import ElementFinding, Fault
from millimark.plane.curves import Curve, Segment
from millimark.plane.point import Point

_FROM_END_MM = 2.5
"""How far beside its end of the base a side may start: it belongs to that end."""
_LEAST_TURN = math.sin(math.radians(15.0))
"""Sides that meet at a flatter angle do not fix their corner."""
_RIGHT_SHARE = 0.6
"""A side off by less than this share of the tolerance is right."""


def of_triangle(
    locus: TriangleOn, w: Wanted, e: ElementFinding, limit: float, points: Mapping[str, Point]
) -> list[Fault]:
    """The side whose length is wrong where the other fact is right; else what is missing."""
    base = [points.get(locus.base.a), points.get(locus.base.b)]
    right, drawn = _corner(w.curves), _corner(e.drawn)
    if right is None or drawn is None or not all(_starts_at(e.drawn, end) for end in base):
        return incomplete(e)
    off = {fact: _off(fact, points[fact.of.label], right, drawn) for fact in locus.facts}
    for fact, amount in off.items():
        others = [abs(v) for f, v in off.items() if f is not fact]
        wrong = isinstance(fact, SideTo) and abs(amount) > MATTERS * limit
        if wrong and max(others, default=0.0) < _RIGHT_SHARE * limit:
            asked = points[fact.of.label].distance(right)
            return [_side(f"{fact.of.label}{locus.apex}", asked, amount, e)]
    return incomplete(e)


def _corner(sides: Sequence[Curve]) -> Point | None:
    """Where the two sides meet, carried on; None unless there are two that fix it."""
    if len(sides) != 2 or not all(isinstance(s, Segment) for s in sides):
        return None
    (p, d), (q, f) = ((s.start, s.direction_at(s.t0)) for s in sides)
    turn = d.cross(f)
    if abs(turn) < _LEAST_TURN:
        return None
    return p + d * ((q - p).cross(f) / turn)


def _starts_at(sides: Sequence[Curve], end: Point | None) -> bool:
    """Whether a side, carried on, goes through an end of the base."""
    return end is not None and any(
        abs((end - s.start).cross(s.direction_at(s.t0))) < _FROM_END_MM for s in sides
    )


def _off(fact: SideTo | AngleAtEnd, end: Point, right: Point, drawn: Point) -> float:
    """By how much the drawn corner misses a fact, mm: too long a side, or beside the right one."""
    if isinstance(fact, SideTo):
        return end.distance(drawn) - end.distance(right)
    return (drawn - end).cross((right - end).unit())


def _side(name: str, asked: float, amount: float, e: ElementFinding) -> Fault:
    size, way = abs(amount), "long" if amount > 0.0 else "short"
    text = (
        f"The side {name} is {size:.1f} mm too {way}: {asked + amount:.0f} mm instead of "
        f"{asked:.0f} mm. Set the compasses against the ruler's zero, not its end."
    )
    return Fault("arc-radius", text, size, element=e.element)
