"""Construction arcs that hang together: needles on the pupil's own cuts, openings carried on.

The pattern says which arcs there are and how each place comes from earlier ones; whatever
openings and sides the pupil chose, the reading that fits best is looked for among the pencil
about each place. Paper mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from millimark.marking.arcs_about import (
    LIMIT_MM,
    NEAR_CROSSING_MM,
    NEARLY_MM,
    SMALLEST_MM,
    ArcsAbout,
    arcs_about,
    crossing,
    gap_to,
    shown,
)
from millimark.marking.corners import cut_at, runs_through
from millimark.marking.findings import EvidenceFinding
from millimark.marking.ink import Ink
from millimark.marking.verdict import Verdict, at_most, both
from millimark.plane.point import Point
from millimark.working.acts import ArcEvidence, ArcMeeting, ArcPattern, LineCut, Needle

_OTHER_MM = 14.0
"""Radii that differ by more are not two tries at one opening."""
_MOST_READINGS = 12
"""Readings that are carried on from needle to needle."""
_FIXES_NOTHING_MM = 5.0
_ON_CUT_MM = 0.35
"""Standard deviation of a needle about a cut of pencil with a line, mm: common practice."""
_STRAY_ARC_MM = (5.0, 90.0)
_SHORT_ARC_MM = 32.0
_MISSED = 8.0
"""What a crossing or cut that is not there costs a reading, as millimetres of a radius."""


@dataclass(frozen=True, eq=False)
class _Reading:
    """Some needles of the pattern, each with its arcs; ``sides`` the crossing (-1 or +1) taken
    for each meeting that is a place; ``cost`` how badly it fits."""

    arcs: tuple[ArcsAbout, ...] = ()
    sides: tuple[tuple[ArcMeeting, int], ...] = ()
    cost: float = 0.0

    @property
    def pieces(self) -> frozenset[int]:
        return frozenset(k for arcs in self.arcs for k in arcs.pieces)


def find_pattern(
    ink: Ink,
    evidence: ArcEvidence,
    pattern: ArcPattern,
    points: Mapping[str, Point],
    barred: frozenset[int],
    mm_per_cm: float,
) -> EvidenceFinding:
    """The pencil that fits the pattern best, judged; 'no' where a needle's arcs are missing."""
    cut = cut_at(ink, [at for *_, at in asked_crossings(pattern, points, mm_per_cm)])
    barred = frozenset(k for k, old in enumerate(cut.whole) if old in barred)
    found = _found(_Search(cut.ink, pattern, points, barred, mm_per_cm), evidence)
    return replace(found, pieces=cut.before(found.pieces))


def asked_crossings(
    pattern: ArcPattern, points: Mapping[str, Point], mm_per_cm: float
) -> tuple[tuple[ArcsAbout, ArcsAbout, Point], ...]:
    """Circles of asked radii about printed points with each crossing of theirs: there a figure
    has its corner."""
    circles = {
        n.at: _circle(points, n, mm_per_cm)
        for n in pattern.needles
        if n.opening is not None and n.at in points
    }
    return tuple(
        (one, two, at)
        for m in pattern.meetings
        if (one := circles.get(m.first)) and (two := circles.get(m.second))
        for side in (-1, 1)
        if (at := crossing(one, two, side)) is not None
    )


def _circle(points: Mapping[str, Point], needle: Needle, mm_per_cm: float) -> ArcsAbout | None:
    """The circle that is asked for about a printed point; None where its radius is not known."""
    if isinstance(needle.opening, int | float):
        radius = needle.opening * mm_per_cm
    elif needle.opening is not None and all(name in points for name in needle.opening):
        radius = points[needle.opening[0]].distance(points[needle.opening[1]])
    else:
        return None
    at = points[needle.at]
    return ArcsAbout(at, (), radius, 0.0, at, 0.0)


def _found(search: _Search, evidence: ArcEvidence) -> EvidenceFinding:
    """The best reading, judged."""
    pattern, ink = search.pattern, search.ink
    readings = [_Reading()]
    for number, needle in enumerate(pattern.needles):
        further = [r for reading in readings for r in search.carried_on(reading, number)]
        if not further:
            return _missing(search, evidence, readings, needle)
        readings = sorted(further, key=lambda r: r.cost)[:_MOST_READINGS]
    judged = [(search.judged(r), r) for r in sorted(readings, key=search.whole_cost)[:3]]
    rank: dict[Verdict, int] = {"yes": 0, "unsure": 1, "no": 2}
    (verdict, why), best = min(judged, key=lambda j: rank[j[0][0]])
    pieces = best.pieces
    if verdict == "no":
        # Arcs that show no method are claimed only if short: a long one may be an answer.
        pieces = frozenset(k for k in pieces if ink.lengths[k] < _SHORT_ARC_MM)
    return EvidenceFinding(
        evidence.name,
        verdict,
        why,
        _told_radii(pattern, best),
        pieces,
        tuple(arcs.astray for arcs in best.arcs),
        arcs=shown(ink, *best.arcs),
        shortfall=verdict == "no" and search.too_small(best),
    )


