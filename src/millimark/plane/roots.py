"""Real roots of polynomials of low degree, double roots included."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence


def real_roots(
    coefficients: Sequence[float],
    lo: float,
    hi: float,
    touches: Callable[[float], bool] | None = None,
) -> list[float]:
    """Roots in [lo, hi] of the polynomial with these coefficients, highest power first.

    No roots: an empty list; the zero polynomial has none either. Roots are sorted. A
    turning point of the polynomial without a change of sign counts as a (double) root where
    ``touches(t)`` says so.

    Each interval between neighbouring turning points holds at most one root and is bisected.
    """
    size = max((abs(c) for c in coefficients), default=0.0)
    p = list(coefficients)
    while p and abs(p[0]) <= 1e-14 * size:
        p.pop(0)
    if len(p) < 2:
        return []
    if len(p) == 2:
        root = -p[1] / p[0]
        return [root] if lo <= root <= hi else []
    degree = len(p) - 1
    slope = [c * (degree - i) for i, c in enumerate(p[:-1])]
    bound = 1.0 + max(abs(c / p[0]) for c in p[1:])
    lo, hi = max(lo, -bound), min(hi, bound)
    if lo > hi:
        return []
    turns = real_roots(slope, lo, hi, lambda t: True)
    stops = [lo, *turns, hi]
    roots: list[float] = []
    for a, b in itertools.pairwise(stops):
        found = _bracketed(p, slope, a, b)
        if found is not None:
            roots.append(found)
    if touches is not None:
        roots.extend(t for t in turns if touches(t))
        roots.sort()
    return roots


def value(coefficients: Sequence[float], t: float) -> float:
    """The polynomial at ``t`` (Horner)."""
    v = 0.0
    for c in coefficients:
        v = v * t + c
    return v


def _bracketed(p: Sequence[float], slope: Sequence[float], a: float, b: float) -> float | None:
    """The one root in [a, b] where the signs at the ends differ, else None."""
    va, vb = value(p, a), value(p, b)
    if va == 0.0:
        return a
    if vb == 0.0:
        return b
    if (va > 0.0) == (vb > 0.0):
        return None
    t = (a + b) / 2
    for _ in range(200):
        v = value(p, t)
        if v == 0.0:
            return t
        if (v > 0.0) == (va > 0.0):
            a = t
        else:
            b = t
        s = value(slope, t)
        newton = t - v / s if s else math.inf
        nxt = newton if a < newton < b else (a + b) / 2
        if abs(nxt - t) <= 1e-16 * abs(t) or b - a <= 1e-16 * max(abs(a), abs(b)):
            return nxt
        t = nxt
    return t
