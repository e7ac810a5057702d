"""Walls that a ladder needs and no sentence draws, and what givens say of moving things."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from millimark.plane.point import Point
from millimark.words.ask_features import Scene
from millimark.words.earley import Node, Word
from millimark.words.facts import Drawn, Fact, LadderOf, Motion, Quantity, Shifted, Tether
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
