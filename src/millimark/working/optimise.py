"""The best free quantities of any construction, by search on a scratch bench.

Bisectors and perpendiculars choose well by closed form (``choosing``). For the rest the
construction itself is done again and again with other openings, and the executor says what
each leaves: the pattern search of Hooke and Jeeves (1961, from memory) on whole millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from millimark.errors import PlanError
from millimark.loci.figure import Figure
from millimark.plane.boxes import Box, box_of
from millimark.working.bench import Chooser
from millimark.working.bounds import extent
from millimark.working.catalogue import Built, construct
from millimark.working.execute import Dot, Drawing, DrawnLine, execute
from millimark.working.hands import HANDS, Hand
from millimark.working.instruments import Instruments
from millimark.working.spread import TINY, SteppedErrors, acts_of

LEAST_REACH = 2.0
"""cm to both sides, over which a line should be true where the figure is smaller than that."""
STEPS = (2.0, 1.0, 0.5, 0.2, 0.1)
"""cm (degrees for angles): how far the search reaches, coarse to fine."""


def optimised(
    name: str,
    figure: Figure | None = None,
    instruments: Instruments | None = None,
    room: Box | None = None,
    hand: str = "careful",
) -> Built:
    """The construction with the openings that leave the least expected error of its result
    among those that stay in the room. PlanError where none does."""
    frees: list[float] = []

    def record(_name: str, low: float, high: float, good: float) -> float:
        frees.append(good)
        return good

    first = construct(name, figure, instruments, room, record)
    room = room or first.bench.room
    best = [round(good, 1) for good in frees]
    at_first = _tried(name, figure, instruments, room, best)
    cost = math.inf if at_first is None else _cost(at_first, room, HANDS[hand])
    for step in STEPS:
        improved = True
        while improved:
            improved = False
            for k, sign in ((k, sign) for k in range(len(best)) for sign in (1, -1)):
                trial = [*best[:k], round(best[k] + sign * step, 6), *best[k + 1 :]]
                tried = _tried(name, figure, instruments, room, trial)
                value = math.inf if tried is None else _cost(tried, room, HANDS[hand])
                if value < cost * (1 - 1e-6):
                    best, cost, improved = trial, value, True
    if math.isinf(cost):
        raise PlanError(
            f"No openings were found with which '{name}' stays in the room.",
            "Give it more room, or use a smaller figure.",
        )
    return construct(name, figure, instruments, room, _whole(forced(best)))


def forced(values: Sequence[float]) -> Chooser:
    """A chooser that takes these values in turn, kept inside their ranges; what a
    construction thinks good once they are used up."""
    left = iter(values)
    return lambda _name, low, high, good: min(max(next(left, good), low), high)


def _whole(choose: Chooser) -> Chooser:
    """A chooser's values in whole millimetres, where the range holds any."""

    def whole(name: str, low: float, high: float, good: float) -> float:
        least, most = math.ceil(10 * low - 1e-6) / 10, math.floor(10 * high + 1e-6) / 10
        value = round(choose(name, low, high, good), 1)
        return min(max(value, least), most) if least <= most else min(max(value, low), high)

    return whole


def _tried(
    name: str,
    figure: Figure | None,
    instruments: Instruments | None,
    room: Box,
    values: Sequence[float],
) -> Built | None:
    try:
        return construct(name, figure, instruments, room, _whole(forced(values)))
    except PlanError:
        return None


def _cost(built: Built, room: Box, hand: Hand) -> float:
    """The expected error (cm) of the result; infinite where ink leaves the room."""
    return result_spread(built, hand) if room.holds_box(extent(built.working)) else math.inf


def result_spread(built: Built, hand: Hand) -> float:
    """The largest first-order standard deviation (cm) of what the construction was for: marks
    in any direction, circles all round, lines as far as the figure is large to both sides of
    its middle, however long their ink is: a short stroke is not a truer one."""
    acts, points = acts_of(built.working), built.bench.figure.points
    counted = SteppedErrors(hand, 0)
    execute(points, acts, counted)
    drawing = execute(points, acts, SteppedErrors(hand, len(counted.asked)))
    results = (built.result,) if isinstance(built.result, str) else built.result
    whole = box_of((), points.values()) or Box(0.0, 0.0, 0.0, 0.0)
    return max(_sd(drawing, name, whole) for name in results)


def _sd(drawing: Drawing, name: str, whole: Box) -> float:
    if name in drawing.inks:
        return _ink_sd(drawing, name, whole)
    xy = _slopes(drawing.marks[name])
    return float(np.sqrt(np.linalg.eigvalsh(xy @ xy.T)[-1]))


def _slopes(dot: Dot) -> NDArray[np.float64]:
    """(2, K) float64 cm: how a mark moves for one standard deviation of each error."""
    size = max(np.size(dot.x), np.size(dot.y))
    return np.stack([np.broadcast_to(np.imag(v) / TINY, size) for v in (dot.x, dot.y)])


def _ink_sd(drawing: Drawing, name: str, whole: Box) -> float:
    ink = drawing.inks[name]
    if isinstance(ink, DrawnLine):
        segment = ink.plan
        normal = segment.direction.left()
        n = np.array([normal.x, normal.y])
        a, b = (np.array([float(np.real(p.x[0])), float(np.real(p.y[0]))]) for p in (ink.a, ink.b))
        along, length = (b - a) / np.hypot(*(b - a)), float(np.hypot(*(b - a)))
        reach = max(math.hypot(whole.width, whole.height) / 2, LEAST_REACH)
        middle = segment.a + segment.direction * (whole.centre - segment.a).dot(segment.direction)
        worst = 0.0
        for end in (middle + segment.direction * reach, middle - segment.direction * reach):
            share = float((np.array([end.x, end.y]) - a) @ along) / length
            off = n @ _slopes(ink.a) * (1 - share) + n @ _slopes(ink.b) * share
            worst = max(worst, float(np.sqrt((off**2).sum())))
        return worst
    centre, radius = _slopes(ink.centre), np.imag(ink.radius) / TINY
    around = [np.array([math.cos(t), math.sin(t)]) for t in np.linspace(0, math.pi, 7)]
    return max(float(np.sqrt(((u @ centre + radius) ** 2).sum())) for u in around)