def _told_radii(pattern: ArcPattern, best: _Reading) -> tuple[float, ...]:
    """Radii, those of the opening that differs most last: a fault is told from the last two."""
    radii = [arcs.radius for arcs in best.arcs]
    widest: tuple[float, int, int] = (-1.0, 0, 0)
    for i, one in enumerate(pattern.needles):
        for j in range(i + 1, len(radii)):
            if pattern.needles[j].radius == one.radius:
                widest = max(widest, (abs(radii[i] - radii[j]), i, j))
    if widest[0] < 0.0:
        return (radii[0],)
    last = [radii[widest[1]], radii[widest[2]]]
    return (*(r for k, r in enumerate(radii) if k not in widest[1:]), *last)


def _missing(
    search: _Search, evidence: ArcEvidence, readings: list[_Reading], needle: Needle
) -> EvidenceFinding:
    """No arcs for a needle: with those before it as what was seen. Where one of two asked radii
    is there and right, the other may have been lost in the lines: the teacher looks."""
    best = readings[0]
    why = f"no arcs about {_called(needle.at)} were found"
    if isinstance(needle.opening, int | float):
        why = f"{why} with the radius that is asked"
    verdict: Verdict = "no"
    if needle.opening is not None and search.asked_radius_seen():
        verdict = "unsure"
    pieces = best.pieces if verdict == "unsure" else frozenset[int]()
    seen = shown(search.ink, *best.arcs)
    return EvidenceFinding(
        evidence.name, verdict, why, (), pieces, arcs=seen, traces=bool(best.arcs)
    )


def stray_arcs(ink: Ink, points: Mapping[str, Point], known: frozenset[int]) -> bool:
    """Whether there are two or more construction arcs that are about none of the points and
    not among the ``known`` pieces: perhaps those of another construction."""
    low, high = _STRAY_ARC_MM
    about = {
        k for at in points.values() for arcs in arcs_about(ink, at, known) for k in arcs.pieces
    }
    number = sum(
        piece.shape == "arc"
        and low <= piece.length <= high
        and k not in known
        and k not in about
        and _bends(piece.xy) > SMALLEST_MM
        for k, piece in enumerate(ink.pieces)
    )
    return number >= 2


def _called(place: str) -> str:
    return place if place[:1].isupper() else f"the {place}"


