"""The lines that complete figures on printed points.

Which side of a base is meant is settled here, in one place (``turn_of``); ``corners_on`` says where
the new corners stand.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from millimark.errors import NoAnswerError
from millimark.loci.conditions import Ask, DrawLocus
from millimark.loci.features import RayOf, SegmentOf
from millimark.loci.figure import Figure
from millimark.loci.figures_on import (
    AngleAtEnd,
    AngleOn,
    CopiedAngle,
    EqualParts,
    FigureOn,
    Median,
    RegularIn,
    RegularOn,
    SideTo,
    TriangleOn,
    Where,
)
from millimark.loci.offsets import Traces
from millimark.loci.places import circle, place
from millimark.plane.curves import Ray, Segment
from millimark.plane.point import EPS, Point, midpoint

MOST_PARTS = 100
"""More equal parts, or corners of a regular figure, than this nobody draws."""


def figure_on(figure: Figure, locus: FigureOn) -> Traces:
    """The lines to be drawn (for equal parts the points). What cannot be drawn (sides that are
    too short, angles of 180° together) is a NoAnswerError."""
    match locus:
        case TriangleOn(base, _, _, _):
            a, b = _ends(figure, base)
            return _joined(b, *corners_on(figure, locus), a)
        case RegularOn(base, _, _, _):
            a, b = _ends(figure, base)
            return _joined(b, *corners_on(figure, locus), a)
        case RegularIn(_, first, _, _):
            start = place(figure, first.label)
            return _joined(start, *corners_on(figure, locus), start)
        case AngleOn(arm, degrees, where):
            return Traces((_ray(figure, arm, degrees, where),))
        case CopiedAngle(_, arm, where):
            return Traces((_ray(figure, arm, size_of(figure, locus), where),))
        case Median(of, side):
            a, b = _ends(figure, side)
            return _joined(place(figure, of.label), midpoint(a, b))
        case EqualParts(of, parts):
            return Traces((), _divisions(figure, of, parts))


def corners_on(figure: Figure, locus: TriangleOn | RegularOn | RegularIn) -> tuple[Point, ...]:
    """The new corners, in order: on from the end of the base, or anticlockwise from the first."""
    if isinstance(locus, TriangleOn):
        return (_apex(figure, locus),)
    n = locus.corners
    if not 3 <= n <= MOST_PARTS:
        raise NoAnswerError(
            f"A regular figure with {n} corners cannot be drawn.", f"Ask for 3 to {MOST_PARTS}."
        )
    step = 2 * math.pi / n
    if isinstance(locus, RegularIn):
        round_, at = circle(figure, locus.circle.name), place(figure, locus.first.label)
        if abs(at.distance(round_.centre) - round_.radius) > 1e-6 * max(1.0, round_.radius):
            raise NoAnswerError(
                f"{locus.first.label} is not on the circle: no corner can stand there.",
                f"Say it first, as in '{locus.first.label} is on the circle.'",
            )
        start = (at - round_.centre).angle()
        return tuple(round_.centre.polar(round_.radius, start + k * step) for k in range(1, n))
    a, b = _ends(figure, locus.base)
    turn = turn_of(figure, locus.base.a, locus.base.b, locus.where)
    out, way = [b], (b - a).angle()
    for k in range(1, n - 1):
        out.append(out[-1].polar(a.distance(b), way + turn * k * step))
    return tuple(out[1:])


def turn_of(figure: Figure, a: str, b: str, where: Where) -> int:
    """+1 if the side that is meant is on the left of the way from ``a`` to ``b``, else -1."""
    start, end = place(figure, a), place(figure, b)
    if start.distance(end) <= EPS:
        raise NoAnswerError(f"{a} and {b} are one point: nothing can stand on {a}{b}.")
    along = (end - start).unit()
    up = along.left()
    if where is None:
        upright = abs(up.y) <= EPS  # its left is shown then
        return 1 if upright or up.y > 0 else -1
    if isinstance(where, str):
        towards = _WAYS[where]
        if abs(up.dot(towards)) <= EPS:
            raise NoAnswerError(
                f"{a}{b} runs straight along: neither side of it is '{where}'.",
                "Name the side by a point, as in 'on the same side as C'.",
            )
        return 1 if up.dot(towards) > 0 else -1
    off = along.cross(place(figure, where.label) - start)
    if abs(off) <= EPS:
        raise NoAnswerError(
            f"{where.label} lies on the line {a}{b}: it names neither side of it.",
            "Name a point off the line.",
        )
    return 1 if off > 0 else -1


def on_other_side(figure: Figure, ask: Ask) -> Ask | None:
    """The ask with its figure on the other side of its base, where either side is right; None for
    any other ask."""
    if not isinstance(ask, DrawLocus):
        return None
    match ask.locus:
        case TriangleOn(where=None) | RegularOn(where=None) as locus:
            a, b = locus.base.a, locus.base.b
        case AngleOn(where=None) | CopiedAngle(where=None) as locus:
            a, b = locus.arm.a, locus.arm.b
        case _:
            return None
    way = place(figure, b) - place(figure, a)
    upright = abs(way.x) <= EPS * way.norm()
    return replace(ask, locus=replace(locus, where="right" if upright else "below"))


_WAYS = {
    "above": Point(0.0, 1.0),
    "below": Point(0.0, -1.0),
    "left": Point(-1.0, 0.0),
    "right": Point(1.0, 0.0),
}


def size_of(figure: Figure, locus: AngleOn | CopiedAngle) -> float:
    """The angle that is drawn, degrees."""
    if isinstance(locus, AngleOn):
        return locus.degrees
    one, two = ((place(figure, ray.b) - place(figure, ray.a)).unit() for ray in locus.like)
    return math.degrees(math.atan2(abs(one.cross(two)), one.dot(two)))


def _ends(figure: Figure, base: SegmentOf) -> tuple[Point, Point]:
    a, b = place(figure, base.a), place(figure, base.b)
    if a.distance(b) <= EPS:
        raise NoAnswerError(f"{base.a} and {base.b} are one point: they are the ends of no side.")
    return a, b


def _joined(*corners: Point) -> Traces:
    return Traces(tuple(Segment(p, q) for p, q in pairwise(corners)))


def _ray(figure: Figure, arm: RayOf, degrees: float, where: Where) -> Ray:
    if not 0 < degrees < 180:
        raise NoAnswerError(
            f"An angle of {degrees:g}° on {arm.a}{arm.b} cannot be drawn.",
            "Ask for an angle between 0° and 180°.",
        )
    turn = turn_of(figure, arm.a, arm.b, where) * math.radians(degrees)
    at = place(figure, arm.a)
    return Ray(at, at.polar(1.0, (place(figure, arm.b) - at).angle() + turn) - at)


def _divisions(figure: Figure, of: SegmentOf, parts: int) -> tuple[Point, ...]:
    if not 2 <= parts <= MOST_PARTS:
        raise NoAnswerError(
            f"{of.a}{of.b} cannot be divided into {parts} parts.",
            f"Ask for 2 to {MOST_PARTS} equal parts.",
        )
    a, b = _ends(figure, of)
    return tuple(a + (b - a) * (k / parts) for k in range(1, parts))


# --- triangles -----------------------------------------------------------------------------
def _apex(figure: Figure, locus: TriangleOn) -> Point:
    """Where the new corner stands: its distance from ``a`` and the angle there, by the cosine and
    sine rules."""
    a, b = _ends(figure, locus.base)
    lengths = {f.of.label: f.length for f in locus.facts if isinstance(f, SideTo)}
    angles = {f.of.label: f.degrees for f in locus.facts if isinstance(f, AngleAtEnd)}
    _checked(locus, lengths, angles)
    d = a.distance(b)
    turn = turn_of(figure, locus.base.a, locus.base.b, locus.where)
    reach, angle = _from_first(locus, d, lengths, angles)
    return a.polar(reach, (b - a).angle() + turn * angle)


def _checked(locus: TriangleOn, lengths: dict[str, float], angles: dict[str, float]) -> None:
    ends = {locus.base.a, locus.base.b}
    named = [fact.of.label for fact in locus.facts]
    if len(lengths) + len(angles) != 2 or not set(named) <= ends:
        raise NoAnswerError(
            f"Two sides, a side and an angle or two angles at {locus.base.a} and {locus.base.b} "
            f"fix {locus.apex}.",
            "Name two of them.",
        )
    for label, length in lengths.items():
        if not 0 < length < math.inf:
            raise NoAnswerError(
                f"A side {label}{locus.apex} of {length:g} cm cannot be drawn.",
                "Name a length above zero.",
            )
    for label, degrees in angles.items():
        if not 0 < degrees < 180:
            raise NoAnswerError(
                f"An angle of {degrees:g}° at {label} makes no triangle.",
                "Name an angle between 0° and 180°.",
            )


def _from_first(
    locus: TriangleOn, d: float, lengths: dict[str, float], angles: dict[str, float]
) -> tuple[float, float]:
    """(distance of the apex from the base's first end, angle there in radians)."""
    a, b = locus.base.a, locus.base.b
    if len(lengths) == 2:
        return lengths[a], _by_cosines(locus, lengths[a], d, lengths[b])
    if len(angles) == 2:
        one, two = math.radians(angles[a]), math.radians(angles[b])
        if angles[a] + angles[b] >= 180:
            raise NoAnswerError(
                f"Angles of {angles[a]:g}° and {angles[b]:g}° at the ends of {a}{b} never meet.",
                "The two together must be less than 180°.",
            )
        return d * math.sin(two) / math.sin(one + two), one
    ((vertex, degrees),) = angles.items()
    ((end, length),) = lengths.items()
    theta = math.radians(degrees)
    reach = length if end == vertex else _opposite(locus, d, theta, length)
    if vertex == a:
        return reach, theta
    other = math.sqrt(max(d * d + reach * reach - 2 * d * reach * math.cos(theta), 0.0))
    return other, _by_cosines(locus, other, d, reach)


def _by_cosines(locus: TriangleOn, one: float, base: float, two: float) -> float:
    """The angle between ``one`` and ``base``, opposite ``two``."""
    short, middle, long = sorted((one, base, two))
    if short + middle <= long * (1 + 1e-12):
        raise NoAnswerError(
            f"{locus.base.a}{locus.base.b}{locus.apex} cannot be drawn with sides {short:g} cm, "
            f"{middle:g} cm and {long:g} cm.",
            "Any two sides of a triangle are together longer than the third.",
        )
    cosine = (one * one + base * base - two * two) / (2 * one * base)
    return math.acos(max(-1.0, min(1.0, cosine)))


def _opposite(locus: TriangleOn, d: float, theta: float, length: float) -> float:
    """How far along the angle's arm the side of ``length`` from the base's other end meets it."""
    half, square = d * math.cos(theta), length * length - (d * math.sin(theta)) ** 2
    root = math.sqrt(square) if square > 0 else 0.0
    found = [t for t in (half + root, half - root) if t > EPS] if square > -EPS else []
    if len(found) == 2 and root <= math.sqrt(EPS):
        found = found[:1]
    if len(found) != 1:
        how_many = "Two triangles have" if found else "No triangle has"
        raise NoAnswerError(
            f"{how_many} an angle of {math.degrees(theta):g}° on {locus.base.a}{locus.base.b} and "
            f"a side of {length:g} cm opposite it.",
            "Name the side beside the angle, or the angle at the other end.",
        )
    return found[0]
