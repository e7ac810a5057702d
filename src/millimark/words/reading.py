"""Sentences in, meaning out: the front door of this room.

No sentences give an empty figure and no asks. A sentence that is not understood is a
``WordsError`` that points at the word; nothing is skipped.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from typing import TYPE_CHECKING

from millimark.errors import NoAnswerError, WordsError
from millimark.loci.conditions import Ask
from millimark.loci.figure import Figure
from millimark.plane.point import Point
from millimark.words.earley import Node, Stop
from millimark.words.facts import Fact, Shape
from millimark.words.grammar import Kind, parse
from millimark.words.units import Scale, scale_of

if TYPE_CHECKING:
    from millimark.words.ask_features import Scene

LONGEST = 1000
"""Characters in the longest sentence that is read."""


@dataclass(frozen=True)
class Understood:
    """What the sentences mean.

    ``canonical_given`` says the givens back, one for each sentence, then what was added;
    ``canonical_ask`` says each of ``asks`` back;
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
    """The figure that the givens fix and what is asked of it.

    A given that stands among the asks ("A goat is tied to P ...") is read as a given.
    """
    from millimark.words.asking import read_ask, read_given
    from millimark.words.drawing import figure_of, with_asked
    from millimark.words.scenery import freed, scene_of
    from millimark.words.writing import write_ask, write_given

    facts_of = [_facts(sentence) for sentence in given]
    trees, late = _asked(ask)
    facts_of += [read_given(tree) for tree in late]
    facts = [fact for several in facts_of for fact in several]
    scale = scale_of(facts)
    facts, free = freed(facts, trees, scale)
    facts_of = [[fact for fact in several if fact in facts] for several in facts_of]
    points, notes = _placed(facts, scale)
    scene = replace(scene_of(facts, scale), free=free)
    scene, added = _with_wall(scene, trees, scale, points)
    if added:
        facts, facts_of = [*facts, *added], [*facts_of, added]
        points, _ = _placed(facts, scale)
        notes.append("The wall and the floor were added: " + write_given(added))
    figure = figure_of(facts, points, scale)
    kinds = {f.labels: f.kind for f in facts if isinstance(f, Shape)}
    asks: list[Ask] = []
    for tree in trees:
        found, said = read_ask(tree, figure, scale, kinds, scene)
        asks.extend(found)
        notes.extend(note for note in said if note not in notes)
    if ask and not asks:
        raise NoAnswerError(
            f"'{' '.join(ask)}' asks for nothing to be drawn, shaded, marked or measured.",
            "Add a sentence such as 'Draw the locus of points that are 3 cm from A.'",
        )
    return Understood(
        figure=with_asked(figure, asks),
        asks=tuple(asks),
        canonical_given=tuple(filter(None, map(write_given, facts_of))),
        canonical_ask=tuple(write_ask(one, scale, points, kinds) for one in asks),
        notes=tuple(notes),
        scale=scale.factor if scale.real else None,
    )


def _asked(ask: Sequence[str]) -> tuple[list[Node], list[Node]]:
    """The trees of the asks, and those of the givens that stand among them."""
    asks: list[Node] = []
    givens: list[Node] = []
    for sentence in ask:
        for start, part in parts_of(sentence):
            short = len(part) <= LONGEST
            tree = parse(part, "ask")[0] if short else None
            late = parse(part, "given")[0] if short and isinstance(tree, Stop) else None
            if isinstance(late, Node):
                givens.append(late)
            else:
                asks.append(_tree(part, "ask", sentence, start))
    return asks, givens


def _with_wall(
    scene: Scene, trees: Sequence[Node], scale: Scale, points: Mapping[str, Point]
) -> tuple[Scene, list[Fact]]:
    """The scene with a corner, and its facts, where a ladder needs one; else as it is."""
    from millimark.words.scenery import corner_facts, ladder_length

    for tree in trees:
        length = ladder_length(tree, scene, scale)
        if length is not None and length > 0:
            corner, added = corner_facts(length, points)
            return replace(scene, corner=corner), added
    return scene, []


def sort_sentences(sentences: Sequence[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Givens and asks out of sentences in any order; several in one string are parted."""
    given: list[str] = []
    ask: list[str] = []
    for sentence in sentences:
        for _, part in parts_of(sentence):
            (ask if kind_of(part) == "ask" else given).append(part.strip())
    return tuple(given), tuple(ask)


def kind_of(sentence: str) -> Kind:
    """Whether a sentence asks or gives: what it can be read as, else what it starts like.

    Where it is neither, the kind that reads more of it, so that the error points as far
    into it as it can.
    """
    if len(sentence) > LONGEST:
        return "given"
    reached: dict[Kind, int] = {}
    kinds: tuple[Kind, Kind] = ("given", "ask")
    for kind in kinds:
        tree, _ = parse(sentence, kind)
        if not isinstance(tree, Stop):
            return kind
        reached[kind] = tree.place
    if reached["ask"] != reached["given"]:
        return max(kinds, key=lambda kind: reached[kind])
    first = re.match(r"\s*([A-Za-z]+)", sentence)
    word = first.group(1).lower() if first else ""
    return "ask" if get_close_matches(word, _ASKING, n=1, cutoff=0.7) else "given"


_ASKING = (
    "draw", "construct", "shade", "show", "mark", "sketch", "find", "indicate", "trace", "plot",
    "identify", "give", "colour", "hatch", "bisect", "using", "use", "measure", "calculate",
    "what", "how", "complete", "label", "write", "divide", "trisect", "copy",
)  # fmt: skip

_STOP = re.compile(r"(?<=[a-z0-9°\])'A-Z])\.(?=\s+[A-Z\d△∠]|\s*$)")


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


def _placed(facts: Sequence[Fact], scale: Scale) -> tuple[dict[str, Point], list[str]]:
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
