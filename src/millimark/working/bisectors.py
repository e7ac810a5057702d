"""Perpendicular bisectors (Euclid I.10): by equal arcs, or by measuring."""

from __future__ import annotations

import math

from millimark.errors import PlanError
from millimark.plane.curves import Arc
from millimark.plane.point import Point, midpoint
from millimark.working.acts import ArcEvidence, Role
from millimark.working.bench import Bench
from millimark.working.choosing import bisector_spread, lattice, tidiest, untidy
from millimark.working.drawn import PAST, PROTRACTOR, SHORTEST, Drawn, Span
from millimark.working.sameness import short_span
from millimark.working.wording import cm

CLEAR = 1.04
"""Arcs must be longer than half the distance by this factor, so that they cross clearly."""

LEAST_APART = 2.0
"""cm between two crossings on one side, below which the line through them is too unsure."""

WHY_BISECTOR = (
    "The four radii are equal, so the two points and the two crossings are the corners of a "
    "rhombus, and the diagonals of a rhombus bisect each other at right angles."
)


def perpendicular_bisector(
    bench: Bench, a: str, b: str, needed: Span | None, role: Role = "answer"
) -> Drawn:
    """Bisect ``a`` ``b``. ``needed``: cm along the left normal from the midpoint, or None
    for an unbounded line, of which a sensible length is ruled."""
    if not bench.arcs and bench.instruments.protractor:
        return _by_measuring(bench, a, b, needed, role)
    pa, pb = bench.points[a], bench.points[b]
    middle, up = midpoint(pa, pb), (pb - pa).unit().left()
    limits = bench.room.along(middle, up) or (0.0, 0.0)
    wanted = needed or (max(-SHORTEST, limits[0]), min(SHORTEST, limits[1]))
    if _truest(bench, pa, pb, max(-wanted[0], wanted[1])) is None:
        one_side = _two_pairs(bench, pa, pb)
        if one_side is not None:
            return _on_one_side(bench, a, b, one_side, wanted, role)
    radius, (above, below) = equal_arcs(bench, a, b, max(-wanted[0], wanted[1]))
    h = math.sqrt(radius**2 - pa.distance(pb) ** 2 / 4)
    low = max(limits[0], min(-h - PAST, wanted[0]))
    high = min(limits[1], max(h + PAST, wanted[1]))
    line = bench.rule(
        below, above, h + low, h + high, role, "Rule the line through the two crossings."
    )
    evidence = ArcEvidence(
        f"equal arcs from {a} and {b}", "equal-arcs", (a, b), unprinted=bench.unprinted(a, b)
    )
    return Drawn(line, "perpendicular bisector by equal arcs", (evidence,), WHY_BISECTOR)


def equal_arcs(bench: Bench, a: str, b: str, reach: float) -> tuple[float, tuple[str, str]]:
    """Strike equal arcs about ``a`` and ``b`` that cross on both sides; their radius and the
    two crossings, that on the left of the way from ``a`` to ``b`` first."""
    pa, pb = bench.points[a], bench.points[b]
    d = pa.distance(pb)
    middle, up, name = midpoint(pa, pb), (pb - pa).unit().left(), bench.pair(a, b)
    radius = bench.free(
        f"opening for {name}",
        CLEAR * d / 2,
        bench.instruments.compasses_cm,
        _good_opening(bench, pa, pb, reach),
    )
    bench.open_to(
        radius, f"Open the compasses to more than half of {name}, say {cm(radius)}.", free=True
    )
    h = math.sqrt(radius**2 - d * d / 4)
    places = (middle + up * h, middle - up * h)
    inks = {
        (point, place): bench.strike_at(
            point,
            place,
            f"With the needle on {bench.call(point)}, strike an arc on {side} side of {name}.",
        )
        for point in bench.first_to_last(a, b)
        for place, side in zip(places, ("one", "the other"), strict=True)
    }
    above, below = (bench.cross(inks[a, place], inks[b, place], place) for place in places)
    return radius, (above, below)


def _two_pairs(bench: Bench, a: Point, b: Point) -> tuple[float, float, int] | None:
    """Two openings and a side (+1 left) whose crossings are both in the room and farthest
    apart; None where they would be closer than ``LEAST_APART``."""
    d, middle, up = a.distance(b), midpoint(a, b), (b - a).unit().left()
    best: tuple[float, tuple[float, float, int]] | None = None
    for side in (1, -1):
        fitting = []
        tools = bench.instruments
        for r in lattice(max(tools.compasses_min_cm, CLEAR * d / 2), tools.compasses_cm):
            place = middle + up * (side * math.sqrt(r * r - d * d / 4))
            if all(bench.fits(short_arc(end, place, r)) for end in (a, b)):
                fitting.append((place.distance(middle), r))
        if len(fitting) > 1 and (best is None or fitting[-1][0] - fitting[0][0] > best[0]):
            best = (fitting[-1][0] - fitting[0][0], (fitting[0][1], fitting[-1][1], side))
    return best[1] if best and best[0] >= LEAST_APART else None


