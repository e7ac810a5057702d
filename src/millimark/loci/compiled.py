"""Conditions made ready for many points: leaves with a signed value and their borders.

A *leaf* is one comparison (see ``leaf``). The tree above the leaves is a function of their truths.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from millimark.errors import NoAnswerError
from millimark.loci.bisectors import border
from millimark.loci.comparisons import angle_leaf, bearing_leaf, ratio_leaf, sum_leaf
from millimark.loci.conditions import (
    AllOf,
    AngleCompared,
    AnyOf,
    AtDistance,
    BearingBetween,
    CircleOf,
    Condition,
    DiscOf,
    Distance,
    Equidistant,
    Feature,
    Inside,
    Nearer,
    Not,
    PointOf,
    RatioCompared,
    SameSide,
    SumCompared,
    WithinRope,
)
from millimark.loci.extents import extent, smallest
from millimark.loci.figure import Figure
from millimark.loci.leaf import Leaf
from millimark.loci.offsets import Traces, at_distance, required_length
from millimark.loci.places import circle, place
from millimark.loci.rope_leaf import rope_leaf
from millimark.loci.sites import Field, distance_field, inside_field, sites
from millimark.loci.sites import StraightSite as _Straight
from millimark.plane.curves import Arc, Line
from millimark.plane.point import EPS

Truths = Sequence[bool]
Tree = Callable[[Truths], bool]
Single = (
    Distance
    | Inside
    | SameSide
    | SumCompared
    | RatioCompared
    | AngleCompared
    | BearingBetween
    | WithinRope
)


def compiled(figure: Figure, condition: Condition) -> tuple[list[Leaf], Tree]:
    """The leaves of a condition, in order of mention, and the tree over their truths."""
    leaves: list[Leaf] = []
    tree = _tree(figure, condition, leaves)
    if not _conjunction(condition):
        return leaves, tree
    window = smallest([leaf.extent for leaf in leaves])
    for leaf in leaves:
        leaf.window = window
    return leaves, all


def _conjunction(condition: Condition) -> bool:
    """Whether the condition is nothing but "and": the tree is then ``all`` itself, which lets
    pieces of border be dropped at the first leaf that does not hold."""
    if isinstance(condition, AllOf):
        return all(_conjunction(c) for c in condition.conditions)
    return not isinstance(condition, AnyOf | Not)


def _tree(figure: Figure, condition: Condition, leaves: list[Leaf]) -> Tree:
    match condition:
        case Not(inner):
            below = _tree(figure, inner, leaves)
            return lambda truths: not below(truths)
        case AllOf(conditions):
            return _every([_tree(figure, c, leaves) for c in conditions])
        case AnyOf(conditions):
            return _some([_tree(figure, c, leaves) for c in conditions])
        case Nearer(to, than, strict):
            first = len(leaves)
            for other in than:
                leaves.append(_nearer(figure, to, other, strict))
            spread = range(first, len(leaves))
            return lambda truths: all(truths[i] for i in spread)
    index = len(leaves)
    leaves.append(_leaf(figure, condition))
    return lambda truths: truths[index]


def _every(trees: list[Tree]) -> Tree:
    def holds(truths: Truths) -> bool:
        return all(tree(truths) for tree in trees)

    return holds


def _some(trees: list[Tree]) -> Tree:
    def holds(truths: Truths) -> bool:
        return any(tree(truths) for tree in trees)

    return holds


def _leaf(figure: Figure, condition: Single) -> Leaf:
    match condition:
        case Distance():
            return _distance(figure, condition)
        case Inside():
            return _inside(figure, condition)
        case SameSide():
            return _same_side(figure, condition)
        case SumCompared():
            return sum_leaf(figure, condition)
        case RatioCompared():
            return ratio_leaf(figure, condition)
        case AngleCompared():
            return angle_leaf(figure, condition)
        case BearingBetween():
            return bearing_leaf(figure, condition)
        case WithinRope():
            return rope_leaf(figure, condition)


def _distance(figure: Figure, c: Distance) -> Leaf:
    length = required_length(c.length)
    value = _compared(figure, c)
    return Leaf(
        value,
        c.relation in ("<=", ">="),
        lambda _: at_distance(figure, c.feature, length),
        AtDistance(c.feature, length),
        extent=extent(figure, c),
    )


def _compared(figure: Figure, c: Distance) -> Field:
    """length - distance where less is wanted, distance - length where more is."""
    length = c.length
    less = c.relation in ("<", "<=")
    if isinstance(c.feature, PointOf) and less:
        # By far the commonest condition: one call less.
        (px, py), hypot = place(figure, c.feature.label), math.hypot
        return lambda x, y: length - hypot(x - px, y - py)
    field = distance_field(figure, c.feature)
    return (lambda x, y: length - field(x, y)) if less else (lambda x, y: field(x, y) - length)


def _nearer(figure: Figure, to: Feature, than: Feature, strict: bool) -> Leaf:
    near, far = distance_field(figure, to), distance_field(figure, than)
    value: Field = lambda x, y: far(x, y) - near(x, y)  # noqa: E731
    if isinstance(to, PointOf) and isinstance(than, PointOf):
        (ax, ay), (bx, by) = place(figure, to.label), place(figure, than.label)
        hypot = math.hypot
        value = lambda x, y: hypot(x - bx, y - by) - hypot(x - ax, y - ay)  # noqa: E731
    return Leaf(
        value,
        not strict,
        lambda window: Traces(tuple(border(figure, to, than, window))),
        Equidistant((to, than)),
        crosses=True,
    )


def _inside(figure: Figure, c: Inside) -> Leaf:
    if isinstance(c.shape, CircleOf | DiscOf):
        given = circle(figure, c.shape.name)
        (cx, cy), r = given.centre, given.radius
        rim = Traces((Arc(given.centre, r),)) if r > EPS else Traces((), (given.centre,))
        return Leaf(lambda x, y: r - math.hypot(x - cx, y - cy), not c.strict, lambda _: rim)
    shape = c.shape
    return Leaf(
        inside_field(figure, shape),
        not c.strict,
        lambda _: at_distance(figure, shape, 0.0),
        extent=extent(figure, c),
    )


def _same_side(figure: Figure, c: SameSide) -> Leaf:
    line = sites(figure, c.line)[0]
    p = place(figure, c.of.label)
    if not isinstance(line, _Straight):
        raise NoAnswerError(f"{c.line.a} and {c.line.b} are one point: they fix no line.")
    (ax, ay), (dx, dy) = line.at, line.along
    sign = math.copysign(1.0, dx * (p.y - ay) - dy * (p.x - ax))
    if abs(dx * (p.y - ay) - dy * (p.x - ax)) <= EPS:
        raise NoAnswerError(
            f"{c.of.label} lies on the line {c.line.a}{c.line.b}: it is on neither side.",
            "Name a point off the line.",
        )
    return Leaf(
        lambda x, y: sign * (dx * (y - ay) - dy * (x - ax)),
        False,
        lambda _: Traces((Line(line.at, line.along),)),
    )
