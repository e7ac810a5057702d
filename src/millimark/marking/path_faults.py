"""What is wrong with a locus of several parts: its distance, its ends, or what is missing."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from millimark.loci.conditions import AtDistance, LineOf
from millimark.marking.circle_faults import MATTERS, incomplete
from millimark.marking.expected import Wanted
from millimark.marking.findings import Course, ElementFinding, Fault

_LEAST_MM = 8.0
"""A part with less pencil than this, mm, tells no distance."""


def of_path(w: Wanted, e: ElementFinding, limit: float) -> list[Fault]:
    """The likeliest cause of a wrong locus at a distance; empty where none stands out."""
    typical = _typical(e)
    if typical > MATTERS * limit and _alike(_offsets(e.course)):
        return [_distance(w, e, typical)]
    if _square(w, e):
        return [_squared(e)]
    straight, rounded = e.parts["straight"], e.parts["round"]
    if straight.coverage > 0.8 and rounded.needed_mm > 0.0 and rounded.coverage < 0.35:
        return [Fault("ends-missing", "The round ends are missing.", element=e.element)]
    share = e.parts["all"].coverage
    if share < 0.88 and typical < 0.6 * limit:
        return _part_missing(w, e, share)
    return []


def of_rope(e: ElementFinding, limit: float) -> list[Fault]:
    """Arcs about several centres (a rope that bends round corners) that are all too large, or all
    too small, by one amount; else, and for a figure of sides, what is not drawn."""
    offsets = _offsets(e.course)
    size = float(np.median(np.abs(offsets))) if offsets else 0.0
    arcs = all(c.turn for c in e.course)
    one_way = arcs and abs(sum(np.sign(offsets))) == len(offsets)
    if size > MATTERS * limit and one_way and _alike(offsets):
        way = "large" if offsets[0] > 0.0 else "small"
        text = (
            f"All the arcs are about {size:.1f} mm too {way}: the length was set wrongly, or from "
            "the ruler's end instead of its zero."
        )
        return [Fault("arc-radius", text, size, element=e.element)]
    return incomplete(e)


def _typical(e: ElementFinding) -> float:
    """The usual distance of the pencil from the locus, mm."""
    return float(np.median(np.concatenate([np.abs(d.off) for d in e.profile])))


def _offsets(course: Sequence[Course]) -> list[float]:
    return [float(np.median(c.u)) for c in course if np.ptp(c.t) > _LEAST_MM]


def _alike(offsets: Sequence[float]) -> bool:
    """Whether all parts of a path are off by about the same distance, the same way round."""
    if not offsets:
        return False
    sizes = np.abs(offsets)
    return bool(sizes.min() > 0.5 * sizes.max())


def _distance(w: Wanted, e: ElementFinding, typical: float) -> Fault:
    text = (
        f"The locus is drawn about {typical:.1f} mm from where it should be: the distance of "
        f"{w.length_mm:.0f} mm was measured wrongly, or from the ruler's end instead of its zero."
    )
    return Fault("distance", text, typical, element=e.element)


def _part_missing(w: Wanted, e: ElementFinding, share: float) -> list[Fault]:
    """Of a line's two parallels, which go on for ever, one that is not there; of a locus that
    closes, any part."""
    if isinstance(w.element.locus, AtDistance) and isinstance(w.element.locus.feature, LineOf):
        if len(e.course) >= len(w.curves):
            return incomplete(e)
        text = "One parallel is missing: points at this distance lie on both sides of the line."
    else:
        text = f"Only {100 * share:.0f} % of the locus is drawn: it runs all the way round."
    return [Fault("one-side", text, element=e.element)]


def _square(w: Wanted, e: ElementFinding) -> bool:
    """Straights that run on into corners: right along the sides, far out at the ends."""
    rounded = e.parts["round"]
    excess = (math.sqrt(2.0) - 1.0) * w.length_mm
    return (
        e.parts["straight"].coverage > 0.6
        and 0.2 < rounded.coverage < 0.88
        and (e.worst_mm or 0.0) > 0.55 * excess
        and (e.worst_mm or 0.0) < 1.5 * excess
    )


def _squared(e: ElementFinding) -> Fault:
    text = (
        "The ends are squared off: points at one distance from an end lie on an arc. The "
        f"corners are {e.worst_mm or 0.0:.1f} mm too far out."
    )
    return Fault("squared-ends", text, e.worst_mm, element=e.element)
