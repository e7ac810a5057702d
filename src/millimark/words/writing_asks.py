"""Asks back into words: one plain sentence for one ask, lengths in the units of the scale."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from millimark.loci.conditions import (
    AllOf,
    AngleCompared,
    AngleOf,
    AnyOf,
    AreaOf,
    Ask,
    AtDistance,
    BearingBetween,
    BearingOf,
    CircleOf,
    Condition,
    DiscOf,
    Distance,
    DrawLocus,
    EqualParts,
    Equidistant,
    Feature,
    Greatest,
    Inside,
    LengthOf,
    LineOf,
    Locus,
    MarkPoints,
    Measure,
    Nearer,
    Not,
    PointOf,
    PolygonOf,
    PolylineOf,
    Quantity,
    RatioCompared,
    RatioOfDistances,
    RayOf,
    SameSide,
    SegmentOf,
    ShadeRegion,
    Shortest,
    SidesOf,
    Subtends,
    SumCompared,
    SumOfDistances,
    TriangleCentre,
    WithinRope,
)
from millimark.words import facts
from millimark.words.numerals import bearing, figures, listed, quantity
from millimark.words.simplifying import simplified
from millimark.words.units import Scale, in_cm
from millimark.words.writing_figures import built, line_on
from millimark.words.writing_moving import construction, moving


class AskWriter:
    """Writes asks about points with the given labels, with lengths in one unit."""

    def __init__(
        self,
        scale: Scale,
        labels: Iterable[str] = (),
        kinds: Mapping[tuple[str, ...], str] | None = None,
    ) -> None:
        self.scale = scale
        self.labels = frozenset(labels)
        self.kinds = dict(kinds or {})

    def length(self, cm: float) -> str:
        """A length of ``cm`` centimetres of paper in the unit of the words."""
        unit = self.scale.unit
        one = (
            self.scale.cm(facts.Quantity(1.0, unit))
            if self.scale.real
            else in_cm(facts.Quantity(1.0, unit))
        )
        return quantity(facts.Quantity(float(f"{cm / one:.14g}"), unit))

    def ask(self, ask: Ask) -> str:
        """The ask as a sentence."""
        match ask:
            case DrawLocus(locus, None) if text := self.construction(locus):
                return f"Construct {text}."
            case MarkPoints((EqualParts(of, count),), None):
                return f"Divide {of.a}{of.b} into {count} equal parts."
            case DrawLocus(locus, where):
                return f"Draw {self.locus_phrase(locus, where)}."
            case ShadeRegion(condition):
                return f"Shade {self.region_phrase(condition)}."
            case MarkPoints(centre=TriangleCentre(kind, corners)):
                return f"Mark the {kind} of triangle {''.join(corners)}."
            case MarkPoints((one, two), None) if self.line(one) and self.line(two):
                return f"Mark the points where {self.line(one)} meets {self.line(two)}."
            case MarkPoints(loci, where):
                parts = [self.clause(locus) for locus in loci]
                parts += [] if where is None else [self.condition_clause(where)]
                return f"Mark the points {' and '.join(parts)}."
            case Measure(asked):
                return f"Find {self.quantity(asked)}."

    def line(self, locus: Locus) -> str:
        """A standard line or circle as a noun; "" for any other locus."""
        return construction(locus) or line_on(locus)

    def construction(self, locus: Locus) -> str:
        """What is constructed, as a noun; "" for a locus that has no such name."""
        return self.line(locus) or built(locus, self.length, self.feature)

    def locus_phrase(self, locus: Locus, where: Condition | None = None) -> str:
        """ "the locus of ..." """
        if text := moving(locus, self.length, self.feature, self.labels):
            return f"the locus of {text}"
        ending = "" if where is None else f" and {self.condition_clause(where)}"
        return f"the locus of points {self.clause(locus)}{ending}"

    def region_phrase(self, condition: Condition) -> str:
        """ "the region of points that are ..." """
        return f"the region of points {self.condition_clause(condition)}"

    # --- loci
    def clause(self, locus: Locus) -> str:
        """A locus as a clause about its points: "that are 3 cm from A"."""
        match locus:
            case SumOfDistances(a, b, cm):
                return f"whose distances from {a.label} and {b.label} add up to {self.length(cm)}"
            case Subtends(a, b, degrees):
                seen = f"{a.label}{b.label}"
                return f"from which {seen} is seen at an angle of {figures(degrees)}°"
        return f"that are {self.predicate(locus)}"

    def predicate(self, locus: Locus) -> str:
        """A locus as what stands after "points that are"."""
        match locus:
            case AtDistance(PolygonOf() as shape, cm):
                return f"{self.length(cm)} outside {self.feature(shape)}"
            case AtDistance(DiscOf() as disc, cm):
                return f"{self.length(cm)} outside {self.feature(disc)}"
            case AtDistance(feature, cm):
                return f"{self.length(cm)} from {self.feature(feature)}"
            case Equidistant((one, two)):
                said = self.feature(one), self.feature(two)
                return f"the same distance from {said[0]} as from {said[1]}"
            case Equidistant(features):
                return f"equidistant from {listed([self.feature(f) for f in features])}"
            case RatioOfDistances(a, b, times):
                return f"{figures(times)} times as far from {a.label} as from {b.label}"
        if text := self.construction(locus):
            return f"on {text}"
        raise TypeError(f"no words for {locus!r}")

    # --- conditions
    def condition_clause(self, condition: Condition) -> str:
        """ "that are ..." or "whose ...", conditions joined by "and"."""
        plain = simplified(condition)
        parts = plain.conditions if isinstance(plain, AllOf) else (plain,)
        clauses: list[str] = []
        run: list[str] = []
        for part in parts:
            text = self.condition(part)
            if _mixes(part):
                whose = text.startswith(("whose ", "from which "))
                clauses += [*_that_are(run), text if whose else f"that are {text}"]
                run = []
            else:
                run.append(text)
        return " and ".join([*clauses, *_that_are(run)])

    def condition(self, condition: Condition) -> str:
        """A condition in words that stand after "points that are" (or as they are if they
        start with "whose" or "from which")."""
        match condition:
            case Distance(feature, relation, cm):
                return f"{_RELATIONS[relation]} {self.length(cm)} from {self.feature(feature)}"
            case Nearer(to, than, False):
                rivals = listed([self.feature(f) for f in than], "or")
                return f"at least as near to {self.feature(to)} as to {rivals}"
            case Nearer(to, than):
                rivals = listed([self.feature(f) for f in than], "or")
                return f"nearer to {self.feature(to)} than to {rivals}"
            case Inside(shape):
                return f"inside {self.feature(shape)}"
            case SameSide(line, of):
                return f"on the same side of {line.a}{line.b} as {of.label}"
            case Not(inner):
                return self._not(inner)
            case AllOf(conditions):
                return f"both {listed([self.condition(c) for c in conditions])}"
            case AnyOf(conditions):
                return f"either {' or '.join(self.condition(c) for c in conditions)}"
        return self._compared(condition)

    def _not(self, condition: Condition) -> str:
        match condition:
            case Inside(shape):
                return f"outside {self.feature(shape)}"
            case SameSide(line, of):
                return f"on the opposite side of {line.a}{line.b} to {of.label}"
        return f"not {self.condition(condition)}"

    def _compared(self, condition: Condition) -> str:
        match condition:
            case SumCompared(a, b, relation, cm):
                total = f"{_RELATIONS[relation]} {self.length(cm)}"
                return f"whose distances from {a.label} and {b.label} add up to {total}"
            case RatioCompared(a, b, relation, times):
                much = f"{_RELATIONS[relation]} {figures(times)} times as far"
                return f"{much} from {a.label} as from {b.label}"
            case AngleCompared(a, b, relation, degrees):
                seen = f"{a.label}{b.label} is seen at an angle of"
                return f"from which {seen} {_RELATIONS[relation]} {figures(degrees)}°"
            case BearingBetween(of, low, high):
                span = f"between {bearing(low)}° and {bearing(high)}°"
                return f"on a bearing {span} from {of.label}"
            case WithinRope(anchor, cm, obstacles):
                round_ = listed([self.feature(o) for o in obstacles])
                ending = f" outside {round_}" if round_ else ""
                return (
                    f"within reach of a rope of {self.length(cm)} fixed at {anchor.label}{ending}"
                )
        raise TypeError(f"no words for {condition!r}")

    # --- quantities
    def quantity(self, asked: Quantity) -> str:
        """What is measured: "the shortest distance from C to the line segment AB"."""
        match asked:
            case Shortest(one, two):
                return f"the shortest distance from {self.thing(one)} to {self.thing(two)}"
            case Greatest(one, two):
                return f"the greatest distance from {self.thing(one)} to {self.thing(two)}"
            case LengthOf(SegmentOf(a, b)):
                return f"the length of {a}{b}"
            case LengthOf(PolygonOf() | SidesOf() as shape):
                return f"the perimeter of {self.shape(shape.labels)}"
            case LengthOf(CircleOf() as circle):
                return f"the circumference of {self.feature(circle)}"
            case LengthOf(what) if isinstance(what, Locus):
                return f"the length of {self.locus_phrase(what)}"
            case LengthOf(what):
                return f"the perimeter of {self.thing(what)}"
            case AreaOf(what):
                return f"the area of {self.thing(what)}"
            case AngleOf(a, v, b):
                return f"the size of angle {a.label}{v.label}{b.label}"
            case BearingOf(start, to):
                return f"the bearing of {to.label} from {start.label}"

    def thing(self, thing: Feature | Locus | Condition) -> str:
        """A feature, a locus or a region as a noun."""
        if isinstance(thing, Feature):
            return self.feature(thing)
        if isinstance(thing, Locus):
            return self.locus_phrase(thing)
        return self.region_phrase(thing)

    def shape(self, labels: tuple[str, ...]) -> str:
        """A polygon by its kind: "triangle PQR"."""
        kind = "triangle" if len(labels) == 3 else self.kinds.get(labels, "polygon")
        return f"{kind} {''.join(labels)}"

    def feature(self, feature: Feature) -> str:
        """A feature in words that stand after "from"."""
        match feature:
            case PointOf(label):
                return label
            case SegmentOf(a, b):
                return f"the line segment {a}{b}"
            case LineOf(a, b):
                return f"the line {a}{b}"
            case RayOf(a, b):
                return f"the arm {a}{b}"
            case PolylineOf(labels):
                return f"the path {''.join(labels)}"
            case PolygonOf(labels):
                return self.shape(labels)
            case SidesOf(labels):
                return f"the sides of {self.shape(labels)}"
            case CircleOf(name) | DiscOf(name) if name.startswith("the circle"):
                return name
            case CircleOf(name) | DiscOf(name):
                return f"the circle with centre {name}"


def _that_are(run: list[str]) -> list[str]:
    return [f"that are {listed(run)}"] if run else []


def _mixes(condition: Condition) -> bool:
    """Whether a condition's own words could be taken for part of its neighbour's."""
    inner = condition.condition if isinstance(condition, Not) else condition
    return isinstance(inner, AnyOf | WithinRope | SumCompared | AngleCompared)


_RELATIONS = {"<": "less than", "<=": "no more than", ">": "more than", ">=": "at least"}
