"""Is this question fair? How likely a hand is to land inside the tolerance, and what spoils it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from millimark.errors import PlanError
from millimark.loci.answer import Answer
from millimark.loci.figure import Figure
from millimark.plane.point import Point
from millimark.working.acts import Act, Working
from millimark.working.hands import HANDS, Cause, Hand
from millimark.working.spread import (
    Place,
    Sensitivities,
    acts_of,
    coverage_interval,
    deviations,
    places,
    sensitivities,
)

FAIR = 0.95
"""A careful hand should pass at least this often; below it a paper warns."""


@dataclass(frozen=True)
class ElementFairness:
    """One element: the chance that all of it is inside tolerance, its standard deviation
    (mm) where it is widest, to first order and as sampled, and the deviation (mm) that 95 of
    100 hands stay under."""

    element: str
    chance: float
    sd_mm: float
    sampled_sd_mm: float
    worst95_mm: float


@dataclass(frozen=True)
class PlaceSpread:
    """One place on the true locus: standard deviation (mm) of the drawn line there, sampled,
    and the interval (mm along the normal) that holds 95 of 100 hands."""

    element: str
    at: Point
    sd_mm: float
    low_mm: float
    high_mm: float


@dataclass(frozen=True)
class Contribution:
    """One act's share (0 to 1) of the variance where the answer is widest."""

    act: int
    share: float
    caption: str
    cause: Cause


@dataclass(frozen=True)
class Fairness:
    """How fair a question is to a hand. Nothing to draw: ``chance`` 1 and no elements.

    ``chance``: of every element inside ``tolerance_mm`` at once, over ``hands`` sampled
    hands; ``sigma`` its standard error. ``contributions`` largest first. ``spread``: how far
    the line strays at places along it. ``not_judged``: elements that are plotted by points
    of the pupil's own choice, which these odds leave out.
    """

    hand: str
    hands: int
    tolerance_mm: float
    chance: float
    sigma: float
    elements: tuple[ElementFairness, ...]
    contributions: tuple[Contribution, ...]
    advice: tuple[str, ...]
    spread: tuple[PlaceSpread, ...] = ()
    not_judged: tuple[str, ...] = ()

    @property
    def fair(self) -> bool:
        """Whether the hand passes at least 95 times in 100."""
        return self.chance >= FAIR


def fairness(
    figure: Figure,
    answers: Sequence[Answer],
    working: Working,
    tolerance_mm: float,
    hand: str = "careful",
    hands: int = 10_000,
    seed: int = 1,
    angles: Mapping[str, float] | None = None,
) -> Fairness:
    """Draw the working by ``hands`` hands of a kind and see how many stay inside tolerance.
    ``angles`` gives, by element, how many degrees its line may be turned, where that counts."""
    if hand not in HANDS:
        raise PlanError(f"There is no hand called '{hand}'.", f"Use {' or '.join(sorted(HANDS))}.")
    where = places(answers, working)
    judged = {place.element for place in where}
    rest = tuple(s.element for s in working.steps if s.element not in judged)
    if not where:
        return Fairness(hand, hands, tolerance_mm, 1.0, 0.0, (), (), (), (), rest)
    kind = HANDS[hand]
    off_mm = 10 * deviations(figure, working, where, kind, hands, seed)
    linear = sensitivities(figure, working, where, kind)
    limits = angles or {}
    inside = _inside(where, off_mm, tolerance_mm, limits)
    chance = float(inside.mean())
    elements = _by_element(where, off_mm, 10 * linear.sd, tolerance_mm, limits)
    parts = _contributions(acts_of(working), linear)
    sigma = math.sqrt(chance * (1 - chance) / hands)
    advice = _advice(parts, elements, chance, tolerance_mm, kind, limits)
    spread = tuple(
        PlaceSpread(p.element, p.at, float(np.nanstd(off)), *coverage_interval(off))
        for p, off in zip(where, off_mm.T, strict=True)
        if np.isfinite(off).any()
    )
    return Fairness(hand, hands, tolerance_mm, chance, sigma, elements, parts, advice, spread, rest)


def _inside(
    where: Sequence[Place],
    off_mm: NDArray[np.float64],
    tolerance_mm: float,
    angles: Mapping[str, float],
) -> NDArray[np.bool_]:
    """(H,) bool: hands whose every place is inside, and whose lines are turned by no more than
    ``angles``; arcs that never crossed are not."""
    inside = (np.abs(off_mm) <= tolerance_mm).all(axis=1)
    for limit, turns in _turns(where, off_mm, angles):
        inside &= np.abs(turns) <= limit
    return np.asarray(inside)


