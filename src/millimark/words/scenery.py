"""Walls that a ladder needs and no sentence draws, and what givens say of moving things."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from millimark.loci.conditions import AtDistance, Equidistant, LineOf, Locus, PointOf, Subtends
from millimark.plane.point import Point
from millimark.words.ask_features import Scene
from millimark.words.earley import Node, Word
from millimark.words.facts import (
    AngleOf,
    Drawn,
    Fact,
    GapFrom,
    LadderOf,
    Length,
    Mentioned,
    Motion,
    Quantity,
    SameFrom,
    SameLength,
    Shifted,
    Tether,
)
from millimark.words.mentioned import labels_of
from millimark.words.units import Scale

_BEYOND = 1.25
"""Floor and wall are this many times as long as the ladder."""


def scene_of(facts: Sequence[Fact], scale: Scale) -> Scene:
    """The moving points and the last rope and ladder that are given; no corner yet."""
    scene = Scene(motions=tuple((f.p, f.tree) for f in facts if isinstance(f, Motion)))
    for fact in facts:
        if isinstance(fact, Tether):
            scene = replace(scene, tether=(fact.p, scale.cm(fact.length)))
        elif isinstance(fact, LadderOf):
            scene = replace(scene, ladder=scale.cm(fact.length))
    return scene


def freed(
    facts: Sequence[Fact], trees: Sequence[Node], scale: Scale
) -> tuple[list[Fact], tuple[tuple[str, Locus], ...]]:
    """The facts without those of points whose locus is asked for, and these points' loci.

    "P is a point such that AP = 3 cm. Draw the locus of P." gives P no place but a circle.
    A point of which more than one thing is said stays where the facts put it.
    """
    rest = list(facts)
    free: list[tuple[str, Locus]] = []
    for p in [label for tree in trees for label in _loci_asked(tree)]:
        about = [f for f in facts if p in labels_of(f) and not isinstance(f, Mentioned | Motion)]
        locus = _locus_of(p, about[0], scale) if len(about) == 1 else None
        if locus is not None:
            free.append((p, locus))
            rest = [f for f in rest if p not in labels_of(f)]
    return rest, tuple(free)


def _loci_asked(tree: Node | Word) -> list[str]:
    if isinstance(tree, Word):
        return []
    if tree.name == "motion_locus":
        return [str(tree.children[0])]
    return [label for child in tree.children for label in _loci_asked(child)]


def _locus_of(p: str, fact: Fact, scale: Scale) -> Locus | None:
    match fact:
        case Length(a, b, length):
            return AtDistance(PointOf(b if a == p else a), scale.cm(length))
        case SameFrom(_, a, b):
            return Equidistant((PointOf(a), PointOf(b)))
        case SameLength(a, b, c, d) if p in (a, b) and p in (c, d):
            one, two = (b if a == p else a), (d if c == p else c)
            return Equidistant((PointOf(one), PointOf(two)))
        case AngleOf(a, v, b, degrees) if v == p:
            return Subtends(PointOf(a), PointOf(b), degrees)
        case GapFrom(_, a, b, gap):
            return AtDistance(LineOf(a, b), scale.cm(gap))
    return None


def ladder_length(tree: Node | Word, scene: Scene, scale: Scale) -> float | None:
    """The length (cm) of a ladder in an ask whose wall nothing names; None without one."""
    if isinstance(tree, Word):
        return None
    if tree.name == "ladder_its":
        return scene.ladder
    if tree.name == "ladder_alone":
        from millimark.words.common_tree import CommonTree

        lengths = [c for c in tree.children if isinstance(c, Node) and c.name == "length"]
        quantity: Quantity = CommonTree().read(lengths[-1])
        return scale.cm(quantity)
    found = (ladder_length(child, scene, scale) for child in tree.children)
    return next((cm for cm in found if cm is not None), None)


def corner_facts(
    length: float, points: Mapping[str, Point]
) -> tuple[tuple[str, str, str], list[Fact]]:
    """A corner, the ends of its floor and wall, and the givens that would draw them.

    It stands clear to the right of every point; lengths are cm on the paper.
    """
    letters = [*"OFW", *"XYZTUV", *(f"W{i}" for i in range(1, 99))]
    corner, floor, wall = [p for p in letters if p not in points][:3]
    size = Quantity(float(f"{length * _BEYOND:.6g}"), "cm")
    facts: list[Fact] = []
    if points:
        rightmost = max(points, key=lambda p: points[p].x)
        facts.append(Shifted(corner, rightmost, Quantity(2.0, "cm"), "right"))
    facts += [
        Shifted(floor, corner, size, "right"),
        Shifted(wall, corner, size, "above"),
        Drawn(corner, floor, "segment"),
        Drawn(corner, wall, "segment"),
    ]
    return (corner, floor, wall), facts
