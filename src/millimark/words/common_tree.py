"""What givens and asks share in a parse tree: labels, lengths, angles, kinds of shape.

A tree is read from its leaves: each node by the method that has its rule's name.
"""

from __future__ import annotations

from typing import Any

from millimark.words.earley import Node, Word
from millimark.words.facts import Quantity
from millimark.words.tokens import split_labels


def pair(token: Word) -> tuple[str, str]:
    """The two labels of "AB"."""
    a, b = split_labels(str(token))
    return a, b


def triple(token: Word) -> tuple[str, str, str]:
    """The three labels of "BAC"."""
    a, v, b = split_labels(str(token))
    return a, v, b


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
    "kind_heptagon": "heptagon",
    "kind_octagon": "octagon",
    "kind_regular_pentagon": "regular pentagon",
    "kind_regular_hexagon": "regular hexagon",
    "kind_regular_heptagon": "regular heptagon",
    "kind_regular_octagon": "regular octagon",
    "kind_regular": "regular polygon",
}


class CommonTree:
    """Labels, lengths, angles and kinds of shape: what both kinds of sentence share."""

    def read(self, node: Node | Word) -> Any:
        """What a tree means: each node's rule is read by the method of its name."""
        if isinstance(node, Word):
            return node
        children = [self.read(child) for child in node.children]
        if node.name in KINDS:
            return KINDS[node.name]
        return getattr(self, node.name)(*children)

    def length(self, number: Word, unit: Word) -> Quantity:
        return Quantity(float(number), str(unit))

    def degrees(self, number: Word) -> float:
        return float(number)

    def times(self, number: Word) -> float:
        return float(number)

    def times_long(self, number: Word | float) -> float:
        return float(number)

    def two(self) -> float:
        return 2.0

    def three(self) -> float:
        return 3.0

    def four(self) -> float:
        return 4.0

    def five(self) -> float:
        return 5.0

    def six(self) -> float:
        return 6.0

    def half(self) -> float:
        return 0.5

    def group(self, labels: Word) -> Word:
        return labels
