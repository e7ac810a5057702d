"""Givens back into words: one plain sentence for the facts of one sentence.

No facts give an empty string. Reading a written sentence gives the same facts in meaning.
"""

from __future__ import annotations

from collections.abc import Sequence

from millimark.words.facts import (
    AngleOf,
    At,
    BearingOf,
    Beside,
    CircleAcross,
    CircleAt,
    CircleThrough,
    Diagonals,
    Drawn,
    Fact,
    FootOf,
    GapFrom,
    Hypotenuse,
    InCircle,
    LadderOf,
    Length,
    LengthRatio,
    Level,
    Mentioned,
    MidpointOf,
    Motion,
    OnCircle,
    OnLine,
    Parallel,
    ParallelApart,
    PathOf,
    Perimeter,
    Perpendicular,
    PlacedIn,
    RightAngleAt,
    SameFrom,
    SameLength,
    ScaleIs,
    Shape,
    Shifted,
    SideAs,
    Sides,
    Tether,
    VertexAngle,
)
from millimark.words.numerals import bearing, figures, listed, quantity
from millimark.words.tokens import split_labels


def write_given(facts: Sequence[Fact]) -> str:
    """The facts of one sentence as one sentence."""
    parts: list[str] = []
    before: Fact | None = None
    for fact in facts:
        if isinstance(fact, Motion):
            continue  # said in full by the ask that draws it
        if isinstance(before, Shape) and _is_property(fact):
            parts[-1] += f" with {_fact(fact)}"
        elif _same_subject(before, fact) and isinstance(fact, Length):
            first = before.a if isinstance(before, Length) else ""
            if isinstance(before, Length) and parts[-1] == _fact(before):
                parts[-1] = f"{first} is {quantity(before.length)} from {before.b}"
            parts.append(f"{quantity(fact.length)} from {fact.b}")
        else:
            parts.append(_fact(fact))
        before = fact
    sentence = listed(parts)
    return f"{sentence[0].upper()}{sentence[1:]}." if sentence else ""


# What may stand after "with": "PQR is a triangle with PQ = 7 cm".
_PROPERTIES = (
    Sides, RightAngleAt, Perimeter, Hypotenuse, Diagonals, SameLength, AngleOf, VertexAngle,
    LengthRatio,
)  # fmt: skip


def _is_property(fact: Fact) -> bool:
    return isinstance(fact, _PROPERTIES) or (isinstance(fact, Length) and fact.drawn)


def _same_subject(before: Fact | None, fact: Fact) -> bool:
    """Whether two lengths are both from one point: "C is 4 cm from A and 5 cm from B"."""
    return (
        isinstance(before, Length)
        and isinstance(fact, Length)
        and not before.drawn
        and not fact.drawn
        and before.a == fact.a
    )


def _fact(fact: Fact) -> str:
    for part in (_measure, _shape, _place, _side, _relation, _rest):
        text = part(fact)
        if text:
            return text
    raise TypeError(f"no words for {fact!r}")


def _measure(fact: Fact) -> str:
    """Lengths and angles; "" for any other fact, here and below."""
    match fact:
        case Length(a, b, length, True):
            return f"{a}{b} = {quantity(length)}"
        case Length(a, b, length, _):
            return f"{b} and {a} are {quantity(length)} apart"
        case SameLength(a, b, c, d):
            return f"{a}{b} = {c}{d}"
        case LengthRatio(a, b, c, d, times):
            return f"{a}{b} is {figures(times)} times as long as {c}{d}"
        case AngleOf(a, v, b, degrees):
            return f"angle {a}{v}{b} = {figures(degrees)}°"
        case VertexAngle(v, degrees):
            return f"angle {v} = {figures(degrees)}°"
        case ScaleIs(paper, real):
            return f"{quantity(paper)} represents {quantity(real)}"
    return ""