def _turns(
    where: Sequence[Place], off_mm: NDArray[np.float64], angles: Mapping[str, float]
) -> Iterator[tuple[float, NDArray[np.float64]]]:
    """For each line of an element in ``angles``: the limit, and (H,) float64 degrees that each
    hand's line is turned by, from how far it strays at its two ends."""
    lines: dict[tuple[str, str], list[int]] = {}
    for column, place in enumerate(where):
        if place.element in angles and not place.mark:
            lines.setdefault((place.element, place.ink), []).append(column)
    for (element, _), columns in lines.items():
        first = where[columns[0]]
        if any(abs(first.normal.cross(where[c].normal)) > 1e-6 for c in columns):
            continue  # an arc has no direction
        last = max(columns, key=lambda c: first.at.distance(where[c].at))
        length_mm = 10 * first.at.distance(where[last].at)
        if length_mm > 0:
            facing = math.copysign(1.0, first.normal.dot(where[last].normal))
            apart = facing * off_mm[:, last] - off_mm[:, columns[0]]
            yield angles[element], np.asarray(np.degrees(np.arctan2(apart, length_mm)))


def _by_element(
    where: Sequence[Place],
    off_mm: NDArray[np.float64],
    sd_mm: NDArray[np.float64],
    tolerance_mm: float,
    angles: Mapping[str, float],
) -> tuple[ElementFairness, ...]:
    out = []
    for name in dict.fromkeys(place.element for place in where):
        columns = [i for i, place in enumerate(where) if place.element == name]
        mine = off_mm[:, columns]
        worst = np.nan_to_num(np.abs(mine).max(axis=1), nan=np.inf)
        widest = columns[int(np.argmax(sd_mm[columns]))]
        sampled = off_mm[:, widest]
        out.append(
            ElementFairness(
                name,
                float(_inside([where[c] for c in columns], mine, tolerance_mm, angles).mean()),
                float(sd_mm[widest]),
                float(np.nanstd(sampled)) if np.isfinite(sampled).any() else math.inf,
                float(np.quantile(worst, 0.95, method="higher")),
            )
        )
    return tuple(out)


def _contributions(acts: Sequence[Act], linear: Sensitivities) -> tuple[Contribution, ...]:
    widest = int(np.argmax(linear.sd))
    variance = linear.values[:, widest] ** 2
    total = float(variance.sum()) or 1.0
    by_act: dict[int, dict[Cause, float]] = {}
    for (act, cause), v in zip(linear.errors, variance, strict=True):
        causes = by_act.setdefault(act, {})
        causes[cause] = causes.get(cause, 0.0) + float(v)
    found = [
        Contribution(
            act,
            sum(causes.values()) / total,
            acts[act].caption,
            max(causes, key=lambda cause: causes[cause]),
        )
        for act, causes in by_act.items()
    ]
    return tuple(sorted(found, key=lambda c: (-c.share, c.act)))


HELP: dict[Cause, str] = {
    "placing": "Points farther apart, and a sharp pencil, make placing matter less.",
    "crossing": "Arcs that cross more squarely are seen better: a larger figure helps.",
    "reading": "Lengths in whole centimetres are read more surely.",
    "parallax": "Have the ruler read from straight above.",
    "zero": "Have lengths measured from the ruler's 1 cm mark.",
    "ruler scale": "Check the rulers against the sheet's check rule.",
    "play": "Tighten the compasses, and use larger arcs.",
    "slip": "Tighten the compasses, or ask for a smaller radius.",
    "line width": "A sharper pencil draws a truer line.",
    "baseline": "A longer arm lays the protractor truer.",
    "freehand": "More plotted points make a truer curve.",
    "protractor": "Arcs by compasses are truer than a protractor here.",
}


def _advice(
    parts: Sequence[Contribution],
    elements: Sequence[ElementFairness],
    chance: float,
    tolerance_mm: float,
    hand: Hand,
    angles: Mapping[str, float],
) -> tuple[str, ...]:
    """Empty for a fair question."""
    if chance >= FAIR:
        return ()
    worst = min(elements, key=lambda e: e.chance)
    turned = f" and {angles[worst.element]:g}°" if worst.element in angles else ""
    out = [
        f"{worst.element}: only {100 * worst.chance:.0f} of 100 hands stay within "
        f"{tolerance_mm:g} mm{turned}."
    ]
    if parts:
        first = parts[0]
        where = f'in "{first.caption}"' if first.caption else "in seeing a crossing"
        out.append(f"Most is lost {where}: {hand[first.cause].what}. {HELP[first.cause]}")
    if math.isfinite(worst.worst95_mm):
        need = math.ceil(worst.worst95_mm * 2) / 2
        out.append(f"A tolerance of {need:g} mm would pass 95 of 100.")
    else:
        out.append("Arcs often fail to cross: use a larger figure.")
    return tuple(out)
