"""Angle bisectors (Euclid I.9): by equal arcs, or by measuring."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from millimark.errors import PlanError
from millimark.plane.curves import Arc
from millimark.plane.point import Point
from millimark.working.acts import ArcEvidence, Ink, Role
from millimark.working.bench import Bench
from millimark.working.bisectors import short_arc
from millimark.working.choosing import angle_spread, lattice, tidiest, untidy
from millimark.working.drawn import PAST, PROTRACTOR, Drawn, Span
from millimark.working.wording import cm

APART = 0.7
"""cm: the last crossing keeps this far from the first arc, so that neither hides the other."""

ONE_ARC = 14.0
"""cm: an arc across both arms longer than this is struck as two short ones."""

WHY_ANGLE = (
    "The radii from the vertex are equal, and so are those from the two cuts; the two triangles "
    "have three equal sides (SSS) and are congruent, so the angles at the vertex are equal."
)


@dataclass(frozen=True)
class Arm:
    """One arm of an angle: its direction (unit), how far it may be used (cm), the ink or
    printed line it lies on, and a label on it (or the one it runs away from)."""

    direction: Point
    reach: float
    ink: Ink
    label: str


@dataclass(frozen=True)
class Wedge:
    """An angle at a mark: its two arms, the direction halfway between them, and half of it
    (radians, up to π/2: then the arms make one straight line)."""

    vertex: str
    at: Point
    arms: tuple[Arm, Arm]
    along: Point
    half: float


@dataclass(frozen=True)
class Choice:
    """Openings about the vertex and about the cuts, and how far out the arcs then cross."""

    vertex_radius: float
    radius: float
    tip: float


def wedge(bench: Bench, vertex: str, arms: tuple[Arm, Arm]) -> Wedge:
    """The angle under 180° between two arms."""
    along = (arms[0].direction + arms[1].direction).unit()
    half = math.acos(max(-1.0, min(1.0, along.dot(arms[0].direction))))
    return Wedge(vertex, bench.points[vertex], arms, along, half)


def angle_bisector(
    bench: Bench,
    vertex: str,
    arms: tuple[Arm, Arm],
    needed: Span | None,
    role: Role = "answer",
    labels: tuple[str, str, str] | None = None,
) -> Drawn:
    """Bisect the angle (under 180°) between two arms. ``needed``: cm from the vertex along
    the bisector (negative: beyond the vertex), or None for an unbounded ray."""
    angle = wedge(bench, vertex, arms)
    limits = bench.room.along(angle.at, angle.along) or (0.0, 0.0)
    wanted = needed or (0.0, min(limits[1], 8.0))
    if not bench.arcs and bench.instruments.protractor:
        return _by_measuring(bench, angle, wanted, role)
    cross = halve(bench, angle, max(wanted[1], -wanted[0]))
    tip = angle.at.distance(bench.points[cross])
    low = max(limits[0], min(0.0, wanted[0]))
    high = min(limits[1], max(tip + PAST, wanted[1]))
    caption = f"Rule the line from {bench.call(vertex)} through the crossing of the arcs."
    line = bench.rule(vertex, cross, low, high, role, caption)
    evidence = _evidence(bench, angle, labels or (vertex, arms[0].label, arms[1].label))
    return Drawn(line, "angle bisector by equal arcs", (evidence,), WHY_ANGLE)


def _evidence(bench: Bench, angle: Wedge, labels: tuple[str, str, str]) -> ArcEvidence:
    """The arcs that show the method. An arm on which no letter stands on its side of the
    vertex gets a primed one (A' across the vertex from A)."""
    names, places = [labels[0]], list(bench.unprinted(labels[0]))
    for arm, label in zip(angle.arms, labels[1:], strict=True):
        if (bench.points[label] - angle.at).dot(arm.direction) > 0:
            names.append(label)
            places.extend(bench.unprinted(label))
        else:
            names.append(f"{label}'")
            places.append((f"{label}'", angle.at + arm.direction * 5.0))
    return ArcEvidence(
        f"arc about {bench.call(angle.vertex)} cutting both arms, then equal arcs from the cuts",
        "arm-arcs",
        tuple(names),
        unprinted=tuple(places),
    )


def halve(bench: Bench, angle: Wedge, reach: float) -> str:
    """The arc across the arms, the two equal arcs from the cuts, and their crossing, so that
    the line to it from the vertex is truest out to ``reach`` cm."""
    choice = _choose(bench, angle, reach)
    r1, r2 = choice.vertex_radius, choice.radius
    bench.open_to(r1, f"Open the compasses to any handy length, say {cm(r1)}.", free=True)
    cuts = _cut_arms(bench, angle, r1)
    if r2 != r1:
        bench.open_to(r2, f"Open the compasses to {cm(r2)}.", free=True)
    tip = angle.at + angle.along * choice.tip
    names = [bench.pair(angle.vertex, arm.label) for arm in angle.arms]
    straight = angle.half > math.radians(89.9)
    wheres = (
        ("on one cut", "on the other cut")
        if straight
        else tuple(f"where the arc cuts {name}" for name in names)
    )
    whats = ("away from the line" if straight else "inside the angle", "across it")
    arcs = [
        bench.strike_at(cut, tip, f"With the needle {where}, strike an arc {what}.")
        for cut, where, what in zip(cuts, wheres, whats, strict=True)
    ]
    return bench.cross(arcs[0], arcs[1], tip)


def _cut_arms(bench: Bench, angle: Wedge, radius: float) -> list[str]:
    """One arc across both arms where it fits, else a short arc on each; the two cuts."""
    at, one = angle.at, angle.arms[0]
    lead = min(0.4 / radius, 0.2)
    sense = math.copysign(1.0, one.direction.cross(angle.along))
    start = one.direction.angle() - sense * lead
    sweep = sense * (2 * angle.half + 2 * lead)
    needle = f"With the needle on {bench.call(angle.vertex)}"
    across = Arc(at, radius, start, sweep)
    if bench.fits(across) and across.length < ONE_ARC:
        caption = f"{needle}, strike an arc that cuts both arms."
        inks = [bench.strike(angle.vertex, start, sweep, "construction", caption)] * 2
    else:
        inks = [
            bench.strike_at(
                angle.vertex,
                at + arm.direction * radius,
                f"{needle}, strike an arc that cuts {bench.pair(angle.vertex, arm.label)}.",
                0.4,
            )
            for arm in angle.arms
        ]
    return [
        bench.cross(arm.ink, ink, at + arm.direction * radius)
        for arm, ink in zip(angle.arms, inks, strict=True)
    ]


def _choose(bench: Bench, angle: Wedge, reach: float) -> Choice:
    """The two free openings: those that make the bisector truest out to ``reach``."""
    good = _good_choice(bench, angle, reach)
    least, most = bench.instruments.compasses_min_cm, bench.instruments.compasses_cm
    arm = min(one.reach for one in angle.arms)
    widest = min(most, arm - 0.2, most / (1.04 * math.sin(angle.half)))
    r1 = bench.free("opening about the vertex", least, widest, good.vertex_radius)
    low = max(least, 1.04 * r1 * math.sin(angle.half))
    again = good.radius if r1 == good.vertex_radius else 1.5 * r1
    r2 = bench.free("opening about the cuts", low, most, again)
    return Choice(r1, r2, _tip(r1, r2, angle.half))


def _tip(r1: float, r2: float, half: float) -> float:
    return r1 * math.cos(half) + math.sqrt(r2**2 - (r1 * math.sin(half)) ** 2)


def _good_choice(bench: Bench, angle: Wedge, reach: float) -> Choice:
    """The truest pair of openings: looked for by half centimetres, then by millimetres
    round the best of those (or everywhere, where no half centimetre fits)."""
    least, most = bench.instruments.compasses_min_cm, bench.instruments.compasses_cm
    arm = min(one.reach for one in angle.arms)
    span = (least, min(most, arm - 0.2, most / (1.04 * math.sin(angle.half))))

    def best_of(choices: Iterable[Choice]) -> Choice | None:
        return tidiest(
            choices,
            lambda c: angle_spread(c.vertex_radius, c.radius, angle.half, reach),
            lambda c: (
                bench.clutter((angle.at + angle.along * c.tip,)),
                bench.fresh_opening(c.vertex_radius) + (c.vertex_radius != c.radius),
                *untidy((c.vertex_radius, c.radius)),
            ),
            lambda c: _arcs_fit(bench, angle, c),
        )

    found = best_of(_choices(angle, span, (least, most), 0.5))
    if found is None:
        found = best_of(_choices(angle, span, (least, most), 0.1))
    else:
        r1, r2 = found.vertex_radius, found.radius
        first = (max(span[0], r1 - 0.4), min(span[1], r1 + 0.4))
        second = (max(least, r2 - 0.4), min(most, r2 + 0.4))
        found = best_of((found, *_choices(angle, first, second, 0.1)))
    if found is not None:
        return found
    raise PlanError(
        f"The angle of {math.degrees(2 * angle.half):.0f}° has arms of {cm(arm)}, and no "
        f"arcs of {cm(least)} to {cm(most)} about its vertex fit in the room "
        f"({cm(bench.room.width)} by {cm(bench.room.height)}).",
        "Make the arms longer, or give the question more room.",
    )


def _choices(angle: Wedge, first: Span, second: Span, step: float) -> Iterator[Choice]:
    """Pairs of openings whose arcs cross, clear of the arc about the vertex."""
    for r1 in lattice(*first, step):
        low = max(second[0], 1.04 * r1 * math.sin(angle.half))
        for r2 in lattice(low, second[1], step):
            tip = _tip(r1, r2, angle.half)
            if abs(tip - r1) >= APART:
                yield Choice(r1, r2, tip)


def _arcs_fit(bench: Bench, angle: Wedge, choice: Choice) -> bool:
    cuts = [angle.at + arm.direction * choice.vertex_radius for arm in angle.arms]
    tip = angle.at + angle.along * choice.tip
    return all(
        bench.fits(short_arc(angle.at, cut, choice.vertex_radius))
        and bench.fits(short_arc(cut, tip, choice.radius))
        for cut in cuts
    )


def _by_measuring(bench: Bench, angle: Wedge, wanted: Span, role: Role) -> Drawn:
    """Any method allowed: half the angle by the protractor."""
    vertex = angle.vertex
    limits = bench.room.along(angle.at, angle.along) or (0.0, 0.0)
    arm, degrees, sense = _laid_along(bench, angle)
    mark = bench.protract(
        vertex, arm, degrees, sense, min(PROTRACTOR, limits[1]),
        f"Measure the angle at {bench.call(vertex)}, halve it, and mark {degrees:.3g}° "
        f"from the line to {bench.call(arm)}.",
    )  # fmt: skip
    line = bench.rule(
        vertex, mark, max(limits[0], min(0.0, wanted[0])), min(limits[1], wanted[1]), role,
        f"Rule the line from {bench.call(vertex)} through the mark.",
    )  # fmt: skip
    why = "The line makes half of the angle with each arm."
    return Drawn(line, "angle bisector by measuring", (), why)


def _laid_along(bench: Bench, angle: Wedge) -> tuple[str, float, int]:
    """A letter to lay the protractor along, the degrees to count from there and which way
    (+1 anticlockwise): on an arm, else on an arm run back through the vertex."""
    degrees = math.degrees(angle.half)
    ways = [(arm.direction, degrees) for arm in angle.arms]
    ways += [(-arm.direction, 180.0 - degrees) for arm in angle.arms]
    for direction, count in ways:
        label = bench.label_ahead(angle.vertex, direction)
        if label is not None:
            return label, count, 1 if direction.cross(angle.along) >= 0 else -1
    raise PlanError(
        f"No letter stands on an arm of the angle at {bench.call(angle.vertex)}.",
        "Name a point on each arm.",
    )
