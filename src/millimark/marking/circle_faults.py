"""What is wrong with a circle: its opening, its centre, compasses that slipped, or what is missing.

A circle about a printed point is judged by the course of its pencil; one whose centre has to be
constructed by its own fitted centre and radius, since a radius follows from a wrong centre.
"""

from __future__ import annotations

from millimark.loci.conditions import AtDistance, Circumcircle, Incircle
from millimark.marking.courses import Explanation, explained
from millimark.marking.expected import Wanted
from millimark.marking.findings import ElementFinding, Fault
from millimark.marking.needle_holes import needle_astray

MATTERS = 1.25
"""A cause is named from this share of the tolerance on: below it a hand may err so without one."""
_STANDS_OUT = 0.6
_WHOLE = 0.85
_CENTRE_MM, _SIGMA_MM = 1.4, 0.5
"""How far a right centre may be off, mm, twice a hand's usual (common practice, no source); and
how well a circle's radius has to be known before its centre is spoken of."""


def of_circle(w: Wanted, e: ElementFinding, limit: float) -> list[Fault]:
    """The likeliest cause of a wrong circle; what is missing where none stands out."""
    if (e.worst_mm or 0.0) > MATTERS * limit and e.course:
        cause = explained(max(e.course, key=lambda c: len(c.t)))
        stands_out = cause.confidence > _STANDS_OUT and abs(cause.size) > MATTERS * limit
        if stands_out and cause.cause == "drift":
            return [_slipped(e, cause)]
        if not isinstance(w.element.locus, AtDistance):
            found = _of_constructed(w, e, limit)
            return [found] if found is not None else incomplete(e)
        if stands_out:
            return [_opening(w, e, cause) if cause.cause == "offset" else _needle(w, e, cause)]
    return incomplete(e)


def incomplete(e: ElementFinding) -> list[Fault]:
    """That too little is drawn of a locus, where what is drawn of it is not far off."""
    part = e.parts["all"]
    if part.needed_mm <= 0.0 or part.coverage >= _WHOLE or (e.worst_needed_mm or 0.0) > 3.0:
        return []
    text = f"Only {100 * part.coverage:.0f} % of the {e.element} is drawn."
    return [Fault("incomplete", text, element=e.element)]


def _slipped(e: ElementFinding, cause: Explanation) -> Fault:
    size = abs(cause.size)
    text = (
        f"The compasses seem to have slipped: the radius changes by {size:.1f} mm along the "
        "arc. Tighten them and turn them by the top."
    )
    return Fault("compasses-slipped", text, size, cause.confidence, e.element)


def _needle(w: Wanted, e: ElementFinding, cause: Explanation) -> Fault:
    text = f"The needle seems to have stood {abs(cause.size):.1f} mm from its point."
    astray = needle_astray(w, e)
    if astray is not None:
        text = f"The needle stood {astray:.1f} mm from its point: its hole can be seen there."
    return Fault("needle-off", text, abs(cause.size), cause.confidence, e.element)


def _opening(w: Wanted, e: ElementFinding, cause: Explanation) -> Fault:
    size, asked = abs(cause.size), w.length_mm
    way = "too large" if cause.size > 0 else "too small"
    text = (
        f"The compasses were set about {size:.1f} mm {way}: the radius is "
        f"{asked + cause.size:.1f} mm instead of {asked:.1f} mm. Set them against the ruler's "
        "zero, not its end."
    )
    return Fault("arc-radius", text, size, cause.confidence, e.element)


def _of_constructed(w: Wanted, e: ElementFinding, limit: float) -> Fault | None:
    """A centre that is off, or a wrong radius about a right one; None where neither is sure."""
    if e.radius_mm is None or e.radius_asked_mm is None or e.offset_mm is None:
        return None
    if (e.radius_sigma_mm or 0.0) > _SIGMA_MM:
        return None
    size = e.radius_mm - e.radius_asked_mm
    if e.offset_mm > MATTERS * limit:
        text = (
            f"The centre lies {e.offset_mm:.1f} mm from its place: rule the construction lines "
            "again and set the needle where they cross."
        )
        return Fault("needle-off", text, e.offset_mm, element=e.element)
    if e.offset_mm > _CENTRE_MM or abs(size) <= MATTERS * limit:
        return None
    way = "too large" if size > 0 else "too small"
    text = (
        f"The centre is right, but the radius is {abs(size):.1f} mm {way}: {e.radius_mm:.1f} mm "
        f"instead of {e.radius_asked_mm:.1f} mm.{_reach(w)}"
    )
    return Fault("arc-radius", text, abs(size), element=e.element)


def _reach(w: Wanted) -> str:
    """How to open the compasses for a circle of a triangle."""
    if isinstance(w.element.locus, Circumcircle):
        return " Open the compasses from the centre to a corner."
    if isinstance(w.element.locus, Incircle):
        return " Open them from the centre to the foot of its perpendicular to a side."
    return ""
