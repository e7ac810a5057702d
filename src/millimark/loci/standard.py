"""The curves of the standard constructions and of fixed sums, ratios and angles."""

from __future__ import annotations

import math

from millimark.errors import NoAnswerError
from millimark.loci.conditions import (
    AngleAt,
    Circumcircle,
    Incircle,
    LineOf,
    OnBearing,
    Parallel,
    Perpendicular,
    PointOf,
    RatioOfDistances,
    Subtends,
    SumOfDistances,
    Tangents,
)
from millimark.loci.figure import Figure
from millimark.loci.focal import constant_sum
from millimark.loci.offsets import Traces
from millimark.loci.places import circle, place
from millimark.plane.curves import Arc, Curve, Line, Ray, Segment
from millimark.plane.point import EPS, Point, midpoint

Standard = (
    SumOfDistances
    | RatioOfDistances
    | Subtends
    | Perpendicular
    | Parallel
    | AngleAt
    | OnBearing
    | Tangents
    | Circumcircle
    | Incircle
)


def standard_curves(figure: Figure, locus: Standard) -> Traces:
    """The locus as curves, or as a point where it is only that. What no figure can have (an angle
    of 200°, the circumcircle of points in a line) is a NoAnswerError."""
    match locus:
        case SumOfDistances(a, b, length):
            return _sum(place(figure, a.label), place(figure, b.label), length)
        case RatioOfDistances(a, b, ratio):
            return apollonius(place(figure, a.label), place(figure, b.label), ratio)
        case Subtends(a, b, degrees):
            return Traces(tuple(seen_at(figure, a, b, degrees)))
        case Perpendicular(to, through):
            return _line(place(figure, through.label), _along(figure, to).left())
        case Parallel(to, through):
            return _line(place(figure, through.label), _along(figure, to))
        case AngleAt():
            return Traces(tuple(_angle(figure, locus)))
        case OnBearing(of, degrees):
            turn = math.radians(90 - _finite(degrees, "bearing"))
            return Traces((Ray(place(figure, of.label), Point(math.cos(turn), math.sin(turn))),))
        case Tangents():
            return Traces(tuple(_tangents(figure, locus)))
        case Circumcircle(labels):
            return Traces((_circumcircle(figure, labels),))
        case Incircle(labels):
            return Traces((_incircle(figure, labels),))


def _finite(value: float, what: str) -> float:
    if not math.isfinite(value):
        raise NoAnswerError(f"A {what} of {value:g} cannot be drawn: it must be a finite number.")
    return value


def _line(at: Point, along: Point) -> Traces:
    return Traces((Line(at, along),))


def _along(figure: Figure, line: LineOf) -> Point:
    a, b = place(figure, line.a), place(figure, line.b)
    if a.distance(b) <= EPS:
        raise NoAnswerError(f"{line.a} and {line.b} are one point: they fix no line.")
    return (b - a).unit()


def _sum(a: Point, b: Point, total: float) -> Traces:
    if not total >= 0 or not math.isfinite(total):
        raise NoAnswerError(f"A sum of distances of {total:g} cm cannot be drawn.")
    if total <= EPS and a.distance(b) <= EPS:
        return Traces((), (a,))
    return Traces(tuple(constant_sum(a, b, total)))


def apollonius(a: Point, b: Point, ratio: float) -> Traces:
    """Points ``ratio`` times as far from a as from b: the bisector for 1, the point a for 0.
    Coincident points have none (any point for 1)."""
    if not ratio >= 0 or not math.isfinite(ratio):
        raise NoAnswerError(f"A ratio of distances of {ratio:g} cannot be drawn.")
    d = a.distance(b)
    if d <= EPS:
        return Traces((), () if abs(ratio - 1) <= EPS else (a,))
    if ratio <= EPS:
        return Traces((), (a,))
    if abs(ratio - 1) <= EPS:
        return Traces((Line(midpoint(a, b), (b - a).unit().left()),))
    square = ratio * ratio
    centre = (a - b * square) * (1 / (1 - square))
    return Traces((Arc(centre, ratio * d / abs(1 - square)),))


