"""Choosing the free radii: the spread that each choice leaves, in closed form, and the pick.

The closed forms are the first-order spread of the executor's own error model for the
'careful' hand (``hands``), worked out on paper for the two patterns on which nearly every
construction rests; tests hold them against the executor's derivatives.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import TypeVar

from millimark.working.hands import HANDS

_CAREFUL = HANDS["careful"]
PLACING2 = _CAREFUL["placing"].sd ** 2
CROSSING2 = _CAREFUL["crossing"].sd ** 2
WIDTH2 = _CAREFUL["line width"].sd ** 2
ARC2 = _CAREFUL["play"].sd ** 2 + WIDTH2
"""cm²: variances of the careful hand; ``ARC2`` is what makes one arc differ from its fellow."""

NEARLY = 1.04
"""Of choices whose spread is within this factor of the least, the tidiest is taken."""

LATTICE = 0.1
"""cm: openings are chosen on millimetres, as a ruler sets them."""

T = TypeVar("T")


def bisector_spread(d: float, radius: float, reach: float) -> float:
    """Standard deviation (cm) of the perpendicular bisector of points ``d`` apart, ``reach``
    from the midpoint, with arcs of ``radius`` crossing h above and below.

    A crossing moves along AB by r (δ1 - δ2)/(2c), c = d/2 (the bisector shift bound), and the
    line through both crossings carries that out to ``reach``; the needles' placing
    shifts and turns the whole line.
    """
    c2 = d * d / 4
    h2 = radius * radius - c2
    each = radius**2 / (2 * c2) * (ARC2 + CROSSING2) + PLACING2
    needles = PLACING2 * (0.5 + reach**2 / (2 * c2))
    return math.sqrt(needles + each * (0.5 + reach**2 / (2 * h2)) + WIDTH2)


def angle_spread(r1: float, r2: float, half: float, reach: float) -> float:
    """Standard deviation (cm) of an angle bisector ``reach`` cm from its vertex.

    Arcs: ``r1`` about the vertex cuts the arms at D and E, ``r2`` about D and E cross at F.
    ``half`` is half the angle (radians); π/2 is a perpendicular at a point of a line.
    """
    q = r1 * math.sin(half)
    p = math.sqrt(r2 * r2 - q * q)
    tip = r1 * math.cos(half) + p
    turn = math.sin(half) ** 2 - p * math.cos(half) / r1
    at_tip = (
        r2 * r2 / (2 * q * q) * (ARC2 + PLACING2 + 2 * CROSSING2)
        + PLACING2 * turn * turn
        + PLACING2
    )
    k = reach / tip
    return math.sqrt(PLACING2 * (1 - k) ** 2 + k * k * at_tip + WIDTH2)


def lattice(low: float, high: float, step: float = LATTICE) -> list[float]:
    """Openings from ``low`` to ``high`` on whole steps; none if the range holds no step."""
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [round(k * step, 6) for k in range(first, last + 1)]


def tidiest(
    choices: Iterable[T],
    spread: Callable[[T], float],
    key: Callable[[T], tuple[float, ...]],
    fits: Callable[[T], bool] = lambda _: True,
) -> T | None:
    """None where nothing fits; else, of the fitting choices nearly as good as the best, the
    least by ``key``. ``fits`` is asked as seldom as can be."""
    rated = sorted(((spread(choice), key(choice), choice) for choice in choices), key=_first_two)
    best = next((s for s, _, choice in rated if fits(choice)), None)
    if best is None:
        return None
    near = sorted((r for r in rated if best <= r[0] <= NEARLY * best), key=lambda r: r[1])
    return next(choice for _, _, choice in near if fits(choice))


def _first_two(rated: tuple[float, tuple[float, ...], object]) -> tuple[float, tuple[float, ...]]:
    return rated[0], rated[1]


def untidy(openings: Iterable[float]) -> tuple[int, float]:
    """How unhandy openings are to say and set: those off the half centimetre, then their size."""
    values = list(openings)
    return sum(abs(r * 2 - round(r * 2)) > 1e-6 for r in values), sum(values)
