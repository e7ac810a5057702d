"""The rules of asks.lark that say on which curve a point lies: distances, bisectors,
standard constructions."""

from __future__ import annotations

from millimark.errors import NoAnswerError
from millimark.loci.conditions import (
    AngleAt,
    AtDistance,
    CircleOf,
    Circumcircle,
    Condition,
    DiscOf,
    Equidistant,
    Incircle,
    Inside,
    Locus,
    OnBearing,
    Parallel,
    Perpendicular,
    PointOf,
    PolygonOf,
    RatioOfDistances,
    RayOf,
    SidesOf,
    Subtends,
    SumOfDistances,
    Tangents,
)
from millimark.words.ask_features import Meant, sides_of
from millimark.words.ask_figures import FigureTree
from millimark.words.common_tree import pair, triple
from millimark.words.earley import Word
from millimark.words.facts import Quantity

Predicate = Locus | Condition


class LocusTree(FigureTree):
    """Loci of fixed things."""

    def at_distance(self, length: Quantity, feature: Meant) -> Locus:
        return AtDistance(self.as_segment(feature), self.cm(length))

    def whose_distance(self, feature: Meant, length: Quantity) -> Locus:
        return self.at_distance(length, feature)

    def at_outside(self, length: Quantity, shape: PolygonOf) -> Locus:
        return AtDistance(shape, self.cm(length))

    def at_inside(self, length: Quantity, shape: PolygonOf) -> tuple[Predicate, ...]:
        return AtDistance(SidesOf(shape.labels), self.cm(length)), Inside(shape)

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
        return Equidistant(sides_of(shape))

    def on_construction(self, locus: Locus) -> Locus:
        return locus

    # --- constructions
    def angle_bisector(self, arms: tuple[RayOf, RayOf]) -> Locus:
        return Equidistant(arms)

    bisect_angle = angle_bisector

    def angle_bisector_of(self, labels: Word) -> Locus:
        return Equidistant(self.angle(labels))

    def perpendicular_bisector(self, ab: Word) -> Locus:
        a, b = pair(ab)
        return Equidistant((PointOf(self.known(a)), PointOf(self.known(b))))

    def perpendicular_bisector_of(self, a: Word, b: Word) -> Locus:
        return Equidistant((self.point(a), self.point(b)))

    def perpendicular_bisectors(self, *pairs: Word) -> tuple[Locus, ...]:
        return tuple(self.perpendicular_bisector(ab) for ab in pairs)

    def bisectors_of_sides(self, shape: PolygonOf) -> tuple[Locus, ...]:
        return tuple(Equidistant((PointOf(s.a), PointOf(s.b))) for s in sides_of(shape))

    def angle_bisectors(self, *angles: Word) -> tuple[Locus, ...]:
        return tuple(self.angle_bisector_of(labels) for labels in angles)

    def bisectors_of_triangle(self, labels: Word) -> tuple[Locus, ...]:
        ring = triple(labels)
        arms = [(ring[i - 1], ring[i], ring[(i + 1) % 3]) for i in range(3)]
        for p in ring:
            self.known(p)
        return tuple(Equidistant((RayOf(v, p), RayOf(v, q))) for p, v, q in arms)

    def equidistant_points(self) -> Locus:
        if len(self.figure.points) != 2:
            raise NoAnswerError(
                f"'the two points' could mean any of {len(self.figure.points)} points.",
                "Name them, as in 'from A and B'.",
            )
        a, b = self.figure.points
        return Equidistant((PointOf(a), PointOf(b)))

    def at_nearest_side(self, length: Quantity, shape: PolygonOf | None = None) -> Locus:
        return AtDistance(SidesOf((shape or self.any_shape()).labels), self.cm(length))

    def ask_circle(self, centre: Word, radius: Quantity) -> Locus:
        return AtDistance(self.point(centre), self.cm(radius))

    def ask_circle_radius(self, radius: Quantity, centre: Word) -> Locus:
        return self.ask_circle(centre, radius)

    # --- sums, ratios, angles, bearings
    def sum_of(self, a: Word, b: Word, length: Quantity) -> Locus:
        return SumOfDistances(self.point(a), self.point(b), self.cm(length))

    def moving_sum(self, ab: Word, cd: Word, length: Quantity) -> Locus:
        return SumOfDistances(self._other_end(ab), self._other_end(cd), self.cm(length))

    def ratio_of(self, times: float, a: Word, b: Word) -> Locus:
        return self._ratio(self.point(a), times, self.point(b))

    def ratio_of_whose(self, a: Word, times: float, b: Word) -> Locus:
        return self.ratio_of(times, a, b)

    def moving_ratio(self, ab: Word, times: float, cd: Word) -> Locus:
        return self._ratio(self._other_end(ab), times, self._other_end(cd))

    def moving_ratio_sign(self, ab: Word, cd: Word, one: Word, two: Word) -> Locus:
        times = self._quotient(one, two)
        return self._ratio(self._other_end(ab), times, self._other_end(cd))

    def ratio_sign(self, a: Word, b: Word, one: Word, two: Word) -> Locus:
        return self._ratio(self.point(a), self._quotient(one, two), self.point(b))

    def _ratio(self, a: PointOf, times: float, b: PointOf) -> Locus:
        if times <= 0:
            raise NoAnswerError(
                f"A distance cannot be {times:g} times another.", "Name a number above zero."
            )
        return RatioOfDistances(a, b, times)

    def _quotient(self, one: Word, two: Word) -> float:
        if float(two) == 0:
            raise NoAnswerError(
                f"The ratio {one} : {two} has no value.", "Name two numbers above zero."
            )
        return float(one) / float(two)

    def seen_at(self, ab: Word, degrees: float) -> Locus:
        a, b = pair(ab)
        return Subtends(PointOf(self.known(a)), PointOf(self.known(b)), degrees)

    def moving_angle(self, labels: Word, degrees: float) -> Locus:
        """angle APB is seen from P; angle BAP has one arm and P on the other."""
        a, v, b = triple(labels)
        if v == self.moving_label:
            return Subtends(PointOf(self.known(a)), PointOf(self.known(b)), degrees)
        if self.moving_label not in (a, b):
            raise NoAnswerError(
                f"Angle {labels} does not contain the moving point.",
                "Name the moving point first, as in 'points P such that angle APB = 90°'.",
            )
        arm = b if a == self.moving_label else a
        return AngleAt(PointOf(self.known(v)), PointOf(self.known(arm)), degrees)

    def moving_right_angle(self, labels: Word) -> Locus:
        return self.moving_angle(labels, 90.0)

    def bearing(self, number: Word) -> float:
        degrees = float(number)
        if degrees > 360:
            raise NoAnswerError(
                f"The bearing {degrees:g}° is more than 360°.",
                "Bearings are counted clockwise from north.",
            )
        return degrees

    def on_bearing(self, bearing: float, start: Word) -> Locus:
        return OnBearing(self.point(start), bearing)

    def bearing_whose(self, start: Word, bearing: float) -> Locus:
        return self.on_bearing(bearing, start)

    def bearing_line(self, start: Word, bearing: float) -> Locus:
        return self.on_bearing(bearing, start)

    def bearing_line_from(self, bearing: float, start: Word) -> Locus:
        return self.on_bearing(bearing, start)

    # --- circles that are given
    def at_outside_circle(self, length: Quantity, circle: CircleOf) -> Locus:
        return AtDistance(DiscOf(circle.name), self.cm(length))

    def at_inside_circle(self, length: Quantity, circle: CircleOf) -> tuple[Predicate, ...]:
        return AtDistance(circle, self.cm(length)), Inside(circle)

    # --- standard lines and circles
    def perpendicular_through(self, ab: Word, through: Word) -> Locus:
        return Perpendicular(self.line(ab), self.point(through))

    def perpendicular_from(self, through: Word, ab: Word) -> Locus:
        return self.perpendicular_through(ab, through)

    def parallel_through(self, ab: Word, through: Word) -> Locus:
        return Parallel(self.line(ab), self.point(through))

    def parallel_from(self, through: Word, ab: Word) -> Locus:
        return self.parallel_through(ab, through)

    def angle_lines(self, vertex: Word, *parts: Word | float) -> Locus:
        """The lines through a point at an angle to a line that starts there."""
        size = next(p for p in parts if isinstance(p, float))
        ab = next(p for p in parts if isinstance(p, Word))
        v, a, b = str(vertex), *pair(ab)
        if v not in (a, b):
            raise NoAnswerError(
                f"The angle stands at {v}, which is no end of {ab}.",
                f"Name the arm by a line from {v}, as in '{v}{a}'.",
            )
        return AngleAt(self.point(vertex), PointOf(self.known(b if a == v else a)), size)

    def angle_line_side(self, vertex: Word, size: float, ab: Word, towards: Word) -> Locus:
        whole = self.angle_lines(vertex, size, ab)
        if not isinstance(whole, AngleAt):
            return whole
        return AngleAt(whole.vertex, whole.arm, size, self.point(towards))

    def tangents_from(self, through: Word, circle: CircleOf) -> Locus:
        return Tangents(circle, self.point(through))

    def tangents_to(self, circle: CircleOf, through: Word) -> Locus:
        return Tangents(circle, self.point(through))

    def circumcircle(self, labels: Word) -> Locus:
        a, b, c = (self.known(label) for label in triple(labels))
        return Circumcircle((a, b, c))

    def circle_through(self, *labels: Word) -> Locus:
        a, b, c = (self.known(str(label)) for label in labels)
        return Circumcircle((a, b, c))

    def incircle(self, labels: Word) -> Locus:
        a, b, c = (self.known(label) for label in triple(labels))
        return Incircle((a, b, c))
