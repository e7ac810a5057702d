"""Perpendiculars: at a point of a line and from a point to it (Euclid I.11, I.12); by the
side that is square to it already, by protractor, or by compasses."""

from __future__ import annotations

import math

from millimark.errors import PlanError
from millimark.plane.curves import Segment
from millimark.plane.point import Point
from millimark.working import showing_arcs
from millimark.working.acts import ArcEvidence, Ink, Role
from millimark.working.angle_bisectors import Arm, Wedge, halve
from millimark.working.bench import Bench
from millimark.working.bisectors import short_arc
from millimark.working.choosing import angle_spread, lattice, tidiest, untidy
from millimark.working.drawn import PROTRACTOR, Span
from millimark.working.printed import printed_from, printed_reach
from millimark.working.sameness import SAME
from millimark.working.wording import cm

ARM = 4.0
"""cm: as far along a line as the arcs for a perpendicular go."""

ENOUGH = 2.5
"""cm of a printed line that are enough for an arc to cut."""

WHY_AT = (
    "The two cuts are equally far from the point, and the crossing is equally far from the cuts, "
    "so the triangles are congruent (SSS) and the angles at the point are equal: 90° each."
)
WHY_FROM = (
    "The point and the crossing are each equally far from the two cuts, so the line through them "
    "is the perpendicular bisector of the piece between the cuts (a kite's diagonal)."
)


def line_past(bench: Bench, a: str, b: str, beyond: float) -> Ink:
    """The line from ``b`` through ``a``, long enough to reach ``beyond`` cm past ``a``."""
    d = bench.points[a].distance(bench.points[b])
    ahead = (bench.points[a] - bench.points[b]).unit()
    end = bench.points[a] + ahead * beyond
    reach, printed = printed_from(bench.figure, bench.points[a], ahead)
    if printed is not None and reach >= beyond - SAME:
        return printed
    for name, ink in bench.inks.items():
        if isinstance(ink, Segment) and all(
            ink.distance_to(p) < SAME for p in (bench.points[a], end)
        ):
            return name
    caption = f"Lay the ruler along {bench.pair(b, a)} and run the line past {bench.call(a)}."
    return bench.rule(b, a, d, d + beyond, "construction", caption)


def perpendicular_at(
    bench: Bench,
    a: str,
    b: str,
    reach: float,
    sides: tuple[int, ...],
    role: Role = "construction",
    arcs: bool = False,
) -> str:
    """Rule the perpendicular to ``a`` ``b`` at ``a``; the ink's name. It reaches ``reach``
    cm on each of ``sides`` (+1: left of the way from ``a`` to ``b``). ``arcs``: by compasses,
    whatever else would do."""
    at, up = bench.points[a], (bench.points[b] - bench.points[a]).unit().left()
    limits = bench.room.along(at, up) or (0.0, 0.0)
    span = (
        max(min(0.0, *(s * reach for s in sides)), min(limits[0], 0.0)),
        min(max(0.0, *(s * reach for s in sides)), max(limits[1], 0.0)),
    )
    if arcs:
        return _by_compasses(bench, a, b, sides, span, role)
    if (ruled := _ruled_already(bench, at, up, span)) is not None:
        return ruled
    if (square := _square_neighbour(bench, a, b)) is not None:
        ends = _turned(span, (at - bench.points[square]).dot(up) > 0)
        d = at.distance(bench.points[square])
        caption = f"Lay the ruler along {square}{bench.call(a)} and run the line past it."
        return bench.rule(square, a, d + ends[0], d + ends[1], role, caption)
    if bench.instruments.protractor:
        return _by_protractor(bench, a, b, sides, span, role)
    return _by_compasses(bench, a, b, sides, span, role)


def perpendicular_shown(
    bench: Bench, a: str, b: str, reach: float, sides: tuple[int, ...], role: Role = "answer"
) -> tuple[str, tuple[ArcEvidence, ...]]:
    """The perpendicular at ``a`` and the arcs that show it: by compasses where the method must
    be shown and there is room for it, else as ``perpendicular_at`` thinks best."""
    if bench.arcs:
        ink = bench.attempt(lambda: perpendicular_at(bench, a, b, reach, sides, role, True))
        if ink is not None:
            return ink, (showing_arcs.perpendicular_at(a, a, b),)
    return perpendicular_at(bench, a, b, reach, sides, role), ()


def _turned(span: Span, same: bool) -> Span:
    return span if same else (-span[1], -span[0])


def _ruled_already(bench: Bench, at: Point, up: Point, span: Span) -> str | None:
    """Ink of an earlier act that is this perpendicular, at least over ``span``."""
    ends = (at + up * span[0], at + up * span[1])
    return next(
        (
            name
            for name, ink in bench.inks.items()
            if isinstance(ink, Segment) and all(ink.distance_to(p) < SAME for p in ends)
        ),
        None,
    )


