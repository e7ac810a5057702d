"""Which mistakes would explain what was drawn: likely causes, each with its size.

A cause is named only where it stands out: it must matter beside the tolerance and explain
the line better than the other causes do. Signatures follow the trade's table of errors.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from millimark.loci.conditions import AtDistance, PointOf, RopeEnd, TriangleOn
from millimark.marking.circle_faults import of_circle
from millimark.marking.expected import Wanted
from millimark.marking.findings import (
    FREEHAND_MM,
    ElementFinding,
    EvidenceFinding,
    Fault,
    Mark,
    RegionFinding,
)
from millimark.marking.line_faults import of_line
from millimark.marking.path_faults import of_path, of_rope
from millimark.marking.shading import region_verdict
from millimark.marking.triangle_faults import of_triangle
from millimark.paper.question import Criterion
from millimark.plane.point import Point

_HARDLY = 0.85
_CLEARLY = 1.5
"""Waves are told of a line that earned its marks from so many times that on."""
_IN_DOUBT_MM = 1.0
"""Pencil that may not belong to a line by so much, mm, leaves its form unknown."""
_REGION = "region"
"""What a region's criterion is about."""
_OF_FORM = frozenset({"freehand", "polygonal"})


@dataclass(frozen=True)
class Setting:
    """What causes are judged by: ``limit`` the tolerance, mm; ``dotted`` that a lone dot was
    drawn; ``points`` the printed points, paper mm; ``earned`` the elements whose marks were all
    awarded; ``open`` the subjects of arcs and regions whose marks are the teacher's: of what may
    only not be seen nothing is told."""

    limit: float
    dotted: bool = False
    points: Mapping[str, Point] = field(default_factory=dict)
    earned: frozenset[str] = frozenset()
    open: frozenset[str] = frozenset()


def left_open(scheme: Sequence[Criterion], marks: Sequence[Mark]) -> frozenset[str]:
    """The subjects of arcs and regions on which marks hang that are the teacher's."""
    return frozenset(
        criterion.subject
        for criterion, mark in zip(scheme, marks, strict=True)
        if criterion.kind in ("evidence", "region") and mark.decision == "teacher"
    )


def earned(scheme: Sequence[Criterion], marks: Sequence[Mark]) -> frozenset[str]:
    """The elements on which marks hang that were all awarded."""
    every: dict[str, bool] = {}
    for criterion, mark in zip(scheme, marks, strict=True):
        if criterion.kind == "line":
            whole = every.get(criterion.subject, True)
            every[criterion.subject] = whole and mark.decision == "awarded"
    return frozenset(name for name, whole in every.items() if whole)


def faults_of(
    wanted: Sequence[Wanted],
    elements: Sequence[ElementFinding],
    evidence: Sequence[EvidenceFinding],
    region: RegionFinding,
    setting: Setting,
    mistaken: Callable[[Wanted], Fault | None] = lambda wanted: None,
) -> tuple[Fault, ...]:
    """Likely causes in the order of the elements, then arcs, then shading.

    ``mistaken`` tells the misconception that explains a wrong line, if one does.
    """
    found: list[Fault] = []
    for w, e in zip(wanted, elements, strict=True):
        # of a rope too long an arc is as good as the right one, as far as that goes
        looked_for = _astray(e, setting) or isinstance(w.element.locus, RopeEnd)
        other = mistaken(w) if looked_for else None
        mine = [other] if other is not None else _of_element(w, e, setting)
        found += [f for f in mine if _worth_telling(f, e, setting)]
    for arcs in evidence:
        found += [] if arcs.evidence in setting.open else _of_arcs(arcs)
    return tuple(found + ([] if _REGION in setting.open else _of_region(region)))


def _astray(e: ElementFinding, setting: Setting) -> bool:
    """Whether the line is missing, wrong, rough, or hardly there."""
    return (
        not e.found
        or (e.worst_mm or 0.0) > setting.limit
        or (e.worst_needed_mm or 0.0) > setting.limit
        or (e.parts["all"].coverage < _HARDLY and e.element not in setting.earned)
        or (e.roughness_mm or 0.0) > FREEHAND_MM
    )


def _worth_telling(fault: Fault, e: ElementFinding, setting: Setting) -> bool:
    """Of a line that earned its marks only how it was drawn is told, or what goes beyond its
    tolerance; of one that hatching may have been taken for, nothing about its form."""
    if fault.fault in _OF_FORM:
        smooth = e.found and (e.roughness_mm or 0.0) <= FREEHAND_MM
        if smooth or e.hatch_edge or e.entangled or e.excess_mm > _IN_DOUBT_MM:
            return False
        least = _CLEARLY * FREEHAND_MM if fault.fault == "freehand" else 0.0
    else:
        least = setting.limit
    return e.element not in setting.earned or (fault.size_mm or 0.0) >= least


def nothing_drawn() -> tuple[Fault, ...]:
    """The fault of an answer that was not begun."""
    return (Fault("blank", "Nothing was drawn for this question."),)


def _of_element(w: Wanted, e: ElementFinding, setting: Setting) -> list[Fault]:
    if not e.found:
        if not setting.dotted:
            return []
        text = "A point was marked; a locus is all the points that satisfy the condition: a line."
        return [Fault("dot", text, element=e.element)]
    rough = (e.roughness_mm or 0.0) > FREEHAND_MM
    if rough and e.kind != "path":
        return [_freehand(e)]
    found = _of_place(w, e, setting)
    if not found and rough and isinstance(w.element.locus, AtDistance):
        return [_freehand(e)]
    return found


def _of_place(w: Wanted, e: ElementFinding, setting: Setting) -> list[Fault]:
    """Where the line lies, and how much of it is there."""
    locus, limit = w.element.locus, setting.limit
    if isinstance(locus, AtDistance) and not isinstance(locus.feature, PointOf):
        return of_path(w, e, limit)
    if isinstance(locus, TriangleOn):
        return of_triangle(locus, w, e, limit, setting.points)
    if e.kind == "line":
        return of_line(w, e, limit, setting.points)
    if len(w.curves) > 1:
        return of_rope(e, limit)
    return of_circle(w, e, limit)


def _freehand(e: ElementFinding) -> Fault:
    return Fault(
        "freehand",
        f"The line wavers by about {e.roughness_mm or 0.0:.1f} mm, as if drawn without "
        "instruments: use compasses for arcs and a ruler for lines.",
        e.roughness_mm,
        element=e.element,
    )


# --- construction arcs and shading -------------------------------------------------------
def _of_arcs(e: EvidenceFinding) -> list[Fault]:
    if e.verdict != "no" or not e.asked:
        return []
    owner = e.owner or None
    if not e.radii:
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
