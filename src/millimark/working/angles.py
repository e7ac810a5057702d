"""Angles by compasses alone: 60° (Euclid I.1) and what halving and adding make of it."""

from __future__ import annotations

import math

from millimark.errors import PlanError
from millimark.plane.point import Point
from millimark.working.acts import Role
from millimark.working.bench import Bench
from millimark.working.choosing import angle_spread, lattice, tidiest, untidy
from millimark.working.drawn import PAST
from millimark.working.perpendiculars import line_over
from millimark.working.wording import cm

HALVES = {
    15: (0, 30), 30: (0, 60), 45: (0, 90), 75: (60, 90), 90: (60, 120),
    105: (90, 120), 135: (90, 180), 150: (120, 180), 165: (150, 180),
}  # fmt: skip
"""Which two angles each angle lies halfway between; 60°, 120° and 180° are stepped off."""

WHY_SIXTY = (
    "The three radii are equal, so vertex, cut and crossing make an equilateral triangle, whose "
    "angles are 60°."
)


class Fan:
    """Directions about one vertex, all marked on one arc of radius ``r`` about it."""

    def __init__(self, bench: Bench, vertex: str, arm: str, side: int, r: float) -> None:
        self.bench, self.vertex, self.arm, self.side, self.r = bench, vertex, arm, side, r
        self.marks: dict[int, str] = {}
        self.tips: dict[int, str] = {}

    def place(self, degrees: int, distance: float | None = None) -> Point:
        """Where the direction crosses the arc, or at another distance from the vertex."""
        at = self.bench.points[self.vertex]
        zero = (self.bench.points[self.arm] - at).angle()
        turn = self.side * math.radians(degrees)
        return at.polar(self.r if distance is None else distance, zero + turn)

    def _open(self) -> None:
        self.bench.open_to(
            self.r, f"Open the compasses to any handy length, say {cm(self.r)}.", free=True
        )

    def _arc(self, degrees: int) -> str:
        self._open()
        needle = f"With the needle on {self.bench.call(self.vertex)}"
        line = self.bench.pair(self.vertex, self.arm)
        caption = (
            f"{needle}, carry the same arc round to about {degrees}°."
            if degrees
            else f"{needle}, strike an arc that cuts {line}."
        )
        return self.bench.strike_at(self.vertex, self.place(degrees), caption, 0.5)

    def mark(self, degrees: int) -> str:
        """The mark of a direction on the arc."""
        if degrees not in self.marks:
            self.marks[degrees] = self._find(degrees)
        return self.marks[degrees]

    def _find(self, degrees: int) -> str:
        at = self.place(degrees)
        if degrees == 0:
            line = self.bench.line_through(self.vertex, self.arm)
            return self.bench.cross(line, self._arc(0), at)
        if degrees in (60, 120):
            before = self.mark(degrees - 60)
            own = self._arc(degrees)
            self._open()
            where = "the cut" if degrees == 60 else "that crossing"
            caption = f"With the needle on {where}, strike across the arc: {degrees}°."
            return self.bench.cross(own, self.bench.strike_at(before, at, caption), at)
        if degrees == 180:
            line = line_over(self.bench, self.vertex, self.arm, at, 0.3)
            return self.bench.cross(line, self._arc(180), at)
        tip = self.tip(degrees)
        end = self.bench.points[self.vertex].distance(self.bench.points[tip]) + 0.3
        ray = self.bench.rule(
            self.vertex, tip, 0.0, max(end, self.r + 0.3), "construction",
            f"Rule the line from {self.bench.call(self.vertex)} at {degrees}°, faintly.",
        )  # fmt: skip
        return self.bench.cross(ray, self._arc(degrees), at)

    def tip(self, degrees: int) -> str:
        """A mark in the direction: on the arc where it is stepped off, else the crossing of
        equal arcs from the two directions that it halves."""
        if degrees not in HALVES:
            return self.mark(degrees)
        if degrees not in self.tips:
            self.tips[degrees] = self._halve(degrees)
        return self.tips[degrees]

    def _halve(self, degrees: int) -> str:
        one, two = (self.mark(d) for d in HALVES[degrees])
        half = math.radians(HALVES[degrees][1] - HALVES[degrees][0]) / 2
        base, most = self.r * math.sin(half), self.bench.instruments.compasses_cm
        low = max(self.bench.instruments.compasses_min_cm, 1.1 * base)
        good = tidiest(
            lattice(low, most),
            lambda r2: angle_spread(self.r, r2, half, 6.0),
            lambda r2: (r2 != self.r, *untidy((r2,))),
        )
        if good is None:
            raise PlanError(
                f"The compasses ({cm(most)}) are too small to halve the angle.",
                "Use larger compasses.",
            )
        r2 = self.bench.free("opening to halve an angle", low, most, good)
        out = self.place(degrees, self.r * math.cos(half) + math.sqrt(r2**2 - base**2))
        self.bench.open_to(r2, f"Open the compasses to {cm(r2)}.", free=True)
        arcs = [
            self.bench.strike_at(
                mark, out, f"With the needle on the mark for {d}°, strike an arc inside the angle."
            )
            for mark, d in zip((one, two), HALVES[degrees], strict=True)
        ]
        return self.bench.cross(arcs[0], arcs[1], out)


def angle_by_compasses(
    bench: Bench, vertex: str, arm: str, degrees: int, side: int, role: Role = "answer",
    reach: float = 4.0,
) -> str:  # fmt: skip
    """Rule the ray that makes ``degrees`` (a multiple of 15 under 180) with the ray from
    ``vertex`` through ``arm``, on its left (``side`` +1) or right; its ink."""
    if degrees % 15 or not 0 < degrees < 180:
        raise PlanError(
            f"An angle of {degrees}° is not made of halves of 60° that compasses give.",
            "Use a multiple of 15°, or allow a protractor.",
        )
    length = bench.points[vertex].distance(bench.points[arm])
    least = bench.instruments.compasses_min_cm
    most = bench.short_of(length, least)
    r = bench.free("opening about the vertex", least, most, round(min(5.0, 0.8 * length), 1))
    fan = Fan(bench, vertex, arm, side, r)
    tip = fan.tip(degrees)
    way = (bench.points[tip] - bench.points[vertex]).unit()
    end = max(bench.points[vertex].distance(bench.points[tip]) + PAST, reach)
    caption = f"Rule the line from {bench.call(vertex)} through the crossing."
    return bench.rule(vertex, tip, 0.0, min(end, bench.space(vertex, way)), role, caption)


def angle(
    bench: Bench, vertex: str, arm: str, degrees: float, side: int, role: Role = "answer",
    reach: float = 5.0,
) -> str:  # fmt: skip
    """Any angle: by protractor where one is allowed, else by compasses; the ray's ink."""
    whole = round(degrees)
    if not bench.instruments.protractor:
        if abs(whole - degrees) > 1e-9:
            raise PlanError(
                f"An angle of {degrees:g}° cannot be made by compasses.",
                "Allow a protractor, or use a multiple of 15°.",
            )
        return angle_by_compasses(bench, vertex, arm, whole, side, role, reach)
    name = bench.pair(vertex, arm)
    mark = bench.protract(
        vertex, arm, degrees, side, 5.0,
        f"Centre the protractor on {bench.call(vertex)} along {name} and mark {degrees:g}°.",
    )  # fmt: skip
    caption = f"Rule the line from {bench.call(vertex)} through the mark."
    return bench.rule(vertex, mark, 0.0, reach, role, caption)
