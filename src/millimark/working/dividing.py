"""Divide a segment into equal parts (Euclid VI.9), and lay off bearings and scaled lengths."""

from __future__ import annotations

import math

from millimark.errors import PlanError
from millimark.plane.point import Point
from millimark.working.acts import Role
from millimark.working.bench import Bench
from millimark.working.parallels import copy_angle
from millimark.working.sameness import SAME
from millimark.working.wording import cm

WHY_DIVIDE = (
    "The joins are parallel, because each cuts equal lengths off two parallel rays; parallels at "
    "equal steps along one line cut equal steps off another."
)


def divide(bench: Bench, a: str, b: str, parts: int) -> tuple[str, ...]:
    """The ``parts`` - 1 marks that divide ``a`` ``b`` equally, from ``a`` on."""
    if parts < 2:
        raise PlanError(f"A segment cannot be divided into {parts} parts.", "Use 2 or more.")
    pa, pb = bench.points[a], bench.points[b]
    d = pa.distance(pb)
    lean = math.radians(bench.free("lean of the ray", 20.0, 60.0, 35.0))
    least = bench.instruments.compasses_min_cm
    step = bench.free("step", least, max(least, 0.95 * d / parts), max(least, 0.7 * d / parts))
    reach = max(parts * step, 3.0)
    side = roomier_side(bench, a, b)
    way = (pb - pa).angle() + side * lean
    tip_at = pa.polar(reach, way)
    share = (tip_at - pa).dot((pb - pa).unit()) / d
    aside = (pb - pa).unit().cross(tip_at - pa)
    tip = bench.anywhere(a, b, share, aside, "Choose a handy direction for a ray.")
    caption = f"Rule a ray from {bench.call(a)} at a handy angle."
    ray = bench.rule(a, tip, 0.0, reach + 0.4, "construction", caption)
    back = copy_angle(bench, (b, a, tip), b, a, side, "construction")
    ups = _steps(bench, a, ray, way, step, parts - 1)
    downs = _steps(bench, b, back, way + math.pi, step, parts - 1)
    line, marks = bench.line_through(a, b), []
    for k in range(1, parts):
        up, down = ups[k - 1], downs[parts - k - 1]
        length = bench.points[up].distance(bench.points[down])
        caption = f"Join step {k} on one ray to step {parts - k} on the other."
        join = bench.rule(up, down, 0.0, length, "construction", caption)
        at = pa + (pb - pa) * (k / parts)
        marks.append(bench.cross(line, join, at, "Call the crossing ?.", shown=True))
    return tuple(marks)


def roomier_side(bench: Bench, a: str, b: str) -> int:
    """The side of ``a`` ``b`` on which the room goes on farther (+1 left); where both are
    alike, the side away from the hand that draws."""
    pa, pb = bench.points[a], bench.points[b]
    middle, up = (pa + pb) * 0.5, (pb - pa).unit().left()
    left, right = bench.room_after(middle, up), bench.room_after(middle, -up)
    if abs(left - right) > 1.0:
        return 1 if left > right else -1
    away = 1 if up.y > SAME or (abs(up.y) <= SAME and up.x < 0) else -1
    sideways = abs(up.y) <= SAME and bench.instruments.left_handed
    return -away if sideways else away


def _steps(bench: Bench, start: str, ray: str, way: float, step: float, count: int) -> list[str]:
    """Equal steps of the compasses along a ray."""
    marks, last = [], start
    for k in range(1, count + 1):
        bench.open_to(step, f"Open the compasses to one step, say {cm(step)}.", free=True)
        at = bench.points[start].polar(k * step, way)
        where = bench.call(last) if k == 1 else "the last step"
        caption = f"With the needle on {where}, step along the ray: step {k}."
        arc = bench.strike_at(last, at, caption, 0.3)
        last = bench.cross(ray, arc, at)
        marks.append(last)
    return marks


def bearing(
    bench: Bench, a: str, north: str, degrees: float, length: float, stands_for: str | None = None
) -> str:
    """The place ``length`` cm from ``a`` on a bearing (clockwise from the printed north line
    through ``a`` and ``north``). ``stands_for``: the real length, for a scale drawing."""
    if not 0.0 <= degrees < 360.0:
        raise PlanError(
            f"A bearing of {degrees:g}° is not between 000° and 360°.",
            "Count clockwise from north, from 000° to 359°.",
        )
    turn, shown = (-1, degrees) if degrees <= 180.0 else (1, 360.0 - degrees)
    way = (bench.points[north] - bench.points[a]).angle() - math.radians(degrees)
    how = "clockwise"
    if turn > 0:
        how = f"anticlockwise, because 360° − {degrees:g}° is {shown:g}°"
    space = bench.space(a, Point(math.cos(way), math.sin(way)))
    mark = bench.protract(
        a, north, shown, turn, min(5.0, space),
        f"Centre the protractor on {bench.call(a)} along the north line and mark {shown:g}° {how}.",
    )  # fmt: skip
    caption = f"Rule the line from {bench.call(a)} through the mark."
    bench.rule(a, mark, 0.0, length + 0.5, "construction", caption)
    told = f" ({stands_for})" if stands_for else ""
    return bench.step(
        a, mark, length,
        f"Measure {cm(length)}{told} from {bench.call(a)} along the line and call the place ?.",
        True,
    )  # fmt: skip


def join(bench: Bench, a: str, b: str, role: Role = "answer") -> str:
    """Rule the segment between two marks; its ink."""
    length = bench.points[a].distance(bench.points[b])
    return bench.rule(a, b, 0.0, length, role, f"Rule the line {bench.pair(a, b)}.")
