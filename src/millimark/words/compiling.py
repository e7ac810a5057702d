"""Facts into constraints, with everything that follows from them made explicit."""

from __future__ import annotations

import math
from collections.abc import Sequence

from millimark.errors import GivensError
from millimark.words.constraints import Angle, Constraint, Dist, EqualDist, Slope
from millimark.words.demanding import demands
from millimark.words.facts import CircleAcross, CircleAt, CircleThrough, Fact, Parallel, Shape
from millimark.words.known import Known
from millimark.words.measuring import measure
from millimark.words.mentioned import Compiled, labels_of
from millimark.words.shapes import check_labels, imply, parallel_sides
from millimark.words.units import Scale


def compiled(facts: Sequence[Fact], scale: Scale) -> Compiled:
    """All that the facts demand of the points."""
    out = Compiled()
    for fact in facts:
        out.mention(*labels_of(fact))
    for fact in facts:
        if isinstance(fact, CircleAt):
            cm = scale.cm(fact.radius)
            out.circles.append((fact.centre, cm, f"the circle with centre {fact.centre}"))
        elif isinstance(fact, CircleAcross):
            out.across.append((fact.a, fact.b))
        elif isinstance(fact, CircleThrough):
            says = f"the circle with centre {fact.centre} passes through {fact.p}"
            out.circles.append((fact.centre, fact.p, says))
    out.shapes = [f for f in facts if isinstance(f, Shape)]
    for shape in out.shapes:
        check_labels(shape)
    measure(facts, out, scale)
    for shape in out.shapes:
        out.constraints.extend(imply(shape, out.known))
    out.known.close()
    for fact in facts:
        for demand in demands(fact, out, scale.cm, scale.coordinate):
            _check_distinct(demand)
            out.constraints.append(demand)
    _trapezia(facts, out)
    out.constraints.extend(_known_constraints(out.known))
    return out


def _check_distinct(demand: Constraint) -> None:
    """One point cannot be placed by itself ("C is on AC")."""
    if isinstance(demand, Slope | EqualDist):
        return
    for label in demand.labels:
        if demand.labels.count(label) > 1:
            raise GivensError(
                f"'{demand.says}' speaks of {label} in two places, which says nothing of it.",
                "Name different points.",
            )


def _trapezia(facts: Sequence[Fact], out: Compiled) -> None:
    for shape in out.shapes:
        if "trapezium" not in shape.kind:
            continue
        corners = set(shape.labels)
        named = [f for f in facts if isinstance(f, Parallel) and {f.a, f.b, f.c, f.d} == corners]
        if not named:
            out.constraints.append(parallel_sides(shape))


def _known_constraints(known: Known) -> list[Constraint]:
    out: list[Constraint] = []
    for pair, (cm, says) in known.lengths.items():
        a, b = sorted(pair)
        out.append(Dist(a, b, cm, says))
    for (v, arms), (degrees, says) in known.angles.items():
        a, b = sorted(arms)
        out.append(Angle(a, v, b, math.radians(degrees), says))
    for one, two, says in known.equal:
        if one not in known.lengths:
            (a, b), (c, d) = sorted(one), sorted(two)
            out.append(EqualDist(a, b, c, d, says))
    return out
