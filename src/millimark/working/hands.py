"""How far off a hand is: the distribution of every small error, with where it comes from.

Lengths in cm, angles in radians, as standard deviations. 'memory' marks a figure that was
not checked; 'common practice' one for which no source is known.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

Cause = Literal[
    "placing",
    "crossing",
    "reading",
    "parallax",
    "zero",
    "ruler scale",
    "play",
    "slip",
    "line width",
    "baseline",
    "protractor",
    "freehand",
]
Shape = Literal["normal", "rectangular"]

RECT = math.sqrt(3.0)
"""Half-width over standard deviation of a rectangular distribution (JCGM 101:2008, 6.4.2)."""


@dataclass(frozen=True)
class Disturbance:
    """One cause of error: standard deviation, shape, what it is and where the figure is from."""

    sd: float
    shape: Shape
    what: str
    source: str


Hand = Mapping[Cause, Disturbance]


def within(half_width: float) -> float:
    """The standard deviation of a rectangular distribution of that half-width."""
    return half_width / RECT


def _hand(
    placing: float,
    crossing: float,
    reading: float,
    parallax: float,
    zero: float,
    play: float,
    slip: float,
    pencil: float,
    baseline: float,
    protractor: float,
    freehand: float,
) -> Hand:
    """Arguments in mm and degrees, as read below."""
    practice = "common practice, no source"
    return {
        "placing": Disturbance(
            placing / 10, "normal", "setting needle, ruler or protractor on a mark", practice
        ),
        "crossing": Disturbance(
            crossing / 10, "normal", "seeing where two pencil lines cross", practice
        ),
        "reading": Disturbance(
            within(reading / 10),
            "rectangular",
            "reading a ruler of 1 mm divisions",
            "JCGM 101: ± half a division is rectangular; a careful hand halves it (practice)",
        ),
        "parallax": Disturbance(
            within(parallax / 10), "rectangular", "looking at the ruler from one side", practice
        ),
        "zero": Disturbance(zero / 10, "normal", "setting the ruler's zero", practice),
        "ruler scale": Disturbance(
            within(0.5 / 300),
            "rectangular",
            "the ruler's own error, per cm",
            "class II: 0.5 mm in 300 mm (Measuring Instruments Regulations 2016, Schedule 1I); "
            "school rulers carry no guarantee (memory)",
        ),
        "play": Disturbance(
            play / 10, "normal", "play in the compasses from one arc to the next", practice
        ),
        "slip": Disturbance(
            slip / 10, "normal", "the compasses slipping, over a full turn", practice
        ),
        "line width": Disturbance(
            within(pencil / 40),
            "rectangular",
            "the middle of the pencil line beside the edge or the lead's point",
            f"HB line {pencil} mm wide (memory: 0.3 to 0.7 mm), a quarter of it each way",
        ),
        "baseline": Disturbance(
            math.radians(baseline), "normal", "laying the protractor along the arm", practice
        ),
        "protractor": Disturbance(
            within(math.radians(protractor)),
            "rectangular",
            "reading the protractor",
            "in use 0.5° to 1° (memory)",
        ),
        "freehand": Disturbance(
            freehand / 10, "normal", "joining marks by a curve drawn freehand", practice
        ),
    }


HANDS: dict[str, Hand] = {
    "careful": _hand(
        placing=0.2, crossing=0.15, reading=0.25, parallax=0.2, zero=0.1,
        play=0.1, slip=0.3, pencil=0.3, baseline=0.2, protractor=0.5, freehand=0.4,
    ),
    "typical": _hand(
        placing=0.4, crossing=0.3, reading=0.5, parallax=0.5, zero=0.25,
        play=0.3, slip=1.0, pencil=0.7, baseline=0.5, protractor=1.0, freehand=0.9,
    ),
}  # fmt: skip
"""'careful': a pupil who takes care, with sound instruments. 'typical': the class at large."""
