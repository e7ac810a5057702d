"""Constructions and moving points back into words; "" for any other locus."""

from __future__ import annotations

from collections.abc import Callable

from millimark.loci.conditions import (
    AngleAt,
    ChordMidpoints,
    Circumcircle,
    Feature,
    FootOfPerpendicular,
    Incircle,
    Ladder,
    Locus,
    MidpointsFrom,
    OnBearing,
    Parallel,
    Perpendicular,
    PolygonOf,
    RimPoint,
    RollingShape,
    RopeEnd,
    Tangents,
    WheelCentre,
)
from millimark.words.numerals import bearing, figures, listed, share

Length = Callable[[float], str]
Named = Callable[[Feature], str]


def construction(locus: Locus) -> str:
    """A standard line or circle as a noun: "the perpendicular to AB through C"."""
    match locus:
        case Perpendicular(to, through):
            return f"the perpendicular to {to.a}{to.b} through {through.label}"
        case Parallel(to, through):
            return f"the line parallel to {to.a}{to.b} through {through.label}"
        case AngleAt(v, arm, degrees, towards):
            line = "lines" if towards is None else "line"
            makes = "make" if towards is None else "makes"
            side = f" on the same side as {towards.label}" if towards else ""
            return (
                f"the {line} through {v.label} that {makes} an angle of {figures(degrees)}° "
                f"with {v.label}{arm.label}{side}"
            )
        case OnBearing(of, degrees):
            return f"the line from {of.label} on a bearing of {bearing(degrees)}°"
        case Tangents(circle, through):
            round_ = circle.name
            if not round_.startswith("the circle"):
                round_ = f"the circle with centre {circle.name}"
            return f"the tangents from {through.label} to {round_}"
        case Circumcircle(labels):
            return f"the circumcircle of triangle {''.join(labels)}"
        case Incircle(labels):
            return f"the incircle of triangle {''.join(labels)}"
    return ""


def moving(locus: Locus, length: Length, named: Named, labels: frozenset[str]) -> str:
    """The point that moves, as a noun: "the midpoint of AP as P moves along BC"."""
    match locus:
        case MidpointsFrom(of, along, part):
            p = free_label(labels)
            what = f"the midpoint of {of.label}{p}"
            if part != 0.5:
                what = f"the point {share(part)} of the way from {of.label} to {p}"
            return f"{what} as {p} moves along {named(along)}"
        case FootOfPerpendicular(of, about):
            return f"the foot of the perpendicular from {of.label} to lines through {about.label}"
        case ChordMidpoints(circle, cm, through):
            which = f"of length {length(cm)} " if cm is not None else ""
            which = f"through {through.label} " if through is not None else which
            return f"the midpoints of chords {which}of {named(circle)}"
        case Ladder(corner, floor, wall, cm, part):
            what = f"the point {share(part)} of the way up"
            what = "the midpoint of" if part == 0.5 else what
            return (
                f"{what} a ladder of length {length(cm)} whose foot slides along "
                f"{corner.label}{floor.label} and whose top slides along {corner.label}{wall.label}"
            )
    return _rolling(locus, length, named)


def _rolling(locus: Locus, length: Length, named: Named) -> str:
    match locus:
        case RollingShape(shape, along, traced, rolls):
            whole = named(shape)
            what = f"{traced.label} as {whole}" if traced else f"the centre of {whole} as it"
            round_ = isinstance(along, PolygonOf)
            track = f"round {named(along)}" if round_ else f"along {named(along)}"
            times = f" for {rolls} rolls" if rolls is not None else ""
            return f"{what} rolls {track}{times}"
        case WheelCentre(radius, along, inside):
            track = f"inside {named(along)}" if inside else f"along {named(along)}"
            return f"the centre of a wheel of radius {length(radius)} that rolls {track}"
        case RimPoint(radius, start, towards, turns):
            return (
                f"a point on the rim of a wheel of radius {length(radius)} that rolls from "
                f"{start.label} towards {towards.label} for {figures(turns)} turns"
            )
        case RopeEnd(anchor, cm, obstacles):
            round_those = listed([named(o) for o in obstacles])
            ending = f" round {round_those}" if round_those else ""
            return f"the end of a rope of {length(cm)} fixed at {anchor.label}{ending}"
    return ""


def free_label(labels: frozenset[str]) -> str:
    """A letter for a moving point that no given point has."""
    letters: list[str] = [*"PQXYZTUVW", *(f"P{i}" for i in range(1, 999))]
    return next(p for p in letters if p not in labels)
