"""The rules of asks.lark for points that move: midpoints, ladders, wheels, rolling, ropes."""

from __future__ import annotations

from typing import Any

from millimark.errors import NoAnswerError
from millimark.loci.conditions import (
    ChordMidpoints,
    CircleOf,
    DiscOf,
    Feature,
    FootOfPerpendicular,
    Ladder,
    LineOf,
    Locus,
    MidpointsFrom,
    PointOf,
    PolygonOf,
    PolylineOf,
    RayOf,
    RimPoint,
    RollingShape,
    RopeEnd,
    SegmentOf,
    SidesOf,
    WheelCentre,
)
from millimark.words.ask_features import Meant
from millimark.words.ask_loci import LocusTree
from millimark.words.common_tree import pair
from millimark.words.earley import Word
from millimark.words.facts import Quantity

Obstacle = PolygonOf | DiscOf


class MovingTree(LocusTree):
    """Loci of points that move with something."""

    # --- along something
    def midpoints(self, ab: Word, moving: Word, along: Meant) -> Locus:
        fixed = self._fixed_end(ab, moving)
        return MidpointsFrom(fixed, self._track(along))

    def shares(self, share: float, fixed: Word, moving: Word, again: Word, along: Meant) -> Locus:
        self.moving(moving)
        self.moving(again)
        return MidpointsFrom(self.point(fixed), self._track(along), self._share(share))

    def _fixed_end(self, ab: Word, moving: Word) -> PointOf:
        self.moving(moving)
        return self._other_end(ab)

    def _track(self, along: Meant) -> SegmentOf | RayOf | LineOf | PolylineOf | SidesOf | CircleOf:
        feature = self.as_segment(along)
        if isinstance(feature, PolygonOf):
            return SidesOf(feature.labels)
        if isinstance(feature, PointOf | DiscOf):
            raise NoAnswerError(
                "A point cannot move along a single point.", "Name a line, a shape or a circle."
            )
        return feature

    def share(self, number: Word) -> float:
        return float(number)

    def third(self) -> float:
        return 1 / 3

    def two_thirds(self) -> float:
        return 2 / 3

    def quarter(self) -> float:
        return 0.25

    def three_quarters(self) -> float:
        return 0.75

    def _share(self, share: float) -> float:
        if not 0 < share < 1:
            raise NoAnswerError(
                f"{share:g} of the way is not between its ends.", "Name a share between 0 and 1."
            )
        return share

    def feet(self, of: Word, about: Word) -> Locus:
        return FootOfPerpendicular(self.point(of), self.point(about))

    # --- chords
    def chord_midpoints(self, circle: CircleOf, length: Quantity) -> Locus:
        return ChordMidpoints(circle, length=self.cm(length))

    def chord_midpoints_first(self, length: Quantity, circle: CircleOf) -> Locus:
        return self.chord_midpoints(circle, length)

    def chords_through(self, circle: CircleOf, through: Word) -> Locus:
        return ChordMidpoints(circle, through=self.point(through))

    def chords_through_first(self, through: Word, circle: CircleOf) -> Locus:
        return self.chords_through(circle, through)

    # --- ladders
    def share_up(self, share: float) -> float:
        return self._share(share)

    def length_up(self, length: Quantity) -> Quantity:
        return length

    def ladder(self, point: float | Quantity, length: Quantity, floor: Word, wall: Word) -> Locus:
        cm = self.cm(length)
        share = self.cm(point) / cm if isinstance(point, Quantity) and cm > 0 else point
        one, two = pair(floor), pair(wall)
        shared = set(one) & set(two)
        if len(shared) != 1 or isinstance(share, Quantity):
            raise NoAnswerError(
                f"The ladder slides along {floor} and {wall}, which have no corner in common.",
                "Name floor and wall from their corner, as in 'OA' and 'OB'.",
            )
        (corner,) = shared
        foot, top = (next(x for x in ends if x != corner) for ends in (one, two))
        corner, foot, top = self.known(corner), self.known(foot), self.known(top)
        return Ladder(PointOf(corner), PointOf(foot), PointOf(top), cm, self._share(share))

    def ladder_alone(self, point: float | Quantity, length: Quantity) -> Locus:
        return self._against_wall(point, self.cm(length))

    def ladder_its(self, point: float | Quantity = 0.5) -> Locus:
        if self.scene.ladder is None:
            raise NoAnswerError(
                "No given says how long the ladder is.",
                "Say it first, as in 'A ladder 6 m long slides down a wall.'",
            )
        return self._against_wall(point, self.scene.ladder)

    def _against_wall(self, point: float | Quantity, cm: float) -> Locus:
        """A ladder against the wall that ``scene`` added to the figure."""
        if self.scene.corner is None:
            raise NoAnswerError("The ladder has no wall.", "Name its floor and its wall.")
        corner, floor, wall = self.scene.corner
        share = self.cm(point) / cm if isinstance(point, Quantity) else point
        return Ladder(PointOf(corner), PointOf(floor), PointOf(wall), cm, self._share(share))

    # --- rolling
    def along_line(self, ab: Word) -> LineOf:
        return self.line(ab)

    def round_shape(self, _kind: str, labels: Word) -> PolygonOf:
        return self.shape(str(labels))

    def round_shape_bare(self, labels: Word) -> PolygonOf:
        return self.shape(str(labels))

    def rolling(
        self, traced: Word, _kind: str, labels: Word, along: LineOf | PolygonOf, rolls: int | None
    ) -> Locus:
        return RollingShape(self.shape(str(labels)), along, self.point(traced), rolls)

    def rolling_centre(
        self, _kind: str, labels: Word, along: LineOf | PolygonOf, rolls: int | None
    ) -> Locus:
        return RollingShape(self.shape(str(labels)), along, None, rolls)

    def rolls_count(self) -> None:
        return None

    def count_rolls(self, count: float) -> int:
        if count != int(count) or not 1 <= count <= 100:
            raise NoAnswerError(
                f"A shape cannot tip over {count:g} times.", "Name a whole number up to 100."
            )
        return int(count)

    def count(self, number: Word) -> float:
        return float(number)

    def one(self) -> float:
        return 1.0

    # --- wheels
    def wheel_centre(self, *parts: Any) -> Locus:
        radius = next(p for p in parts if isinstance(p, Quantity))
        along, inside = parts[-1]
        return WheelCentre(self.cm(radius), along, inside)

    def wheel(self) -> None:
        return None

    def wheel_on(self, along: Meant) -> tuple[Any, bool]:
        feature = self.as_segment(along)
        if isinstance(feature, SidesOf):
            feature = PolygonOf(feature.labels)
        if isinstance(feature, PointOf | RayOf | DiscOf):
            raise NoAnswerError(
                "A wheel rolls along a line, round a shape or round a circle.",
                "Name what it rolls along.",
            )
        return feature, False

    def wheel_circle(self, circle: CircleOf) -> tuple[Any, bool]:
        return circle, False

    def wheel_inside(self, shape: PolygonOf) -> tuple[Any, bool]:
        return shape, True

    def wheel_inside_circle(self, circle: CircleOf) -> tuple[Any, bool]:
        return circle, True

    def rim_point(self, *parts: Any) -> Locus:
        radius = next(p for p in parts if isinstance(p, Quantity))
        start, towards = (p for p in parts if isinstance(p, Word))
        return RimPoint(self.cm(radius), self.point(start), self.point(towards), float(parts[-1]))

    def rim_along(self, *parts: Any) -> Locus:
        radius = next(p for p in parts if isinstance(p, Quantity))
        a, b = pair(next(p for p in parts if isinstance(p, Word)))
        start, towards = PointOf(self.known(a)), PointOf(self.known(b))
        return RimPoint(self.cm(radius), start, towards, float(parts[-1]))

    def turns(self) -> float:
        return 1.0

    def count_turns(self, count: float) -> float:
        if not 0 < count <= 100:
            raise NoAnswerError(f"A wheel cannot turn {count:g} times.", "Name 1 to 100 turns.")
        return count

    # --- ropes
    def rope_of_length(self, length: Quantity) -> float:
        return self.cm(length)

    def rope_end(self, length: float, anchor: Word, obstacles: tuple[Obstacle, ...]) -> Locus:
        at = self.point(anchor)
        return RopeEnd(at, length, self._obstacles(at, obstacles))

    def rope_round(self) -> tuple[Obstacle, ...]:
        return ()

    def rope_obstacle(self, *shapes: Feature) -> tuple[Obstacle, ...]:
        found: list[Obstacle] = []
        for shape in shapes:
            if isinstance(shape, CircleOf):
                found.append(DiscOf(shape.name))
            elif isinstance(shape, PolygonOf):
                found.append(shape)
            else:
                raise NoAnswerError("A rope bends round a shape or a circle.", "Name one.")
        return tuple(found)

    def _obstacles(self, anchor: PointOf, said: tuple[Obstacle, ...]) -> tuple[Obstacle, ...]:
        """What the rope bends round: the shapes that are named, else every printed shape
        in which the rope is not fixed."""
        if said:
            return said
        found: list[Obstacle] = []
        for ring in self.figure.polygons:
            if not self.strictly_inside(anchor.label, ring):
                found.append(PolygonOf(ring))
        for circle in self.figure.circles:
            gap = self.figure.points[anchor.label].distance(circle.centre) - circle.radius
            if gap > -1e-9:
                found.append(DiscOf(circle.name))
        if found:
            names = " and ".join(
                "".join(o.labels) if isinstance(o, PolygonOf) else f"the circle {o.name}"
                for o in found
            )
            self.note(f"The rope was read as bending round {names}, which it cannot enter.")
        return tuple(found)
