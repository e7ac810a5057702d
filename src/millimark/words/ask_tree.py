"""The parse tree of an ask into asks of ``loci``, for the figure that was given."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from millimark.errors import NoAnswerError
from millimark.loci.conditions import (
    AllOf,
    AnyOf,
    Ask,
    AtDistance,
    CircleOf,
    Condition,
    DiscOf,
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
    Relation,
    SameSide,
    SegmentOf,
    ShadeRegion,
    SidesOf,
)
from millimark.loci.figure import Figure
from millimark.words.earley import Word
from millimark.words.facts import Quantity
from millimark.words.given_tree import CommonTree, pair, triple
from millimark.words.tokens import split_labels


@dataclass(frozen=True)
class Bare:
    """ "AB" with no word that says whether the line or the segment is meant."""

    a: str
    b: str


Meant = Feature | Bare
Predicate = Locus | Condition
_LOCI = (AtDistance, Equidistant)


class AskTree(CommonTree):
    """Every rule of asks.lark; ``notes`` gathers how ambiguous phrases were read."""

    def __init__(self, figure: Figure, cm: Callable[[Quantity], float], kinds: Any) -> None:
        super().__init__()
        self.figure = figure
        self.cm = cm
        self.kinds: dict[tuple[str, ...], str] = dict(kinds)
        self.notes: list[str] = []
        self.moving_label: str | None = None
        self.last_shape: PolygonOf | None = None

    # --- features
    def point(self, label: Word) -> PointOf:
        return PointOf(self.known(str(label)))

    def bare(self, ab: Word) -> Bare:
        a, b = pair(ab)
        return Bare(self.known(a), self.known(b))

    def segment(self, ab: Word) -> SegmentOf:
        a, b = pair(ab)
        return SegmentOf(self.known(a), self.known(b))

    def segment_joining(self, a: Word, b: Word) -> SegmentOf:
        return SegmentOf(self.known(str(a)), self.known(str(b)))

    def line(self, ab: Word) -> LineOf:
        a, b = pair(ab)
        return LineOf(self.known(a), self.known(b))

    def line_through(self, a: Word, b: Word) -> LineOf:
        return LineOf(self.known(str(a)), self.known(str(b)))

    def ray(self, ab: Word) -> RayOf:
        a, b = pair(ab)
        return RayOf(self.known(a), self.known(b))

    def shape_feature(self, shape: PolygonOf) -> Feature:
        if isinstance(shape, tuple):
            raise NoAnswerError("A distance from an angle has no meaning.", "Name its arms.")
        return shape

    def shape_sides(self, shape: PolygonOf) -> Feature:
        return SidesOf(shape.labels)

    def only_sides(self) -> Feature:
        return SidesOf(self.any_shape().labels)

    def its_sides(self) -> Feature:
        return SidesOf(self.it_shape().labels)

    def it_shape(self) -> PolygonOf:
        return self.last_shape or self.any_shape()

    def angle_shape(self, labels: Word) -> tuple[RayOf, RayOf]:
        return self.angle(labels)

    def moving(self, label: Word) -> None:
        if str(label) in self.figure.points:
            raise NoAnswerError(
                f"The moving point is called {label}, and so is a given point.",
                "Give the moving point a letter of its own.",
            )
        if self.moving_label not in (None, str(label)):
            raise NoAnswerError(
                f"The moving point is called both {self.moving_label} and {label}.",
                "Use one letter for it.",
            )
        self.moving_label = str(label)

    def _other_end(self, ab: Word) -> PointOf:
        """The fixed end of "PA", where P moves."""
        a, b = pair(ab)
        if self.moving_label not in (a, b):
            known = self.moving_label or "no point"
            raise NoAnswerError(
                f"{ab} does not contain the moving point ({known}).",
                "Name the moving point first, as in 'points P such that PA = 3 cm'.",
            )
        return PointOf(self.known(b if a == self.moving_label else a))

    def known(self, label: str) -> str:
        if label not in self.figure.points:
            there = ", ".join(self.figure.points) or "none"
            raise NoAnswerError(
                f"The ask names the point {label}, which no given places.",
                f"Say where {label} is; the points given are: {there}.",
            )
        return label

    def shape(self, *parts: Any) -> PolygonOf:
        labels = split_labels(str(parts[-1]))
        for label in labels:
            self.known(label)
        return self._noted(PolygonOf(self._as_given(labels)))

    def _noted(self, shape: PolygonOf) -> PolygonOf:
        self.last_shape = shape
        return shape

    def _as_given(self, labels: tuple[str, ...]) -> tuple[str, ...]:
        """The printed polygon that has these vertices in this cyclic order, else as said."""
        for polygon in self.figure.polygons:
            if len(polygon) == len(labels) and _same_cycle(polygon, labels):
                return polygon
        return labels

    def only_shape(self, kind: str) -> PolygonOf:
        found = [p for p in self.figure.polygons if kind in self.kinds.get(p, "")]
        if not found:
            found = [p for p in self.figure.polygons if len(p) == _CORNERS.get(kind, 0)]
        if len(found) != 1:
            raise NoAnswerError(
                f"'the {kind}' could mean {len(found)} shapes of the figure.",
                f"Name it by its vertices, as in 'the {kind} {'PQRS'[: _CORNERS.get(kind, 4)]}'.",
            )
        return self._noted(PolygonOf(found[0]))

    def any_shape(self) -> PolygonOf:
        if len(self.figure.polygons) != 1:
            raise NoAnswerError(
                f"'the shape' could mean {len(self.figure.polygons)} shapes of the figure.",
                "Name it by its vertices.",
            )
        return self._noted(PolygonOf(self.figure.polygons[0]))

    # --- how a bare AB is read
    def as_segment(self, feature: Meant) -> Feature:
        if not isinstance(feature, Bare):
            return feature
        a, b = feature.a, feature.b
        self.note(
            f"'{a}{b}' was read as the line segment from {a} to {b}; "
            f"write 'the line {a}{b}' for the whole line."
        )
        return SegmentOf(a, b)

    def as_arms(self, features: tuple[Meant, ...]) -> tuple[Feature, ...]:
        """Bare AB and AC are the arms of angle BAC; bare AB and CD are whole lines."""
        if len(features) == 2:
            first, second = features
            if isinstance(first, Bare) and isinstance(second, Bare):
                return self._two_bare(first, second)
        return tuple(self.as_segment(f) for f in features)

    def _two_bare(self, first: Bare, second: Bare) -> tuple[Feature, ...]:
        shared = {first.a, first.b} & {second.a, second.b}
        said = f"'{first.a}{first.b}' and '{second.a}{second.b}'"
        if len(shared) == 1:
            (v,) = shared
            p = first.b if first.a == v else first.a
            q = second.b if second.a == v else second.a
            self.note(
                f"{said} were read as the arms of angle {p}{v}{q}, so the locus is its "
                f"bisector; write 'the lines {first.a}{first.b} and {second.a}{second.b}' "
                "for the whole lines, which have two bisectors."
            )
            return RayOf(v, p), RayOf(v, q)
        self.note(f"{said} were read as whole lines; write 'the line segments' for segments.")
        return LineOf(first.a, first.b), LineOf(second.a, second.b)

    def note(self, text: str) -> None:
        if text not in self.notes:
            self.notes.append(text)

    # --- lists of features
    def features(self, *features: Meant) -> tuple[Meant, ...]:
        return features

    def feature_points(self, *labels: Word) -> tuple[Meant, ...]:
        return tuple(self.point(label) for label in labels)

    def feature_lines(self, *pairs: Word) -> tuple[Meant, ...]:
        return tuple(self.line(ab) for ab in pairs)

    def feature_segments(self, *pairs: Word) -> tuple[Meant, ...]:
        return tuple(self.segment(ab) for ab in pairs)

    def feature_rays(self, *pairs: Word) -> tuple[Meant, ...]:
        a, b = (pair(ab) for ab in pairs)
        shared = set(a) & set(b)
        if len(shared) != 1:
            return self.feature_segments(*pairs)
        (v,) = shared
        return tuple(RayOf(v, next(x for x in ab if x != v)) for ab in (a, b))

    # --- equalities
    def at_distance(self, length: Quantity, feature: Meant) -> Locus:
        return AtDistance(self.as_segment(feature), self.cm(length))

    def whose_distance(self, feature: Meant, length: Quantity) -> Locus:
        return self.at_distance(length, feature)

    def at_outside(self, length: Quantity, shape: PolygonOf) -> Locus:
        return AtDistance(shape, self.cm(length))

    def at_inside(self, length: Quantity, shape: PolygonOf) -> tuple[Predicate, ...]:
        return AtDistance(SidesOf(shape.labels), self.cm(length)), Inside(shape)

    def at_sides(self, length: Quantity, shape: PolygonOf) -> Locus:
        return AtDistance(SidesOf(shape.labels), self.cm(length))

    def at_its_sides(self, length: Quantity) -> Locus:
        return self.at_sides(length, self.it_shape())

    def at_it(self, length: Quantity) -> Locus:
        return AtDistance(self.it_shape(), self.cm(length))

    def moving_distance(self, ab: Word, length: Quantity) -> Locus:
        return AtDistance(self._other_end(ab), self.cm(length))

    def moving_same(self, ab: Word, cd: Word) -> Locus:
        return Equidistant((self._other_end(ab), self._other_end(cd)))

    def equidistant(self, features: tuple[Meant, ...]) -> Locus:
        return Equidistant(self.as_arms(features))

    def equidistant_as(self, first: Meant, second: Meant) -> Locus:
        return Equidistant(self.as_arms((first, second)))

    def equidistant_arms(self, arms: tuple[RayOf, RayOf]) -> Locus:
        return Equidistant(arms)

    def equidistant_vertices(self, shape: PolygonOf) -> Locus:
        return Equidistant(tuple(PointOf(label) for label in shape.labels))

    def equidistant_sides(self, shape: PolygonOf) -> Locus:
        return Equidistant(_sides(shape))

    def on_perpendicular_bisector(self, ab: Word) -> Locus:
        a, b = pair(ab)
        return Equidistant((PointOf(self.known(a)), PointOf(self.known(b))))

    def on_angle_bisector(self, arms: tuple[RayOf, RayOf]) -> Locus:
        return Equidistant(arms)

    # --- constructions
    def angle(self, labels: Word) -> tuple[RayOf, RayOf]:
        p, v, q = (self.known(label) for label in triple(labels))
        return RayOf(v, p), RayOf(v, q)

    def corner_angle(self, label: Word) -> tuple[RayOf, RayOf]:
        v = self.known(str(label))
        found = [p for p in self.figure.polygons if v in p]
        if len(found) == 1:
            i = found[0].index(v)
            return RayOf(v, found[0][i - 1]), RayOf(v, found[0][(i + 1) % len(found[0])])
        others = [a if b == v else b for a, b in self.figure.segments if v in (a, b)]
        if not found and len(others) == 2:
            return RayOf(v, others[0]), RayOf(v, others[1])
        raise NoAnswerError(
            f"'angle {v}' could mean more than one angle.", f"Name it by three letters, as B{v}C."
        )

    def angle_bisector(self, arms: tuple[RayOf, RayOf]) -> Ask:
        return DrawLocus(Equidistant(arms))

    bisect_angle = angle_bisector

    def angle_bisector_of(self, labels: Word) -> Ask:
        return DrawLocus(Equidistant(self.angle(labels)))

    def perpendicular_bisector(self, ab: Word) -> Ask:
        return DrawLocus(self.on_perpendicular_bisector(ab))

    def perpendicular_bisector_of(self, a: Word, b: Word) -> Ask:
        return DrawLocus(Equidistant((self.point(a), self.point(b))))

    def ask_circle(self, centre: Word, radius: Quantity) -> Ask:
        return DrawLocus(AtDistance(self.point(centre), self.cm(radius)))

    def ask_circle_radius(self, radius: Quantity, centre: Word) -> Ask:
        return self.ask_circle(centre, radius)

    # --- conditions
    def compare(self, relation: Relation, length: Quantity, targets: Any) -> Condition:
        joined, features = targets
        cm = self.cm(length)
        found = tuple(Distance(self.as_segment(f), relation, cm) for f in features)
        if len(found) == 1:
            return found[0]
        # Far from "A or B" in English means far from both of them.
        far = relation in (">", ">=")
        return AllOf(found) if joined == "and" or far else AnyOf(found)

    def within(self, length: Quantity, targets: Any) -> Condition:
        return self.compare("<=", length, targets)

    def not_within(self, length: Quantity, targets: Any) -> Condition:
        return self.compare(">", length, targets)

    def or_compare(self, length: Quantity, relation: Relation, targets: Any) -> Condition:
        return self.compare(relation, length, targets)

    def compare_twice(
        self, first: Relation, a: Quantity, second: Relation, b: Quantity, targets: Any
    ) -> Condition:
        return AllOf((self.compare(first, a, targets), self.compare(second, b, targets)))

    def between(self, low: Quantity, high: Quantity, targets: Any) -> Condition:
        return self.compare_twice(">", low, "<", high, targets)

    def between_short(self, low: Word, high: Quantity, targets: Any) -> Condition:
        return self.between(Quantity(float(low), high.unit), high, targets)

    def whose_compare(self, feature: Meant, relation: Relation, length: Quantity) -> Condition:
        return self.compare(relation, length, ("and", (feature,)))

    def nearer(self, to: Meant, rivals: tuple[Meant, ...] | str) -> Condition:
        if isinstance(rivals, str):
            return self._nearest(to, rivals)
        return Nearer(self.as_segment(to), tuple(self.as_segment(f) for f in rivals))

    def further(self, far: Meant, near: Meant) -> Condition:
        return Nearer(self.as_segment(near), (self.as_segment(far),))

    def not_nearer(self, to: Meant, than: Meant) -> Condition:
        return Not(self.nearer(to, (than,)))

    def not_further(self, far: Meant, near: Meant) -> Condition:
        return Not(self.further(far, near))

    def whose_nearer(self, near: Meant, far: Meant) -> Condition:
        return self.further(far, near)

    def whose_further(self, far: Meant, near: Meant) -> Condition:
        return self.further(far, near)

    def moving_compare(self, ab: Word, relation: Relation, length: Quantity) -> Condition:
        return Distance(self._other_end(ab), relation, self.cm(length))

    def moving_nearer(self, near: Word, far: Word) -> Condition:
        return Nearer(self._other_end(near), (self._other_end(far),))

    def moving_further(self, far: Word, near: Word) -> Condition:
        return self.moving_nearer(near, far)

    def nearest(self, to: Meant) -> Condition:
        """Nearer than to every other point that is given, or side of the polygon."""
        here = self.as_segment(to)
        if not isinstance(here, PointOf):
            return self._nearest(here, "sides")
        others = tuple(PointOf(p) for p in self.figure.points if p != here.label)
        if not others:
            raise NoAnswerError(f"{here.label} is the only point, so nothing is nearest to it.")
        names = ", ".join(o.label for o in others)
        self.note(f"'nearest to {here.label}' was read as nearer to it than to {names}.")
        return Nearer(here, others)

    def nearest_of(self, to: Meant, *labels: Word) -> Condition:
        here = self.as_segment(to)
        return Nearer(here, tuple(p for p in map(self.point, labels) if p != here))

    def _nearest(self, to: Meant, rivals: str) -> Condition:
        here = self.as_segment(to)
        for polygon in self.figure.polygons:
            every: tuple[Feature, ...] = (
                tuple(PointOf(v) for v in polygon)
                if rivals == "vertices"
                else _sides(PolygonOf(polygon))
            )
            others = tuple(f for f in every if not _same_feature(f, here))
            if len(others) == len(every) - 1:
                return Nearer(here, others)
        raise NoAnswerError(
            f"'any other' of the {rivals} has no polygon to refer to.",
            "Name the points or sides that it should be nearer to it than to.",
        )

    def rivals(self, *features: Meant) -> tuple[Meant, ...]:
        return features

    def other_vertices(self) -> str:
        return "vertices"

    def other_sides(self) -> str:
        return "sides"

    def inside(self, shape: PolygonOf | tuple[RayOf, RayOf]) -> Condition:
        if isinstance(shape, tuple):
            one, two = shape
            return AllOf(
                (
                    SameSide(LineOf(one.a, one.b), PointOf(two.b)),
                    SameSide(LineOf(two.a, two.b), PointOf(one.b)),
                )
            )
        return Inside(shape)

    def outside(self, shape: PolygonOf | tuple[RayOf, RayOf]) -> Condition:
        if isinstance(shape, tuple):
            return Not(self.inside(shape))
        return Not(Inside(shape, strict=False))

    def same_side(self, line: LineOf, of: Word) -> Condition:
        return SameSide(line, PointOf(self.known(str(of))))

    def other_side(self, line: LineOf, of: Word) -> Condition:
        return Not(self.same_side(line, of))

    def targets(self, feature: Meant) -> Any:
        return "and", (feature,)

    def all_targets(self, *features: Meant) -> Any:
        return "and", features

    def any_targets(self, *features: Meant) -> Any:
        return "or", features

    def all_points(self, *labels: Word) -> Any:
        return "and", self.feature_points(*labels)

    def every_vertex(self, shape: PolygonOf | None = None) -> Any:
        whole = shape or self.any_shape()
        return "and", tuple(PointOf(v) for v in whole.labels)

    def any_vertex(self, shape: PolygonOf | None = None) -> Any:
        return "or", self.every_vertex(shape)[1]

    def every_side(self, shape: PolygonOf | None = None) -> Any:
        return "and", _sides(shape or self.any_shape())

    def any_side(self, shape: PolygonOf | None = None) -> Any:
        return "or", _sides(shape or self.any_shape())

    def lt(self) -> Relation:
        return "<"

    def le(self) -> Relation:
        return "<="

    def gt(self) -> Relation:
        return ">"

    def ge(self) -> Relation:
        return ">="

    # --- whole asks
    def points(self, *_: None) -> tuple[Predicate, ...]:
        return ()

    def predicates(self, *predicates: Predicate) -> tuple[Predicate, ...]:
        return predicates

    def locus_noun(self, *parts: Any) -> Ask:
        return self._ask_of(_opened(parts))

    region_noun = locus_noun

    def region_of(self, shape: PolygonOf, *parts: Any) -> Ask:
        return self._ask_of((Inside(shape), *_opened(parts)))

    def ask(self, ask: Ask, *_label: Word) -> Ask:
        return ask

    def ask_where(self, condition: Condition, ask: Ask, *_label: Word) -> Ask:
        if isinstance(ask, DrawLocus):
            known = () if ask.where is None else (ask.where,)
            return self._ask_of((condition, *known, ask.locus))
        if isinstance(ask, ShadeRegion):
            return self._ask_of((condition, ask.condition))
        raise NoAnswerError(
            "A condition stands before something that is neither a locus nor a region.",
            "Leave it out.",
        )

    def ask_nothing(self, *_: Any) -> None:
        return None

    def instruction(self, *_: Any) -> None:
        return None

    def _ask_of(self, predicates: tuple[Predicate, ...]) -> Ask:
        loci = [p for p in predicates if isinstance(p, _LOCI)]
        conditions = tuple(p for p in predicates if not isinstance(p, _LOCI))
        if len(loci) > 1:
            raise NoAnswerError(
                "The sentence asks for points that lie on two loci at once.",
                "Ask for each locus in a sentence of its own.",
            )
        sided = {c.shape for c in conditions if isinstance(c, Inside)}
        if loci:
            locus, conditions = _with_sides(loci[0], conditions, sided)
            self._note_outside(locus, predicates)
            return DrawLocus(locus, _joined(tuple(_inner(c, sided) for c in conditions)))
        whole = _joined(tuple(_inner(c, sided) for c in conditions))
        if whole is None:
            raise NoAnswerError("The sentence names no condition.", "Say which points are meant.")
        return ShadeRegion(whole)

    def _note_outside(self, locus: Locus, predicates: tuple[Predicate, ...]) -> None:
        if not isinstance(locus, AtDistance) or not isinstance(locus.feature, PolygonOf):
            return
        name = "".join(locus.feature.labels)
        if len(predicates) == 1:
            self.note(
                f"'from {name}' was read as outside {name}; write 'from the sides of {name}' for "
                "both sides, or 'inside' for the inside."
            )


_CORNERS = {
    "triangle": 3, "equilateral triangle": 3, "isosceles triangle": 3, "right-angled triangle": 3,
    "square": 4, "rectangle": 4, "parallelogram": 4, "rhombus": 4, "kite": 4, "trapezium": 4,
    "quadrilateral": 4, "pentagon": 5, "hexagon": 6,
}  # fmt: skip


def _opened(parts: tuple[Any, ...]) -> tuple[Predicate, ...]:
    """The predicates of all parts in order; None (the name of the moving point) is none."""
    flat: list[Predicate] = []
    for part in parts:
        if isinstance(part, tuple):
            flat.extend(_opened(part))
        elif part is not None:
            flat.append(part)
    return tuple(flat)


def _with_sides(
    locus: Locus,
    conditions: tuple[Condition, ...],
    sided: set[PolygonOf | CircleOf | DiscOf],
) -> tuple[Locus, tuple[Condition, ...]]:
    """A distance from a polygon, inside it from its sides; outside it the condition is
    said already by the distance from the whole."""
    if not isinstance(locus, AtDistance):
        return locus, conditions
    if locus.feature in sided:
        return AtDistance(SidesOf(_labels(locus.feature)), locus.length), conditions
    if isinstance(locus.feature, PolygonOf | SidesOf):
        whole = PolygonOf(locus.feature.labels)
        outside = Not(Inside(whole, strict=False))
        if outside in conditions:
            rest = tuple(c for c in conditions if c != outside)
            return AtDistance(whole, locus.length), rest
    return locus, conditions


def _labels(feature: Feature) -> tuple[str, ...]:
    return feature.labels if isinstance(feature, PolygonOf) else ()


def _inner(condition: Condition, sided: set[PolygonOf | CircleOf | DiscOf]) -> Condition:
    """Inside a polygon a distance from it is one from its sides."""
    if isinstance(condition, Distance) and condition.feature in sided:
        sides = SidesOf(_labels(condition.feature))
        return Distance(sides, condition.relation, condition.length)
    return condition


def _joined(conditions: tuple[Condition, ...]) -> Condition | None:
    """One condition for all of them, nested conjunctions opened; None for none."""
    flat: list[Condition] = []
    for condition in conditions:
        flat.extend(condition.conditions if isinstance(condition, AllOf) else (condition,))
    if not flat:
        return None
    return flat[0] if len(flat) == 1 else AllOf(tuple(flat))


def _same_cycle(one: tuple[str, ...], two: tuple[str, ...]) -> bool:
    n = len(one)
    turns = [one[i:] + one[:i] for i in range(n)]
    return two in turns or two[::-1] in turns


def _sides(shape: PolygonOf) -> tuple[SegmentOf, ...]:
    labels = shape.labels
    return tuple(SegmentOf(a, b) for a, b in zip(labels, labels[1:] + labels[:1], strict=True))


def _same_feature(one: Feature, two: Feature) -> bool:
    if isinstance(one, SegmentOf) and isinstance(two, SegmentOf):
        return {one.a, one.b} == {two.a, two.b}
    return one == two
