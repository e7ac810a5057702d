"""Answers that are points: what of the loci is needed to find them, and what they are called."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from millimark.loci.answer import Answer, Element
from millimark.loci.centres import centre_name
from millimark.loci.conditions import AtDistance, EqualParts
from millimark.loci.names import feature_name
from millimark.plane.curves import Arc, Curve, Segment
from millimark.plane.point import Point

REACH = 0.8
"""cm of a locus on each side of a point that show where the point is; common practice."""
_ON = 1e-6


def is_of_points(answer: Answer) -> bool:
    """Whether the answer is nothing but points to be marked."""
    points_only = answer.special in ("point", "points") and answer.region is None
    return points_only and bool(answer.special_points)


def is_printed(element: Element) -> bool:
    """Whether a locus is a thing of the figure itself: the points 0 cm from it."""
    return isinstance(element.locus, AtDistance) and element.locus.length == 0


def near_points(elements: Sequence[Element], points: Sequence[Point]) -> tuple[Element, ...]:
    """The elements, of which only what lies near one of the points is needed."""
    return tuple(
        replace(e, needed=tuple(_near(c, p) for p in points for c in e.curves if _through(c, p)))
        if points and e.curves
        else e
        for e in elements
    )


def _through(curve: Curve, p: Point) -> bool:
    return curve.distance_to(p) < _ON


def _near(curve: Curve, p: Point) -> Curve:
    """The piece of a line or circle about a point of it; of a ray all as far as the point; a
    whole curve of any other kind."""
    if isinstance(curve, Arc):
        half = min(REACH / curve.radius, 3.0)
        return Arc(curve.centre, curve.radius, (p - curve.centre).angle() - half, 2 * half)
    if curve.kind in ("segment", "ray", "line"):
        ahead = curve.direction_at(curve.nearest(p))
        if curve.kind == "ray":
            return Segment(curve.start, p + ahead * REACH)
        return Segment(p - ahead * REACH, p + ahead * REACH)
    return curve


def points_name(answer: Answer) -> str:
    """What the points are called in schemes: "point where ... meets ...", or the centre's name."""
    if answer.centre is not None:
        return centre_name(answer.centre)
    loci = [e for e in answer.elements if isinstance(e.locus, EqualParts)]
    if loci:
        return loci[0].name
    what = "point" if len(answer.special_points) == 1 else "points"
    names = [
        feature_name(e.locus.feature) if is_printed(e) and isinstance(e.locus, AtDistance)
        else f"the {e.name}"
        for e in answer.elements
    ]  # fmt: skip
    if len(names) < 2:
        return f"{what} asked for"
    return f"{what} where {names[0]} meets {' and '.join(names[1:])}"