def _square_neighbour(bench: Bench, a: str, b: str) -> str | None:
    """A printed neighbour of ``a`` whose line to ``a`` is square to ``a`` ``b``."""
    at, ahead = bench.points[a], (bench.points[b] - bench.points[a]).unit()
    for name in bench.figure.points:
        if name in (a, b) or bench.points[name].distance(at) < SAME:
            continue
        square = abs((bench.points[name] - at).unit().dot(ahead)) < 1e-9
        if square and printed_reach(bench.figure, bench.points[name], at):
            return name
    return None


def _by_protractor(
    bench: Bench, a: str, b: str, sides: tuple[int, ...], span: Span, role: Role
) -> str:
    up = (bench.points[b] - bench.points[a]).unit().left()
    side = max(sides, key=lambda s: bench.space(a, up * s))
    name = bench.pair(a, b)
    mark = bench.protract(
        a, b, 90.0, side, min(PROTRACTOR, bench.space(a, up * side)),
        f"Centre the protractor on {bench.call(a)} along {name} and mark 90°.",
    )  # fmt: skip
    ends = _turned(span, side > 0)
    caption = f"Rule the perpendicular to {name} at {bench.call(a)}, faintly."
    return bench.rule(a, mark, *ends, role, caption)


def _by_compasses(
    bench: Bench, a: str, b: str, sides: tuple[int, ...], span: Span, role: Role
) -> str:
    side = max(sides, key=lambda s: bench.space(a, _up(bench, a, b) * s))
    angle = straight_angle(bench, a, b, side)
    cross = halve(bench, angle, max(abs(span[0]), abs(span[1])))
    ends = _turned(span, side > 0)
    tip = bench.points[a].distance(bench.points[cross])
    ends = (ends[0], max(ends[1], min(tip + 0.3, bench.space(a, angle.along))))
    caption = f"Rule the perpendicular to {bench.pair(a, b)} at {bench.call(a)}, faintly."
    return bench.rule(a, cross, *ends, role, caption)


def _up(bench: Bench, a: str, b: str) -> Point:
    return (bench.points[b] - bench.points[a]).unit().left()


def straight_angle(bench: Bench, a: str, b: str, side: int) -> Wedge:
    """The straight angle at ``a`` on one side of the line ``a`` ``b``, whose bisector is the
    perpendicular; the line is ruled on where too little of it is printed."""
    at, ahead = bench.points[a], (bench.points[b] - bench.points[a]).unit()
    front, back = (min(ARM, bench.space(a, direction) - 0.1) for direction in (ahead, -ahead))
    if min(front, back) < bench.instruments.compasses_min_cm + 0.3:
        raise PlanError(
            f"A perpendicular at {bench.call(a)} needs arcs on both sides of it along "
            f"{bench.pair(a, b)}, and the room leaves {cm(max(min(front, back), 0.0))}.",
            "Give the question more room, or allow a protractor.",
        )
    arms = (_straight_arm(bench, a, ahead, b, front), _straight_arm(bench, a, -ahead, b, back))
    return Wedge(a, at, arms, ahead.left() * side, math.pi / 2)


def _straight_arm(bench: Bench, a: str, direction: Point, label: str, wanted: float) -> Arm:
    """The line through ``a`` and ``label`` on one side of ``a``: as much of it as is printed if
    that is enough for an arc, else ruled ``wanted`` cm long."""
    at = bench.points[a]
    reach, printed = printed_from(bench.figure, at, direction)
    if printed is not None and reach >= min(wanted, ENOUGH):
        return Arm(direction, min(reach, wanted), printed, label)
    way = bench.points[label] - at
    if way.dot(direction) < 0:
        return Arm(direction, wanted, line_past(bench, a, label, wanted), label)
    if way.norm() >= min(wanted, ENOUGH):
        return Arm(direction, min(way.norm(), wanted), bench.line_through(a, label), label)
    past = line_past(bench, label, a, wanted - way.norm())
    return Arm(direction, wanted, past, label)


