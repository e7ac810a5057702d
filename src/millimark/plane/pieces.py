"""Cutting curves where they meet, and keeping the pieces that pass a test."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence

from millimark.plane.crossings import meet
from millimark.plane.curves import Curve, InwardRay
from millimark.plane.point import Point
from millimark.plane.tracks import AnyTrack, track_of

MERGE = 1e-7
"""Two meeting points closer than this (cm) are one: what 1e-16 leaves of a point where curves
touch is its square root."""
JOINT = 5 * MERGE
"""Ends of pieces closer than this (cm) are one joint: each end may be off by MERGE."""

Interval = tuple[float, float]


def intervals(track: AnyTrack, stops: list[float]) -> list[Interval]:
    """The track's parameter range cut at ``stops``, in order; slivers under MERGE vanish.

    A closed curve cut at least once runs from a stop to the next, the last past the period.
    """
    if not stops:
        return [(track.t0, track.t1)]
    stops.sort()
    if track.period:
        marks = [stops[0]]
        for t in stops[1:]:
            if (t - marks[-1]) * track.speed(t) > MERGE:
                marks.append(t)
        if len(marks) > 1 and (marks[0] + track.period - marks[-1]) * track.speed(0.0) <= MERGE:
            marks.pop()
        return list(zip(marks, [*marks[1:], marks[0] + track.period], strict=True))
    marks = [track.t0]
    for t in stops:
        if (t - marks[-1]) * track.speed(t) > MERGE:
            marks.append(t)
    if len(marks) > 1 and (track.t1 - marks[-1]) * track.speed(marks[-1]) <= MERGE:
        marks[-1] = track.t1
    else:
        marks.append(track.t1)
    return list(itertools.pairwise(marks))


def middle(t0: float, t1: float) -> float:
    """A parameter well inside the interval, which may be unbounded."""
    if t0 == -math.inf:
        return 0.0 if t1 == math.inf else t1 - 1.0
    return t0 + 1.0 if t1 == math.inf else (t0 + t1) / 2


def kept(
    curves: Sequence[Curve],
    splitters: Sequence[Curve],
    test: Callable[[float, float], bool],
) -> list[Curve]:
    """Pieces of ``curves``, cut where they meet each other and ``splitters``, whose middle passes
    ``test``. None passes: an empty list. Order follows ``curves``; pieces that coincide are kept
    once; neighbouring pieces of a curve are put together again.
    """
    return kept_each([(c, test) for c in curves], splitters)


def kept_each(
    candidates: Sequence[tuple[Curve, Callable[[float, float], bool]]],
    splitters: Sequence[Curve],
) -> list[Curve]:
    """``kept`` with a test of its own for each curve."""
    tracks = [track_of(c) for c, _ in candidates]
    knives = [track_of(c) for c in splitters]
    stops: list[list[float]] = [[] for _ in tracks]
    for i, a in enumerate(tracks):
        for j in range(i + 1, len(tracks)):
            for t, u in meet(a, tracks[j]):
                stops[i].append(t)
                stops[j].append(u)
        for knife in knives:
            stops[i].extend(t for t, _ in meet(a, knife))
    out: list[Curve] = []
    seen: list[tuple[Point, Point, Point]] = []
    for track, at, (_, test) in zip(tracks, stops, candidates, strict=True):
        good: list[Interval] = []
        for t0, t1 in intervals(track, at):
            x, y = track.at(middle(t0, t1))
            if test(x, y) and not _seen(track, t0, t1, Point(x, y), seen):
                good.append((t0, t1))
        out.extend(outward(track.piece(*span)) for span in _joined(good, track))
    return out


def _seen(
    track: AnyTrack, t0: float, t1: float, mid: Point, seen: list[tuple[Point, Point, Point]]
) -> bool:
    """Whether a piece with these ends and middle came before; remembers it if not."""
    a = Point(*track.at(t0)) if math.isfinite(t0) else mid
    b = Point(*track.at(t1)) if math.isfinite(t1) else mid
    for m, p, q in seen:
        if m.distance(mid) <= MERGE and (
            (a.distance(p) <= MERGE and b.distance(q) <= MERGE)
            or (a.distance(q) <= MERGE and b.distance(p) <= MERGE)
        ):
            return True
    seen.append((mid, a, b))
    return False


def _joined(spans: list[Interval], track: AnyTrack) -> list[Interval]:
    """Neighbouring spans put together; round a closed curve also last to first."""
    out: list[Interval] = []
    for t0, t1 in spans:
        if out and (t0 - out[-1][1]) * track.speed(t0) <= JOINT:
            out[-1] = (out[-1][0], t1)
        else:
            out.append((t0, t1))
    if track.period and len(out) > 1 and abs(out[-1][1] - track.period - out[0][0]) < 1e-12:
        first = out.pop(0)
        out[-1] = (out[-1][0], first[1] + track.period)
    return out


def outward(curve: Curve) -> Curve:
    """The curve itself, but a ray that runs in from infinity turned round."""
    return curve.reversed() if isinstance(curve, InwardRay) else curve
