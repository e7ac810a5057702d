"""A perpendicular at a point of a line: by protractor, by the side that is square to it
already, or by compasses (Euclid I.11)."""

from __future__ import annotations

import math

from millimark.errors import PlanError
from millimark.plane.curves import Segment
from millimark.plane.point import Point
from millimark.working.acts import Ink, PrintedLine
from millimark.working.bench import SAME, Bench, cm
from millimark.working.bisectors import PAST, PROTRACTOR, call, fits, openings


def printed_reach(bench: Bench, a: str, b: str) -> float:
    """How far the printed line from ``a`` towards ``b`` goes: 0 where none is printed,
    infinite for a ray or line (which is printed as far as the frame goes)."""
    figure = bench.figure
    if any({a, b} == set(line) for line in figure.lines) or (a, b) in figure.rays:
        return math.inf
    sides = [
        pair for poly in figure.polygons for pair in zip(poly, (*poly[1:], poly[0]), strict=True)
    ]
    if any({a, b} == set(pair) for pair in (*figure.segments, *figure.rays, *sides)):
        return bench.points[a].distance(bench.points[b])
    return 0.0


def line_past(bench: Bench, a: str, b: str, beyond: float) -> Ink:
    """The line from ``b`` through ``a``, long enough to reach ``beyond`` cm past ``a``."""
    name = f"{b}{a}"
    if any({a, b} == set(line) for line in bench.figure.lines) or (b, a) in bench.figure.rays:
        return PrintedLine(b, a)
    d = bench.points[a].distance(bench.points[b])
    return bench.rule(
        b, a, d, d + beyond, "construction", f"Lay the ruler along {name} and run it past {a}."
    )


def perpendicular_at(bench: Bench, a: str, b: str, reach: float, sides: tuple[int, ...]) -> str:
    """Rule the perpendicular to ``a`` ``b`` at ``a``; the ink's name. It reaches ``reach``
    cm on each of ``sides`` (+1: left of the way from ``a`` to ``b``)."""
    at, up = bench.points[a], (bench.points[b] - bench.points[a]).unit().left()
    low = min(0.0, *(side * reach for side in sides))
    high = max(0.0, *(side * reach for side in sides))
    if (ruled := _ruled_already(bench, at, up, (low, high))) is not None:
        return ruled
    square = _square_neighbour(bench, a, b)
    if square is not None:
        ahead = (at - bench.points[square]).unit()
        d = at.distance(bench.points[square])
        ends = (low, high) if ahead.dot(up) > 0 else (-high, -low)
        return bench.rule(
            square, a, d + ends[0], d + ends[1], "construction",
            f"Lay the ruler along {square}{a} and run it past {a}.",
        )  # fmt: skip
    if bench.instruments.protractor:
        return _by_protractor(bench, a, b, sides, (low, high))
    return _by_compasses(bench, a, b, sides, (low, high))


def _ruled_already(bench: Bench, at: Point, up: Point, span: tuple[float, float]) -> str | None:
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
        if abs((bench.points[name] - at).unit().dot(ahead)) < 1e-9 and printed_reach(
            bench, name, a
        ):
            return name
    return None


def _by_protractor(
    bench: Bench, a: str, b: str, sides: tuple[int, ...], span: tuple[float, float]
) -> str:
    at, ahead = bench.points[a], (bench.points[b] - bench.points[a]).unit()
    side = max(sides, key=lambda s: _room_on(bench, at, ahead.left() * s))
    space = min(PROTRACTOR, _room_on(bench, at, ahead.left() * side))
    mark = bench.protract(
        a, b, 90.0, side, space,
        f"Centre the protractor on {a} along {a}{b} and mark 90°.",
    )  # fmt: skip
    up = bench.points[mark] - at
    ends = span if up.dot(ahead.left()) > 0 else (-span[1], -span[0])
    return bench.rule(
        a, mark, *ends, "construction", f"Rule the perpendicular to {a}{b} at {a}, faintly."
    )


def _room_on(bench: Bench, at: Point, direction: Point) -> float:
    limits = bench.room.along(at, direction)
    return max(limits[1], 0.0) if limits else 0.0


def _by_compasses(
    bench: Bench, a: str, b: str, sides: tuple[int, ...], span: tuple[float, float]
) -> str:
    at, ahead = bench.points[a], (bench.points[b] - bench.points[a]).unit()
    room = min(_room_on(bench, at, ahead), _room_on(bench, at, -ahead))
    near = [r for r in openings(bench, 0.0) if r <= room - 0.3]
    for r1 in reversed([r for r in near if r <= 4.0]):
        for side in sides:
            for r2 in (r for r in openings(bench, r1 * 1.2) if r <= 2.5 * r1):
                h = math.sqrt(r2**2 - r1**2)
                tip = at + ahead.left() * (side * h)
                if fits(bench, Segment(at, tip + (tip - at).unit() * 0.3)):
                    return _perpendicular_arcs(bench, a, b, (r1, r2), tip, span)
    raise PlanError(
        f"The perpendicular at {a} needs arcs on both sides of {a} along {a}{b}, and the room "
        f"({cm(bench.room.width)} by {cm(bench.room.height)}) leaves {cm(room)}.",
        "Give the question more room, or allow a protractor.",
    )


def _perpendicular_arcs(
    bench: Bench, a: str, b: str, radii: tuple[float, float], tip: Point, span: tuple[float, float]
) -> str:
    r1, r2 = radii
    at, ahead = bench.points[a], (bench.points[b] - bench.points[a]).unit()
    back = line_past(bench, a, b, r1 + 0.3)
    front: Ink = PrintedLine(a, b)
    if printed_reach(bench, a, b) < r1 + 0.1:
        front = line_past(bench, b, a, r1 + 0.4 - at.distance(bench.points[b]))
    bench.open_to(r1, f"Open the compasses to {cm(r1)}.")
    cuts = [
        bench.cross(
            ink,
            bench.strike_at(a, place, f"With the needle on {a}, cut the line {a}{b}.", 0.4),
            place,
        )
        for ink, place in ((front, at + ahead * r1), (back, at - ahead * r1))
    ]
    bench.open_to(r2, f"Open the compasses further, to {cm(r2)}.")
    arcs = [
        bench.strike_at(cut, tip, f"With the needle on {call(cut)} of arc and line, strike an arc.")
        for cut in cuts
    ]
    cross = bench.cross(arcs[0], arcs[1], tip)
    up = (tip - at).unit()
    ends = span if up.dot(ahead.left()) > 0 else (-span[1], -span[0])
    ends = (ends[0], max(ends[1], at.distance(tip) + min(PAST, 0.3)))
    return bench.rule(
        a, cross, *ends, "construction", f"Rule the perpendicular to {a}{b} at {a}, faintly."
    )
