"""The search for a pattern of arcs: readings carried on from needle to needle, and judged.

A place is made by earlier arcs: where two cross, or where one cuts a line. Paper mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from millimark.marking.arc_or_side import (
    goes_past,
    own_line_aside,
    runs_beside,
    runs_through,
    sides_end,
)
from millimark.marking.arcs_about import (
    LIMIT_MM,
    NEAR_CROSSING_MM,
    NEARLY_MM,
    ArcsAbout,
    arcs_about,
    crossing,
    gap_to,
    radii_agree,
)
from millimark.marking.faint import runs_by
from millimark.marking.limbs import Limbs
from millimark.marking.round_about import with_untraced
from millimark.marking.scene import Scene
from millimark.marking.verdict import Verdict, both
from millimark.plane.point import Point
from millimark.working.acts import ArcMeeting, ArcPattern, LineCut, Needle

_OTHER_MM = 14.0
"""Radii that differ by more are not two tries at one opening."""
_FIXES_NOTHING_MM = 5.0
_CROSS_MM = 6.5
"""No arm of a cross that marks a point is longer, mm: common practice, no source."""
_MISSED = 8.0
"""What a crossing or cut that is not there costs a reading, as millimetres of a radius."""


@dataclass(frozen=True, eq=False)
class Reading:
    """Some needles of the pattern, each with its arcs; ``sides`` the crossing (-1 or +1) taken
    for each meeting that is a place; ``cost`` how badly it fits."""

    arcs: tuple[ArcsAbout, ...] = ()
    sides: tuple[tuple[ArcMeeting, int], ...] = ()
    cost: float = 0.0

    @property
    def pieces(self) -> frozenset[int]:
        return frozenset(k for arcs in self.arcs for k in arcs.pieces)


class Search:
    """The pencil and the places while one pattern is looked for."""

    def __init__(self, scene: Scene, pattern: ArcPattern) -> None:
        self.ink, self.pattern, self.points = scene.ink, pattern, scene.points
        self.picture, self.barred = scene.picture, scene.barred
        self.mm_per_cm = scene.mm_per_cm
        self.made = dict(pattern.places)
        self.limbs = Limbs(scene.ink, scene.barred, scene.picture)
        self._about: dict[tuple[float, float], list[ArcsAbout]] = {}

    # --- carrying a reading on ------------------------------------------------------------
    def carried_on(self, reading: Reading, number: int) -> Iterator[Reading]:
        """The reading with each choice of arcs for the next needle."""
        needle = self.pattern.needles[number]
        for sided in self._sided(reading, needle):
            at = self.place(needle.at, sided)
            if at is None:
                continue
            for arcs in self.arcs_at(at):
                if any(
                    set(arcs.pieces) <= set(other.pieces)
                    and arcs.centre.distance(other.centre) > LIMIT_MM
                    for other in reading.arcs
                ):
                    continue
                gap = self._radius_gap(sided, number, arcs.radius)
                if gap is None or gap > _OTHER_MM:
                    continue
                cost = sided.cost + gap + 0.5 * arcs.astray + self._unreached(sided, needle.at, at)
                yield Reading((*sided.arcs, arcs), sided.sides, cost)

    def _sided(self, reading: Reading, needle: Needle) -> Iterator[Reading]:
        """The reading with a side chosen where the needle stands on a meeting."""
        how = self.made.get(needle.at)
        if not isinstance(how, ArcMeeting) or any(m == how for m, _ in reading.sides):
            yield reading
            return
        for side in self._sides(how, reading):
            yield Reading(reading.arcs, (*reading.sides, (how, side)), reading.cost)

    def arcs_at(self, at: Point) -> list[ArcsAbout]:
        """All arcs about a place, smallest radius first."""
        key = (round(at.x, 1), round(at.y, 1))
        if key not in self._about:
            self.ink = with_untraced(self.ink, self.picture, (at,), self.barred)
            self._about[key] = arcs_about(self.ink, at, self.barred)
        return self._about[key]

    def _radius_gap(self, reading: Reading, number: int, radius: float) -> float | None:
        """How far a radius is from what it should be; 0 where it is free, None where the
        distance that fixes it is not there."""
        needle = self.pattern.needles[number]
        fixed = self.opening(reading, needle)
        if needle.opening is not None:
            return None if fixed is None else abs(radius - fixed)
        same = [
            arcs.radius
            for other, arcs in zip(self.pattern.needles, reading.arcs, strict=False)
            if other.radius == needle.radius
        ]
        return max((abs(radius - r) for r in same), default=0.0)

    def opening(self, reading: Reading, needle: Needle) -> float | None:
        """The radius that is asked for, mm; None where it is free or cannot be told."""
        if needle.opening is None:
            return None
        if isinstance(needle.opening, int | float):
            return needle.opening * self.mm_per_cm
        one, two = (self.place(name, reading) for name in needle.opening)
        return None if one is None or two is None else one.distance(two)

    # --- places ---------------------------------------------------------------------------
    def place(self, name: str, reading: Reading) -> Point | None:
        """Where a place is by this reading; None where its arcs do not reach."""
        how = self.made.get(name)
        if how is None:
            return self.points.get(name)
        if isinstance(how, ArcMeeting):
            sides = [side for meeting, side in reading.sides if meeting == how]
            side = sides[0] if sides else next(iter(self._sides(how, reading)), 0)
            return self._meeting(how, reading, side) if side else None
        return self.cut_place(how, reading)

    def cut_place(self, cut: LineCut, reading: Reading) -> Point | None:
        """Where arcs of the reading cut a line: the printed one, or the pupil's own beyond it."""
        arcs = self._of(cut.of, reading)
        a, b = self.place(cut.a, reading), self.place(cut.b, reading)
        if arcs is None or a is None or b is None or a.distance(b) < 1e-6:
            return None
        ahead = (b - a).unit()
        along = (arcs.centre - a).dot(ahead)
        off = (arcs.centre - a).cross(ahead)
        if abs(off) >= arcs.radius:
            return None
        half = float(np.sqrt(arcs.radius**2 - off**2))
        at = a + ahead * (along + (half if cut.later else -half))
        if 0.0 <= (at - a).dot(ahead) <= a.distance(b):
            return at
        aside = own_line_aside(self.ink, at, ahead, arcs.pieces)
        return arcs.centre + (at + ahead.left() * aside - arcs.centre).unit() * arcs.radius

    def _of(self, name: str, reading: Reading) -> ArcsAbout | None:
        """The arcs about a place that the reading has; of two openings there the first."""
        for needle, arcs in zip(self.pattern.needles, reading.arcs, strict=False):
            if needle.at == name:
                return arcs
        return None

    def _meeting(self, meeting: ArcMeeting, reading: Reading, side: int) -> Point | None:
        pair = self._pair(meeting, reading)
        return None if pair is None else crossing(*pair, side)

    def _pair(self, meeting: ArcMeeting, reading: Reading) -> tuple[ArcsAbout, ArcsAbout] | None:
        """The arcs that are to cross: about two places with more than one opening, the last."""
        found = []
        for name in (meeting.first, meeting.second):
            mine = [
                arcs
                for needle, arcs in zip(self.pattern.needles, reading.arcs, strict=False)
                if needle.at == name
            ]
            if not mine:
                return None
            found.append(mine)
        early = any(m == meeting for m in self.made.values())
        return (found[0][0], found[1][0]) if early else (found[0][-1], found[1][-1])

    def _sides(self, meeting: ArcMeeting, reading: Reading) -> list[int]:
        """The crossings (-1, +1) that may be meant: the one nearer to its place, or both, but
        none that lies on a place that is there already."""
        at = {side: self._meeting(meeting, reading, side) for side in (-1, 1)}
        taken = [self.points[n.at] for n in self.pattern.needles if n.at in self.points]
        taken += [
            arcs.centre
            for needle, arcs in zip(self.pattern.needles, reading.arcs, strict=False)
            if self.made.get(needle.at) != meeting
        ]
        found = [
            side
            for side, p in at.items()
            if p is not None and all(p.distance(q) > _FIXES_NOTHING_MM for q in taken)
        ]
        near = self.points.get(meeting.near)
        if near is None or len(found) < 2:
            return found
        return [min(found, key=lambda side: near.distance(at[side] or near))]

    # --- judging --------------------------------------------------------------------------
    def _unreached(self, reading: Reading, name: str, at: Point) -> float:
        """The cost of a cut that its arcs do not reach."""
        return 0.0 if self._reaches(reading, name, at) == "yes" else _MISSED

    def _reaches(self, reading: Reading, name: str, at: Point) -> Verdict:
        """Whether pencil reaches a place that arcs make, or a printed point stands there."""
        how = self.made.get(name)
        if how is None or any(p.distance(at) < LIMIT_MM for p in self.points.values()):
            return "yes"
        makers = self._pair(how, reading) if isinstance(how, ArcMeeting) else None
        if isinstance(how, LineCut) and (arcs := self._of(how.of, reading)) is not None:
            makers = (arcs, arcs)
        if makers is None:
            return "no"
        reached = _within_reach(max(self.gap(arcs, at) for arcs in makers))
        if reached == "no" and max(self.gap(a, at, True) for a in makers) <= NEAR_CROSSING_MM:
            reached = "unsure"
        if reached == "no" and self._out_of_sight(at):
            return "unsure"
        if reached == "yes" or not isinstance(how, LineCut):
            return reached
        seen = self._by_picture(makers[0], at)
        return reached if seen == "no" else seen

    def _out_of_sight(self, at: Point) -> bool:
        """Whether a place lies outside the answer frame, or so near to its edge that little of arcs
        there can be seen."""
        return not self.picture.shows(at, NEAR_CROSSING_MM)

    def _by_picture(self, arcs: ArcsAbout, at: Point) -> Verdict:
        """Whether pencil runs along the arcs' circle by a place on it though no stroke was traced
        there: a short arc across other lines is cut to bits."""
        seen = runs_by(self.picture, arcs.centre, arcs.radius, at)
        return "yes" if all(seen) else "unsure" if any(seen) else "no"

    def gap(self, arcs: ArcsAbout, at: Point, perhaps: bool = False) -> float:
        """How near pencil of these arcs (or what is ``perhaps`` theirs, too) comes to a place; a
        needle that was set down anew leaves a little other radius about the same place."""
        return min(
            gap_to(self.ink, other, at, perhaps)
            for other in (arcs, *self.arcs_at(arcs.centre))
            if abs(other.radius - arcs.radius) <= LIMIT_MM
        )

    def whole_cost(self, reading: Reading) -> float:
        """The cost with the crossings that are not there."""
        return reading.cost + sum(
            _MISSED for m in self.pattern.meetings if self._met(m, reading)[0] != "yes"
        )

    def _met(self, meeting: ArcMeeting, reading: Reading) -> tuple[Verdict, str]:
        """Whether the arcs cross where they should."""
        if not meeting.second:
            return self._passes(meeting, reading)
        names = f"the arcs about {called(meeting.first)} and {called(meeting.second)}"
        pair = self._pair(meeting, reading)
        places = {
            at: side
            for side in self._sides(meeting, reading)
            if (at := self._meeting(meeting, reading, side)) is not None
        }
        if pair is None or not places:
            return "no", f"{names} do not cross"
        gaps = [
            0.0 if self.limbs.cross(*pair, side) else max(self.gap(arcs, at) for arcs in pair)
            for at, side in places.items()
        ]
        reached = [at for at, gap in zip(places, gaps, strict=True) if gap <= NEAR_CROSSING_MM]
        if reached:
            if self._at_corner(meeting) and not any(self._go_on(pair, at) for at in reached):
                return "unsure", f"{names} can hardly be told from the sides where they cross"
            return "yes", f"{names} cross"
        near = _within_reach(min(gaps))
        if near == "no" and any(map(self._out_of_sight, places)):
            return "unsure", f"{names} would cross at or beyond the edge of the answer frame"
        if near == "no":
            perhaps = min(max(self.gap(arcs, at, True) for arcs in pair) for at in places)
            if perhaps <= NEAR_CROSSING_MM:
                return "unsure", f"{names} may cross: pencil of their radius is there"
            if any(self._faintly(pair, at) for at in places):
                why = f"{names} do not cross as strokes, but pencil runs by their crossing"
                return "unsure", why
        return near, f"{names} do not {'quite reach their crossing' if near != 'no' else 'cross'}"

    def _faintly(self, pair: tuple[ArcsAbout, ArcsAbout], at: Point) -> bool:
        """Whether pencil runs along both circles by their crossing, though it was not traced."""
        return all(any(runs_by(self.picture, a.centre, a.radius, at)) for a in pair)

    def _at_corner(self, meeting: ArcMeeting) -> bool:
        """Whether both arcs have a radius that is asked: a figure's corner is at their crossing."""
        asked = [n.opening is not None for n in self.pattern.needles if n.at in
                 (meeting.first, meeting.second)]  # fmt: skip
        return all(asked)

    def _go_on(self, pair: tuple[ArcsAbout, ArcsAbout], at: Point) -> bool:
        """Whether both arcs go on past a corner where their figure's sides do not; where no sides
        were drawn they need not, if they are longer than the arms of a cross."""
        lengths = [self.ink.lengths[list(arcs.pieces)].sum() for arcs in pair]
        bare = not sides_end(self.ink, {*pair[0].pieces, *pair[1].pieces}, at)
        return (bare and min(lengths) > _CROSS_MM) or all(
            goes_past(self.ink, arcs.centre, arcs.radius, at, other.centre)
            or runs_through(self.ink, arcs.centre, arcs.radius, at, other.centre)
            or runs_beside(self.ink, arcs.pieces, arcs.centre, arcs.radius, at, other.centre)
            for arcs, other in (pair, pair[::-1])
        )

    def _passes(self, meeting: ArcMeeting, reading: Reading) -> tuple[Verdict, str]:
        """Whether the arcs about one place pass through another."""
        arcs, at = self._of(meeting.first, reading), self.points.get(meeting.near)
        if arcs is None or at is None:
            return "no", "the step was not found"
        verdict: Verdict = "yes" if self.gap(arcs, at) <= NEAR_CROSSING_MM else "no"
        if verdict == "no":
            verdict = self._by_picture(arcs, at)
        return verdict, f"an arc about {called(meeting.first)} steps on"

    def judged(self, reading: Reading) -> tuple[Verdict, str]:
        """Centres, radii, cuts and crossings against the limit, and the first that fails."""
        parts: list[tuple[Verdict, str]] = []
        for number, (needle, arcs) in enumerate(
            zip(self.pattern.needles, reading.arcs, strict=False)
        ):
            parts.append((
                arcs.centred,
                f"the arcs meant for {called(needle.at)} are centred {arcs.astray:.1f} mm from "
                f"it; the limit is {LIMIT_MM:.0f} mm",
            ))  # fmt: skip
            reached = self._reaches(reading, needle.at, arcs.centre)
            parts.append((reached, f"no arc was seen to reach {called(needle.at)}"))
            parts.append(self._radius_judged(reading, number, arcs))
        if len(reading.arcs) == len(self.pattern.needles):
            parts += [self._met(m, reading) for m in self.pattern.meetings]
        verdict = both(*(v for v, _ in parts))
        if verdict == "yes":
            radii = ", ".join(f"{arcs.radius:.1f} mm" for arcs in reading.arcs)
            return verdict, f"the arcs are there and cross (radii {radii})"
        return verdict, next(why for v, why in parts if v == verdict)

    def _radius_judged(self, reading: Reading, number: int, arcs: ArcsAbout) -> tuple[Verdict, str]:
        before = Reading(reading.arcs[:number], reading.sides)
        gap = self._radius_gap(before, number, arcs.radius) or 0.0
        sigma = max((a.sigma for a in before.arcs), default=0.0)
        needle = self.pattern.needles[number]
        wanted = self.opening(before, needle)
        told = f"the radius about {called(needle.at)} is {arcs.radius:.1f} mm"
        if wanted is not None:
            told = f"{told} where {wanted:.1f} mm is wanted"
        else:
            told = f"{told}, {gap:.1f} mm from the other"
        verdict = radii_agree(gap, math.hypot(sigma, arcs.sigma))
        return verdict, f"{told}; the limit is {LIMIT_MM:.0f} mm"

    def too_small(self, reading: Reading) -> bool:
        """Whether circles of a meeting are too small to cross at all."""
        pairs = [self._pair(m, reading) for m in self.pattern.meetings if m.second]
        return any(
            p is not None and p[0].centre.distance(p[1].centre) > p[0].radius + p[1].radius
            for p in pairs
        )


def _within_reach(gap_mm: float) -> Verdict:
    """Whether pencil that comes so near to a crossing reaches it."""
    if gap_mm <= NEAR_CROSSING_MM:
        return "yes"
    return "unsure" if gap_mm < NEARLY_MM else "no"


def called(place: str) -> str:
    return place if place[:1].isupper() else f"the {place}"