class _Search:
    """The pencil and the places while one pattern is looked for."""

    def __init__(
        self,
        ink: Ink,
        pattern: ArcPattern,
        points: Mapping[str, Point],
        barred: frozenset[int],
        mm_per_cm: float,
    ) -> None:
        self.ink, self.pattern, self.points = ink, pattern, points
        self.barred, self.mm_per_cm = barred, mm_per_cm
        self.made = dict(pattern.places)
        self._about: dict[tuple[float, float], list[ArcsAbout]] = {}

    # --- carrying a reading on ------------------------------------------------------------
    def carried_on(self, reading: _Reading, number: int) -> Iterator[_Reading]:
        """The reading with each choice of arcs for the next needle."""
        needle = self.pattern.needles[number]
        for sided in self._sided(reading, needle):
            at = self.place(needle.at, sided)
            if at is None:
                continue
            for arcs in self._arcs(at):
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
                yield _Reading((*sided.arcs, arcs), sided.sides, cost)

    def _sided(self, reading: _Reading, needle: Needle) -> Iterator[_Reading]:
        """The reading with a side chosen where the needle stands on a meeting."""
        how = self.made.get(needle.at)
        if not isinstance(how, ArcMeeting) or any(m == how for m, _ in reading.sides):
            yield reading
            return
        for side in self._sides(how, reading):
            yield _Reading(reading.arcs, (*reading.sides, (how, side)), reading.cost)

    def _arcs(self, at: Point) -> list[ArcsAbout]:
        key = (round(at.x, 1), round(at.y, 1))
        if key not in self._about:
            self._about[key] = arcs_about(self.ink, at, self.barred)
        return self._about[key]

    def _radius_gap(self, reading: _Reading, number: int, radius: float) -> float | None:
        """How far a radius is from what it should be; 0 where it is free, None where the
        distance that fixes it is not there."""
        needle = self.pattern.needles[number]
        fixed = self._opening(reading, needle)
        if needle.opening is not None:
            return None if fixed is None else abs(radius - fixed)
        same = [
            arcs.radius
            for other, arcs in zip(self.pattern.needles, reading.arcs, strict=False)
            if other.radius == needle.radius
        ]
        return max((abs(radius - r) for r in same), default=0.0)

    def _opening(self, reading: _Reading, needle: Needle) -> float | None:
        """The radius that is asked for, mm; None where it is free or cannot be told."""
        if needle.opening is None:
            return None
        if isinstance(needle.opening, int | float):
            return needle.opening * self.mm_per_cm
        one, two = (self.place(name, reading) for name in needle.opening)
        return None if one is None or two is None else one.distance(two)

    # --- places ---------------------------------------------------------------------------
    def place(self, name: str, reading: _Reading) -> Point | None:
        """Where a place is by this reading; None where its arcs do not reach."""
        how = self.made.get(name)
        if how is None:
            return self.points.get(name)
        if isinstance(how, ArcMeeting):
            sides = [side for meeting, side in reading.sides if meeting == how]
            side = sides[0] if sides else next(iter(self._sides(how, reading)), 0)
            return self._meeting(how, reading, side) if side else None
        return self._cut(how, reading)

    def _cut(self, cut: LineCut, reading: _Reading) -> Point | None:
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
        return a + ahead * (along + (half if cut.later else -half))

    def _of(self, name: str, reading: _Reading) -> ArcsAbout | None:
        """The arcs about a place that the reading has; of two openings there the first."""
        for needle, arcs in zip(self.pattern.needles, reading.arcs, strict=False):
            if needle.at == name:
                return arcs
        return None

    def _meeting(self, meeting: ArcMeeting, reading: _Reading, side: int) -> Point | None:
        pair = self._pair(meeting, reading)
        return None if pair is None else crossing(*pair, side)

    def _pair(self, meeting: ArcMeeting, reading: _Reading) -> tuple[ArcsAbout, ArcsAbout] | None:
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

    def _sides(self, meeting: ArcMeeting, reading: _Reading) -> list[int]:
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
    def _unreached(self, reading: _Reading, name: str, at: Point) -> float:
        """The cost of a cut that its arcs do not reach."""
        return 0.0 if self._reaches(reading, name, at) == "yes" else _MISSED

    def _reaches(self, reading: _Reading, name: str, at: Point) -> Verdict:
        """Whether pencil reaches a place that arcs make, or a printed point stands there."""
        how = self.made.get(name)
        if how is None or any(p.distance(at) < LIMIT_MM for p in self.points.values()):
            return "yes"
        makers = self._pair(how, reading) if isinstance(how, ArcMeeting) else None
        if isinstance(how, LineCut) and (arcs := self._of(how.of, reading)) is not None:
            makers = (arcs, arcs)
        if makers is None:
            return "no"
        return _within_reach(max(self._gap(arcs, at) for arcs in makers))

    def _gap(self, arcs: ArcsAbout, at: Point) -> float:
        """How near pencil of these arcs comes to a place; a needle that was set down anew leaves
        a little other radius about the same place."""
        return min(
            gap_to(self.ink, other, at)
            for other in (arcs, *self._arcs(arcs.centre))
            if abs(other.radius - arcs.radius) <= LIMIT_MM
        )

    def whole_cost(self, reading: _Reading) -> float:
        """The cost with the crossings that are not there."""
        return reading.cost + sum(
            _MISSED for m in self.pattern.meetings if self._met(m, reading)[0] != "yes"
        )

    def _met(self, meeting: ArcMeeting, reading: _Reading) -> tuple[Verdict, str]:
        """Whether the arcs cross where they should."""
        if not meeting.second:
            return self._passes(meeting, reading)
        names = f"the arcs about {_called(meeting.first)} and {_called(meeting.second)}"
        pair = self._pair(meeting, reading)
        places = [
            at
            for side in self._sides(meeting, reading)
            if (at := self._meeting(meeting, reading, side)) is not None
        ]
        if pair is None or not places:
            return "no", f"{names} do not cross"
        gap = min(max(self._gap(arcs, at) for arcs in pair) for at in places)
        if gap <= NEAR_CROSSING_MM:
            if self._at_corner(meeting) and not any(self._go_on(pair, at) for at in places):
                return "unsure", f"{names} can hardly be told from the sides where they cross"
            return "yes", f"{names} cross"
        near = _within_reach(gap)
        return near, f"{names} do not {'quite reach their crossing' if near != 'no' else 'cross'}"

    def _at_corner(self, meeting: ArcMeeting) -> bool:
        """Whether both arcs have a radius that is asked: a figure's corner is at their crossing."""
        asked = [n.opening is not None for n in self.pattern.needles if n.at in
                 (meeting.first, meeting.second)]  # fmt: skip
        return all(asked)

    def _go_on(self, pair: tuple[ArcsAbout, ArcsAbout], at: Point) -> bool:
        return all(runs_through(self.ink, arcs.centre, arcs.radius, at) for arcs in pair)

    def _passes(self, meeting: ArcMeeting, reading: _Reading) -> tuple[Verdict, str]:
        """Whether the arcs about one place pass through another."""
        arcs, at = self._of(meeting.first, reading), self.points.get(meeting.near)
        if arcs is None or at is None:
            return "no", "the step was not found"
        verdict: Verdict = "yes" if self._gap(arcs, at) <= NEAR_CROSSING_MM else "no"
        return verdict, f"an arc about {_called(meeting.first)} steps on"

    def judged(self, reading: _Reading) -> tuple[Verdict, str]:
        """Centres, radii, cuts and crossings against the limit, and the first that fails."""
        parts: list[tuple[Verdict, str]] = []
        for number, (needle, arcs) in enumerate(
            zip(self.pattern.needles, reading.arcs, strict=False)
        ):
            parts.append((
                at_most(arcs.astray, LIMIT_MM, arcs.astray_sigma),
                f"the arcs meant for {_called(needle.at)} are centred {arcs.astray:.1f} mm from "
                f"it; the limit is {LIMIT_MM:.0f} mm",
            ))  # fmt: skip
            reached = self._reaches(reading, needle.at, arcs.centre)
            parts.append((reached, f"no arc was seen to reach {_called(needle.at)}"))
            parts.append(self._radius_judged(reading, number, arcs))
        if len(reading.arcs) == len(self.pattern.needles):
            parts += [self._met(m, reading) for m in self.pattern.meetings]
        verdict = both(*(v for v, _ in parts))
        if verdict == "yes":
            radii = ", ".join(f"{arcs.radius:.1f} mm" for arcs in reading.arcs)
            return verdict, f"the arcs are there and cross (radii {radii})"
        return verdict, next(why for v, why in parts if v == verdict)

    def _radius_judged(
        self, reading: _Reading, number: int, arcs: ArcsAbout
    ) -> tuple[Verdict, str]:
        before = _Reading(reading.arcs[:number], reading.sides)
        gap = self._radius_gap(before, number, arcs.radius) or 0.0
        sigma = max((a.sigma for a in before.arcs), default=0.0)
        needle = self.pattern.needles[number]
        wanted = self._opening(before, needle)
        told = f"the radius about {_called(needle.at)} is {arcs.radius:.1f} mm"
        if wanted is not None:
            told = f"{told} where {wanted:.1f} mm is wanted"
        else:
            told = f"{told}, {gap:.1f} mm from the other"
        needles = 0.0 if isinstance(needle.at, str) else _ON_CUT_MM
        whole = math.hypot(sigma, arcs.sigma, needles)
        return at_most(gap, LIMIT_MM, whole), f"{told}; the limit is {LIMIT_MM:.0f} mm"

    def asked_radius_seen(self) -> bool:
        """Whether arcs of a radius that is asked stand about any printed point it is asked for."""
        return any(
            abs(arcs.radius - radius) <= LIMIT_MM and arcs.astray <= LIMIT_MM
            for needle in self.pattern.needles
            if needle.at in self.points
            and (radius := self._opening(_Reading(), needle)) is not None
            for arcs in self._arcs(self.points[needle.at])
            if self.ink.lengths[list(arcs.pieces)].sum() >= SMALLEST_MM
        )

    def too_small(self, reading: _Reading) -> bool:
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


def _bends(xy: np.ndarray[tuple[int, int], np.dtype[np.float64]]) -> float:
    """The radius of the circle through a piece's ends and middle; infinite for a straight one."""
    a, b, c = xy[0], xy[len(xy) // 2], xy[-1]
    u, v, w = b - a, c - a, c - b
    area = abs(float(u[0] * v[1] - u[1] * v[0]))
    if area < 1e-9:
        return float("inf")
    return float(np.hypot(*u) * np.hypot(*v) * np.hypot(*w)) / (2.0 * area)
