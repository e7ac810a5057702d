"""What a perfect marker would measure of one answer: from the true strokes alone.

Real mm in the paper frame, against the locus solved for the paper as printed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from millimark.loci.answer import Element
from millimark.loci.conditions import RegularIn, RegularOn, Tangents, TriangleOn
from millimark.plane.curves import Arc, Curve, Line, Ray, Segment
from millimark.plane.point import Point
from millimark.plane.similarity import Similarity
from millimark.rehearsal.final_line import final_line
from millimark.rehearsal.near import (
    SAMPLE,
    Frame,
    Values,
    circle_through,
    direction_near,
    distance_to_curves,
    distance_to_points,
    samples,
)
from millimark.rehearsal.pencil import PencilStroke, Xy, resampled
from millimark.rehearsal.ruled_first import ruled_along

FIRST_LINE = 1.0
"""mm: a faint ruled line all of which is this close to the locus, or to the pupil's own line, is
part of the answer."""
STRAIGHT_SIDED = (TriangleOn, RegularOn, RegularIn, Tangents)
OVERSHOOT = 2.0
"""mm that a line may run past the end of a ray and still be on it."""


@dataclass(frozen=True, eq=False)
class ElementFacts:
    """One element as drawn. Not drawn: ``found`` False, lengths 0, deviations None.

    ``worst_mm`` and ``mean_mm``: of the line (see ``final_line``) from the locus;
    ``worst_needed_mm`` only beside the needed part. ``needed`` maps "all",
    "straight" and "round" to the distances (mm, one every ``SAMPLE`` mm) of that part of
    the needed locus from the pencil. Lines carry ``offset_mm`` and ``angle_deg``; single
    circles ``centre`` (paper mm) and ``radius_mm``.
    """

    element: str
    kind: str
    found: bool
    drawn_mm: float
    worst_mm: float | None
    mean_mm: float | None
    worst_needed_mm: float | None
    offset_mm: float | None
    angle_deg: float | None
    centre: tuple[float, float] | None
    radius_mm: float | None
    needed: dict[str, Values] = field(repr=False)

    def coverage(self, tolerance: float, part: str = "all") -> float:
        """Share of the needed locus with pencil within ``tolerance`` mm; 0 if none is needed."""
        gaps = self.needed[part]
        return float((gaps <= tolerance).mean()) if len(gaps) else 0.0

    def covered_mm(self, tolerance: float) -> float:
        """Length of needed locus with pencil within ``tolerance`` mm."""
        return float((self.needed["all"] <= tolerance).sum() * SAMPLE)


def element_facts(
    element: Element, strokes: Sequence[PencilStroke], to_paper: Similarity, frame: Frame
) -> ElementFacts:
    """Measure one element of an answer."""
    locus = [_eased(element, c.transformed(to_paper)) for c in element.curves]
    own = [s for s in strokes if s.element == element.name]
    mine = [s for s in own if _counts(s, locus, [a for a in own if a.role == "answer"])]
    xy = final_line(mine, locus)
    needed = _gaps([c.transformed(to_paper) for c in element.needed], frame, mine)
    if len(xy) == 0:
        return ElementFacts(
            element.name, element.kind, False, 0.0, None, None, None, None, None, None, None, needed
        )
    off = distance_to_curves(xy, locus)
    offset, angle = _line_error(xy, locus) if element.kind == "line" else (None, None)
    circle = circle_through(xy) if element.kind == "arc" else None
    return ElementFacts(
        element.name,
        element.kind,
        True,
        float(sum(s.length for s in mine)),
        float(off.max()),
        float(off.mean()),
        _worst_beside(xy, off, [c.transformed(to_paper) for c in element.needed], frame),
        offset,
        angle,
        circle[:2] if circle else None,
        circle[2] if circle else None,
        needed,
    )


def _counts(stroke: PencilStroke, locus: Sequence[Curve], answers: Sequence[PencilStroke]) -> bool:
    """Whether a stroke is the answer, or a faint line ruled on the very place of it first,
    which nobody can tell from it: where the answer should be or where the pupil has it."""
    if stroke.role != "construction" or stroke.compass is not None:
        return stroke.role == "answer"
    if distance_to_curves(stroke.xy, locus).max() < FIRST_LINE:
        return True
    along = [a.xy for a in answers if ruled_along(stroke, a)]
    return bool(along) and bool(
        distance_to_points(stroke.xy, np.concatenate(along)).max() < FIRST_LINE
    )


def _eased(element: Element, curve: Curve) -> Curve:
    """The curve from 2 mm before its start to 2 mm past its end: a line that runs a little past
    its vertex is still on it, as an overlay shows it; the whole line of a figure's side, which a
    pupil rules on. The pieces of a path end where the next one starts."""
    if isinstance(curve, Segment) and isinstance(element.locus, STRAIGHT_SIDED):
        return Line(curve.a, curve.direction)
    if isinstance(curve, Ray):
        return Ray(curve.anchor - curve.direction * OVERSHOOT, curve.direction)
    if element.kind == "path":
        return curve
    if isinstance(curve, Segment):
        past = curve.direction * OVERSHOOT
        return Segment(curve.a - past, curve.b + past)
    if isinstance(curve, Arc) and not curve.is_whole:
        past_rad = math.copysign(OVERSHOOT / curve.radius, curve.sweep)
        sweep = curve.sweep + 2 * past_rad
        if abs(sweep) < 2 * math.pi:
            return Arc(curve.centre, curve.radius, curve.from_ - past_rad, sweep)
        return Arc(curve.centre, curve.radius)
    return curve


def _worst_beside(xy: Xy, off: Values, needed: Sequence[Curve], frame: Frame) -> float | None:
    """The worst of ``off`` where the nearest needed place is no further than 1 mm more."""
    points = [samples(c, frame) for c in needed]
    if not points or not sum(len(p) for p in points):
        return None
    beside = distance_to_points(xy, np.concatenate(points)) <= off + 1.0
    return float(off[beside].max()) if beside.any() else None


def _gaps(curves: Sequence[Curve], frame: Frame, mine: Sequence[PencilStroke]) -> dict[str, Values]:
    """Distances of the needed locus, by part, from the pencil (points every 0.05 mm)."""
    pencil = np.concatenate([resampled(s.xy, 0.05) for s in mine]) if mine else np.empty((0, 2))
    parts: dict[str, list[Values]] = {"straight": [], "round": []}
    for curve in curves:
        name = "straight" if curve.kind in ("segment", "ray", "line") else "round"
        parts[name].append(distance_to_points(samples(curve, frame), pencil))
    joined = {name: np.concatenate([*gaps, np.empty(0)]) for name, gaps in parts.items()}
    return {"all": np.concatenate(list(joined.values())), **joined}


def _line_error(xy: Xy, locus: Sequence[Curve]) -> tuple[float | None, float | None]:
    """Mean signed distance (mm) from the locus, and angle to it (degrees, 0 to 90)."""
    if np.ptp(xy, axis=0).max() < 2.0:
        return None, None
    middle = xy.mean(axis=0)
    _, _, axes = np.linalg.svd(xy - middle, full_matrices=False)
    at = Point(float(middle[0]), float(middle[1]))
    u = direction_near(locus, at)
    foot = min(locus, key=lambda c: c.distance_to(at))
    origin = foot.point_at(foot.nearest(at))
    offset = float(u.cross(at - origin))
    cos = abs(float(axes[0] @ np.array(u)))
    return offset, math.degrees(math.acos(min(1.0, cos)))


@dataclass(frozen=True)
class RegionFacts:
    """Shading against the region that the pupil's own lines bound: the share of the region
    that is shaded (``filled``), the share of the shading that lies in it (``inside``), and
    area in both over area in either (``overlap``)."""

    shaded: bool
    filled: float
    inside: float
    overlap: float

    @property
    def right_side(self) -> bool:
        """Whether most of the shading is where it should be, and most of that is shaded."""
        return self.shaded and self.filled >= 0.5 and self.inside >= 0.5


def region_facts(shaded: NDArray[np.bool_] | None, own: NDArray[np.bool_]) -> RegionFacts:
    """Compare two masks on one grid; ``shaded`` None: nothing was shaded."""
    if shaded is None or not shaded.any():
        return RegionFacts(False, 0.0, 0.0, 0.0)
    both = float((shaded & own).sum())
    either = float((shaded | own).sum())
    return RegionFacts(
        True, both / max(1.0, float(own.sum())), both / float(shaded.sum()), both / either
    )