def _shape(fact: Fact) -> str:
    match fact:
        case Shape(kind, labels):
            article = "an" if kind[0] in "aeiou" else "a"
            return f"{''.join(labels)} is {article} {kind}"
        case Sides(lengths):
            if len(lengths) == 1:
                return f"side {quantity(lengths[0])}"
            return f"sides {listed([quantity(q) for q in lengths])}"
        case RightAngleAt(v):
            return f"a right angle at {v}"
        case Perimeter(length):
            return f"a perimeter of {quantity(length)}"
        case Hypotenuse(length):
            return f"a hypotenuse of {quantity(length)}"
        case Diagonals(one, None):
            return f"a diagonal of {quantity(one)}"
        case Diagonals(one, two) if two is not None:
            return f"diagonals of {quantity(one)} and {quantity(two)}"
    return ""


def _place(fact: Fact) -> str:
    match fact:
        case MidpointOf(p, a, b):
            return f"{p} is the midpoint of {a}{b}"
        case OnLine(p, a, b, "segment"):
            return f"{p} is on {a}{b}"
        case OnLine(p, a, b, "produced"):
            return f"{p} is on {a}{b} produced"
        case OnLine(p, a, b, _):
            return f"{p} is on the line through {a} and {b}"
        case Shifted(p, start, length, towards):
            words = f"to the {towards} of" if towards in ("right", "left") else towards
            words = f"{towards} of" if towards in _COMPASS else words
            return f"{p} is {quantity(length)} {words} {start}"
        case BearingOf(p, start, degrees):
            return f"{p} is on a bearing of {bearing(degrees)}° from {start}"
        case At(p, x, y):
            return f"{p} is at ({figures(x)}, {figures(y)})"
        case SameFrom(p, a, b):
            return f"{p} is equidistant from {a} and {b}"
        case GapFrom(p, a, b, gap):
            return f"{p} is {quantity(gap)} from the line {a}{b}"
        case FootOf(p, start, a, b):
            return f"{p} is the foot of the perpendicular from {start} to {a}{b}"
    return ""


def _circle(centre: str | None) -> str:
    """The circle that is meant: by its centre, by its diameter, or the only one."""
    if centre is None:
        return "the circle"
    by = "with centre" if len(split_labels(centre)) == 1 else "on diameter"
    return f"the circle {by} {centre}"


def _side(fact: Fact) -> str:
    match fact:
        case InCircle(p, centre, inside):
            words = "inside" if inside else "outside"
            return f"{p} is {words} {_circle(centre)}"
        case OnCircle(p, centre):
            return f"{p} is on {_circle(centre)}"
        case Level(a, b, way):
            return f"{a}{b} is {way}"
        case Beside(p, a, b, side):
            words = side if side in ("above", "below") else f"to the {side} of"
            return f"{p} is {words} {a}{b}"
        case SideAs(p, a, b, of, same):
            words = "same side" if same else "other side"
            return f"{p} is on the {words} of {a}{b} {'as' if same else 'from'} {of}"
        case PlacedIn(p, ring, inside):
            return f"{p} is {'inside' if inside else 'outside'} polygon {''.join(ring)}"
    return ""


def _relation(fact: Fact) -> str:
    match fact:
        case Parallel(a, b, c, d):
            return f"{a}{b} is parallel to {c}{d}"
        case ParallelApart(a, b, c, d, gap):
            return f"{a}{b} and {c}{d} are parallel lines {quantity(gap)} apart"
        case Perpendicular(a, b, c, d):
            return f"{a}{b} is perpendicular to {c}{d}"
        case Mentioned(labels):
            named = f"{labels[0]} is a point" if len(labels) == 1 else ""
            return named or f"{listed(labels)} are points"
    return ""


def _rest(fact: Fact) -> str:
    match fact:
        case CircleAt(centre, radius):
            return f"a circle has centre {centre} and radius {quantity(radius)}"
        case CircleAcross(a, b):
            return f"a circle has diameter {a}{b}"
        case CircleThrough(centre, p):
            return f"a circle with centre {centre} passes through {p}"
        case Tether(p, length):
            return f"a goat is tied to {p} by a rope of {quantity(length)}"
        case LadderOf(length):
            return f"a ladder of {quantity(length)} slides down a wall"
        case PathOf(labels):
            return f"{''.join(labels)} is a path"
        case Drawn(a, b, "line"):
            return f"a straight line passes through {a} and {b}"
        case Drawn(a, b, _):
            return f"{a} is joined to {b}"
    return ""


_COMPASS = (
    "north", "south", "east", "west", "north-east", "north-west", "south-east", "south-west",
)  # fmt: skip
