"""Curves given by two foci: constant sum and constant difference of distances."""

from __future__ import annotations

import math

from millimark.plane.conics import EllipseArc, HyperbolaArc
from millimark.plane.curves import Arc, Curve, Line, Ray, Segment
from millimark.plane.point import EPS, Point, midpoint


def constant_sum(f: Point, g: Point, total: float) -> list[Curve]:
    """Points whose distances from the foci add up to ``total``: none if that is less than their
    distance, the segment between them if equal, a circle if they coincide, else an ellipse."""
    d = f.distance(g)
    if total < d - EPS or total <= EPS:
        return []
    if d <= EPS:
        return [Arc(f, total / 2)]
    if total <= d + EPS:
        return [Segment(f, g)]
    b = math.sqrt((total - d) * (total + d)) / 2
    return [EllipseArc(midpoint(f, g), (g - f).unit(), total / 2, b)]


def constant_difference(near: Point, far: Point, difference: float) -> list[Curve]:
    """Points ``difference`` >= 0 further from ``far`` than from ``near``: the bisector for 0, a ray
    if it equals their distance, none if it is more, else the branch round ``near``."""
    d = near.distance(far)
    if d <= EPS or difference > d + EPS:
        return []
    out = (near - far).unit()
    if difference <= EPS:
        return [Line(midpoint(near, far), out.left())]
    if difference >= d - EPS:
        return [Ray(near, out)]
    b = math.sqrt((d - difference) * (d + difference)) / 2
    return [HyperbolaArc(midpoint(near, far), out, difference / 2, b)]
