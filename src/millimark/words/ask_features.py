"""What an ask measures from: points, lines, arms, shapes, circles; and how "AB" is read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from millimark.errors import NoAnswerError
from millimark.loci.conditions import (
    CircleOf,
    Feature,
    LineOf,
    Locus,
    PointOf,
    PolygonOf,
    PolylineOf,
    RayOf,
    SegmentOf,
    SidesOf,
)
from millimark.loci.figure import Figure
from millimark.plane.curves import Segment
from millimark.words.common_tree import CommonTree, pair, triple
from millimark.words.drawing import ON_DIAMETER
from millimark.words.earley import Node, Word
from millimark.words.facts import Quantity
from millimark.words.shapes import CORNERS
from millimark.words.tokens import split_labels


@dataclass(frozen=True)
class Bare:
    """ "AB" with no word that says whether the line or the segment is meant."""

    a: str
    b: str


Meant = Feature | Bare


@dataclass(frozen=True)
class Scene:
    """What givens say of moving things: where an animal is tied and the length of its rope,
    the length of a ladder, the corner (with floor and wall ends) it stands in; cm; points
    that move (letter or None) with the trees that say how, and points that one given leaves
    free on a locus."""

    tether: tuple[str, float] | None = None
    ladder: float | None = None
    corner: tuple[str, str, str] | None = None
    motions: tuple[tuple[str | None, Node], ...] = ()
    free: tuple[tuple[str, Locus], ...] = ()


class FeatureTree(CommonTree):
    """The rules of asks.lark that name something; ``notes`` gathers how phrases were read."""

    def __init__(
        self, figure: Figure, cm: Callable[[Quantity], float], kinds: Mapping[tuple[str, ...], str]
    ) -> None:
        super().__init__()
        self.figure = figure
        self.cm = cm
        self.kinds: dict[tuple[str, ...], str] = dict(kinds)
        self.notes: list[str] = []
        self.moving_label: str | None = None
        self.last_shape: PolygonOf | None = None
        self.scene = Scene()

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

    def polyline(self, labels: Word) -> PolylineOf:
        return PolylineOf(tuple(self.known(label) for label in split_labels(str(labels))))

    def only_circle(self) -> CircleOf:
        if len(self.figure.circles) != 1:
            raise NoAnswerError(
                f"'the circle' could mean {len(self.figure.circles)} circles of the figure.",
                "Name it by its centre, as in 'the circle with centre O'.",
            )
        return CircleOf(self.figure.circles[0].name)

    def diameter_circle(self, ab: Word) -> CircleOf:
        ends = set(pair(ab))
        for circle in self.figure.circles:
            if set(split_labels(circle.name.removeprefix(ON_DIAMETER))) == ends:
                return CircleOf(circle.name)
        raise NoAnswerError(
            f"There is no circle on the diameter {ab} in the figure.",
            f"Give it first, as in 'A circle has diameter {ab}.'",
        )

    def named_circle(self, centre: Word) -> CircleOf:
        found = [c for c in self.figure.circles if c.centre_label == str(centre)]
        if len(found) != 1:
            raise NoAnswerError(
                f"There are {len(found)} circles with centre {centre} in the figure.",
                f"Give one first, as in 'A circle has centre {centre} and radius 3 cm.'",
            )
        return CircleOf(found[0].name)

    def circle_edge(self, circle: CircleOf) -> CircleOf:
        return circle

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

    def shape(self, *parts: str) -> PolygonOf:
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
        if kind == "polygon":
            return self.any_shape()
        found = [p for p in self.figure.polygons if kind in self.kinds.get(p, "")]
        if not found:
            found = [p for p in self.figure.polygons if len(p) == CORNERS.get(kind, 0)]
        if len(found) != 1:
            raise NoAnswerError(
                f"'the {kind}' could mean {len(found)} shapes of the figure.",
                f"Name it by its vertices, as in 'the {kind} {'PQRS'[: CORNERS.get(kind, 4)]}'.",
            )
        return self._noted(PolygonOf(found[0]))

    def any_shape(self) -> PolygonOf:
        if len(self.figure.polygons) != 1:
            raise NoAnswerError(
                f"'the shape' could mean {len(self.figure.polygons)} shapes of the figure.",
                "Name it by its vertices.",
            )
        return self._noted(PolygonOf(self.figure.polygons[0]))

    def strictly_inside(self, label: str, ring: tuple[str, ...]) -> bool:
        """Whether a point lies inside a polygon and not on its edge."""
        at = self.figure.points
        p, within = at[label], False
        for a, b in zip(ring, ring[1:] + ring[:1], strict=True):
            u, v = at[a], at[b]
            if Segment(u, v).distance_to(p) < 1e-9:
                return False
            if (u.y > p.y) != (v.y > p.y) and p.x < u.x + (p.y - u.y) / (v.y - u.y) * (v.x - u.x):
                within = not within
        return within

    # --- how a bare AB is read
    def as_side(self, feature: Meant) -> Feature:
        """A bare AB as the segment; no note is due where AB is a side of a printed shape."""
        if isinstance(feature, Bare):
            named = {feature.a, feature.b}
            for ring in self.figure.polygons:
                if any({side.a, side.b} == named for side in sides_of(PolygonOf(ring))):
                    return SegmentOf(feature.a, feature.b)
        return self.as_segment(feature)

    def as_segment(self, feature: Meant) -> Feature:
        """A bare AB as the segment, with a note."""
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


def _same_cycle(one: tuple[str, ...], two: tuple[str, ...]) -> bool:
    n = len(one)
    turns = [one[i:] + one[:i] for i in range(n)]
    return two in turns or two[::-1] in turns


def sides_of(shape: PolygonOf) -> tuple[SegmentOf, ...]:
    """The sides of a polygon in order."""
    labels = shape.labels
    return tuple(SegmentOf(a, b) for a, b in zip(labels, labels[1:] + labels[:1], strict=True))


def same_feature(one: Feature, two: Feature) -> bool:
    """Whether two features are one thing; a segment has no direction."""
    if isinstance(one, SegmentOf) and isinstance(two, SegmentOf):
        return {one.a, one.b} == {two.a, two.b}
    return one == two