def _on_one_side(
    bench: Bench, a: str, b: str, pairs: tuple[float, float, int], wanted: Span, role: Role
) -> Drawn:
    """Where there is no room on both sides: two pairs of equal arcs on one side."""
    pa, pb = bench.points[a], bench.points[b]
    d, middle, up = pa.distance(pb), midpoint(pa, pb), (pb - pa).unit().left()
    limits = bench.room.along(middle, up) or (0.0, 0.0)
    side, marks, heights = pairs[2], [], []
    for r in pairs[:2]:
        heights.append(side * math.sqrt(r * r - d * d / 4))
        place = middle + up * heights[-1]
        bench.open_to(r, f"Open the compasses to {cm(r)}.", free=True)
        arcs = [
            bench.strike_at(
                end, place, f"With the needle on {bench.call(end)}, strike an arc on the same side."
            )
            for end in bench.first_to_last(a, b)
        ]
        marks.append(bench.cross(arcs[0], arcs[1], place))
    low = max(limits[0], min(wanted[0], *(h - PAST for h in heights)))
    high = min(limits[1], max(wanted[1], *(h + PAST for h in heights)))
    first, last = (marks[0], marks[1]) if side > 0 else (marks[1], marks[0])
    base = min(heights)
    caption = "Rule the line through the two crossings."
    line = bench.rule(first, last, low - base, high - base, role, caption)
    evidence = ArcEvidence(
        f"equal arcs from {a} and {b}", "equal-arcs", (a, b), False, bench.unprinted(a, b)
    )
    why = "Each crossing is equally far from both points, and so is every point of the line."
    return Drawn(line, "perpendicular bisector by two pairs of equal arcs", (evidence,), why)


def midpoint_of(bench: Bench, a: str, b: str, shown: bool = True) -> str:
    """Mark the midpoint of ``a`` ``b`` by its perpendicular bisector."""
    return midpoint_shown(bench, a, b, shown)[0]


def midpoint_shown(bench: Bench, a: str, b: str, shown: bool = True) -> tuple[str, bool]:
    """The midpoint's mark, and whether the arcs that fix it cross on both sides of ``a`` ``b``."""
    middle = midpoint(bench.points[a], bench.points[b])
    drawn = perpendicular_bisector(bench, a, b, (-0.3, 0.3), "construction")
    line = bench.line_through(a, b)
    mark = bench.cross(line, drawn.ink, middle, "Call the midpoint ?.", shown)
    return mark, all(e.both_sides for e in drawn.evidence)


def _good_opening(bench: Bench, a: Point, b: Point, reach: float) -> float:
    """The opening that makes the line truest within ``reach`` cm of the midpoint."""
    good = _truest(bench, a, b, reach)
    if good is not None:
        return good
    d, tools = a.distance(b), bench.instruments
    raise PlanError(
        f"The points are {cm(d)} apart; arcs that cross on both sides of the line between them "
        f"need an opening over {cm(d / 2)}, and none fits the compasses "
        f"({cm(tools.compasses_min_cm)} to {cm(tools.compasses_cm)}) "
        f"and the room ({cm(bench.room.width)} by {cm(bench.room.height)}).",
        _what_helps(bench, a, b),
    )


def _truest(bench: Bench, a: Point, b: Point, reach: float) -> float | None:
    """None where no opening fits the room and the compasses."""
    d, middle, up = a.distance(b), midpoint(a, b), (b - a).unit().left()

    def crossings(r: float) -> tuple[Point, Point]:
        h = math.sqrt(r * r - d * d / 4)
        return middle + up * h, middle - up * h

    return tidiest(
        lattice(max(bench.instruments.compasses_min_cm, CLEAR * d / 2),
                bench.instruments.compasses_cm),
        lambda r: bisector_spread(d, r, reach),
        lambda r: (bench.clutter(crossings(r)), bench.fresh_opening(r), *untidy((r,))),
        lambda r: _arcs_fit(bench, a, b, r),
    )  # fmt: skip


def _what_helps(bench: Bench, a: Point, b: Point) -> str:
    """The longest distance between the points, about the same midpoint, that would work."""
    middle, ahead = midpoint(a, b), (b - a).unit()
    for tenths in range(int(a.distance(b) * 10) - 1, 9, -1):
        half = ahead * (tenths / 20)
        if _truest(bench, middle - half, middle + half, 3.0) is not None:
            return f"Bring the points to at most {cm(tenths / 10)} apart, or give more room."
    return "Give the question more room."


def _arcs_fit(bench: Bench, a: Point, b: Point, radius: float) -> bool:
    h = math.sqrt(radius**2 - a.distance(b) ** 2 / 4)
    middle, up = midpoint(a, b), (b - a).unit().left()
    return all(
        bench.fits(short_arc(centre, place, radius))
        for centre in (a, b)
        for place in (middle + up * h, middle - up * h)
    )


def short_arc(centre: Point, place: Point, radius: float) -> Arc:
    """The construction arc about ``centre`` whose middle lies towards ``place``."""
    half = short_span(radius)
    return Arc(centre, radius, (place - centre).angle() - half, 2 * half)


def _by_measuring(bench: Bench, a: str, b: str, needed: Span | None, role: Role) -> Drawn:
    """Any method allowed: the midpoint by the ruler, the right angle by the protractor."""
    pa, pb = bench.points[a], bench.points[b]
    middle, up = midpoint(pa, pb), (pb - pa).unit().left()
    limits = bench.room.along(middle, up) or (0.0, 0.0)
    low, high = needed or (-SHORTEST, SHORTEST)
    half, name = pa.distance(pb) / 2, bench.pair(a, b)
    centre = bench.step(
        a, b, half, f"Measure {name} and mark its midpoint, {cm(half)} from {bench.call(a)}."
    )
    turn = 1 if limits[1] >= -limits[0] else -1
    mark = bench.protract(
        centre, b, 90.0, turn, min(PROTRACTOR, max(limits[1], -limits[0])),
        f"Centre the protractor on the midpoint along {name} and mark 90°.",
    )  # fmt: skip
    ends = (max(limits[0], low), min(limits[1], high))
    if turn < 0:
        ends = (-ends[1], -ends[0])
    line = bench.rule(centre, mark, *ends, role, "Rule the line through the midpoint and the mark.")
    return Drawn(
        line,
        "perpendicular bisector by measuring",
        (),
        "Points of the line that crosses at the midpoint at a right angle are as far from one "
        "end as from the other.",
    )
