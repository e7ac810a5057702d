"""The curves of points that move with other points: midpoints, feet, chords, ladders, wheels."""

from __future__ import annotations

import math

from millimark.errors import NoAnswerError
from millimark.loci.conditions import (
    ChordMidpoints,
    CircleOf,
    FootOfPerpendicular,
    Ladder,
    MidpointsFrom,
    PolygonOf,
    RimPoint,
    SidesOf,
    WheelCentre,
)
from millimark.loci.figure import Figure
from millimark.loci.offsets import Traces, at_distance
from millimark.loci.places import circle, corners, place
from millimark.loci.sites import own_curves, ring_test
from millimark.plane.conics import EllipseArc
from millimark.plane.curves import Arc, Curve, Segment
from millimark.plane.parametric import CycloidArc
from millimark.plane.pieces import kept
from millimark.plane.point import EPS, Point, midpoint
from millimark.plane.similarity import Similarity


def midpoints(figure: Figure, locus: MidpointsFrom) -> Traces:
    """What the point runs along, shrunk towards the fixed point."""
    at = place(figure, locus.of.label)
    if not (math.isfinite(locus.share) and locus.share >= 0):
        raise NoAnswerError(f"A share of {locus.share:g} of the way is nowhere: use 0 or more.")
    if locus.share <= EPS:
        return Traces((), (at,))
    shrink = Similarity(at * (1 - locus.share), locus.share)
    curves, points = own_curves(figure, locus.along)
    return Traces(tuple(c.transformed(shrink) for c in curves), tuple(shrink(p) for p in points))


def feet(figure: Figure, locus: FootOfPerpendicular) -> Traces:
    """The circle on both points as diameter (Thales); the point if they coincide."""
    a, b = place(figure, locus.of.label), place(figure, locus.about.label)
    if a.distance(b) <= EPS:
        return Traces((), (a,))
    return Traces((Arc(midpoint(a, b), a.distance(b) / 2),))


def chord_midpoints(figure: Figure, locus: ChordMidpoints) -> Traces:
    """A smaller circle about the centre for chords of one length (its centre for diameters; nothing
    for longer ones); the circle on centre and point as diameter, inside, for chords through it.
    """
    given = circle(figure, locus.circle.name)
    if locus.through is not None:
        p = place(figure, locus.through.label)
        d = p.distance(given.centre)
        if d <= EPS:
            return Traces((), (given.centre,))
        whole = Arc(midpoint(p, given.centre), d / 2)
        if d <= given.radius + EPS:
            return Traces((whole,))
        (cx, cy), r = given.centre, given.radius
        rim = Arc(given.centre, r)
        return Traces(tuple(kept([whole], [rim], lambda x, y: math.hypot(x - cx, y - cy) <= r)))
    if locus.length is None:
        raise NoAnswerError("Chords need a length or a point that they pass through.")
    if not 0 <= locus.length < math.inf:
        raise NoAnswerError(f"A chord of {locus.length:g} cm cannot be drawn.")
    half = locus.length / 2
    if half > given.radius + EPS:
        return Traces()
    if half >= given.radius - EPS:
        return Traces((), (given.centre,))
    return Traces((Arc(given.centre, math.sqrt((given.radius - half) * (given.radius + half))),))


def ladder(figure: Figure, locus: Ladder) -> Traces:
    """A point of a sliding ladder: an arc of an ellipse, of a circle for the midpoint at a right
    angle, a segment for the foot and the top.

    With the angle phi at the corner and alpha at the foot, the law of sines puts the
    foot L sin(phi + alpha) / sin(phi) along the floor and the top L sin(alpha) / sin(phi) up
    the wall, 0 <= alpha <= pi - phi.
    """
    at = place(figure, locus.corner.label)
    floor, wall = (place(figure, p.label) - at for p in (locus.floor, locus.wall))
    size, q = locus.length, locus.share
    if floor.norm() <= EPS or wall.norm() <= EPS or abs(floor.unit().cross(wall.unit())) <= EPS:
        raise NoAnswerError(
            f"Floor and wall must meet at an angle at {locus.corner.label}; they do not."
        )
    if not (EPS < size < math.inf and 0 <= q <= 1):
        raise NoAnswerError(
            f"A ladder of {size:g} cm, {q:g} of the way up, cannot be drawn:"
            " the length must be more than 0 and the share 0 to 1."
        )
    u, v = floor.unit(), wall.unit()
    phi = math.atan2(abs(u.cross(v)), u.dot(v))
    cosine = u * ((1 - q) * size)
    sine = u * ((1 - q) * size / math.tan(phi)) + v * (q * size / math.sin(phi))
    return Traces((conjugate_ellipse(at, cosine, sine, 0.0, math.pi - phi),))


