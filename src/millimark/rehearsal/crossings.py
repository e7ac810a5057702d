"""Where lines and circles cross that were drawn with errors: looked for near their place.

Paper frame, real mm.
"""

from __future__ import annotations

from millimark.plane.curves import Arc, Curve
from millimark.plane.point import Point

LOST = 30.0
"""A crossing further than this (mm) from where it should be is no crossing."""


def steepest(curves: list[tuple[Curve, Curve]], at: Point) -> tuple[Curve, Curve] | None:
    """The actual curves of the pair that crosses most squarely; None if none crosses."""
    best, pair = 0.05, None
    for i, (nominal, actual) in enumerate(curves):
        for other, own in curves[i + 1 :]:
            slope = abs(_tangent(nominal, at).cross(_tangent(other, at)))
            if slope > best + 1e-9:
                best, pair = slope, (actual, own)
    return pair


def _tangent(curve: Curve, at: Point) -> Point:
    return curve.direction_at(curve.nearest(at))


def foot_on(curve: Curve, p: Point) -> Point:
    """The point of the whole circle or line nearest to ``p``."""
    if isinstance(curve, Arc):
        return curve.centre.polar(curve.radius, (p - curve.centre).angle())
    u = curve.direction_at(curve.nearest(p))
    origin = curve.point_at(curve.nearest(p))
    return origin + u * (p - origin).dot(u)


def cross(one: Curve, two: Curve, near: Point) -> Point | None:
    """The crossing of two whole circles or lines near a place; None if they do not cross
    within ``LOST`` mm of it. Newton's method on the two feet."""
    p = near
    for _ in range(40):
        f, g = foot_on(one, p), foot_on(two, p)
        n, m = _normal(one, f), _normal(two, g)
        det = n.cross(m)
        if abs(det) < 1e-6:
            return None
        r, s = (f - p).dot(n), (g - p).dot(m)
        step = Point((r * m.y - s * n.y) / det, (s * n.x - r * m.x) / det)
        p = p + step
        if p.distance(near) > LOST:
            return None
        if step.norm() < 1e-9:
            return p
    return None


def _normal(curve: Curve, foot: Point) -> Point:
    if isinstance(curve, Arc):
        return (foot - curve.centre).unit()
    return curve.direction_at(curve.nearest(foot)).left()
