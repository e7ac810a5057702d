"""Meaning back into words: the front door of writing.

Reading a written sentence gives the same meaning.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from millimark.loci.conditions import Ask
from millimark.words.units import Scale
from millimark.words.writing_asks import AskWriter
from millimark.words.writing_givens import write_given

__all__ = ["write_ask", "write_given"]


def write_ask(
    ask: Ask,
    scale: Scale | None = None,
    labels: Iterable[str] = (),
    kinds: Mapping[tuple[str, ...], str] | None = None,
) -> str:
    """The ask as one sentence, lengths in the units of the scale.

    A moving point gets a letter that is none of ``labels``; ``kinds`` says what the shapes are.
    """
    return AskWriter(scale or Scale(), labels, kinds).ask(ask)
