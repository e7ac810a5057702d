"""Which mistakes would explain what was drawn: likely causes with their size.

A cause is named only where it stands out: it must explain a deviation that matters, and
do so better than chance. Signatures follow the trade's table of errors.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from millimark.loci.conditions import AtDistance, PointOf
from millimark.marking.expected import Expected, Wanted
from millimark.marking.findings import (
    ElementFinding,
    EvidenceFinding,
    Fault,
    Mark,
    RegionFinding,
)
from millimark.marking.primitives import Ink
from millimark.paper.question import Question


def faults_of(
    question: Question,
    expect: Expected,
    ink: Ink,
    elements: Sequence[ElementFinding],
    evidence: Sequence[EvidenceFinding],
    region: RegionFinding,
    marks: Sequence[Mark],
) -> tuple[Fault, ...]:
    """Likely causes, in the order of the elements, then evidence, then region."""
    found: list[Fault] = []
    limit = question.tolerance.length_mm
    for wanted, element in zip(expect.wanted, elements, strict=True):
        found += _of_element(wanted, element, limit)
    for e in evidence:
        found += _of_evidence(e)
    found += _of_region(region)
    return tuple(found)


def _of_element(wanted: Wanted, e: ElementFinding, limit: float) -> list[Fault]:
    if not e.found or e.worst_mm is None:
        return []
    if isinstance(wanted.element.locus, AtDistance):
        if isinstance(wanted.element.locus.feature, PointOf):
            return _of_circle(wanted, e, limit)
        return _of_path(wanted, e, limit)
    return _of_line(e, limit)


def _of_circle(wanted: Wanted, e: ElementFinding, limit: float) -> list[Fault]:
    """Wrong length, slipped compasses, or only a part drawn."""
    off = np.concatenate([d.off for d in e.profile])
    mean, spread = float(off.mean()), float(off.std())
    asked = wanted.length_mm
    if abs(mean) > 0.75 * limit and spread < 0.4 * abs(mean):
        way = "too large" if mean > 0 else "too small"
        return [
            Fault(
                "arc-radius",
                f"The compasses were set about {abs(mean):.1f} mm {way}: the arc has a radius of "
                f"{asked + mean:.1f} mm instead of {asked:.1f} mm.",
                abs(mean),
                element=e.element,
            )
        ]
    drift = _drift(e)
    if abs(drift) > 0.8 * limit and e.worst_mm is not None and e.worst_mm > 0.8 * limit:
        return [
            Fault(
                "compasses-slipped",
                f"The compasses seem to have slipped: the radius changes by {abs(drift):.1f} mm "
                "along the arc.",
                abs(drift),
                element=e.element,
            )
        ]
    return _short(e)


def _short(e: ElementFinding) -> list[Fault]:
    part = e.parts["all"]
    if part.needed_mm > 0.0 and part.coverage < 0.8 and (e.worst_needed_mm or 0.0) < 3.0:
        return [
            Fault(
                "incomplete",
                f"Only {100 * part.coverage:.0f} % of the {e.element} is drawn.",
                None,
                element=e.element,
            )
        ]
    return []


def _drift(e: ElementFinding) -> float:
    """Change of the offset from end to end of the drawn arc, mm, along its own course."""
    best = max(e.profile, key=lambda d: len(d.off))
    n = len(best.off)
    if n < 20:
        return 0.0
    x = np.linspace(-0.5, 0.5, n)
    return float(np.polyfit(x, best.off, 1)[0])


def _of_path(wanted: Wanted, e: ElementFinding, limit: float) -> list[Fault]:
    straight, rounded = e.parts.get("straight"), e.parts.get("round")
    off = np.concatenate([d.off for d in e.profile])
    size = np.abs(off)
    if straight is None or rounded is None:
        return []
    typical = float(np.median(size))
    if typical > 0.75 * limit and float(np.percentile(size, 20)) > 0.5 * typical:
        return [
            Fault(
                "distance",
                f"The locus is drawn about {typical:.1f} mm from where it should be: the distance "
                "was set or measured wrongly.",
                typical,
                element=e.element,
            )
        ]
    if straight.coverage > 0.75 and 0.2 < rounded.coverage < 0.85:
        excess = wanted.length_mm * (math.sqrt(2.0) - 1.0)
        if e.worst_mm is not None and e.worst_mm > 0.5 * excess:
            return [
                Fault(
                    "squared-ends",
                    "The ends are squared off; points at one distance from an end lie on an arc. "
                    f"The corners are {e.worst_mm:.1f} mm too far out.",
                    e.worst_mm,
                    element=e.element,
                )
            ]
    if straight.coverage > 0.8 and rounded.coverage < 0.25:
        return [Fault("ends-missing", "The round ends are missing.", None, element=e.element)]
    if 0.35 < straight.coverage < 0.65:
        return [
            Fault("one-side", "Only about half of the locus is drawn.", None, element=e.element)
        ]
    return []


def _of_line(e: ElementFinding, limit: float) -> list[Fault]:
    if e.angle_deg is None or e.offset_mm is None or e.worst_mm is None:
        return []
    if e.worst_mm <= limit:
        return []
    if e.angle_deg > 1.5:
        return [
            Fault(
                "line-turned",
                f"The line is turned by {e.angle_deg:.1f}° from the right direction.",
                e.worst_mm,
                element=e.element,
            )
        ]
    return [
        Fault(
            "line-shifted",
            f"The line runs in the right direction but {e.offset_mm:.1f} mm from its place.",
            e.offset_mm,
            element=e.element,
        )
    ]


def _of_evidence(e: EvidenceFinding) -> list[Fault]:
    if e.verdict != "no":
        return []
    if len(e.radii) >= 2 and abs(e.radii[-1] - e.radii[-2]) > 2.0:
        gap = abs(e.radii[-1] - e.radii[-2])
        return [
            Fault(
                "unequal-arcs",
                f"The two arcs have different radii, {e.radii[-2]:.1f} mm and "
                f"{e.radii[-1]:.1f} mm: keep the compasses at one opening.",
                gap,
                element=e.owner or None,
            )
        ]
    if not e.radii:
        return [
            Fault("no-arcs", f"No construction arcs: {e.evidence}.", None, element=e.owner or None)
        ]
    return []


def _of_region(region: RegionFinding) -> list[Fault]:
    if not region.asked:
        return []
    if not region.shaded:
        return [Fault("not-shaded", "No region was shaded.")]
    if region.inside < 0.4:
        return [Fault("wrong-side", "The shading is on the wrong side of a boundary.")]
    return []
