"""The rules of givens.lark for shapes, lengths and angles."""

from __future__ import annotations

from typing import Any, Literal

from millimark.errors import GivensError
from millimark.words.common_tree import CommonTree, pair, triple
from millimark.words.earley import Word
from millimark.words.facts import (
    AngleOf,
    CircleAt,
    Diagonals,
    Fact,
    Hypotenuse,
    Length,
    LengthRatio,
    Level,
    OnCircle,
    OnLine,
    Perimeter,
    Quantity,
    RightAngleAt,
    SameLength,
    Shape,
    Sides,
    VertexAngle,
)
from millimark.words.tokens import split_labels

Facts = list[Fact]
Way = Literal["horizontal", "vertical"]


class ShapeTree(CommonTree):
    """Shapes with their properties, lengths and angles, each to a list of facts."""

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

    def perimeter(self, length: Quantity) -> Facts:
        return [Perimeter(length)]

    def perimeter_of(self, kind: str, labels: Word, length: Quantity) -> Facts:
        return [*self.shape(kind, labels), Perimeter(length)]

    def two_sides_of(self, ab: Word, cd: Word, kind: str, labels: Word, length: Quantity) -> Facts:
        return [*self.shape(kind, labels), *self.length_of(ab, cd, length)]

    def hypotenuse(self, length: Quantity) -> Facts:
        return [Hypotenuse(length)]

    def diagonal(self, length: Quantity) -> Facts:
        return [Diagonals(length, None)]

    def inscribed(self, kind: str, labels: Word, centre: Word, radius: Quantity) -> Facts:
        ring = split_labels(str(labels))
        on = [OnCircle(p, str(centre)) for p in ring]
        return [CircleAt(str(centre), radius), *self.shape(kind, labels), *on]

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

    def length_ratio(self, ab: Word, times: float, cd: Word) -> Facts:
        if times <= 0:
            raise GivensError(
                f"{ab} cannot be {times:g} times as long as {cd}.", "Name a number above zero."
            )
        return [LengthRatio(*pair(ab), *pair(cd), times)]

    def lengths_in_ratio(self, ab: Word, cd: Word, one: Word, two: Word) -> Facts:
        return self.length_ratio(ab, _quotient(one, two), cd)

    def divides(self, p: Word, ab: Word, one: Word, two: Word) -> Facts:
        a, b = pair(ab)
        times = _quotient(one, two)
        return [OnLine(str(p), a, b, "segment"), LengthRatio(a, str(p), str(p), b, times)]

    def angle_of(self, *parts: Any) -> Facts:
        (labels,) = (p for p in parts if isinstance(p, Word))
        (size,) = (p for p in parts if isinstance(p, float))
        return [AngleOf(*triple(labels), size)]

    def right_angle(self, labels: Word) -> Facts:
        return [AngleOf(*triple(labels), 90.0)]

    def vertex_angle(self, vertex: Word, size: float) -> Facts:
        return [VertexAngle(str(vertex), size)]


def _quotient(one: Word, two: Word) -> float:
    if float(one) <= 0 or float(two) <= 0:
        raise GivensError(
            f"The ratio {one} : {two} is no ratio of lengths.", "Name two numbers above zero."
        )
    return float(one) / float(two)


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
