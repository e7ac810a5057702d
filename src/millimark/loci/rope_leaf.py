"""The condition "within reach of the rope" made ready."""

from __future__ import annotations

from millimark.loci.conditions import RopeEnd, WithinRope
from millimark.loci.figure import Figure
from millimark.loci.leaf import Leaf, Window
from millimark.loci.obstacles import deepest, walls
from millimark.loci.offsets import Traces
from millimark.loci.places import place
from millimark.loci.ropes import rope_map, taut


def rope_leaf(figure: Figure, c: WithinRope) -> Leaf:
    """Positive where the rope has length to spare, negative out of reach or in an obstacle."""
    ways, found = rope_map(figure, c.anchor, c.length, c.obstacles)
    standing = walls(found)

    def edges(_: Window) -> Traces:
        edge = taut(ways, found, c.length)
        alone = () if edge else (place(figure, c.anchor.label),)
        return Traces((*edge, *standing), alone)

    def value(x: float, y: float) -> float:
        deep = deepest(found, x, y)
        if deep > 0.0:
            return -deep
        spare = c.length - ways.length_to(x, y)
        return min(spare, -deep)

    return Leaf(
        value,
        c.relation in ("<=", ">="),
        edges,
        RopeEnd(c.anchor, c.length, c.obstacles),
        crosses=True,
        printed=standing,
    )
