"""Pupils and their hands: how far a needle, a ruler or a pencil strays.

Standard deviations in mm are common practice, no source, but for the reading of a
1 mm division, 1/sqrt(12) = 0.289 mm (computed), which a typical hand's ruler stays above.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

GIVEN = ["Amina", "Bram", "Cato", "Dilys", "Enzo", "Farah", "Goran", "Hana", "Idris", "Jory",
         "Kezia", "Luka", "Maren", "Nilo", "Oona", "Pavel", "Quill", "Rosa", "Samir", "Tove",
         "Ulla", "Viggo", "Wren", "Xenia", "Yusra", "Zeb"]  # fmt: skip
FAMILY = ["Arkwell", "Binder", "Castell", "Dunmore", "Elwick", "Farrow", "Garlen", "Hollin",
          "Ivory", "Jessop", "Kettle", "Larkin", "Mossop", "Norrell", "Oakes", "Pendry",
          "Quayle", "Rudd", "Sallow", "Tarn", "Upcott", "Varley", "Wickes", "Yarrow"]  # fmt: skip


@dataclass(frozen=True)
class Hand:
    """Standard deviations, mm: the needle's place, the compasses' opening, the ruler's
    edge at each of its two points, waviness along a line; and the pencil's usual line.

    ``arc_mm`` is the usual length of an arc that shows a construction; who draws ``ticks`` makes
    two short ones instead of one from arm to arm, who draws ``circles`` goes all round.
    ``prick`` is how dark the holes of the needle are, 0..1; 0 for who presses on the pencil."""

    name: str
    needle: float
    opening: float
    ruler: float
    wave: float
    width: float
    darkness: float
    arc_mm: float = 11.0
    ticks: bool = False
    circles: bool = False
    prick: float = 0.0


ARC_MM = (5.0, 25.0)
"""The shortest and the longest arc that shows a construction, mm: common practice, no source."""
CAREFUL = Hand("careful", 0.15, 0.20, 0.18, 0.04, 0.42, 0.60)
TYPICAL = Hand("typical", 0.25, 0.32, 0.30, 0.07, 0.50, 0.55)
SHAKY = Hand("shaky", 0.40, 0.50, 0.45, 0.16, 0.58, 0.50)


@dataclass(frozen=True)
class Pupil:
    """One invented pupil. ``hatching`` is the way this one shades a region; ``reads_mm`` by how
    much this one takes every length too long."""

    name: str
    hand: Hand
    left_handed: bool
    hatching: str
    reads_mm: float = 0.0


HATCHINGS = ("hatch", "hatch", "scribble", "cross", "grey")
SMEARED = 0.4
"""Share of those who shade with the side of the lead who rub it smooth with a finger."""


def invent(number: int, seed: int) -> Pupil:
    """Pupil ``number`` (from 0) of the class with this seed. One in twelve has a hard pencil,
    whose line is pale and thin."""
    rng = np.random.default_rng([seed, 7001, number])
    order = np.random.default_rng([seed, 7000]).permutation(len(GIVEN) * len(FAMILY))
    pick = int(order[number % len(order)])
    hand = (CAREFUL, TYPICAL, SHAKY)[int(rng.choice(3, p=(0.35, 0.5, 0.15)))]
    if rng.random() < 0.08:
        hand = replace(hand, darkness=float(rng.uniform(0.30, 0.38)), width=0.38)
    left_handed = bool(rng.random() < 0.12)
    hatching = HATCHINGS[int(rng.integers(len(HATCHINGS)))]
    if hatching == "grey" and rng.random() < SMEARED:
        hatching = "smooth"
    return Pupil(
        name=f"{GIVEN[pick % len(GIVEN)]} {FAMILY[pick // len(GIVEN)]}",
        hand=_with_compasses(hand, np.random.default_rng([seed, 7003, number])),
        left_handed=left_handed,
        hatching=hatching,
        reads_mm=_reads(np.random.default_rng([seed, 7002, number])),
    )


TICKS, CIRCLES = 0.35, 0.04
"""Share of hands that tick each arm with an arc of its own, and of those that draw circles."""


NO_HOLES, PRICKS = 0.25, (0.2, 0.75)
"""Share of hands whose needle leaves no hole that a scanner sees, and how dark those of the
others are."""


def _with_compasses(hand: Hand, rng: np.random.Generator) -> Hand:
    """The hand with its own way to use compasses: most are used to arcs of some 8 to 15 mm."""
    usual = float(np.clip(11.0 * np.exp(0.25 * rng.standard_normal()), 6.0, 20.0))
    ticks, circles = rng.random() < TICKS, rng.random() < CIRCLES
    prick = 0.0 if rng.random() < NO_HOLES else float(rng.uniform(*PRICKS))
    return replace(hand, arc_mm=usual, ticks=bool(ticks), circles=bool(circles), prick=prick)


RULER_END, SLANTED = 0.04, 0.03
"""Share of pupils who read the ruler from its end, and of those who read it at a slant."""


def _reads(rng: np.random.Generator) -> float:
    """By how much a pupil takes every length too long, mm: 0 for most."""
    chance = rng.random()
    if chance < RULER_END:
        return float(rng.uniform(3.0, 6.0))
    if chance < RULER_END + SLANTED:
        return float(rng.uniform(0.9, 1.6) * rng.choice([-1.0, 1.0]))
    return 0.0
