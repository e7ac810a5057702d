"""A parsed ask, for the figure that it is asked of."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lark.exceptions import VisitError

from millimark.errors import MillimarkError
from millimark.loci.conditions import Ask
from millimark.loci.figure import Figure
from millimark.words.ask_tree import AskTree
from millimark.words.units import Scale


def read_ask(
    tree: Any, figure: Figure, scale: Scale, kinds: Mapping[tuple[str, ...], str]
) -> tuple[Ask, tuple[str, ...]]:
    """The ask and how its ambiguous phrases were read."""
    reader = AskTree(figure, scale.cm, kinds)
    try:
        ask: Ask = reader.transform(tree)
    except VisitError as wrapped:
        if isinstance(wrapped.orig_exc, MillimarkError):
            raise wrapped.orig_exc from None
        raise
    return ask, tuple(reader.notes)
