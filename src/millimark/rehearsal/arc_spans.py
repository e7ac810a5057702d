"""How much of its circle a pupil draws where an arc only shows the construction.

A pupil sets the compasses, guesses where the crossing will be, draws a short arc there, and
draws on until it crosses what it is to cross. Paper frame, real mm. Lengths: common
practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from millimark.plane.curves import Arc
from millimark.plane.point import Point
from millimark.rehearsal.hands import ARC_MM, Hand
from millimark.rehearsal.near import Frame
from millimark.working.acts import Crossing, ElementWorking, MarkPoint

PAST = 1.8
"""mm that an arc goes on at least past what it crosses: less is not seen to cross."""
UNSEEN = 3.5
"""The same where what it is to cross is drawn later."""
SPREAD = 0.22
"""Standard deviation of the logarithm of the lengths of one hand's arcs."""
ONE_SWEEP = 1.5
"""A hand that likes two short arcs draws one if they would lie closer than so many lengths."""
LAPS = (1.0, 4.0)
"""mm that a whole circle runs on past its start."""
EDGE = 1.0
"""mm that a circle keeps from the frame's edge."""
MOSTLY = 0.6
"""Share of a circle that lies in the frame at least, or an arc is drawn."""

Marks = Mapping[str, Sequence[MarkPoint]]


def marks_on_arcs(steps: Iterable[ElementWorking]) -> dict[str, list[MarkPoint]]:
    """The marks that a working reads off each arc, by the name of its ink."""
    found: dict[str, list[MarkPoint]] = {}
    for act in (act for step in steps for act in step.acts):
        if isinstance(act, MarkPoint) and isinstance(act.how, Crossing):
            for ink in (act.how.first, act.how.second):
                if isinstance(ink, str):
                    found.setdefault(ink, []).append(act)
    return found


@dataclass(frozen=True)
class Crossed:
    """A place that an arc is to cross, and how far it goes on past that at least, mm."""

    at: Point
    past: float


def drawn_pieces(
    circle: Arc, nominal: Arc, crossed: Sequence[Crossed], hand: Hand, rng: np.random.Generator
) -> list[Arc]:
    """The pieces of ``circle`` that a hand draws, in the sense of the ``nominal`` arc: about the
    places that are crossed, or about the middle of the nominal arc if none are."""
    ahead = 1.0 if nominal.sense > 0 else -1.0
    middle = nominal.from_ + nominal.sweep / 2
    places = crossed or [Crossed(circle.centre.polar(circle.radius, middle), PAST)]
    runs: list[tuple[float, float]] = []
    for place in places:
        turn = ahead * ((place.at - circle.centre).angle() - middle)
        at = circle.radius * ((turn + math.pi) % (2 * math.pi) - math.pi)
        length = arc_length(hand, rng)
        before = max(place.past, length * float(rng.uniform(0.25, 0.75)))
        runs.append((at - before, at + max(place.past, length - before)))
    runs.sort()
    gap = ONE_SWEEP * hand.arc_mm if hand.ticks else math.inf
    joined = [runs[0]]
    for start, end in runs[1:]:
        if start - joined[-1][1] < gap:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return [
        replace(
            circle,
            from_=middle + ahead * start / circle.radius,
            sweep=ahead * (end - start) / circle.radius,
        )
        for start, end in joined
    ]


def arc_length(hand: Hand, rng: np.random.Generator) -> float:
    """How long this hand makes one arc, mm."""
    spread = float(np.clip(rng.standard_normal(), -2.5, 2.5))
    return float(np.clip(hand.arc_mm * math.exp(SPREAD * spread), *ARC_MM))


def all_round(circle: Arc, frame: Frame, rng: np.random.Generator) -> list[Arc]:
    """The circle drawn all round and a little on, as far as the frame goes; nothing where too
    little of it lies in the frame."""
    start = float(rng.uniform(0, 2 * math.pi))
    lap = float(rng.uniform(*LAPS)) / circle.radius
    turn = start + np.linspace(0.0, 2 * math.pi, 1440, endpoint=False)
    x = circle.centre.x + circle.radius * np.cos(turn)
    y = circle.centre.y + circle.radius * np.sin(turn)
    left, top, right, bottom = frame
    inside = (x > left + EDGE) & (x < right - EDGE) & (y > top + EDGE) & (y < bottom - EDGE)
    if inside.all():
        return [replace(circle, from_=start, sweep=2 * math.pi + lap)]
    if inside.mean() < MOSTLY:
        return []
    gap = int(np.argmin(inside))
    turn, inside = np.roll(turn, -gap), np.roll(inside, -gap)
    edges = np.flatnonzero(np.diff(np.concatenate((inside, [False])).astype(int)))
    runs = [(turn[first + 1], turn[last]) for first, last in edges.reshape(-1, 2)]
    return [
        replace(circle, from_=float(a), sweep=float((b - a) % (2 * math.pi)))
        for a, b in runs
        if circle.radius * ((b - a) % (2 * math.pi)) > 2 * PAST
    ]
