"""Sentences in, meaning out: the front door of this room.

No sentences give an empty figure and no asks. A sentence that is not understood is a
``WordsError`` that points at the word; nothing is skipped.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from millimark.errors import NoAnswerError, WordsError
from millimark.loci.conditions import Ask
from millimark.loci.figure import Figure
from millimark.words.earley import Node, Stop
from millimark.words.facts import Fact, Shape, Tether
from millimark.words.grammar import Kind, parse
from millimark.words.units import Scale, scale_of

LONGEST = 1000
"""Characters in the longest sentence that is read."""


@dataclass(frozen=True)
class Understood:
    """What the sentences mean.

    ``canonical_given`` and ``canonical_ask`` say it back, one for each sentence;
    ``notes`` say how ambiguous phrases were read; ``scale`` is the real length in cm for
    each cm of paper, None without a scale.
    """

    figure: Figure
    asks: tuple[Ask, ...]
    canonical_given: tuple[str, ...]
    canonical_ask: tuple[str, ...]
    notes: tuple[str, ...]
    scale: float | None


def understand(given: Sequence[str], ask: Sequence[str]) -> Understood:
    """The figure that the givens fix and what is asked of it."""
    from millimark.words.asking import read_ask
    from millimark.words.drawing import figure_of, with_asked
    from millimark.words.writing import write_ask, write_given

    facts_of = [_facts(sentence) for sentence in given]
    facts = [fact for several in facts_of for fact in several]
    scale = scale_of(facts)
    points, notes = _placed(facts, scale)
    figure = figure_of(facts, points, scale)
    kinds = {f.labels: f.kind for f in facts if isinstance(f, Shape)}
    tethers = [(f.p, scale.cm(f.length)) for f in facts if isinstance(f, Tether)]
    tether = tethers[-1] if tethers else None
    asks: list[Ask] = []
    for sentence in ask:
        for start, part in parts_of(sentence):
            found, said = read_ask(
                _tree(part, "ask", sentence, start), figure, scale, kinds, tether
            )
            if found is not None:
                asks.append(found)
            notes.extend(note for note in said if note not in notes)
    if ask and not asks:
        raise NoAnswerError(
            f"'{' '.join(ask)}' asks for nothing to be drawn, shaded, marked or measured.",
            "Add a sentence such as 'Draw the locus of points that are 3 cm from A.'",
        )
    return Understood(
        figure=with_asked(figure, asks),
        asks=tuple(asks),
        canonical_given=tuple(write_given(several) for several in facts_of),
        canonical_ask=tuple(write_ask(one, scale, points) for one in asks),
        notes=tuple(notes),
        scale=scale.factor if scale.real else None,
    )


def sort_sentences(sentences: Sequence[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Givens and asks out of sentences in any order; several in one string are parted."""
    given: list[str] = []
    ask: list[str] = []
    for sentence in sentences:
        for _, part in parts_of(sentence):
            (ask if kind_of(part) == "ask" else given).append(part.strip())
    return tuple(given), tuple(ask)


def kind_of(sentence: str) -> Kind:
    """Whether a sentence asks or gives, by the words it can be read with or starts with."""
    if len(sentence) <= LONGEST:
        kinds: tuple[Kind, Kind] = ("given", "ask")
        for kind in kinds:
            if not isinstance(parse(sentence, kind)[0], Stop):
                return kind
    first = re.match(r"\s*([A-Za-z]+)", sentence)
    return "ask" if first and first.group(1).lower() in _ASKING else "given"


_ASKING = {
    "draw", "construct", "shade", "show", "mark", "sketch", "find", "indicate", "trace", "plot",
    "identify", "give", "colour", "hatch", "bisect", "using", "use", "on", "measure", "calculate",
    "what", "how", "complete", "label", "by", "write",
}  # fmt: skip

_STOP = re.compile(r"(?<=[a-z0-9°\])'A-Z])\.(?=\s+[A-Z△∠]|\s*$)")


def parts_of(text: str) -> list[tuple[int, str]]:
    """The sentences of a string with where each starts; the full stops stay."""
    out: list[tuple[int, str]] = []
    start = 0
    for stop in _STOP.finditer(text):
        out.append((start, text[start : stop.end()]))
        start = stop.end()
    if text[start:].strip() or not out:
        out.append((start, text[start:]))
    return out


def _facts(sentence: str) -> list[Fact]:
    from millimark.words.asking import read_given

    out: list[Fact] = []
    for start, part in parts_of(sentence):
        out.extend(read_given(_tree(part, "given", sentence, start)))
    return out


def _placed(facts: Sequence[Fact], scale: Scale) -> tuple[dict[str, Any], list[str]]:
    from millimark.words.compiling import compiled
    from millimark.words.placing import Placing

    placing = Placing(compiled(facts, scale))
    points = placing.run()
    return points, placing.notes


def _tree(part: str, kind: Kind, sentence: str, start: int) -> Node:
    """The parse tree of one sentence, or the error that points into the whole string."""
    if len(part) > LONGEST:
        raise WordsError(
            f"The sentence has {len(part)} characters; the longest that is read has {LONGEST}.",
            "Part it into shorter sentences.",
            sentence=sentence,
            column=start + LONGEST + 1,
        )
    tree, words = parse(part, kind)
    if isinstance(tree, Stop):
        from millimark.words.explaining import explained

        raise explained(tree, words, part, kind, sentence, start)
    return tree
