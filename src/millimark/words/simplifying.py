"""A condition as plain words can say it: "not" pushed inwards, nested "and" and "or" opened.

The result holds at the same points, but for borders of no area.
"""

from __future__ import annotations

from dataclasses import replace

from millimark.loci.conditions import (
    AllOf,
    AngleCompared,
    AnyOf,
    Condition,
    Distance,
    Nearer,
    Not,
    RatioCompared,
    Relation,
    SumCompared,
)

_OPPOSITE: dict[Relation, Relation] = {"<": ">=", "<=": ">", ">": "<=", ">=": "<"}


def simplified(condition: Condition) -> Condition:
    """The same condition with "not" only before what has no opposite of its own."""
    match condition:
        case Not(inner):
            return _negated(inner)
        case AllOf(conditions):
            return _joined(AllOf, tuple(simplified(c) for c in conditions))
        case AnyOf(conditions):
            return _joined(AnyOf, tuple(simplified(c) for c in conditions))
    return condition


def _negated(condition: Condition) -> Condition:
    match condition:
        case Not(inner):
            return simplified(inner)
        case AllOf(conditions):
            return _joined(AnyOf, tuple(_negated(c) for c in conditions))
        case AnyOf(conditions):
            return _joined(AllOf, tuple(_negated(c) for c in conditions))
        case Distance() | SumCompared() | RatioCompared() | AngleCompared():
            return replace(condition, relation=_OPPOSITE[condition.relation])
        case Nearer(to, than, strict):
            others = tuple(Nearer(rival, (to,), strict=not strict) for rival in than)
            return others[0] if len(others) == 1 else AnyOf(others)
    return Not(condition)


def _joined(
    kind: type[AllOf] | type[AnyOf], conditions: tuple[Condition, ...]
) -> AllOf | AnyOf | Condition:
    flat: list[Condition] = []
    for condition in conditions:
        flat.extend(condition.conditions if isinstance(condition, kind) else (condition,))
    return flat[0] if len(flat) == 1 else kind(tuple(flat))
