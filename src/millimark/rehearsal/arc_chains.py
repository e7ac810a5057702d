"""Arcs that hang together, as the compasses were held: which reading has most in hand.

Plain code over every choice, on purpose: the truth must not lean on the search that it is
there to check. Real mm in the paper frame.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from millimark.plane.point import Point
from millimark.rehearsal.near import distance_to_points
from millimark.rehearsal.pencil import PencilStroke, past_ends, resampled
from millimark.working.acts import ArcMeeting, ArcPattern, LineCut, Needle

LIMIT = 2.0
"""mm: needle within, radii equal within."""
NEAR_NEEDLE = 6.0
ONE_OPENING = 1.0
"""mm: arcs about a place whose openings lie closer together are of one opening."""
OF_THE_PATTERN = 5.0
"""mm: a crossing this near to a needle is its place."""

Group = tuple[PencilStroke, ...]
Chosen = tuple[tuple[Needle, Point, Group], ...]


def pattern_slack(
    pattern: ArcPattern,
    arcs: Sequence[PencilStroke],
    points: Mapping[str, Point],
    mm_per_cm: float,
) -> float | None:
    """How much the pattern's best reading has in hand, or how far its worst thing is out (< 0);
    None where a needle has no arcs at all."""
    chain = _Chain(pattern, arcs, points, mm_per_cm)
    slacks = [chain.slack(chosen) for chosen in chain.readings(())]
    return max(slacks, default=None)


class _Chain:
    def __init__(
        self,
        pattern: ArcPattern,
        arcs: Sequence[PencilStroke],
        points: Mapping[str, Point],
        mm_per_cm: float,
    ) -> None:
        self.pattern, self.arcs = pattern, arcs
        self.points, self.mm_per_cm = points, mm_per_cm
        self.made = dict(pattern.places)

    def readings(self, chosen: Chosen) -> Iterator[Chosen]:
        """Every way to give each needle a place and a group of arcs about it."""
        if len(chosen) == len(self.pattern.needles):
            yield chosen
            return
        needle = self.pattern.needles[len(chosen)]
        for at in self.places(needle.at, chosen):
            for group in self._groups(at):
                yield from self.readings((*chosen, (needle, at, group)))

    def _groups(self, at: Point) -> list[Group]:
        """The arcs about a place, those of one opening together."""
        near = [s for s in self.arcs if s.compass and math.dist(s.compass.centre, at) < NEAR_NEEDLE]
        near.sort(key=lambda s: _radius((s,)))
        groups: list[list[PencilStroke]] = []
        for stroke in near:
            if groups and _radius((stroke,)) - _radius(groups[-1]) < ONE_OPENING:
                groups[-1].append(stroke)
            else:
                groups.append([stroke])
        return [tuple(g) for g in groups]

    # --- places -----------------------------------------------------------------------
    def places(self, name: str, chosen: Chosen) -> list[Point]:
        """Where a place may be: printed, or made by the arcs chosen so far."""
        already = [at for needle, at, _ in chosen if needle.at == name]
        if already:
            return already[:1]
        how = self.made.get(name)
        if how is None:
            return [self.points[name]] if name in self.points else []
        if isinstance(how, LineCut):
            return self._cut(how, chosen)
        return self._crossings(how, chosen)

    def _cut(self, cut: LineCut, chosen: Chosen) -> list[Point]:
        of = [(at, group) for needle, at, group in chosen if needle.at == cut.of]
        ends = [self.places(name, chosen) for name in (cut.a, cut.b)]
        if not of or not all(ends):
            return []
        (at, group), a, b = of[0], ends[0][0], ends[1][0]
        ahead = (b - a).unit()
        foot = a + ahead * (at - a).dot(ahead)
        half = _radius(group) ** 2 - foot.distance(at) ** 2
        way = 1.0 if cut.later else -1.0
        return [foot + ahead * (way * math.sqrt(half))] if half > 0 else []

    def _crossings(self, meeting: ArcMeeting, chosen: Chosen) -> list[Point]:
        """The crossings of two circles that a meeting may mean."""
        pairs = self._pair(meeting, chosen)
        if pairs is None:
            return []
        (p, one), (q, two) = pairs
        r, s, d = _radius(one), _radius(two), p.distance(q)
        if d < 1e-6 or d > r + s or d < abs(r - s):
            return []
        along = (d * d + r * r - s * s) / (2 * d)
        foot, up = p + (q - p).unit() * along, (q - p).unit().left()
        high = math.sqrt(max(r * r - along * along, 0.0))
        needles = [at for needle, at, _ in chosen if self.made.get(needle.at) != meeting]
        needles += [self.points[n.at] for n in self.pattern.needles if n.at in self.points]
        free = [
            x
            for x in (foot + up * high, foot - up * high)
            if all(x.distance(n) > OF_THE_PATTERN for n in needles)
        ]
        near = self.points.get(meeting.near)
        return free if near is None else sorted(free, key=near.distance)[:1]

    def _pair(
        self, meeting: ArcMeeting, chosen: Chosen
    ) -> tuple[tuple[Point, Group], tuple[Point, Group]] | None:
        """The two groups that are to cross: for a place the first about it, else the last."""
        which = 0 if meeting in self.made.values() else -1
        found = []
        for name in (meeting.first, meeting.second):
            mine = [(at, group) for needle, at, group in chosen if needle.at == name]
            if not mine:
                return None
            found.append(mine[which])
        return found[0], found[1]

    # --- how much is in hand ------------------------------------------------------------
    def slack(self, chosen: Chosen) -> float:
        """The least margin of everything that the pattern wants."""
        margins = [
            LIMIT - math.dist(s.compass.centre, at)
            for _, at, group in chosen
            for s in group
            if s.compass
        ]
        margins += self._openings(chosen)
        margins += [self._reach(needle.at, at, chosen) for needle, at, _ in chosen]
        margins += [self._met(m, chosen) for m in self.pattern.meetings]
        return min(margins)

    def _openings(self, chosen: Chosen) -> list[float]:
        margins = []
        by_word: dict[str, list[float]] = {}
        for needle, _, group in chosen:
            if needle.opening is None:
                by_word.setdefault(needle.radius, []).append(_radius(group))
            elif isinstance(needle.opening, int | float):
                margins.append(LIMIT - abs(_radius(group) - needle.opening * self.mm_per_cm))
            else:
                ends = [self.places(name, chosen) for name in needle.opening]
                if not all(ends):
                    return [-20.0]
                margins.append(LIMIT - abs(_radius(group) - ends[0][0].distance(ends[1][0])))
        return margins + [LIMIT - (max(r) - min(r)) for r in by_word.values()]

    def _reach(self, name: str, at: Point, chosen: Chosen) -> float:
        """How near the arcs that make a cut come to it; a printed point there will do."""
        how = self.made.get(name)
        if not isinstance(how, LineCut) or any(
            at.distance(p) < LIMIT for p in self.points.values()
        ):
            return LIMIT
        (group,) = [g for needle, _, g in chosen if needle.at == how.of][:1]
        pencil = np.concatenate([s.xy for s in group])
        return LIMIT - float(distance_to_points(np.array([at]), pencil)[0])

    def _met(self, meeting: ArcMeeting, chosen: Chosen) -> float:
        """How far the arcs run past their crossing; below 0 how far they are from it."""
        if not meeting.second:
            group = next((g for needle, _, g in chosen if needle.at == meeting.first), ())
            return max((_past((s,), self.points[meeting.near]) for s in group), default=-20.0)
        pair = self._pair(meeting, chosen)
        if pair is None:
            return -20.0
        (_, one), (_, two) = pair
        places = self._crossings(meeting, chosen)
        return max(
            (min(_past(one, at), _past(two, at)) for at in places),
            default=-20.0,
        )


def _radius(group: Sequence[PencilStroke]) -> float:
    return float(np.mean([s.compass.radius for s in group if s.compass]))


def _past(group: Sequence[PencilStroke], at: Point) -> float:
    """How far the arcs of a group run on past a place; below 0 how far they stop short of it."""
    best = -20.0
    for stroke in group:
        xy = resampled(stroke.xy, 0.1)
        gap = distance_to_points(xy, np.array([at]))
        k = int(np.argmin(gap))
        ends = past_ends(xy[k], stroke)
        best = max(best, ends if ends > 0.0 else -float(gap[k]))
    return best