# --- from a point ---------------------------------------------------------------------------
def perpendicular_from(
    bench: Bench, p: str, a: str, b: str, role: Role = "construction", shown: bool = False
) -> tuple[str, str]:
    """Drop the perpendicular from ``p`` to the line ``a`` ``b``: its ink and its foot."""
    ahead = (bench.points[b] - bench.points[a]).unit()
    foot = bench.points[a] + ahead * (bench.points[p] - bench.points[a]).dot(ahead)
    d = bench.points[p].distance(foot)
    r1, r2 = _drop_openings(bench, bench.points[p], foot, ahead)
    half = math.sqrt(r1**2 - d**2)
    line = line_over(bench, a, b, foot, half + 0.3)
    name = bench.pair(a, b)
    bench.open_to(
        r1, f"Open the compasses so that they reach across {name}, say {cm(r1)}.", free=True
    )
    cuts = []
    for place, what in zip(
        _in_order(bench, foot - ahead * half, foot + ahead * half),
        ("on one side", "on the other side"),
        strict=True,
    ):
        caption = f"With the needle on {bench.call(p)}, strike an arc that cuts {name} {what}."
        cuts.append(bench.cross(line, bench.strike_at(p, place, caption, 0.4), place))
    if r2 != r1:
        bench.open_to(r2, f"Open the compasses to {cm(r2)}.", free=True)
    away = (foot - bench.points[p]).unit()
    tip = foot + away * math.sqrt(r2**2 - half**2)
    arcs = [
        bench.strike_at(cut, tip, f"With the needle on {which} cut, strike an arc {what}.")
        for cut, which, what in zip(
            cuts, ("one", "the other"), (f"beyond {name}", "across it"), strict=True
        )
    ]
    cross = bench.cross(arcs[0], arcs[1], tip)
    end = min(d + 0.3, d + bench.room_after(foot, away))
    caption = f"Rule the line from {bench.call(p)} towards the crossing, as far as {name}."
    ruled = bench.rule(p, cross, 0.0, end, role, caption)
    return ruled, bench.cross(ruled, line, foot, "Call the foot of the perpendicular ?.", shown)


def _in_order(bench: Bench, left: Point, right: Point) -> tuple[Point, Point]:
    forwards = (left.x, -left.y) <= (right.x, -right.y)
    return (left, right) if forwards != bench.instruments.left_handed else (right, left)


def line_over(bench: Bench, a: str, b: str, foot: Point, half: float) -> Ink:
    """The line ``a`` ``b``, ruled on as far as the cuts on both sides of ``foot``."""
    ahead = (bench.points[b] - bench.points[a]).unit()
    at = (foot - bench.points[a]).dot(ahead)
    d = bench.points[a].distance(bench.points[b])
    before, after = half - at, at + half - d
    pa, pb = bench.points[a], bench.points[b]
    past_a = before > SAME and printed_reach(bench.figure, pa, pa - ahead) < before
    past_b = after > SAME and printed_reach(bench.figure, pb, pb + ahead) < after
    if not past_a and not past_b:
        return bench.line_through(a, b)
    low, high = (-before if past_a else 0.0), (d + after if past_b else d)
    caption = f"Lay the ruler along {bench.pair(a, b)} and run the line on."
    return bench.rule(a, b, low, high, "construction", caption)


def _drop_openings(bench: Bench, p: Point, foot: Point, ahead: Point) -> tuple[float, float]:
    """The free openings about the point and about the cuts."""
    d = p.distance(foot)
    least, most = bench.instruments.compasses_min_cm, bench.instruments.compasses_cm
    widest = min(most, math.hypot(d, most / 1.06))
    away = (foot - p).unit()

    def fits(openings: tuple[float, float]) -> bool:
        r1, r2 = openings
        half = math.sqrt(r1**2 - d**2)
        tip = foot + away * math.sqrt(r2**2 - half**2)
        return all(
            bench.fits(short_arc(p, cut, r1)) and bench.fits(short_arc(cut, tip, r2))
            for cut in (foot + ahead * half, foot - ahead * half)
        )

    good = tidiest(
        [
            (r1, r2)
            for r1 in lattice(max(least, 1.1 * d), min(widest, math.hypot(d, 2 * ARM)), 0.5)
            for r2 in lattice(max(least, 1.1 * math.sqrt(r1**2 - d**2)), most, 0.5)
        ],
        lambda c: angle_spread(c[0], c[1], math.acos(d / c[0]), d),
        lambda c: (c[0] != c[1], *untidy(c)),
        fits,
    )
    if good is None:
        raise PlanError(
            f"A perpendicular from a point {cm(d)} from the line needs arcs beyond the line, and "
            f"the room ({cm(bench.room.width)} by {cm(bench.room.height)}) or the compasses "
            f"({cm(most)}) leave none.",
            "Give the question more room, or allow a protractor.",
        )
    r1 = bench.free("opening about the point", max(least, 1.05 * d), widest, good[0])
    half = math.sqrt(r1**2 - d**2)
    again = good[1] if r1 == good[0] else 1.5 * half
    return r1, bench.free("opening about the cuts", max(least, 1.05 * half), most, again)
