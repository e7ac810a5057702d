"""The parse tree of a given into facts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal

from millimark.errors import GivensError
from millimark.words.common_tree import CommonTree, pair, triple
from millimark.words.earley import Node, Word
from millimark.words.facts import (
    AngleOf,
    At,
    BearingOf,
    Beside,
    CircleAt,
    CircleThrough,
    Diagonals,
    Drawn,
    Fact,
    Hypotenuse,
    LadderOf,
    Length,
    Level,
    Mentioned,
    MidpointOf,
    Motion,
    OnCircle,
    OnLine,
    Parallel,
    ParallelApart,
    PathOf,
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
    Tether,
    VertexAngle,
)
from millimark.words.tokens import split_labels

Facts = list[Fact]
Way = Literal["horizontal", "vertical"]


def _flat(parts: Sequence[Any]) -> Facts:
    return [fact for part in parts for fact in part]


class GivenTree(CommonTree):
    """Every rule of givens.lark to a list of facts."""

    def given(self, *parts: Any) -> Facts:
        return _flat([part for part in parts if not isinstance(part, Word)])

    # --- shapes
    def shape(self, kind: str, labels: Word) -> Facts:
        return [Shape(kind, split_labels(str(labels)))]

    def is_shape(self, labels: Word, kind: str) -> Facts:
        return self.shape(kind, labels)

    def shape_with(self, kind: str, labels: Word, more: Facts) -> Facts:
        return [*self.shape(kind, labels), *more]

    def is_shape_with(self, labels: Word, kind: str, more: Facts) -> Facts:
        return self.shape_with(kind, labels, more)

    def shape_by(self, kind: str, labels: Word, a: Quantity, b: Quantity) -> Facts:
        return [*self.shape(kind, labels), Sides((a, b))]

    def is_shape_by(self, labels: Word, kind: str, a: Quantity, b: Quantity) -> Facts:
        return self.shape_by(kind, labels, a, b)

    def by_shape(self, a: Quantity, b: Quantity, kind: str, labels: Word) -> Facts:
        return self.shape_by(kind, labels, a, b)

    def right_at(self, kind: str, labels: Word, vertex: Word) -> Facts:
        return [*self.shape(kind, labels), RightAngleAt(str(vertex))]

    def is_regular(self, kind: str, labels: Word) -> Facts:
        return self.shape(regular(kind), labels)

    def side(self, length: Quantity) -> Facts:
        return [Sides((length,))]

    first_side = side

    def two_sides(self, a: Quantity, b: Quantity) -> Facts:
        return [Sides((a, b))]

    def three_sides(self, a: Quantity, b: Quantity, c: Quantity) -> Facts:
        return [Sides((a, b, c))]

    def right_angle_at(self, vertex: Word) -> Facts:
        return [RightAngleAt(str(vertex))]

    def is_by_shape(self, labels: Word, a: Quantity, b: Quantity, kind: str) -> Facts:
        return self.shape_by(kind, labels, a, b)

    def is_right(self, kind: str, labels: Word) -> Facts:
        return self.shape(f"right-angled {kind}", labels)

    def is_isosceles(self, kind: str, labels: Word) -> Facts:
        return self.shape(f"isosceles {kind}", labels)

    def each_side(self, kind: str, labels: Word, length: Quantity) -> Facts:
        return [*self.shape(regular(kind), labels), Sides((length,))]

    def sides_are(self, kind: str, labels: Word, lengths: Facts) -> Facts:
        return [*self.shape(kind, labels), *lengths]

    def sides_list(self, kind: str, labels: Word, *lengths: Quantity) -> Facts:
        return [*self.shape(kind, labels), Sides(lengths)]

    def sides_named(self, lengths: Facts) -> Facts:
        return lengths

    def vertices_are(self, *parts: Any) -> Facts:
        return [Shape(str(parts[-1]), tuple(str(p) for p in parts[:-1]))]

    def equal_sides_of(self, ab: Word, cd: Word, length: Quantity) -> Facts:
        return self.length_of(ab, cd, length)

    def hypotenuse(self, length: Quantity) -> Facts:
        return [Hypotenuse(length)]

    def diagonals(self, one: Quantity, two: Quantity) -> Facts:
        return [Diagonals(one, two)]

    # --- lengths and angles
    def level_only(self, ab: Word, way: Way) -> Facts:
        return [Level(*pair(ab), way)]

    def level_length(self, ab: Word, way: Way, length: Quantity) -> Facts:
        return [*self.level_only(ab, way), Length(*pair(ab), length, drawn=True)]

    def such_point(self, _label: Word, facts: Facts) -> Facts:
        return facts

    def angle_between(self, ab: Word, cd: Word, size: float) -> Facts:
        v, p, q = meeting(ab, cd)
        return [AngleOf(p, v, q, size)]

    def angle_makes(self, ab: Word, size: float, cd: Word) -> Facts:
        return self.angle_between(ab, cd, size)

    def vertex_angles(self, a: Word, b: Word, size: float) -> Facts:
        return [VertexAngle(str(a), size), VertexAngle(str(b), size)]

    def angles_each(self, a: Word, b: Word, size: float) -> Facts:
        return [AngleOf(*triple(a), size), AngleOf(*triple(b), size)]

    def angles_two(self, a: Word, b: Word, one: float, two: float) -> Facts:
        return [AngleOf(*triple(a), one), AngleOf(*triple(b), two)]

    def apart(self, *parts: Any) -> Facts:
        a, b = (str(p) for p in parts if isinstance(p, Word))
        (length,) = (p for p in parts if isinstance(p, Quantity))
        return [Length(b, a, length, drawn=False)]  # b is placed from a

    def apart_pair(self, ab: Word, length: Quantity) -> Facts:
        a, b = pair(ab)
        return [Length(b, a, length, drawn=False)]

    def length_of(self, *parts: Any) -> Facts:
        return [Length(*pair(ab), parts[-1], drawn=True) for ab in parts[:-1]]

    lengths_each = length_of

    def same_length(self, ab: Word, cd: Word) -> Facts:
        return [SameLength(*pair(ab), *pair(cd))]

    def angle_of(self, *parts: Any) -> Facts:
        (labels,) = (p for p in parts if isinstance(p, Word))
        (size,) = (p for p in parts if isinstance(p, float))
        return [AngleOf(*triple(labels), size)]

    def right_angle(self, labels: Word) -> Facts:
        return [AngleOf(*triple(labels), 90.0)]

    def vertex_angle(self, vertex: Word, size: float) -> Facts:
        return [VertexAngle(str(vertex), size)]

    # --- places
    def places(self, label: Word, *places: Any) -> Facts:
        return _flat([place(str(label)) for place in places])

    def places_each(self, *parts: Any) -> Facts:
        return _flat([parts[-1](str(label)) for label in parts[:-1]])

    def from_labels(self, *labels: Word) -> list[str]:
        return [str(label) for label in labels]

    def from_points(self, length: Quantity, labels: list[str]) -> Any:
        return lambda p: [Length(p, a, length, drawn=False) for a in labels]

    def shifted(self, length: Quantity, towards: str, start: Word) -> Any:
        return lambda p: [Shifted(p, str(start), length, towards)]

    def shifted_after(
        self, towards: str, start: Word, length: Quantity, end: Word | None = None
    ) -> Any:
        same_start(start, end)
        return self.shifted(length, towards, start)

    def midpoint(self, ab: Word) -> Any:
        return lambda p: [MidpointOf(p, *pair(ab))]

    def halfway(self, a: Word, b: Word) -> Any:
        return lambda p: [MidpointOf(p, str(a), str(b))]

    def on_segment(self, ab: Word) -> Any:
        return lambda p: [OnLine(p, *pair(ab), "segment")]

    def on_produced(self, ab: Word) -> Any:
        return lambda p: [OnLine(p, *pair(ab), "produced")]

    def on_whole(self, a: Word, b: Word) -> Any:
        return lambda p: [OnLine(p, str(a), str(b), "line")]

    def along_segment(self, ab: Word, _start: Word) -> Any:
        return self.on_segment(ab)

    def along(self, length: Quantity, ab: Word, start: Word | None = None) -> Any:
        a, b = pair(ab)
        origin = str(start) if start else a
        return lambda p: [OnLine(p, a, b, "segment"), Length(p, origin, length, drawn=False)]

    def along_from(self, length: Quantity, start: Word, ab: Word) -> Any:
        return self.along(length, ab, start)

    def on_segment_between(self, a: Word, b: Word) -> Any:
        return lambda p: [OnLine(p, str(a), str(b), "segment")]

    def between_on(self, a: Word, b: Word, _line: Word) -> Any:
        return self.on_segment_between(a, b)

    def on_circle(self, centre: str | None) -> Any:
        return lambda p: [OnCircle(p, centre)]

    def only_circle(self) -> None:
        return None

    def named_circle(self, centre: Word) -> str:
        return str(centre)

    def named_bearing(self, p: Word, start: Word, bearing: float) -> Facts:
        return [BearingOf(str(p), str(start), bearing)]

    def at_place(self, p: Word, place: tuple[float, float]) -> Facts:
        return [At(str(p), *place)]

    def diameter_is(self, ab: Word, centre: Word) -> Facts:
        a, b = pair(ab)
        return [
            MidpointOf(str(centre), a, b),
            Drawn(a, b, "segment"),
            CircleThrough(str(centre), a),
        ]

    def named_midpoint(self, ab: Word, p: Word) -> Facts:
        return [MidpointOf(str(p), *pair(ab))]

    def beside(self, side: str, ab: Word) -> Any:
        return lambda p: [Beside(p, *pair(ab), side)]

    def same_side_as(self, ab: Word, of: Word) -> Any:
        return lambda p: [SideAs(p, *pair(ab), str(of), same=True)]

    def other_side_from(self, ab: Word, of: Word) -> Any:
        return lambda p: [SideAs(p, *pair(ab), str(of), same=False)]

    def placed_inside(self, _kind: str, labels: Word) -> Any:
        return lambda p: [PlacedIn(p, split_labels(str(labels)), inside=True)]

    def placed_outside(self, _kind: str, labels: Word) -> Any:
        return lambda p: [PlacedIn(p, split_labels(str(labels)), inside=False)]

    def at(self, place: tuple[float, float]) -> Any:
        return lambda p: [At(p, *place)]

    def bearing_from(self, bearing: float, start: Word) -> Any:
        return lambda p: [BearingOf(p, str(start), bearing)]

    def bearing_distance(
        self, bearing: float, start: Word, length: Quantity, end: Word | None = None
    ) -> Any:
        return self.distance_bearing(length, start, bearing, end)

    def bearing_then_distance(self, bearing: float, length: Quantity, start: Word) -> Any:
        return self.distance_bearing(length, start, bearing)

    def distance_bearing(
        self, length: Quantity, start: Word, bearing: float, end: Word | None = None
    ) -> Any:
        same_start(start, end)
        return lambda p: [
            BearingOf(p, str(start), bearing),
            Length(p, str(start), length, drawn=False),
        ]

    def bearing(self, number: Word) -> float:
        return float(number)

    def coordinates(self, x: float, y: float) -> tuple[float, float]:
        return x, y

    def signed(self, number: Word) -> float:
        return float(number)

    def negative(self, number: Word) -> float:
        return -float(number)

    def read(self, node: Node | Word) -> Any:
        if isinstance(node, Node) and node.name in DIRECTIONS:
            return node.name.replace("_", "-")
        if isinstance(node, Node) and node.name == "motion":
            return self.motion(node)
        return super().read(node)

    def motion(self, node: Node) -> Facts:
        """The condition on the moving point stays a tree: it is read with the figure."""
        named = [c for c in node.children if isinstance(c, Node) and c.name == "moving"]
        label = str(named[0].children[0]) if named else None
        return [Motion(label, node)]

    # --- relations and drawing
    def parallel(self, ab: Word, cd: Word) -> Facts:
        return [Parallel(*pair(ab), *pair(cd))]

    def parallel_apart(self, ab: Word, cd: Word, gap: Quantity) -> Facts:
        return [ParallelApart(*pair(ab), *pair(cd), gap)]

    def mention(self, *labels: Word) -> Facts:
        return [Mentioned(tuple(str(label) for label in labels))]

    def perpendicular(self, ab: Word, cd: Word) -> Facts:
        return [Perpendicular(*pair(ab), *pair(cd))]

    def drawn_segment(self, ab: Word) -> Facts:
        return [Drawn(*pair(ab), "segment")]

    def drawn_both(self, ab: Word, cd: Word) -> Facts:
        return [Drawn(*pair(ab), "segment"), Drawn(*pair(cd), "segment")]

    def drawn_meet(self, ab: Word, cd: Word, at: Word) -> Facts:
        v, _, _ = meeting(ab, cd)
        if v != str(at):
            raise GivensError(
                f"{ab} and {cd} are said to meet at {at}, and their names share {v}.",
                "Name the meeting point by the letter that both lines have.",
            )
        return self.drawn_both(ab, cd)

    def drawn_line(self, a: Word, b: Word) -> Facts:
        return [Drawn(str(a), str(b), "line")]

    def drawn_join(self, a: Word, b: Word) -> Facts:
        return [Drawn(str(a), str(b), "segment")]

    def circle(self, centre: Word, radius: Quantity) -> Facts:
        return [CircleAt(str(centre), radius)]

    def circle_radius_first(self, radius: Quantity, centre: Word) -> Facts:
        return [CircleAt(str(centre), radius)]

    def circle_by_diameter(self, centre: Word, diameter: Quantity) -> Facts:
        return [CircleAt(str(centre), Quantity(diameter.value / 2, diameter.unit))]

    def circle_through(self, centre: Word, p: Word) -> Facts:
        return [CircleThrough(str(centre), str(p))]

    def tether(self, p: Word, length: Quantity) -> Facts:
        return [Tether(str(p), length)]

    def ladder(self, length: Quantity) -> Facts:
        return [LadderOf(length)]

    def path(self, labels: Word) -> Facts:
        return [PathOf(split_labels(str(labels)))]

    def path_through(self, *labels: Word) -> Facts:
        return [PathOf(tuple(str(label) for label in labels))]

    def scale(self, paper: Quantity, real: Quantity) -> Facts:
        return [ScaleIs(paper, real)]

    def ratio_scale(self, paper: Word, real: Word) -> Facts:
        return [ScaleIs(Quantity(float(paper), "cm"), Quantity(float(real), "cm"))]


def regular(kind: str) -> str:
    """The kind with all sides equal of which each side is given by one length."""
    if kind in ("pentagon", "hexagon", "heptagon", "octagon", "polygon"):
        return f"regular {kind}"
    return {"triangle": "equilateral triangle", "quadrilateral": "rhombus"}.get(kind, kind)


def meeting(ab: Word, cd: Word) -> tuple[str, str, str]:
    """The end that two lines share, then the other end of each."""
    one, two = pair(ab), pair(cd)
    shared = set(one) & set(two)
    if len(shared) != 1:
        raise GivensError(
            f"{ab} and {cd} share no end, so the angle between them has no vertex.",
            "Name the angle by three letters, as in 'angle BAC is 50°'.",
        )
    (v,) = shared
    return v, next(x for x in one if x != v), next(x for x in two if x != v)


def same_start(start: Word, end: Word | None) -> None:
    """ "above A and 5 cm from it" names one point only."""
    if end is not None and str(end) != str(start):
        raise GivensError(
            f"A direction from {start} goes with a distance from {start}, not from {end}.",
            f"Say how far it is from {start}.",
        )


DIRECTIONS = {
    "horizontal", "vertical",
    "right", "left", "above", "below", "north", "south", "east", "west",
    "north_east", "north_west", "south_east", "south_west",
}  # fmt: skip
