"""Where two curves meet.

No meeting: an empty result. Touching counts once. Where two curves run along each other, the
meeting points are the ends of the shared stretch (none for two equal circles). Curves nearer
than ``EPS`` are taken to touch.
"""

from __future__ import annotations

import math

from millimark.plane.conics import ParabolaArc
from millimark.plane.curves import Curve
from millimark.plane.parametric_crossings import parametric_meetings
from millimark.plane.point import EPS, Point
from millimark.plane.roots import real_roots
from millimark.plane.tracks import (
    AnyTrack,
    ArcTrack,
    Chart,
    ConicTrack,
    Implicit,
    ParametricTrack,
    StraightTrack,
    implicit_of,
    off_by,
    track_of,
)

Meeting = tuple[float, float]
"""Parameters (on the first curve, on the second) of one meeting point."""


def crossings(a: Curve, b: Curve) -> tuple[Point, ...]:
    """Points where ``a`` and ``b`` meet, in order along ``a``; each once."""
    first = track_of(a)
    points: list[Point] = []
    for t, _ in sorted(meet(first, track_of(b))):
        p = Point(*first.at(t))
        if all(p.distance(q) > 10 * EPS for q in points):
            points.append(p)
    return tuple(points)


def meet(a: AnyTrack, b: AnyTrack) -> list[Meeting]:
    """Parameters of the meeting points of two tracks, in no promised order."""
    one, two = type(a), type(b)
    # The common pairs first, by exact type: this is the inner loop of every arrangement.
    if one is StraightTrack:
        if two is StraightTrack:
            return _straight_straight(a, b)  # type: ignore[arg-type]
        if two is ArcTrack:
            return _straight_arc(a, b)  # type: ignore[arg-type]
    elif one is ArcTrack:
        if two is ArcTrack:
            return _arc_arc(a, b)  # type: ignore[arg-type]
        if two is StraightTrack:
            return _swapped(_straight_arc(b, a))  # type: ignore[arg-type]
    if isinstance(a, ParametricTrack):
        return parametric_meetings(a, b)
    if isinstance(b, ParametricTrack):
        return _swapped(parametric_meetings(b, a))
    if isinstance(a, ConicTrack):
        return _conic_any(a, b)
    if isinstance(b, ConicTrack):
        return _swapped(_conic_any(b, a))
    return []


def _swapped(meetings: list[Meeting]) -> list[Meeting]:
    return [(u, t) for t, u in meetings]


def _straight_straight(a: StraightTrack, b: StraightTrack) -> list[Meeting]:
    den = a.dx * b.dy - a.dy * b.dx
    ex, ey = b.ax - a.ax, b.ay - a.ay
    if -1e-11 < den < 1e-11:
        if abs(ex * a.dy - ey * a.dx) > EPS:
            return []
        return overlap_ends(a, b)
    t = (ex * b.dy - ey * b.dx) / den
    if t < a.t0 - EPS or t > a.t1 + EPS:
        return []
    u = (ex * a.dy - ey * a.dx) / den
    if u < b.t0 - EPS or u > b.t1 + EPS:
        return []
    return [(min(max(t, a.t0), a.t1), min(max(u, b.t0), b.t1))]


def _straight_arc(a: StraightTrack, b: ArcTrack) -> list[Meeting]:
    ex, ey = b.cx - a.ax, b.cy - a.ay
    h = ex * a.dy - ey * a.dx
    gap = b.r - abs(h)
    if gap < -EPS:
        return []
    foot = ex * a.dx + ey * a.dy
    if gap <= EPS:
        stops: tuple[float, ...] = (foot,)
    else:
        half = math.sqrt(gap * (b.r + abs(h)))
        stops = (foot - half, foot + half)
    out: list[Meeting] = []
    for t in stops:
        if a.t0 - EPS <= t <= a.t1 + EPS:
            u = b.turn_to(math.atan2(a.ay + t * a.dy - b.cy, a.ax + t * a.dx - b.cx))
            if u is not None:
                out.append((min(max(t, a.t0), a.t1), u))
    return out


