"""Whole givens: a parse tree to a list of facts."""

from __future__ import annotations

from typing import Any

from millimark.errors import GivensError
from millimark.words.common_tree import pair
from millimark.words.earley import Node, Word
from millimark.words.facts import (
    CircleAcross,
    CircleAt,
    CircleThrough,
    Drawn,
    LadderOf,
    Mentioned,
    Motion,
    OnLine,
    Parallel,
    ParallelApart,
    PathOf,
    Perpendicular,
    Quantity,
    ScaleIs,
    Tether,
)
from millimark.words.given_places import PlaceTree, flat
from millimark.words.given_shapes import Facts, meeting
from millimark.words.tokens import split_labels


class GivenTree(PlaceTree):
    """Every rule of givens.lark."""

    def given(self, *parts: Any) -> Facts:
        return flat([part for part in parts if not isinstance(part, Word)])

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

    def such_points(self, *parts: Any) -> Facts:
        return [self.mention(*parts[:-1])[0], *parts[-1]]

    def perpendicular_at(self, ab: Word, cd: Word, at: Word) -> Facts:
        c, d = pair(cd)
        on = [] if str(at) in (c, d) else [OnLine(str(at), c, d, "line")]
        return [*self.perpendicular(ab, cd), *on]

    def circle_diameter_first(self, diameter: Quantity, centre: Word) -> Facts:
        return self.circle_by_diameter(centre, diameter)

    def circle_across(self, ab: Word) -> Facts:
        return [CircleAcross(*pair(ab))]

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


DIRECTIONS = {
    "horizontal", "vertical",
    "right", "left", "above", "below", "north", "south", "east", "west",
    "north_east", "north_west", "south_east", "south_west",
}  # fmt: skip
