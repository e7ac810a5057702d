"""Perpendicular bisectors and angle bisectors (Euclid I.10, I.9), with their free radii.

The line wanted is known from the answer only to decide how far it must be ruled and where
arcs may lie; the acts find it from the arcs.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from millimark.errors import PlanError
from millimark.plane.curves import Arc, Segment
from millimark.plane.point import Point, midpoint
from millimark.working.acts import ArcEvidence, Ink, Role
from millimark.working.bench import SAME, Bench, cm, short_span
from millimark.working.bounds import curve_box

PLACING = 0.02
"""cm: how far off a needle or ruler edge is on a mark; common practice, no source."""
RADIUS = 0.03
"""cm: how far an arc strays from the radius of its fellow (slip); common practice, no source."""
PROTRACTOR = 5.0
"""cm from centre to rim of a school protractor; common practice, no source."""
PAST = 0.8
"""cm that a ruled line runs past the crossings that fix it."""
SHORTEST = 3.5
"""cm of an unbounded line drawn on each side where the room allows: marking wants 3 cm."""

NEARLY = 1.04
"""Of openings whose error is within this factor of the least, the smallest is taken."""

Span = tuple[float, float]


@dataclass(frozen=True)
class Drawn:
    """A construction that was done: the ink of its result, how, and what shows the method."""

    ink: str
    method: str
    evidence: tuple[ArcEvidence, ...] = ()


# --- perpendicular bisector -------------------------------------------------------------
def perpendicular_bisector(
    bench: Bench, a: str, b: str, needed: Span | None, role: Role = "answer"
) -> Drawn:
    """Bisect ``a`` ``b``. ``needed``: cm along the left normal from the midpoint, or None
    for an unbounded line, of which a sensible length is ruled."""
    pa, pb = bench.points[a], bench.points[b]
    middle, up = midpoint(pa, pb), (pb - pa).unit().left()
    if not bench.arcs and bench.instruments.protractor:
        return _bisector_measured(bench, a, b, needed, role)
    limits = bench.room.along(middle, up) or (0.0, 0.0)
    wanted = needed or (max(-SHORTEST, limits[0]), min(SHORTEST, limits[1]))
    name = f"{a}{b}"
    radius = _bisector_radius(bench, pa, pb, max(-wanted[0], wanted[1]))
    bench.open_to(radius, f"Open the compasses to more than half of {name}, say {cm(radius)}.")
    h = math.sqrt(radius**2 - pa.distance(pb) ** 2 / 4)
    above, below = middle + up * h, middle - up * h
    inks = {
        (point, place): bench.strike_at(
            point,
            place,
            f"With the needle on {point}, strike an arc on {side} side of {name}.",
        )
        for point, side_words in ((a, ("one", "the other")), (b, ("one", "the other")))
        for place, side in zip((above, below), side_words, strict=True)
    }
    top = bench.cross(inks[a, above], inks[b, above], above)
    bottom = bench.cross(inks[a, below], inks[b, below], below)
    low = max(limits[0], min(-h - PAST, wanted[0]))
    high = min(limits[1], max(h + PAST, wanted[1]))
    line = bench.rule(
        bottom, top, h + low, h + high, role, "Rule the line through the two crossings."
    )
    evidence = ArcEvidence(f"equal arcs from {a} and {b}", "equal-arcs", (a, b))
    return Drawn(line, "perpendicular bisector by equal arcs", (evidence,))


def _bisector_measured(bench: Bench, a: str, b: str, needed: Span | None, role: Role) -> Drawn:
    """Any method allowed: the midpoint by the ruler, the right angle by the protractor."""
    pa, pb = bench.points[a], bench.points[b]
    middle, up = midpoint(pa, pb), (pb - pa).unit().left()
    limits = bench.room.along(middle, up) or (0.0, 0.0)
    low, high = needed or (-SHORTEST, SHORTEST)
    half = pa.distance(pb) / 2
    centre = bench.step(
        a, b, half, f"Measure {a}{b} and mark its midpoint, {cm(half)} from {a}.", False
    )
    mark = bench.protract(
        centre, b, 90.0, 1, min(PROTRACTOR, limits[1]),
        f"Centre the protractor on the midpoint along {a}{b} and mark 90°.",
    )  # fmt: skip
    line = bench.rule(
        centre, mark, max(limits[0], low), min(limits[1], high), role,
        "Rule the line through the midpoint and the mark.",
    )  # fmt: skip
    return Drawn(line, "perpendicular bisector by measuring")


def _bisector_radius(bench: Bench, a: Point, b: Point, reach: float) -> float:
    """The opening that makes the line truest within ``reach`` cm of the midpoint."""
    d = a.distance(b)
    fitting = [r for r in openings(bench, d / 2) if _arcs_fit(bench, a, b, r)]
    if not fitting:
        raise PlanError(
            f"The points are {cm(d)} apart; arcs that cross on both sides of the line between "
            f"them need an opening over {cm(d / 2)}, and none fits the instruments "
            f"(compasses {cm(bench.instruments.compasses_cm)}) and the room "
            f"({cm(bench.room.width)} by {cm(bench.room.height)}).",
            f"Bring the points closer than {cm(1.8 * bench.instruments.compasses_cm)}, "
            "turn the page, or give the question more room.",
        )
    best = min(bisector_spread(d, r, reach) for r in fitting)
    return next(r for r in fitting if bisector_spread(d, r, reach) <= NEARLY * best)


def bisector_spread(d: float, radius: float, reach: float) -> float:
    """Standard deviation (cm) of the bisector of points ``d`` apart, ``reach`` from the
    midpoint: each crossing moves along AB by r (δ1 - δ2)/d (the bisector shift bound), and
    the line through crossings ±h from the midpoint is carried out to ``reach``."""
    h2 = radius**2 - d * d / 4
    along = 2 * (radius / d) ** 2 * (RADIUS**2 + PLACING**2) + PLACING**2
    return math.sqrt(along * (0.5 + reach**2 / (2 * h2)))


def openings(bench: Bench, over: float) -> Iterator[float]:
    """Openings a teacher would say: half centimetres, millimetres where those are too coarse."""
    least = max(bench.instruments.compasses_min_cm, over * 1.08)
    most = bench.instruments.compasses_cm
    step = 0.5 if most - least > 1.0 else 0.1
    r = math.ceil(least / step - 1e-9) * step
    while r <= most + 1e-9:
        yield round(r, 1)
        r += step


def _arcs_fit(bench: Bench, a: Point, b: Point, radius: float) -> bool:
    d = a.distance(b)
    h = math.sqrt(radius**2 - d * d / 4)
    middle, up = midpoint(a, b), (b - a).unit().left()
    return all(
        fits(bench, _arc_at(centre, place, radius))
        for centre in (a, b)
        for place in (middle + up * h, middle - up * h)
    )


def _arc_at(centre: Point, place: Point, radius: float) -> Arc:
    half = short_span(radius)
    return Arc(centre, radius, (place - centre).angle() - half, 2 * half)


def fits(bench: Bench, curve: Arc | Segment) -> bool:
    """Whether the curve stays inside the room."""
    return bench.room.holds_box(curve_box(curve))


# --- angle bisector -----------------------------------------------------------------------
@dataclass(frozen=True)
class Arm:
    """One arm of an angle: its direction (unit), how far it may be used (cm), the ink or
    printed line it lies on, and a label on it (or the one it runs away from)."""

    direction: Point
    reach: float
    ink: Ink
    label: str


@dataclass(frozen=True)
class _Choice:
    vertex_radius: float
    radius: float
    tip: float  # distance of the crossing from the vertex
    spread: float


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
    at, (one, two) = bench.points[vertex], arms
    along = (one.direction + two.direction).unit()
    half = math.acos(max(-1.0, min(1.0, along.dot(one.direction))))
    limits = bench.room.along(at, along) or (0.0, 0.0)
    wanted = needed or (0.0, min(limits[1], 8.0))
    if not bench.arcs and bench.instruments.protractor:
        return _angle_measured(bench, vertex, arms, half, wanted, role)
    choice = _angle_choice(bench, at, arms, half, max(wanted[1], -wanted[0]))
    bench.open_to(choice.vertex_radius, f"Open the compasses to {cm(choice.vertex_radius)}.")
    cuts = _cut_arms(bench, vertex, arms, choice.vertex_radius)
    if choice.radius != choice.vertex_radius:
        bench.open_to(choice.radius, f"Open the compasses to {cm(choice.radius)}.")
    tip = at + along * choice.tip
    arcs = [
        bench.strike_at(
            cut,
            tip,
            f"With the needle where the arc cuts {call(vertex)}{arm.label}, "
            "strike an arc inside the angle.",
        )
        for cut, arm in zip(cuts, arms, strict=True)
    ]
    cross = bench.cross(arcs[0], arcs[1], tip)
    low = max(limits[0], min(0.0, wanted[0]))
    high = min(limits[1], max(choice.tip + PAST, wanted[1]))
    line = bench.rule(
        vertex,
        cross,
        low,
        high,
        role,
        f"Rule the line from {call(vertex)} through the crossing of the arcs.",
    )
    centres = labels or (vertex, one.label, two.label)
    evidence = ArcEvidence(
        f"arc about {call(vertex)} cutting both arms, then equal arcs from the cuts",
        "arm-arcs",
        centres,
    )
    return Drawn(line, "angle bisector by equal arcs", (evidence,))


def _angle_measured(
    bench: Bench, vertex: str, arms: tuple[Arm, Arm], half: float, wanted: Span, role: Role
) -> Drawn:
    """Any method allowed: half the angle by the protractor."""
    at, (one, two) = bench.points[vertex], arms
    along = (one.direction + two.direction).unit()
    limits = bench.room.along(at, along) or (0.0, 0.0)
    sense = 1 if one.direction.cross(two.direction) >= 0 else -1
    arm = label_ahead(bench, vertex, one.direction)
    degrees = math.degrees(half)
    mark = bench.protract(
        vertex, arm, degrees, sense, min(PROTRACTOR, limits[1]),
        f"Measure the angle at {call(vertex)} and mark half of it, {degrees:.3g}°.",
    )  # fmt: skip
    line = bench.rule(
        vertex, mark, max(limits[0], min(0.0, wanted[0])), min(limits[1], wanted[1]), role,
        f"Rule the line from {call(vertex)} through the mark.",
    )  # fmt: skip
    return Drawn(line, "angle bisector by measuring")


def label_ahead(bench: Bench, vertex: str, direction: Point) -> str:
    """A mark on the ray from ``vertex`` in ``direction``, the farthest one."""
    at = bench.points[vertex]
    ahead = {
        name: (p - at).dot(direction)
        for name, p in bench.points.items()
        if abs((p - at).cross(direction)) < SAME and (p - at).dot(direction) > SAME
    }
    if not ahead:
        raise PlanError(
            f"No letter stands on an arm of the angle at {call(vertex)}.",
            "Name a point on each arm.",
        )
    return max(ahead, key=lambda name: ahead[name])


def _cut_arms(bench: Bench, vertex: str, arms: tuple[Arm, Arm], radius: float) -> list[str]:
    """One arc across both arms where it fits, else a short arc on each; the two cuts."""
    at, (one, two) = bench.points[vertex], arms
    lead = min(0.4 / radius, 0.2)
    turn = math.atan2(one.direction.cross(two.direction), one.direction.dot(two.direction))
    sense = math.copysign(1.0, turn)
    start, sweep = one.direction.angle() - sense * lead, turn + 2 * sense * lead
    caption = f"With the needle on {call(vertex)}, strike an arc that cuts both arms."
    if fits(bench, Arc(at, radius, start, sweep)):
        inks = [bench.strike(vertex, start, sweep, "construction", caption)] * 2
    else:
        inks = [
            bench.strike_at(
                vertex,
                at + arm.direction * radius,
                f"With the needle on {call(vertex)}, strike an arc that cuts "
                f"{call(vertex)}{arm.label}.",
                0.4,
            )
            for arm in arms
        ]
    return [
        bench.cross(arm.ink, ink, at + arm.direction * radius)
        for arm, ink in zip(arms, inks, strict=True)
    ]


def _angle_choice(
    bench: Bench, at: Point, arms: tuple[Arm, Arm], half: float, reach: float
) -> _Choice:
    most = min(arm.reach for arm in arms)
    choices = [
        choice
        for r1 in openings(bench, 0.0)
        if r1 <= most - 0.2
        for choice in _tips(bench, at, arms, half, r1, reach)
    ]
    if not choices:
        raise PlanError(
            f"The angle of {math.degrees(2 * half):.0f}° has arms of {cm(most)}, and no arcs of "
            f"{cm(bench.instruments.compasses_min_cm)} to {cm(bench.instruments.compasses_cm)} "
            f"about its vertex fit in the room ({cm(bench.room.width)} by "
            f"{cm(bench.room.height)}).",
            "Make the arms longer, or give the question more room.",
        )
    best = min(choice.spread for choice in choices)
    kept = [c for c in choices if c.spread <= NEARLY * best]
    one_opening = [c for c in kept if c.vertex_radius == c.radius]
    return min(one_opening or kept, key=lambda c: (c.vertex_radius + c.radius, c.spread))


def _tips(
    bench: Bench, at: Point, arms: tuple[Arm, Arm], half: float, r1: float, reach: float
) -> Iterator[_Choice]:
    along = (arms[0].direction + arms[1].direction).unit()
    cuts = [at + arm.direction * r1 for arm in arms]
    if not all(fits(bench, _arc_at(at, cut, r1)) for cut in cuts):
        return
    for r2 in openings(bench, r1 * math.sin(half)):
        tip = r1 * math.cos(half) + math.sqrt(r2**2 - (r1 * math.sin(half)) ** 2)
        place = at + along * tip
        if all(fits(bench, _arc_at(cut, place, r2)) for cut in cuts):
            yield _Choice(r1, r2, tip, angle_spread(r1, r2, half, reach))


def angle_spread(r1: float, r2: float, half: float, reach: float) -> float:
    """Standard deviation (cm) of an angle bisector ``reach`` cm from its vertex: the
    crossing moves across the bisector by r2 (δ1 - δ2)/DE, and the needles at the cuts D, E
    and the ruler at vertex and crossing add their placing."""
    base = 2 * r1 * math.sin(half)
    tip = r1 * math.cos(half) + math.sqrt(r2**2 - base**2 / 4)
    across = 2 * (r2 / base) ** 2 * (RADIUS**2 + PLACING**2) + PLACING**2
    share = reach / tip
    return math.sqrt(PLACING**2 * (1 - share) ** 2 + across * share**2)


def call(name: str) -> str:
    """What a caption calls a mark: its letter, or what it is."""
    return name if not name.startswith("mark ") else "the crossing"
