"""Regular figures on a side or in a circle (Euclid I.1, I.46, IV.11, IV.15)."""

from __future__ import annotations

import math
from itertools import pairwise

from millimark.plane.point import Point, midpoint
from millimark.working import showing_arcs
from millimark.working.acts import ArcEvidence, Ink, PrintedCircle
from millimark.working.bench import Bench
from millimark.working.bisectors import midpoint_of
from millimark.working.perpendiculars import line_over, perpendicular_at, perpendicular_shown
from millimark.working.sameness import SAME
from millimark.working.wording import cm

WHY = {
    "equilateral triangle": "Both arcs have the side as radius, so all three sides are equal.",
    "square": "One right angle and four equal sides make a square.",
    "hexagon": "The radius and the chord are equal: six equilateral triangles fill the circle.",
    "pentagon": "The opening found is the chord of 72°: r √(10 − 2√5) / 2, because the right "
    "triangle with legs r and r/2 has the hypotenuse r √5 / 2.",
    "pentagon on a side": "The diagonal of a regular pentagon is the side times (1 + √5) / 2, "
    "and the right triangle with legs s and s/2 has the hypotenuse s √5 / 2.",
}


def equilateral(bench: Bench, a: str, b: str, side: int) -> str:
    """The third corner of the equilateral triangle on ``a`` ``b``; its sides are ruled."""
    at = _polar(bench, a, b, side * 60, bench.points[a].distance(bench.points[b]))
    corner = _from_two(bench, (a, b), (a, b), at)
    _join(bench, (a, corner, b))
    return corner


def square(
    bench: Bench, a: str, b: str, side: int
) -> tuple[tuple[str, str], tuple[ArcEvidence, ...]]:
    """The two further corners of the square on ``a`` ``b`` (after ``b``, after that), and the
    arcs that show the right angle."""
    length = bench.points[a].distance(bench.points[b])
    up = (bench.points[b] - bench.points[a]).unit().left() * (side * length)
    far, near = bench.points[b] + up, bench.points[a] + up
    line, shown = perpendicular_shown(bench, a, b, length + 0.5, (side,), "construction")
    bench.open_between(a, b, f"Open the compasses to {bench.pair(a, b)}.")
    arc = bench.strike_at(a, near, f"With the needle on {bench.call(a)}, cut the perpendicular.")
    fourth = bench.cross(line, arc, near, "Call the crossing ?.", shown=True)
    third = _from_two(bench, (b, fourth), (a, b), far)
    _join(bench, (b, third, fourth, a))
    either = (showing_arcs.square_on(a, b),) if shown else ()
    return (third, fourth), either


def hexagon_on(bench: Bench, a: str, b: str, side: int) -> tuple[str, ...]:
    """The four further corners of the regular hexagon on ``a`` ``b``, on from ``b``."""
    r = bench.points[a].distance(bench.points[b])
    centre_at = _polar(bench, a, b, side * 60, r)
    centre = _from_two(bench, (a, b), (a, b), centre_at)
    turn = side * math.radians(60)
    return (*step_round(bench, centre, b, (a, b), turn, 4, last=a),)


def hexagon_in(bench: Bench, centre: str, first: str) -> tuple[str, ...]:
    """The five further corners of the regular hexagon in the circle about ``centre``
    through ``first``."""
    turn = math.radians(60)
    return step_round(bench, centre, first, (centre, first), turn, 5, last=first)


def pentagon_in(bench: Bench, centre: str, first: str) -> tuple[str, ...]:
    """The four further corners of the regular pentagon in the circle about ``centre``
    through ``first``."""
    at, r = bench.points[centre], bench.points[centre].distance(bench.points[first])
    right = (bench.points[first] - at).unit().left() * -r
    across = perpendicular_at(bench, centre, first, r + 0.3, (1, -1))
    circle = _circle(bench, centre, first)
    end = bench.cross(across, circle, at + right)
    middle = midpoint_of(bench, centre, end, shown=False)
    bench.open_between(middle, first, "Open the compasses from the midpoint to the first corner.")
    swung = bench.points[middle] - right.unit() * (r * math.sqrt(5) / 2)
    caption = "With the needle on the midpoint, strike an arc across the diameter."
    cut = bench.cross(across, bench.strike_at(middle, swung, caption, 0.5), swung)
    return step_round(bench, centre, first, (first, cut), math.radians(72), 4, last=first)


