"""Figures on printed points back into words; "" for any other locus."""

from __future__ import annotations

from collections.abc import Callable

from millimark.loci.conditions import (
    AngleOn,
    CopiedAngle,
    Feature,
    Locus,
    Median,
    PointOf,
    RegularIn,
    RegularOn,
    SegmentOf,
    TriangleOn,
)
from millimark.loci.figures_on import AngleAtEnd, SideTo, Where
from millimark.loci.names import regular_name
from millimark.words.numerals import figures


def line_on(locus: Locus) -> str:
    """An angle's arm or a median as a noun."""
    match locus:
        case AngleOn(arm, degrees, where):
            what = f"an angle of {figures(degrees)}° at {arm.a} on {arm.a}{arm.b}"
            return what + side(where, arm.a, arm.b)
        case CopiedAngle((one, two), arm, where):
            like = f"angle {one.b}{one.a}{two.b}"
            what = f"an angle equal to {like} at {arm.a} on {arm.a}{arm.b}"
            return what + side(where, arm.a, arm.b)
        case Median(of, SegmentOf(a, b)):
            return f"the median from {of.label} to {a}{b}"
    return ""


def built(locus: Locus, length: Callable[[float], str], named: Callable[[Feature], str]) -> str:
    """A triangle or a regular figure as a noun: "triangle ABC with AC = 5 cm and BC = 6 cm"."""
    match locus:
        case TriangleOn(SegmentOf(a, b), apex, facts, where):
            parts = [_fact(fact, a, b, apex, length) for fact in facts]
            what = f"triangle {''.join(sorted((a, b, apex)))}"
            return f"{what} with {' and '.join(parts)}{side(where, a, b)}"
        case RegularOn(SegmentOf(a, b), corners, names, where):
            what = regular_name(corners)
            if names:
                return f"the {what} {a}{b}{''.join(names)}{side(where, a, b)}"
            return f"{_one(what)} on {a}{b}{side(where, a, b)}"
        case RegularIn(circle, first, corners, names):
            what = regular_name(corners)
            if names:
                return f"the {what} {first.label}{''.join(names)} in {named(circle)}"
            return f"{_one(what)} in {named(circle)} with a corner at {first.label}"
    return ""


def side(where: Where, a: str, b: str) -> str:
    """Which side, as what follows a figure on ab; "" for either."""
    match where:
        case None:
            return ""
        case PointOf(label):
            return f" on the same side of {a}{b} as {label}"
        case "left" | "right":
            return f" to the {where} of {a}{b}"
    return f" {where} {a}{b}"


def _one(what: str) -> str:
    return f"{'an' if what[0] == 'e' else 'a'} {what}"


def _fact(
    fact: SideTo | AngleAtEnd, a: str, b: str, apex: str, length: Callable[[float], str]
) -> str:
    end = fact.of.label
    if isinstance(fact, SideTo):
        return f"{end}{apex} = {length(fact.length)}"
    return f"angle {b if end == a else a}{end}{apex} = {figures(fact.degrees)}°"
