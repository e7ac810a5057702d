"""The parse tree of a given into facts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal

from lark import Token, Transformer, v_args

from millimark.errors import GivensError
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
from millimark.words.tokens import split_labels

Facts = list[Fact]
Way = Literal["horizontal", "vertical"]


def pair(token: Token) -> tuple[str, str]:
    """The two labels of "AB"."""
    a, b = split_labels(str(token))
    return a, b


def triple(token: Token) -> tuple[str, str, str]:
    """The three labels of "BAC"."""
    a, v, b = split_labels(str(token))
    return a, v, b


def _flat(parts: Sequence[Any]) -> Facts:
    return [fact for part in parts for fact in part]


KINDS = {
    "kind_triangle": "triangle",
    "kind_equilateral": "equilateral triangle",
    "kind_isosceles": "isosceles triangle",
    "kind_right": "right-angled triangle",
    "kind_square": "square",
    "kind_rectangle": "rectangle",
    "kind_parallelogram": "parallelogram",
    "kind_rhombus": "rhombus",
    "kind_kite": "kite",
    "kind_trapezium": "trapezium",
    "kind_isosceles_trapezium": "isosceles trapezium",
    "kind_quadrilateral": "quadrilateral",
    "kind_pentagon": "pentagon",
    "kind_hexagon": "hexagon",
    "kind_polygon": "polygon",
    "kind_regular": "regular polygon",
}


@v_args(inline=True)
class CommonTree(Transformer[Token, Any]):
    """Labels, lengths, angles and kinds of shape: what both kinds of sentence share."""

    def __getattr__(self, name: str) -> Any:
        if name in KINDS:
            return lambda *_: KINDS[name]
        raise AttributeError(name)

    def length(self, number: Token, unit: Token) -> Quantity:
        return Quantity(float(number), str(unit))

    def degrees(self, number: Token) -> float:
        return float(number)

    def group(self, labels: Token) -> Token:
        return labels


@v_args(inline=True)
class GivenTree(CommonTree):
    """Every rule of givens.lark to a list of facts."""

    def given(self, *parts: Any) -> Facts:
        return _flat([part for part in parts if not isinstance(part, Token)])

    # --- shapes
    def shape(self, kind: str, labels: Token) -> Facts:
        return [Shape(kind, split_labels(str(labels)))]

    def is_shape(self, labels: Token, kind: str) -> Facts:
        return self.shape(kind, labels)

    def shape_with(self, kind: str, labels: Token, more: Facts) -> Facts:
        return [*self.shape(kind, labels), *more]

    def is_shape_with(self, labels: Token, kind: str, more: Facts) -> Facts:
        return self.shape_with(kind, labels, more)

    def shape_by(self, kind: str, labels: Token, a: Quantity, b: Quantity) -> Facts:
        return [*self.shape(kind, labels), Sides((a, b))]

    def is_shape_by(self, labels: Token, kind: str, a: Quantity, b: Quantity) -> Facts:
        return self.shape_by(kind, labels, a, b)

    def by_shape(self, a: Quantity, b: Quantity, kind: str, labels: Token) -> Facts:
        return self.shape_by(kind, labels, a, b)

    def right_at(self, kind: str, labels: Token, vertex: Token) -> Facts:
        return [*self.shape(kind, labels), RightAngleAt(str(vertex))]

    def is_regular(self, kind: str, labels: Token) -> Facts:
        whole = "equilateral triangle" if kind == "triangle" else "regular polygon"
        return self.shape(whole, labels)

    def side(self, length: Quantity) -> Facts:
        return [Sides((length,))]

    first_side = side

    def two_sides(self, a: Quantity, b: Quantity) -> Facts:
        return [Sides((a, b))]

    def three_sides(self, a: Quantity, b: Quantity, c: Quantity) -> Facts:
        return [Sides((a, b, c))]

    def right_angle_at(self, vertex: Token) -> Facts:
        return [RightAngleAt(str(vertex))]

    def is_by_shape(self, labels: Token, a: Quantity, b: Quantity, kind: str) -> Facts:
        return self.shape_by(kind, labels, a, b)

    def is_right(self, kind: str, labels: Token) -> Facts:
        return self.shape(f"right-angled {kind}", labels)

    def is_isosceles(self, kind: str, labels: Token) -> Facts:
        return self.shape(f"isosceles {kind}", labels)

    def each_side(self, kind: str, labels: Token, length: Quantity) -> Facts:
        whole = "equilateral triangle" if kind == "triangle" else kind
        return [*self.shape(whole, labels), Sides((length,))]

    def sides_are(self, kind: str, labels: Token, lengths: Facts) -> Facts:
        return [*self.shape(kind, labels), *lengths]

    def sides_list(self, kind: str, labels: Token, *lengths: Quantity) -> Facts:
        return [*self.shape(kind, labels), Sides(lengths)]

    def sides_named(self, lengths: Facts) -> Facts:
        return lengths

    def vertices_are(self, *parts: Any) -> Facts:
        return [Shape(str(parts[-1]), tuple(str(p) for p in parts[:-1]))]

    def equal_sides_of(self, ab: Token, cd: Token, length: Quantity) -> Facts:
        return self.length_of(ab, cd, length)

    # --- lengths and angles
    def level_only(self, ab: Token, way: Way) -> Facts:
        return [Level(*pair(ab), way)]

    def level_length(self, ab: Token, way: Way, length: Quantity) -> Facts:
        return [*self.level_only(ab, way), Length(*pair(ab), length, drawn=True)]

    def such_point(self, _label: Token, facts: Facts) -> Facts:
        return facts

    def angle_between(self, ab: Token, cd: Token, size: float) -> Facts:
        v, p, q = meeting(ab, cd)
        return [AngleOf(p, v, q, size)]

    def angle_makes(self, ab: Token, size: float, cd: Token) -> Facts:
        return self.angle_between(ab, cd, size)

    def vertex_angles(self, a: Token, b: Token, size: float) -> Facts:
        return [VertexAngle(str(a), size), VertexAngle(str(b), size)]

    def angles_each(self, a: Token, b: Token, size: float) -> Facts:
        return [AngleOf(*triple(a), size), AngleOf(*triple(b), size)]

    def angles_two(self, a: Token, b: Token, one: float, two: float) -> Facts:
        return [AngleOf(*triple(a), one), AngleOf(*triple(b), two)]

    def apart(self, *parts: Any) -> Facts:
        a, b = (str(p) for p in parts if isinstance(p, Token))
        (length,) = (p for p in parts if isinstance(p, Quantity))
        return [Length(b, a, length, drawn=False)]  # b is placed from a

    def apart_pair(self, ab: Token, length: Quantity) -> Facts:
        a, b = pair(ab)
        return [Length(b, a, length, drawn=False)]

    def length_of(self, *parts: Any) -> Facts:
        return [Length(*pair(ab), parts[-1], drawn=True) for ab in parts[:-1]]

    lengths_each = length_of

    def same_length(self, ab: Token, cd: Token) -> Facts:
        return [SameLength(*pair(ab), *pair(cd))]

    def angle_of(self, *parts: Any) -> Facts:
        (labels,) = (p for p in parts if isinstance(p, Token))
        (size,) = (p for p in parts if isinstance(p, float))
        return [AngleOf(*triple(labels), size)]

    def right_angle(self, labels: Token) -> Facts:
        return [AngleOf(*triple(labels), 90.0)]

    def vertex_angle(self, vertex: Token, size: float) -> Facts:
        return [VertexAngle(str(vertex), size)]

    # --- places
    def places(self, label: Token, *places: Any) -> Facts:
        return _flat([place(str(label)) for place in places])

    def from_labels(self, *labels: Token) -> list[str]:
        return [str(label) for label in labels]

    def from_points(self, length: Quantity, labels: list[str]) -> Any:
        return lambda p: [Length(p, a, length, drawn=False) for a in labels]

    def shifted(self, length: Quantity, towards: str, start: Token) -> Any:
        return lambda p: [Shifted(p, str(start), length, towards)]

    def shifted_after(
        self, towards: str, start: Token, length: Quantity, end: Token | None = None
    ) -> Any:
        same_start(start, end)
        return self.shifted(length, towards, start)

    def midpoint(self, ab: Token) -> Any:
        return lambda p: [MidpointOf(p, *pair(ab))]

    def halfway(self, a: Token, b: Token) -> Any:
        return lambda p: [MidpointOf(p, str(a), str(b))]

    def on_segment(self, ab: Token) -> Any:
        return lambda p: [OnLine(p, *pair(ab), "segment")]

    def on_produced(self, ab: Token) -> Any:
        return lambda p: [OnLine(p, *pair(ab), "produced")]

    def on_whole(self, a: Token, b: Token) -> Any:
        return lambda p: [OnLine(p, str(a), str(b), "line")]

    def along_segment(self, ab: Token, _start: Token) -> Any:
        return self.on_segment(ab)

    def along(self, length: Quantity, ab: Token, start: Token | None = None) -> Any:
        a, b = pair(ab)
        origin = str(start) if start else a
        return lambda p: [OnLine(p, a, b, "segment"), Length(p, origin, length, drawn=False)]

    def on_at(self, ab: Token, length: Quantity, start: Token) -> Any:
        return self.along(length, ab, start)

    def along_from(self, length: Quantity, start: Token, ab: Token) -> Any:
        return self.along(length, ab, start)

    def on_segment_between(self, a: Token, b: Token) -> Any:
        return lambda p: [OnLine(p, str(a), str(b), "segment")]

    def between_on(self, a: Token, b: Token, _line: Token) -> Any:
        return self.on_segment_between(a, b)

    def named_midpoint(self, ab: Token, p: Token) -> Facts:
        return [MidpointOf(str(p), *pair(ab))]

    def beside(self, side: str, ab: Token) -> Any:
        return lambda p: [Beside(p, *pair(ab), side)]

    def same_side_as(self, ab: Token, of: Token) -> Any:
        return lambda p: [SideAs(p, *pair(ab), str(of), same=True)]

    def other_side_from(self, ab: Token, of: Token) -> Any:
        return lambda p: [SideAs(p, *pair(ab), str(of), same=False)]

    def placed_inside(self, _kind: str, labels: Token) -> Any:
        return lambda p: [PlacedIn(p, split_labels(str(labels)), inside=True)]

    def placed_outside(self, _kind: str, labels: Token) -> Any:
        return lambda p: [PlacedIn(p, split_labels(str(labels)), inside=False)]

    def at(self, place: tuple[float, float]) -> Any:
        return lambda p: [At(p, *place)]

    def bearing_from(self, bearing: float, start: Token) -> Any:
        return lambda p: [BearingOf(p, str(start), bearing)]

    def bearing_distance(
        self, bearing: float, start: Token, length: Quantity, end: Token | None = None
    ) -> Any:
        return self.distance_bearing(length, start, bearing, end)

    def bearing_then_distance(self, bearing: float, length: Quantity, start: Token) -> Any:
        return self.distance_bearing(length, start, bearing)

    def distance_bearing(
        self, length: Quantity, start: Token, bearing: float, end: Token | None = None
    ) -> Any:
        same_start(start, end)
        return lambda p: [
            BearingOf(p, str(start), bearing),
            Length(p, str(start), length, drawn=False),
        ]

    def bearing(self, number: Token) -> float:
        return float(number)

    def coordinates(self, x: float, y: float) -> tuple[float, float]:
        return x, y

    def signed(self, number: Token) -> float:
        return float(number)

    def negative(self, number: Token) -> float:
        return -float(number)

    def __getattr__(self, name: str) -> Any:
        if name in _DIRECTIONS:
            return lambda *_: name.replace("_", "-")
        return super().__getattr__(name)

    # --- relations and drawing
    def parallel(self, ab: Token, cd: Token) -> Facts:
        return [Parallel(*pair(ab), *pair(cd))]

    def parallel_apart(self, ab: Token, cd: Token, gap: Quantity) -> Facts:
        return [ParallelApart(*pair(ab), *pair(cd), gap)]

    def mention(self, *labels: Token) -> Facts:
        return [Mentioned(tuple(str(label) for label in labels))]

    def perpendicular(self, ab: Token, cd: Token) -> Facts:
        return [Perpendicular(*pair(ab), *pair(cd))]

    def drawn_segment(self, ab: Token) -> Facts:
        return [Drawn(*pair(ab), "segment")]

    def drawn_both(self, ab: Token, cd: Token) -> Facts:
        return [Drawn(*pair(ab), "segment"), Drawn(*pair(cd), "segment")]

    def drawn_meet(self, ab: Token, cd: Token, at: Token) -> Facts:
        v, _, _ = meeting(ab, cd)
        if v != str(at):
            raise GivensError(
                f"{ab} and {cd} are said to meet at {at}, and their names share {v}.",
                "Name the meeting point by the letter that both lines have.",
            )
        return self.drawn_both(ab, cd)

    def drawn_line(self, a: Token, b: Token) -> Facts:
        return [Drawn(str(a), str(b), "line")]

    def drawn_join(self, a: Token, b: Token) -> Facts:
        return [Drawn(str(a), str(b), "segment")]

    def circle(self, centre: Token, radius: Quantity) -> Facts:
        return [CircleAt(str(centre), radius)]

    def circle_radius_first(self, radius: Quantity, centre: Token) -> Facts:
        return [CircleAt(str(centre), radius)]

    def circle_by_diameter(self, centre: Token, diameter: Quantity) -> Facts:
        return [CircleAt(str(centre), Quantity(diameter.value / 2, diameter.unit))]

    def scale(self, paper: Quantity, real: Quantity) -> Facts:
        return [ScaleIs(paper, real)]

    def ratio_scale(self, paper: Token, real: Token) -> Facts:
        return [ScaleIs(Quantity(float(paper), "cm"), Quantity(float(real), "cm"))]


def meeting(ab: Token, cd: Token) -> tuple[str, str, str]:
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


def same_start(start: Token, end: Token | None) -> None:
    """ "above A and 5 cm from it" names one point only."""
    if end is not None and str(end) != str(start):
        raise GivensError(
            f"A direction from {start} goes with a distance from {start}, not from {end}.",
            f"Say how far it is from {start}.",
        )


_DIRECTIONS = {
    "horizontal", "vertical",
    "right", "left", "above", "below", "north", "south", "east", "west",
    "north_east", "north_west", "south_east", "south_west",
}  # fmt: skip
