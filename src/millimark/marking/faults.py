"""Which mistakes would explain what was drawn: likely causes, each with its size.

A cause is named only where it stands out: it must matter beside the tolerance and explain
the line better than the other causes do. Signatures follow the trade's table of errors.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from millimark.loci.conditions import AtDistance, Parallel, Perpendicular, PointOf, Tangents
from millimark.marking.courses import Explanation, explained
from millimark.marking.expected import Wanted
from millimark.marking.findings import (
    ElementFinding,
    EvidenceFinding,
    Fault,
    RegionFinding,
)
from millimark.marking.shading import region_verdict

_FREEHAND_MM = 0.28
"""Waves beyond what instruments and a shaky hand leave, rms mm: common practice, no source."""
_MATTERS = 1.25
"""A cause is named from this share of the tolerance on: below it a hand may err so without one."""
_STANDS_OUT = 0.6
_HARDLY = 0.85
_TURNED_DEG = 2.5


def faults_of(
    wanted: Sequence[Wanted],
    elements: Sequence[ElementFinding],
    evidence: Sequence[EvidenceFinding],
    region: RegionFinding,
    limit: float,
    dotted: bool,
    mistaken: Callable[[Wanted], Fault | None] = lambda wanted: None,
) -> tuple[Fault, ...]:
    """Likely causes in the order of the elements, then arcs, then shading.

    ``limit`` is the tolerance, mm; ``dotted`` says that a lone dot was drawn; ``mistaken`` tells
    the misconception that explains a wrong line, if one does.
    """
    found: list[Fault] = []
    for w, e in zip(wanted, elements, strict=True):
        other = mistaken(w) if _astray(e, limit) else None
        found += [other] if other is not None else _of_element(w, e, limit, dotted)
    for arcs in evidence:
        found += _of_arcs(arcs)
    return tuple(found + _of_region(region))


def _astray(e: ElementFinding, limit: float) -> bool:
    """Whether the line is missing, wrong, rough, or hardly there."""
    return (
        not e.found
        or (e.worst_mm or 0.0) > limit
        or (e.worst_needed_mm or 0.0) > limit
        or e.parts["all"].coverage < _HARDLY
        or (e.roughness_mm or 0.0) > _FREEHAND_MM
    )


def nothing_drawn() -> tuple[Fault, ...]:
    """The fault of an answer that was not begun."""
    return (Fault("blank", "Nothing was drawn for this question."),)


def _of_element(w: Wanted, e: ElementFinding, limit: float, dotted: bool) -> list[Fault]:
    if not e.found:
        if not dotted:
            return []
        text = "A point was marked; a locus is all the points that satisfy the condition: a line."
        return [Fault("dot", text, element=e.element)]
    if (e.roughness_mm or 0.0) > _FREEHAND_MM and e.kind != "path":
        return [_freehand(e)]
    if not isinstance(w.element.locus, AtDistance):
        return _of_line(w, e, limit) if e.kind == "line" else _incomplete(e)
    if isinstance(w.element.locus.feature, PointOf):
        return _of_circle(w, e, limit)
    return _of_path(w, e, limit)


def _freehand(e: ElementFinding) -> Fault:
    return Fault(
        "freehand",
        f"The line wavers by about {e.roughness_mm or 0.0:.1f} mm, as if drawn without "
        "instruments: use compasses for arcs and a ruler for lines.",
        e.roughness_mm,
        element=e.element,
    )


# --- circles ---------------------------------------------------------------------------
def _of_circle(w: Wanted, e: ElementFinding, limit: float) -> list[Fault]:
    """Wrong opening, slipped compasses, a needle that stood off, or only a part drawn."""
    worst = e.worst_mm or 0.0
    if worst > _MATTERS * limit and e.course:
        cause = explained(max(e.course, key=lambda c: len(c.t)))
        if cause.confidence > _STANDS_OUT and abs(cause.size) > _MATTERS * limit:
            return [_circle_fault(w, e, cause)]
    return _incomplete(e)


def _circle_fault(w: Wanted, e: ElementFinding, cause: Explanation) -> Fault:
    size, asked = abs(cause.size), w.length_mm
    if cause.cause == "offset":
        way = "too large" if cause.size > 0 else "too small"
        text = (
            f"The compasses were set about {size:.1f} mm {way}: the radius is "
            f"{asked + cause.size:.1f} mm instead of {asked:.1f} mm. Set them against the ruler's "
            "zero, not its end."
        )
        return Fault("arc-radius", text, size, cause.confidence, e.element)
    if cause.cause == "drift":
        text = (
            f"The compasses seem to have slipped: the radius changes by {size:.1f} mm along the "
            "arc. Tighten them and turn them by the top."
        )
        return Fault("compasses-slipped", text, size, cause.confidence, e.element)
    text = f"The needle seems to have stood {size:.1f} mm from its point."
    return Fault("needle-off", text, size, cause.confidence, e.element)


def _incomplete(e: ElementFinding) -> list[Fault]:
    part = e.parts["all"]
    if part.needed_mm <= 0.0 or part.coverage >= 0.85 or (e.worst_needed_mm or 0.0) > 3.0:
        return []
    text = f"Only {100 * part.coverage:.0f} % of the {e.element} is drawn."
    return [Fault("incomplete", text, element=e.element)]


# --- paths -----------------------------------------------------------------------------
def _of_path(w: Wanted, e: ElementFinding, limit: float) -> list[Fault]:
    """Wrong distance all round, squared ends, or parts that are missing."""
    off = np.concatenate([np.abs(d.off) for d in e.profile])
    typical = float(np.median(off))
    straight, rounded = e.parts["straight"], e.parts["round"]
    offsets = [float(np.median(c.u)) for c in e.course if np.ptp(c.t) > 8.0]
    if typical > _MATTERS * limit and _alike(offsets):
        return [_distance(w, e, typical)]
    if _square(w, e):
        return [_squared(e)]
    if straight.coverage > 0.8 and rounded.needed_mm > 0.0 and rounded.coverage < 0.35:
        return [Fault("ends-missing", "The round ends are missing.", element=e.element)]
    share = e.parts["all"].coverage
    if share < 0.88 and typical < 0.6 * limit:
        text = f"Only {100 * share:.0f} % of the locus is drawn: it runs all the way round."
        return [Fault("one-side", text, element=e.element)]
    if (e.roughness_mm or 0.0) > _FREEHAND_MM:
        return [_freehand(e)]
    return []


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


# --- lines -----------------------------------------------------------------------------
def _of_line(w: Wanted, e: ElementFinding, limit: float) -> list[Fault]:
    """Turned, or shifted, or too short to tell."""
    worst, angle, offset = e.worst_mm or 0.0, e.angle_deg or 0.0, e.offset_mm or 0.0
    drawn = sum(float(np.ptp(c.t)) for c in e.course)
    if drawn < 26.0 and worst <= limit:
        text = f"Only {drawn:.0f} mm of the line is drawn: rule it through, at least 3 cm."
        return [Fault("incomplete", text, element=e.element)]
    if worst <= _MATTERS * limit and angle <= _TURNED_DEG:
        return []
    if angle > 2.0 * (e.angle_sigma_deg or 0.0) and math.radians(angle) * drawn / 2 > offset:
        text = f"The line is turned by {angle:.1f}° from the right direction."
        return [Fault("line-turned", text, worst, element=e.element)]
    if isinstance(w.element.locus, Perpendicular | Parallel | Tangents):
        text = (
            f"The line has the right direction but misses by {offset:.1f} mm the point that it "
            "has to go through."
        )
        return [Fault("misses-point", text, offset, element=e.element)]
    text = f"The line runs in the right direction but {offset:.1f} mm from its place."
    return [Fault("line-shifted", text, offset, element=e.element)]


# --- construction arcs and shading -------------------------------------------------------
def _of_arcs(e: EvidenceFinding) -> list[Fault]:
    if e.verdict != "no":
        return []
    owner = e.owner or None
    if not e.radii:
        if e.traces and not e.asked:
            return []  # some arcs are there; they carry no mark
        return [Fault("no-arcs", f"There are no construction arcs ({e.evidence}).", element=owner)]
    gap = abs(e.radii[-1] - e.radii[-2]) if len(e.radii) > 1 else 0.0
    if e.shortfall:
        text = (
            "The arcs do not cross: their radius must be more than half of the distance between "
            "the two points."
        )
        return [Fault("arcs-too-small", text, element=owner)]
    if gap > 2.0:
        text = (
            f"The two arcs have different radii, {e.radii[-2]:.1f} mm and {e.radii[-1]:.1f} mm: "
            "keep the compasses at one opening."
        )
        return [Fault("unequal-arcs", text, gap, element=owner)]
    return []


def _of_region(region: RegionFinding) -> list[Fault]:
    if not region.asked or region_verdict(region)[0] != "no":
        return []
    if not region.shaded:
        return [Fault("not-shaded", "No region was shaded.")]
    if region.inside < 0.4:
        return [Fault("wrong-side", "The shading is on the wrong side of a boundary.")]
    return []