def _arc_arc(a: ArcTrack, b: ArcTrack) -> list[Meeting]:
    ex, ey = b.cx - a.cx, b.cy - a.cy
    d = math.hypot(ex, ey)
    outer, inner = a.r + b.r - d, d - abs(a.r - b.r)
    if outer < -EPS or inner < -EPS:
        return []
    if d <= EPS:
        # Concentric: equal circles, since inner >= -EPS.
        return overlap_ends(a, b)
    along = math.atan2(ey, ex)
    # x, y: the crossing seen from a's centre along the line of centres, and half the chord.
    x = (d * d + (a.r - b.r) * (a.r + b.r)) / (2 * d)
    if outer <= EPS or inner <= EPS:
        ys: tuple[float, ...] = (0.0,)
    else:
        y = math.sqrt(outer * (a.r + b.r + d) * inner * (d + abs(a.r - b.r))) / (2 * d)
        ys = (y, -y)
    out: list[Meeting] = []
    for y in ys:
        t = a.turn_to(along + math.atan2(y, x))
        if t is not None:
            u = b.turn_to(along + math.atan2(y, x - d))
            if u is not None:
                out.append((t, u))
    return out


def overlap_ends(a: AnyTrack, b: AnyTrack) -> list[Meeting]:
    """Ends of either curve that lie on the other, for curves on one carrier."""
    out: list[Meeting] = []
    if not a.period:
        for t in (a.t0, a.t1):
            if math.isfinite(t):
                u = b.locate(*a.at(t))
                if u is not None:
                    out.append((t, u))
    if not b.period:
        for u in (b.t0, b.t1):
            if math.isfinite(u):
                t_ = a.locate(*b.at(u))
                if t_ is not None:
                    out.append((t_, u))
    return out


def _conic_any(a: ConicTrack, b: StraightTrack | ArcTrack | ConicTrack) -> list[Meeting]:
    implicit = implicit_of(b)
    if isinstance(b, ConicTrack) and _same_carrier(a, b):
        return overlap_ends(a, b)
    out: list[Meeting] = []
    for chart in a.charts:

        def touches(w: float, chart: Chart = chart) -> bool:
            return off_by(implicit, *a.at(a.clamped(chart.to_t(w)))) <= EPS

        for w in real_roots(_substituted(implicit, chart), chart.lo, chart.hi, touches):
            t = a.clamped(chart.to_t(w))
            x, y = a.at(t)
            u = b.locate(x, y)
            if u is not None and off_by(implicit, x, y) <= MEETS:
                out.append((t, u))
    return out


MEETS = 1e-7
"""A root whose point is further (cm) than this from the other curve was cut off by an end."""


def _substituted(implicit: Implicit, chart: Chart) -> list[float]:
    """Coefficients in w, highest first, of ``implicit`` along the chart, its W cleared."""
    a, b, c, d, e, f = implicit
    x, y, w = chart.x, chart.y, chart.w
    if a == b == c == 0.0:
        return [d * p + e * q + f * r for p, q, r in zip(x, y, w, strict=True)]
    out = [0.0] * 5
    for i in range(3):
        for j in range(3):
            out[i + j] += (
                a * x[i] * x[j]
                + b * x[i] * y[j]
                + c * y[i] * y[j]
                + d * x[i] * w[j]
                + e * y[i] * w[j]
                + f * w[i] * w[j]
            )
    return out


def _same_carrier(a: ConicTrack, b: ConicTrack) -> bool:
    """Whether b lies on a's conic: six of its points do (five fix a conic)."""
    unit = 2 * b.curve.focal if isinstance(b.curve, ParabolaArc) else 1.0
    lo, hi = b.t0, b.t1
    if not math.isfinite(lo):
        lo = -unit if not math.isfinite(hi) else hi - unit
    if not math.isfinite(hi):
        hi = lo + 2 * unit
    return all(off_by(a.implicit, *b.at(lo + (hi - lo) * i / 5)) <= EPS for i in range(6))
