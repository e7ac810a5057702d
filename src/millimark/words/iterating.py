"""Points that no single construction places: Gauss-Newton on all constraints at once.

None comes back where the constraints leave a point free; where no start converges the
givens are refused, since nothing was found that meets them all. Pure
Python: a handful of unknowns does not pay for loading an array library.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from millimark.errors import GivensError
from millimark.plane.point import Point
from millimark.words.constraints import Constraint
from millimark.words.mentioned import Compiled
from millimark.words.shapes import clockwise

_STARTS = 12
_ROUNDS = 60
_SMALL = 1e-11


def solved(
    givens: Compiled, at: Mapping[str, Point], missing: Sequence[str]
) -> dict[str, Point] | None:
    """Places for all ``missing`` points that meet every constraint, or None."""
    active = [c for c in givens.constraints if any(p in missing for p in c.labels)]
    free = 2 * len(missing)
    fixed_turn = givens.oriented or len(at) > 1
    if not active or len(missing) > 12:
        return None
    base = missing[0] if not fixed_turn else None
    best: dict[str, Point] | None = None
    budget = 50 + 4000 // free**2  # rounds: about 30 ms of work at any number of points
    for start in range(_STARTS):
        guess = _start(givens, at, missing, start)
        found, used = _newton(active, at, list(missing), guess, base, min(_ROUNDS, budget))
        budget -= used
        if budget <= 0 and found is None:
            break
        if found is None:
            continue
        jacobian = _jacobian(active, at, list(missing), found, base)
        if _rank(jacobian) < free:
            return None
        places = {p: Point(found[2 * i], found[2 * i + 1]) for i, p in enumerate(missing)}
        if clockwise(givens.shapes, {**at, **places}) == 0:
            return places
        best = best or places
    if best is None:
        raise GivensError(
            f"No figure was found in which all of these hold: {'; '.join(c.says for c in active)}.",
            "Check the lengths and angles against each other, or leave one out.",
        )
    return best


def _start(
    givens: Compiled, at: Mapping[str, Point], missing: Sequence[str], start: int
) -> list[float]:
    """A deterministic guess: vertices round a circle, larger and turned with each start."""
    size = max((v[0] for v in givens.known.lengths.values()), default=5.0)
    n = len(givens.labels)
    out: list[float] = []
    centre = next(iter(at.values()), Point(0.0, 0.0))
    for p in missing:
        k = givens.labels.index(p)
        turn = 2 * math.pi * k / n - math.pi / 2 + 0.37 * start
        radius = size * (0.5 + 0.23 * (start % 5)) * (1 + 0.05 * ((k * 7 + start) % 3))
        spot = centre.polar(radius, turn) + Point(0.3 * size, 0.6 * size)
        out += [spot.x, spot.y]
    return out


def _residuals(
    active: Sequence[Constraint],
    at: Mapping[str, Point],
    missing: Sequence[str],
    x: Sequence[float],
    base: str | None,
) -> list[float]:
    here = {**at, **{p: Point(x[2 * i], x[2 * i + 1]) for i, p in enumerate(missing)}}
    out = [r for c in active if all(q in here for q in c.labels) for r in c.residuals(here)]
    if base is not None:
        start = next(iter(at.values()))
        out.append(here[base].y - start.y)
        out.append(min(0.0, here[base].x - start.x))
    return out


def _jacobian(
    active: Sequence[Constraint],
    at: Mapping[str, Point],
    missing: Sequence[str],
    x: Sequence[float],
    base: str | None,
) -> list[list[float]]:
    columns = []
    for j in range(len(x)):
        h = 1e-6
        up, down = list(x), list(x)
        up[j] += h
        down[j] -= h
        plus = _residuals(active, at, missing, up, base)
        minus = _residuals(active, at, missing, down, base)
        columns.append([(a - b) / (2 * h) for a, b in zip(plus, minus, strict=True)])
    return [list(row) for row in zip(*columns, strict=True)]


def _newton(
    active: Sequence[Constraint],
    at: Mapping[str, Point],
    missing: Sequence[str],
    x: list[float],
    base: str | None,
    rounds: int,
) -> tuple[list[float] | None, int]:
    """Levenberg-Marquardt from ``x`` and the rounds it took; None if it does not reach zero."""
    damping = 1e-2
    r = _residuals(active, at, missing, x, base)
    cost = sum(v * v for v in r)
    for count in range(rounds):
        if max((abs(v) for v in r), default=0.0) < _SMALL:
            return x, count
        j = _jacobian(active, at, missing, x, base)
        step = _step(j, r, damping)
        if step is None:
            return None, count
        new = [a + b for a, b in zip(x, step, strict=True)]
        after = _residuals(active, at, missing, new, base)
        new_cost = sum(v * v for v in after)
        if new_cost < cost:
            x, r, cost, damping = new, after, new_cost, max(damping / 10, 1e-15)
        else:
            damping *= 10
            if damping > 1e8:
                break
    return (x if max((abs(v) for v in r), default=0.0) < 1e-9 else None), rounds


def _step(j: list[list[float]], r: list[float], damping: float) -> list[float] | None:
    n = len(j[0])
    a = [[sum(row[p] * row[q] for row in j) for q in range(n)] for p in range(n)]
    for p in range(n):
        a[p][p] += damping
    b = [-sum(row[p] * v for row, v in zip(j, r, strict=True)) for p in range(n)]
    return _solve(a, b)


def _solve(a: list[list[float]], b: list[float]) -> list[float] | None:
    """Gauss elimination with row exchange; None for a singular matrix."""
    n = len(b)
    rows = [[*row, v] for row, v in zip(a, b, strict=True)]
    for i in range(n):
        k = max(range(i, n), key=lambda q: abs(rows[q][i]))
        if abs(rows[k][i]) < 1e-300:
            return None
        rows[i], rows[k] = rows[k], rows[i]
        for q in range(i + 1, n):
            f = rows[q][i] / rows[i][i]
            if f:
                rows[q] = [u - f * v for u, v in zip(rows[q], rows[i], strict=True)]
    out = [0.0] * n
    for i in reversed(range(n)):
        out[i] = (rows[i][n] - sum(rows[i][q] * out[q] for q in range(i + 1, n))) / rows[i][i]
    return out


def _rank(j: list[list[float]], small: float = 1e-6) -> int:
    rows = [list(row) for row in j]
    rank = 0
    for column in range(len(rows[0]) if rows else 0):
        pivot = max(range(rank, len(rows)), key=lambda q: abs(rows[q][column]), default=None)
        if pivot is None or abs(rows[pivot][column]) < small:
            continue
        rows[rank], rows[pivot] = rows[pivot], rows[rank]
        for q in range(rank + 1, len(rows)):
            f = rows[q][column] / rows[rank][column]
            rows[q] = [u - f * v for u, v in zip(rows[q], rows[rank], strict=True)]
        rank += 1
    return rank