def pentagon_on(bench: Bench, a: str, b: str, side: int) -> tuple[str, str, str]:
    """The three further corners of the regular pentagon on ``a`` ``b``, on from ``b``."""
    s = bench.points[a].distance(bench.points[b])
    ahead = (bench.points[b] - bench.points[a]).unit()
    top_of = bench.points[b] + ahead.left() * (side * s)
    line = perpendicular_at(bench, b, a, s + 0.4, (-side,))
    bench.open_between(a, b, f"Open the compasses to {bench.pair(a, b)}.")
    up = bench.cross(
        line,
        bench.strike_at(b, top_of, f"With the needle on {bench.call(b)}, cut the perpendicular."),
        top_of,
    )
    middle = midpoint_of(bench, a, b, shown=False)
    bench.open_between(middle, up, "Open the compasses from the midpoint to that cut.")
    end = midpoint(bench.points[a], bench.points[b]) + ahead * (s * math.sqrt(5) / 2)
    base = line_over(bench, a, b, end, 0.3)
    caption = "With the needle on the midpoint, strike an arc across the line run on."
    cut = bench.cross(base, bench.strike_at(middle, end, caption, 0.5), end)
    diagonal = s * (1 + math.sqrt(5)) / 2
    apex_at = _polar(bench, a, b, side * 72, diagonal)
    third_at = bench.points[b].polar(s, ahead.angle() + side * math.radians(72))
    fifth_at = bench.points[a].polar(s, ahead.angle() + side * math.radians(108))
    apex = _from_two(bench, (a, b), (a, cut), apex_at)
    third = _from_two(bench, (b, apex), (a, b), third_at)
    fifth = _from_two(bench, (a, apex), (a, b), fifth_at)
    _join(bench, (b, third, apex, fifth, a))
    return third, apex, fifth


def step_round(
    bench: Bench,
    centre: str,
    first: str,
    opening: tuple[str, str],
    turn: float,
    count: int,
    last: str,
) -> tuple[str, ...]:
    """Step ``count`` equal chords round the circle from ``first`` and join up to ``last``."""
    at = bench.points[centre]
    r, start = at.distance(bench.points[first]), (bench.points[first] - at).angle()
    circle = _circle(bench, centre, first)
    corners = [first]
    for k in range(1, count + 1):
        bench.open_between(*opening, "Open the compasses to one step.")
        place = at.polar(r, start + k * turn)
        caption = f"With the needle on {bench.call(corners[-1])}, step on round the circle."
        arc = bench.strike_at(corners[-1], place, caption, 0.4)
        corners.append(bench.cross(circle, arc, place, "Call the crossing ?.", shown=True))
    _join(bench, (*corners, last))
    return tuple(corners[1:])


def _circle(bench: Bench, centre: str, through: str) -> Ink:
    """The whole circle about ``centre`` through a mark: the printed one, else a construction
    line."""
    at, r = bench.points[centre], bench.points[centre].distance(bench.points[through])
    for given in bench.figure.circles:
        if given.centre.distance(at) < SAME and abs(given.radius - r) < SAME:
            return PrintedCircle(given.centre, given.radius)
    bench.open_between(
        centre, through, f"Open the compasses from {bench.call(centre)} to {bench.call(through)}."
    )
    caption = f"With the needle on {bench.call(centre)}, draw the circle of radius {cm(r)}."
    start = (bench.points[through] - at).angle()
    return bench.strike(centre, start, 2 * math.pi, "construction", caption)


def _from_two(bench: Bench, centres: tuple[str, str], opening: tuple[str, str], at: Point) -> str:
    """The crossing of equal arcs about two marks, with the opening between two marks."""
    arcs = []
    for centre in centres:
        bench.open_between(*opening, f"Open the compasses to {bench.pair(*opening)}.")
        caption = f"With the needle on {bench.call(centre)}, strike an arc."
        arcs.append(bench.strike_at(centre, at, caption))
    return bench.cross(arcs[0], arcs[1], at, "Call the crossing ?.", shown=True)


def _polar(bench: Bench, a: str, b: str, degrees: float, distance: float) -> Point:
    at = bench.points[a]
    return at.polar(distance, (bench.points[b] - at).angle() + math.radians(degrees))


def _join(bench: Bench, corners: tuple[str, ...]) -> None:
    for one, two in pairwise(corners):
        length = bench.points[one].distance(bench.points[two])
        bench.rule(one, two, 0.0, length, "answer", f"Rule the side {bench.pair(one, two)}.")
