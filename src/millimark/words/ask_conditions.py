"""The rules of asks.lark that are true or false at a point: distances compared, sides."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from millimark.errors import NoAnswerError
from millimark.loci.conditions import (
    AllOf,
    AngleCompared,
    AnyOf,
    BearingBetween,
    CircleOf,
    Condition,
    Distance,
    Feature,
    Inside,
    LineOf,
    Locus,
    Nearer,
    Not,
    PointOf,
    PolygonOf,
    RatioCompared,
    RayOf,
    Relation,
    SameSide,
    SidesOf,
    SumCompared,
    WithinRope,
)
from millimark.words.ask_features import Meant, same_feature, sides_of
from millimark.words.ask_moving import MovingTree
from millimark.words.common_tree import pair, triple
from millimark.words.earley import Word
from millimark.words.facts import Quantity
from millimark.words.simplifying import simplified


class ConditionTree(MovingTree):
    """Conditions and what they compare with."""

    # --- conditions
    def compare(self, relation: Relation, length: Quantity, targets: Any) -> Condition:
        joined, features = targets
        cm = self.cm(length)
        far = relation in (">", ">=")
        whole = self._whole_edge(features)
        if whole is not None and far == (joined == "and"):
            return Distance(whole, relation, cm)
        found = tuple(Distance(self.as_segment(f), relation, cm) for f in features)
        if len(found) == 1:
            return found[0]
        # Far from "A or B" in English means far from both of them.
        return AllOf(found) if joined == "and" or far else AnyOf(found)

    def _whole_edge(self, features: tuple[Meant, ...]) -> SidesOf | None:
        """The edge of a polygon all of whose sides are named, in order."""
        for ring in self.figure.polygons:
            if len(features) > 1 and features == sides_of(PolygonOf(ring)):
                return SidesOf(ring)
        return None

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
        return Nearer(self.as_side(to), tuple(self.as_side(f) for f in rivals))

    def further(self, far: Meant, near: Meant) -> Condition:
        return Nearer(self.as_side(near), (self.as_side(far),))

    def not_nearer(self, to: Meant, than: Meant) -> Condition:
        return self.as_near(than, (to,))

    def not_further(self, far: Meant, near: Meant) -> Condition:
        """No further from one than from the other."""
        return self.as_near(far, (near,))

    def as_near(self, to: Meant, rivals: tuple[Meant, ...] | str) -> Condition:
        """At least as near to one as to every rival."""
        found = self.nearer(to, rivals)
        return replace(found, strict=False) if isinstance(found, Nearer) else found

    def negation(self, condition: Condition) -> Condition:
        return simplified(Not(condition))

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
        here = self.as_side(to)
        for polygon in self.figure.polygons:
            every: tuple[Feature, ...] = (
                tuple(PointOf(v) for v in polygon)
                if rivals == "vertices"
                else sides_of(PolygonOf(polygon))
            )
            others = tuple(f for f in every if not same_feature(f, here))
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
        return "and", sides_of(shape or self.any_shape())

    def any_side(self, shape: PolygonOf | None = None) -> Any:
        return "or", sides_of(shape or self.any_shape())

    def lt(self) -> Relation:
        return "<"

    def le(self) -> Relation:
        return "<="

    def gt(self) -> Relation:
        return ">"

    def ge(self) -> Relation:
        return ">="

    # --- sums, ratios, angles, bearings
    def sum_compare(self, a: Word, b: Word, relation: Relation, length: Quantity) -> Condition:
        return SumCompared(self.point(a), self.point(b), relation, self.cm(length))

    def moving_sum_compare(
        self, ab: Word, cd: Word, relation: Relation, length: Quantity
    ) -> Condition:
        return SumCompared(self._other_end(ab), self._other_end(cd), relation, self.cm(length))

    def ratio_compare(self, relation: Relation, times: float, a: Word, b: Word) -> Condition:
        self._ratio(self.point(a), times, self.point(b))
        return RatioCompared(self.point(a), self.point(b), relation, times)

    def seen_compare(self, ab: Word, relation: Relation, degrees: float) -> Condition:
        a, b = pair(ab)
        return AngleCompared(PointOf(self.known(a)), PointOf(self.known(b)), relation, degrees)

    def moving_angle_compare(self, labels: Word, relation: Relation, degrees: float) -> Condition:
        a, v, b = triple(labels)
        if v != self.moving_label:
            raise NoAnswerError(
                f"The moving point is not the vertex of angle {labels}.",
                "Compare the angle at the moving point, as in 'angle APB < 90°'.",
            )
        return AngleCompared(PointOf(self.known(a)), PointOf(self.known(b)), relation, degrees)

    def bearing_between(self, low: float, high: float, start: Word) -> Condition:
        return BearingBetween(self.point(start), low, high)

    def bearing_between_whose(self, start: Word, low: float, high: float) -> Condition:
        return self.bearing_between(low, high, start)

    # --- circles and ropes
    def inside_circle(self, circle: CircleOf) -> Condition:
        return Inside(circle)

    def outside_circle(self, circle: CircleOf) -> Condition:
        return Not(Inside(circle, strict=False))

    def within_rope(self, length: float, anchor: Word, obstacles: Any) -> Condition:
        at = self.point(anchor)
        return WithinRope(at, length, self._obstacles(at, obstacles))

    def within_rope_tied(self, anchor: Word, length: float, obstacles: Any) -> Condition:
        return self.within_rope(length, anchor, obstacles)

    def goat_reach(self) -> Condition:
        if self.scene.tether is None:
            raise NoAnswerError(
                "No given says how the animal is tied.",
                "Say it first, as in 'A goat is tied to A by a rope 5 m long.'",
            )
        anchor, length = self.scene.tether
        at = PointOf(self.known(anchor))
        return WithinRope(at, length, self._obstacles(at, ()))

    # --- either, neither, not both
    def either(self, *parts: Condition) -> Condition:
        return AnyOf(_conditions(parts))

    def alternative(self, *parts: Condition) -> Condition:
        return parts[0] if len(parts) == 1 else AllOf(_conditions(parts))

    def neither(self, one: Condition, two: Condition) -> Condition:
        return simplified(Not(AnyOf(_conditions((one, two)))))

    def not_both(self, one: Condition, two: Condition) -> Condition:
        return simplified(Not(AllOf(_conditions((one, two)))))

    def conjunction(self, *parts: Condition) -> Condition:
        return parts[0] if len(parts) == 1 else AllOf(_conditions(parts))

    def predicates_or(self, *parts: Condition) -> tuple[Condition, ...]:
        """Alternatives; "and" joins more closely than "or", and a note says so."""
        if any(isinstance(part, AllOf) for part in parts):
            self.note(
                "'and' was read as joining more closely than 'or'; write 'either ... or ...' "
                "round the alternatives if they belong together."
            )
        return (AnyOf(_conditions(parts)),)


def _conditions(parts: tuple[Any, ...]) -> tuple[Condition, ...]:
    """The parts, if each is a condition; a curve cannot be one alternative of two."""
    for part in parts:
        if isinstance(part, tuple) or not hasattr(part, "__dataclass_fields__"):
            raise NoAnswerError("An alternative must be one condition.", "Use shorter sentences.")
        if isinstance(part, Locus):
            raise NoAnswerError(
                "A locus cannot be one of two alternatives.",
                "Ask for the locus in a sentence of its own.",
            )
    return parts
