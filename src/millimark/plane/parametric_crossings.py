"""Where a parametric curve meets another: sampled, bracketed, then halved or polished.

Against straights, arcs and conics the signed distance from the other's carrier changes sign at
a crossing and touches zero where they touch. Two parametric curves are sampled as
polylines; each crossing of chords, and each near miss, is polished by Newton's method.
Error: below 1e-9 cm where the curves cross at more than 1e-3 radians.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

from millimark.plane.parametric import STEPS
from millimark.plane.point import EPS
from millimark.plane.tracks import AnyTrack, ParametricTrack, implicit_of, signed_off

Meeting = tuple[float, float]


def parametric_meetings(a: ParametricTrack, b: AnyTrack) -> list[Meeting]:
    """Parameters (on a, on b) of the meeting points; ends of the shared stretch where the two are
    one curve."""
    if isinstance(b, ParametricTrack):
        return _two(a, b)
    implicit = implicit_of(b)

    def off(t: float) -> float:
        return signed_off(implicit, *a.at(t))

    out: list[Meeting] = []
    for t in zeros(off, a.t0, a.t1):
        u = b.locate(*a.at(t))
        if u is not None:
            out.append((t, u))
    return out


def zeros(f: Callable[[float], float], lo: float, hi: float, steps: int = STEPS) -> list[float]:
    """Zeros of a smooth function that ``steps`` samples can tell apart, sorted; touching ones
    (within EPS) too."""
    stops = [lo + (hi - lo) * i / steps for i in range(steps + 1)]
    values = [f(t) for t in stops]
    out: list[float] = []
    for i in range(steps):
        u, v = values[i], values[i + 1]
        if abs(u) <= EPS:
            out.append(stops[i])
        elif (u < 0) != (v < 0) and abs(v) > EPS:
            out.append(_halved(f, stops[i], stops[i + 1]))
        elif i > 0 and abs(u) <= abs(values[i - 1]) and abs(u) <= abs(v):
            t = _lowest(f, stops[i - 1], stops[i + 1], 1.0 if u > 0 else -1.0)
            if abs(f(t)) <= EPS:
                out.append(t)
            elif (f(t) < 0) != (u < 0):
                out += [_halved(f, stops[i - 1], t), _halved(f, t, stops[i + 1])]
    if abs(values[-1]) <= EPS:
        out.append(hi)
    return out


def _halved(f: Callable[[float], float], lo: float, hi: float) -> float:
    below = f(lo) < 0
    for _ in range(60):
        mid = (lo + hi) / 2
        if (f(mid) < 0) == below:
            lo = mid
        else:
            hi = mid
    return (lo + hi) / 2


def _lowest(f: Callable[[float], float], lo: float, hi: float, sign: float) -> float:
    """Where sign * f is least, by golden section."""
    ratio = 0.6180339887498949
    c, d = hi - ratio * (hi - lo), lo + ratio * (hi - lo)
    vc, vd = sign * f(c), sign * f(d)
    for _ in range(60):
        if vc < vd:
            hi, d, vd = d, c, vc
            c = hi - ratio * (hi - lo)
            vc = sign * f(c)
        else:
            lo, c, vc = c, d, vd
            d = lo + ratio * (hi - lo)
            vd = sign * f(d)
    return (lo + hi) / 2


def _two(a: ParametricTrack, b: ParametricTrack) -> list[Meeting]:
    shared = _shared_ends(a, b)
    if len(shared) >= 2 and _run_together(a, shared[0][0], shared[1][0], b):
        return shared[:2]
    out = list(shared)
    marks_a = [a.t0 + (a.t1 - a.t0) * i / STEPS for i in range(STEPS + 1)]
    marks_b = [b.t0 + (b.t1 - b.t0) * i / STEPS for i in range(STEPS + 1)]
    spots = [b.at(u) for u in marks_b]
    for t0, t1 in pairwise(marks_a):
        (px, py), (qx, qy) = a.at(t0), a.at(t1)
        pad = 0.2 * (abs(qx - px) + abs(qy - py)) + EPS
        for j in range(STEPS):
            (rx, ry), (sx, sy) = spots[j], spots[j + 1]
            if (
                min(rx, sx) > max(px, qx) + pad
                or max(rx, sx) < min(px, qx) - pad
                or min(ry, sy) > max(py, qy) + pad
                or max(ry, sy) < min(py, qy) - pad
            ):
                continue
            found = _polished(a, b, (t0 + t1) / 2, (marks_b[j] + marks_b[j + 1]) / 2)
            if found and all(abs(found[0] - t) > 1e-7 for t, _ in out):
                out.append(found)
    return out


def _shared_ends(a: ParametricTrack, b: ParametricTrack) -> list[Meeting]:
    out: list[Meeting] = []
    for t in (a.t0, a.t1):
        u = b.locate(*a.at(t))
        if u is not None:
            out.append((t, u))
    for u in (b.t0, b.t1):
        t_ = a.locate(*b.at(u))
        if t_ is not None and all(abs(t_ - t) > 1e-7 for t, _ in out):
            out.append((t_, u))
    return out


def _run_together(a: ParametricTrack, t0: float, t1: float, b: ParametricTrack) -> bool:
    """Whether a lies on b between two parameters."""
    return all(b.locate(*a.at(t0 + (t1 - t0) * k / 4)) is not None for k in (1, 2, 3))


def _polished(a: ParametricTrack, b: ParametricTrack, t: float, u: float) -> Meeting | None:
    """Newton's method for a(t) = b(u) from a start; None if it leaves the curves."""
    for _ in range(30):
        (ax, ay), (bx, by) = a.at(t), b.at(u)
        dx, dy = bx - ax, by - ay
        if abs(dx) + abs(dy) <= 1e-13:
            break
        va, vb = a.curve.velocity_at(t), b.curve.velocity_at(u)
        det = va.y * vb.x - va.x * vb.y
        if abs(det) < 1e-12:
            return None
        t += (vb.x * dy - vb.y * dx) / det
        u += (va.x * dy - va.y * dx) / det
        if not (a.t0 - 1 <= t <= a.t1 + 1 and b.t0 - 1 <= u <= b.t1 + 1):
            return None
    (ax, ay), (bx, by) = a.at(t), b.at(u)
    on = abs(ax - bx) + abs(ay - by) <= EPS
    within = a.t0 - 1e-9 <= t <= a.t1 + 1e-9 and b.t0 - 1e-9 <= u <= b.t1 + 1e-9
    if not (on and within):
        return None
    return min(max(t, a.t0), a.t1), min(max(u, b.t0), b.t1)