def seen_at(figure: Figure, a: PointOf, b: PointOf, degrees: float) -> list[Curve]:
    """Where the segment ab is seen at an angle of ``degrees``: arcs from b round to a on the left
    and from a round to b on the right, one circle for 90, the segment for 180, the rest of the
    line for 0."""
    p, q = place(figure, a.label), place(figure, b.label)
    d = p.distance(q)
    if d <= EPS:
        raise NoAnswerError(f"{a.label} and {b.label} are one point: they are seen at no angle.")
    if not 0 <= degrees <= 180:
        raise NoAnswerError(f"An angle of {degrees:g}° is never seen: it must be 0° to 180°.")
    along = (q - p).unit()
    if degrees <= EPS:
        return [Ray(p, -along), Ray(q, along)]
    if degrees >= 180 - EPS:
        return [Segment(p, q)]
    middle, half = midpoint(p, q), d / 2
    if abs(degrees - 90) <= EPS:
        return [Arc(middle, half)]
    seen = math.radians(degrees)
    rise, radius = half / math.tan(seen), half / math.sin(seen)
    sweep = 2 * math.pi - 2 * seen
    left, right = middle + along.left() * rise, middle - along.left() * rise
    return [
        Arc(left, radius, (q - left).angle(), sweep),
        Arc(right, radius, (p - right).angle(), sweep),
    ]


def _angle(figure: Figure, locus: AngleAt) -> list[Curve]:
    vertex, arm = place(figure, locus.vertex.label), place(figure, locus.arm.label)
    if vertex.distance(arm) <= EPS:
        raise NoAnswerError(
            f"{locus.vertex.label} and {locus.arm.label} are one point: the angle has no arm."
        )
    turn = math.radians(_finite(locus.degrees, "angle"))
    along = (arm - vertex).unit()
    both = [Ray(vertex, _turned(along, turn)), Ray(vertex, _turned(along, -turn))]
    if locus.towards is not None:
        side = along.cross(place(figure, locus.towards.label) - vertex)
        if abs(side) <= EPS:
            raise NoAnswerError(
                f"{locus.towards.label} is on the arm's line: it names neither side of it."
            )
        return [both[0] if side > 0 else both[1]]
    return [both[0]] if both[0].direction.distance(both[1].direction) <= EPS else [*both]


def _turned(p: Point, angle: float) -> Point:
    c, s = math.cos(angle), math.sin(angle)
    return Point(c * p.x - s * p.y, s * p.x + c * p.y)


def _tangents(figure: Figure, locus: Tangents) -> list[Curve]:
    given, p = circle(figure, locus.circle.name), place(figure, locus.through.label)
    out = p - given.centre
    d = out.norm()
    if given.radius <= EPS or d < given.radius - EPS:
        return []
    if d <= given.radius + EPS:
        return [Line(p, out.unit().left())]
    # The points of contact are seen from the centre at acos(r / d) to either side of p.
    turn = math.acos(given.radius / d)
    return [
        Segment(p, given.centre + _turned(out.unit(), side * turn) * given.radius)
        for side in (1.0, -1.0)
    ]


def _triangle(figure: Figure, labels: tuple[str, str, str]) -> tuple[Point, Point, Point, float]:
    """The corners and twice the signed area; NoAnswerError if they lie on a line."""
    a, b, c = (place(figure, x) for x in labels)
    twice = (b - a).cross(c - a)
    size = max(a.distance(b), b.distance(c), c.distance(a))
    if abs(twice) <= EPS * size:
        raise NoAnswerError(f"{', '.join(labels)} lie on one line: they make no triangle.")
    return a, b, c, twice


def _circumcircle(figure: Figure, labels: tuple[str, str, str]) -> Arc:
    a, b, c, twice = _triangle(figure, labels)
    u, v = b - a, c - a
    uu, vv = u.dot(u), v.dot(v)
    off = Point(v.y * uu - u.y * vv, u.x * vv - v.x * uu) * (1 / (2 * twice))
    return Arc(a + off, off.norm())


def _incircle(figure: Figure, labels: tuple[str, str, str]) -> Arc:
    a, b, c, twice = _triangle(figure, labels)
    opposite = (b.distance(c), c.distance(a), a.distance(b))
    around = sum(opposite)
    centre = (a * opposite[0] + b * opposite[1] + c * opposite[2]) * (1 / around)
    return Arc(centre, abs(twice) / around)
