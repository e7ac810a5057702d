"""Parse trees to meaning: the facts of a given, the ask of an ask."""

from __future__ import annotations

from collections.abc import Mapping

from millimark.loci.conditions import Ask
from millimark.loci.figure import Figure
from millimark.words.ask_features import Scene
from millimark.words.ask_tree import AskTree
from millimark.words.earley import Node
from millimark.words.facts import Fact
from millimark.words.given_tree import GivenTree
from millimark.words.units import Scale


def read_ask(
    tree: Node,
    figure: Figure,
    scale: Scale,
    kinds: Mapping[tuple[str, ...], str],
    scene: Scene,
) -> tuple[tuple[Ask, ...], tuple[str, ...]]:
    """The asks of a sentence and how its ambiguous phrases were read; none for an instruction."""
    reader = AskTree(figure, scale.cm, kinds)
    reader.scene = scene
    asks: tuple[Ask, ...] = reader.read(tree)
    return asks, tuple(reader.notes)


def read_given(tree: Node) -> list[Fact]:
    """The facts of a parsed given."""
    facts: list[Fact] = GivenTree().read(tree)
    return facts
