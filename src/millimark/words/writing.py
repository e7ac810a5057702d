"""Meaning back into words: one plain sentence for what a sentence was understood to say.

No facts give an empty string. Reading a written sentence gives the same meaning.
"""

from __future__ import annotations

from collections.abc import Sequence

from millimark.loci.conditions import (
    AllOf,
    AnyOf,
    Ask,
    AtDistance,
    Condition,
    Distance,
    DrawLocus,
    Equidistant,
    Feature,
    Inside,
    LineOf,
    Locus,
    Nearer,
    Not,
    PointOf,
    PolygonOf,
    RayOf,
    SameSide,
    SegmentOf,
    SidesOf,
)
from millimark.words.facts import (
    AngleOf,
    At,
    BearingOf,
    Beside,
    CircleAt,
    Drawn,
    Fact,
    Length,
    Level,
    Mentioned,
    MidpointOf,
    OnLine,
    Parallel,
    ParallelApart,
    Perpendicular,
    PlacedIn,
    Quantity,
    RightAngleAt,
    SameLength,
    ScaleIs,
    Shape,
    Shifted,
    SideAs,
    Sides,
    VertexAngle,
)
from millimark.words.units import CM_IN, Scale


def figures(value: float) -> str:
    """A number with as many figures as it needs and no more."""
    text = f"{value:.15g}"
    if "e" in text:
        text = f"{value:.15f}".rstrip("0").rstrip(".")
    return text


def quantity(q: Quantity) -> str:
    """A length with its unit: "3.5 cm", "1 mile", "2 miles"."""
    unit = "miles" if q.unit == "mile" and q.value != 1 else q.unit
    return f"{figures(q.value)} {unit}"


def listed(parts: Sequence[str], joint: str = "and") -> str:
    """ "a, b and c"."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {joint} {parts[-1]}"


# --- givens
def write_given(facts: Sequence[Fact]) -> str:
    """The facts of one sentence as one sentence."""
    parts: list[str] = []
    before: Fact | None = None
    for fact in facts:
        if isinstance(fact, Sides | RightAngleAt) and isinstance(before, Shape):
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
    match fact:
        case Length(a, b, length, drawn):
            if drawn:
                return f"{a}{b} = {quantity(length)}"
            return f"{b} and {a} are {quantity(length)} apart"
        case SameLength(a, b, c, d):
            return f"{a}{b} = {c}{d}"
        case AngleOf(a, v, b, degrees):
            return f"angle {a}{v}{b} = {figures(degrees)}°"
        case VertexAngle(v, degrees):
            return f"angle {v} = {figures(degrees)}°"
        case Shape(kind, labels):
            article = "an" if kind[0] in "aeiou" else "a"
            return f"{''.join(labels)} is {article} {kind}"
        case Sides(lengths):
            if len(lengths) == 1:
                return f"side {quantity(lengths[0])}"
            return f"sides {listed([quantity(q) for q in lengths])}"
        case RightAngleAt(v):
            return f"a right angle at {v}"
        case ScaleIs(paper, real):
            return f"{quantity(paper)} represents {quantity(real)}"
        case CircleAt(centre, radius):
            return f"a circle has centre {centre} and radius {quantity(radius)}"
    return _place(fact)


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
        case Parallel(a, b, c, d):
            return f"{a}{b} is parallel to {c}{d}"
        case ParallelApart(a, b, c, d, gap):
            return f"{a}{b} and {c}{d} are parallel lines {quantity(gap)} apart"
        case Mentioned(labels):
            if len(labels) == 1:
                return f"{labels[0]} is a point"
            return f"{listed(labels)} are points"
        case Perpendicular(a, b, c, d):
            return f"{a}{b} is perpendicular to {c}{d}"
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
        case Drawn(a, b, "line"):
            return f"a straight line passes through {a} and {b}"
        case Drawn(a, b, _):
            return f"{a} is joined to {b}"
    raise TypeError(f"no words for {fact!r}")


_COMPASS = (
    "north", "south", "east", "west", "north-east", "north-west", "south-east", "south-west",
)  # fmt: skip


def bearing(degrees: float) -> str:
    """Three figures before the decimal point, as bearings are written."""
    whole, _, part = figures(degrees).partition(".")
    return whole.zfill(3) + (f".{part}" if part else "")


# --- asks
def write_ask(ask: Ask, scale: Scale | None = None) -> str:
    """The ask as one sentence, lengths in the units of the scale."""
    return _Writer(scale or Scale()).ask(ask)


class _Writer:
    """Writes conditions with lengths in one unit."""

    def __init__(self, scale: Scale) -> None:
        self.scale = scale

    def length(self, cm: float) -> str:
        unit = self.scale.unit
        value = cm if not self.scale.real else cm * self.scale.factor / CM_IN[unit]
        return quantity(Quantity(float(f"{value:.14g}"), unit))

    def ask(self, ask: Ask) -> str:
        if isinstance(ask, DrawLocus):
            where = "" if ask.where is None else f" and {self.condition(ask.where)}"
            return f"Draw the locus of points that are {self.locus(ask.locus)}{where}."
        return f"Shade the region of points that are {self.condition(ask.condition)}."

    def locus(self, locus: Locus) -> str:
        match locus:
            case AtDistance(feature, cm):
                return f"{self.length(cm)} from {_feature(feature)}"
            case Equidistant(features):
                if len(features) == 2:
                    one, two = (_feature(f) for f in features)
                    return f"the same distance from {one} as from {two}"
                return f"equidistant from {listed([_feature(f) for f in features])}"

    def condition(self, condition: Condition) -> str:
        match condition:
            case Distance(feature, relation, cm):
                return f"{_RELATIONS[relation]} {self.length(cm)} from {_feature(feature)}"
            case Nearer(to, than):
                rivals = listed([_feature(f) for f in than], "or")
                return f"nearer to {_feature(to)} than to {rivals}"
            case Inside(shape):
                return f"inside {_feature(shape)}"
            case SameSide(line, of):
                return f"on the same side of {line.a}{line.b} as {of.label}"
            case Not(Inside(shape)):
                return f"outside {_feature(shape)}"
            case Not(Nearer(to, (rival,))):
                return f"not nearer to {_feature(to)} than to {_feature(rival)}"
            case Not(SameSide(line, of)):
                return f"on the opposite side of {line.a}{line.b} to {of.label}"
            case AllOf(conditions):
                return " and ".join(self.condition(c) for c in conditions)
            case AnyOf(conditions):
                return " or ".join(self.condition(c) for c in conditions)
        raise TypeError(f"no words for {condition!r}")


_RELATIONS = {"<": "less than", "<=": "no more than", ">": "more than", ">=": "at least"}


def _feature(feature: Feature) -> str:
    match feature:
        case PointOf(label):
            return label
        case SegmentOf(a, b):
            return f"the line segment {a}{b}"
        case LineOf(a, b):
            return f"the line {a}{b}"
        case RayOf(a, b):
            return f"the arm {a}{b}"
        case PolygonOf(labels):
            return f"polygon {''.join(labels)}"
        case SidesOf(labels):
            return f"the sides of polygon {''.join(labels)}"
    raise TypeError(f"no words for {feature!r}")