def conjugate_ellipse(centre: Point, e: Point, f: Point, from_: float, to: float) -> Curve:
    """The curve centre + e cos(t) + f sin(t) for ``from_`` <= t <= ``to``: a circular arc where e
    and f are square and equal, a segment (the points covered) where they are parallel."""
    if abs(e.cross(f)) <= EPS * max(e.norm(), f.norm()):
        return _covered(centre, e, f, from_, to)
    # The axes are where the distance from the centre is stationary (Rytz, by formula).
    turn = math.atan2(2 * e.dot(f), e.dot(e) - f.dot(f)) / 2
    c, s = math.cos(turn), math.sin(turn)
    major, minor = e * c + f * s, f * c - e * s
    a, b = major.norm(), minor.norm()
    sense = math.copysign(1.0, major.cross(minor))
    start, sweep = sense * (from_ - turn), sense * (to - from_)
    if abs(a - b) <= EPS:
        return Arc(centre, a, major.angle() + start, sweep)
    return EllipseArc(centre, major.unit(), a, b, start, sweep)


def _covered(centre: Point, e: Point, f: Point, from_: float, to: float) -> Segment:
    along = (e if e.norm() >= f.norm() else f).unit()
    x, y = e.dot(along), f.dot(along)
    turning = [math.atan2(y, x) + k * math.pi for k in range(-2, 3)]
    stops = [from_, to, *(t for t in turning if from_ < t < to)]
    reached = [x * math.cos(t) + y * math.sin(t) for t in stops]
    return Segment(centre + along * min(reached), centre + along * max(reached))


def wheel_centre(figure: Figure, locus: WheelCentre) -> Traces:
    """Where the centre of a wheel can be: the radius away, and clear of everything else."""
    radius, along = locus.radius, locus.along
    if not (EPS < radius < math.inf):
        raise NoAnswerError(f"A wheel of radius {radius:g} cm cannot roll: use more than 0.")
    if isinstance(along, CircleOf):
        given = circle(figure, along.name)
        gap = given.radius - radius
        if not locus.inside:
            return Traces((Arc(given.centre, given.radius + radius),))
        if gap < -EPS:
            return Traces()
        return Traces((Arc(given.centre, gap),)) if gap > EPS else Traces((), (given.centre,))
    if isinstance(along, PolygonOf) and locus.inside:
        both = at_distance(figure, SidesOf(along.labels), radius)
        within = ring_test(corners(figure, along.labels))
        return Traces(tuple(kept(both.curves, (), within)))
    if locus.inside:
        raise NoAnswerError("A wheel can roll inside a polygon or a circle only.")
    return at_distance(figure, along, radius)


def rim_point(figure: Figure, locus: RimPoint) -> Traces:
    """A cycloid: arches from the start on; nothing for no turns."""
    a, b = place(figure, locus.start.label), place(figure, locus.towards.label)
    if a.distance(b) <= EPS:
        raise NoAnswerError(
            f"{locus.start.label} and {locus.towards.label} are one point: the wheel has no way."
        )
    if not (EPS < locus.radius < math.inf and 0 <= locus.turns <= 100):
        raise NoAnswerError(
            f"A wheel of radius {locus.radius:g} cm and {locus.turns:g} turns cannot be drawn:"
            " the radius must be more than 0 and the turns 0 to 100."
        )
    along, whole = (b - a).unit(), 2 * math.pi
    turn, last = 0.0, whole * locus.turns
    arches: list[Curve] = []
    while last - turn > EPS:
        arches.append(CycloidArc(a, along, locus.radius, turn, min(turn + whole, last)))
        turn += whole
    return Traces(tuple(arches))
