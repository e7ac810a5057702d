"""The rules of asks.lark that ask for a number: distances, lengths, areas, angles, bearings."""

from __future__ import annotations

from typing import Any, Literal

from millimark.errors import NoAnswerError
from millimark.loci.centres import lines_of
from millimark.loci.conditions import (
    AngleOf,
    AreaOf,
    AtDistance,
    BearingOf,
    CircleOf,
    DiscOf,
    DrawLocus,
    Equidistant,
    Greatest,
    LengthOf,
    Locus,
    MarkPoints,
    Measure,
    PointOf,
    PolygonOf,
    RayOf,
    SegmentOf,
    ShadeRegion,
    Shortest,
    TriangleCentre,
)
from millimark.words.ask_conditions import ConditionTree
from millimark.words.ask_features import Bare
from millimark.words.common_tree import pair, triple
from millimark.words.earley import Word

CentreKind = Literal["centroid", "circumcentre", "incentre", "orthocentre"]


class MeasureTree(ConditionTree):
    """What is measured, and the points where loci cross."""

    def measure(self, quantity: Any) -> Measure:
        return Measure(quantity)

    def _thing(self, thing: Any) -> Any:
        """A feature, a locus or a condition, out of whatever phrase named it."""
        if isinstance(thing, Bare):
            return self.as_segment(thing)
        if isinstance(thing, ShadeRegion):
            return thing.condition
        if isinstance(thing, DrawLocus):
            if thing.where is not None:
                raise NoAnswerError(
                    "A distance from a part of a locus cannot be worked out.",
                    "Name the whole locus or a region.",
                )
            return thing.locus
        return thing

    def shortest(self, one: Any, two: Any) -> Shortest:
        return Shortest(self._thing(one), self._thing(two))

    def greatest(self, one: Any, two: Any) -> Greatest:
        return Greatest(self._thing(one), self._thing(two))

    def distance_of(self, a: Word, b: Word) -> LengthOf:
        return LengthOf(SegmentOf(self.known(str(a)), self.known(str(b))))

    def how_far(self, a: Word, b: Word) -> Measure:
        return Measure(self.distance_of(a, b))

    def how_long(self, ab: Word) -> Measure:
        return Measure(self.pair_length(ab))

    def pair_length(self, ab: Word) -> LengthOf:
        a, b = pair(ab)
        return LengthOf(SegmentOf(self.known(a), self.known(b)))

    def length_of_thing(self, thing: Any) -> LengthOf:
        return LengthOf(self._thing(thing))

    def perimeter_shape(self, shape: PolygonOf) -> LengthOf:
        return LengthOf(shape)

    def circumference(self, circle: CircleOf) -> LengthOf:
        return LengthOf(circle)

    def area_shape(self, shape: PolygonOf) -> AreaOf:
        return AreaOf(shape)

    def area_circle(self, circle: CircleOf) -> AreaOf:
        return AreaOf(DiscOf(circle.name))

    def area_of_thing(self, thing: Any) -> AreaOf:
        found = self._thing(thing)
        if isinstance(found, Locus):
            raise NoAnswerError("A curve has no area.", "Ask for its length.")
        return AreaOf(found)

    def angle_size(self, arms: tuple[RayOf, RayOf]) -> AngleOf:
        one, two = arms
        return AngleOf(PointOf(one.b), PointOf(one.a), PointOf(two.b))

    def bearing_of(self, to: Word, start: Word) -> BearingOf:
        return BearingOf(self.point(start), self.point(to))

    # --- where loci cross
    def mark_midpoint(self, ab: Word) -> MarkPoints:
        a, b = pair(ab)
        line = SegmentOf(self.known(a), self.known(b))
        return MarkPoints((Equidistant((PointOf(a), PointOf(b))), AtDistance(line, 0.0)))

    def midpoint_its(self) -> MarkPoints:
        found = self.figure.segments
        if len(found) != 1:
            raise NoAnswerError(
                f"'its midpoint' could mean that of {len(found)} line segments.",
                "Name the segment, as in 'Mark the midpoint of AB.'",
            )
        a, b = found[0]
        return MarkPoints((Equidistant((PointOf(a), PointOf(b))), AtDistance(SegmentOf(a, b), 0.0)))

    def mark_noun(self, kind: CentreKind, labels: Word) -> MarkPoints:
        """A centre of a triangle, as the crossing of the first two of its three lines."""
        a, b, c = (self.known(label) for label in triple(labels))
        centre = TriangleCentre(kind, (a, b, c))
        return MarkPoints(lines_of(centre)[:2], centre=centre)

    def centroid(self) -> CentreKind:
        return "centroid"

    def circumcentre(self) -> CentreKind:
        return "circumcentre"

    def incentre(self) -> CentreKind:
        return "incentre"

    def orthocentre(self) -> CentreKind:
        return "orthocentre"

    def mark_crossing(self, one: Any, two: Any) -> MarkPoints:
        return MarkPoints((self._thing(one), self._thing(two)))
