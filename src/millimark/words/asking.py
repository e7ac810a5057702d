"""Parse trees to meaning: the facts of a given, the ask of an ask."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lark.exceptions import VisitError

from millimark.errors import MillimarkError
from millimark.loci.conditions import Ask
from millimark.loci.figure import Figure
from millimark.words.ask_tree import AskTree
from millimark.words.facts import Fact
from millimark.words.given_tree import CommonTree, GivenTree
from millimark.words.units import Scale


def read_ask(
    tree: Any, figure: Figure, scale: Scale, kinds: Mapping[tuple[str, ...], str]
) -> tuple[Ask | None, tuple[str, ...]]:
    """The ask and how its ambiguous phrases were read; None for a mere instruction."""
    reader = AskTree(figure, scale.cm, kinds)
    ask: Ask | None = _read(reader, tree)
    return ask, tuple(reader.notes)


def read_given(tree: Any) -> list[Fact]:
    """The facts of a parsed given."""
    facts: list[Fact] = _read(GivenTree(), tree)
    return facts


def _read(reader: CommonTree, tree: Any) -> Any:
    """The tree's meaning; Lark wraps our own errors, and they come out unwrapped."""
    try:
        return reader.transform(tree)
    except VisitError as wrapped:
        if isinstance(wrapped.orig_exc, MillimarkError):
            raise wrapped.orig_exc from None
        raise
