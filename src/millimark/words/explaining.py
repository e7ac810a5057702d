"""A sentence that is not understood: where, what was expected, and what would work."""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import SequenceMatcher, get_close_matches
from functools import cache

from millimark.errors import WordsError
from millimark.words.earley import Stop, Word
from millimark.words.examples import EXAMPLES
from millimark.words.grammar import Kind, words_of

_PLAIN = {
    "POINT_NAME": "a point such as A",
    "LINE_NAME": "a line such as AB",
    "ANGLE_NAME": "three letters such as ABC",
    "FOUR_NAMES": "four letters such as PQRS",
    "MANY_NAMES": "a polygon's letters",
    "NUMERAL": "a number",
    "UNIT_NAME": "a unit such as cm",
}
_MOST = 12
_COMMON = (
    "draw", "construct", "shade", "mark", "find", "measure", "triangle", "rectangle", "square",
    "angle", "is", "are", "has", "from", "than", "to", "of", "apart", "and", "or", "but", "points",
    "point", "region", "locus", "bisector", "that", "which", "less", "more", "nearer", "closer",
    "inside", "outside", "within", "line", "segment", "side", "the", "a", "as", "with", ",", ".",
)  # fmt: skip


def plain(names: Sequence[str]) -> tuple[str, ...]:
    """What terminals stand for, in plain words: names and numbers first, then common words."""
    known = [said for name, said in _PLAIN.items() if name in names]
    words = {w for name in names for w in words_of()[name]}
    rest = sorted(words - set(_COMMON))
    return tuple(known + [f"'{word}'" for word in (*(w for w in _COMMON if w in words), *rest)])


def explained(
    stop: Stop, words: Sequence[Word], part: str, kind: Kind, sentence: str, offset: int
) -> WordsError:
    """The error for ``part``, which starts ``offset`` characters into ``sentence``."""
    expected = plain(stop.expected)
    close = nearest(part, kind)
    said = part.strip()
    if stop.place < len(words):
        word = words[stop.place]
        column, length = word.start, word.stop - word.start
        text = part[word.start : word.stop]
        message = f"'{text}' was not expected here, at column {offset + column + 1} of '{said}'."
        meant = _meant(text, stop.expected)
    else:
        column, length, meant = len(part.rstrip()), 1, None
        message = f"The sentence stops too soon: '{said}'." if said else "The sentence is empty."
    shown = ", ".join(expected[:_MOST]) + (", …" if len(expected) > _MOST else "")
    hint = f"Expected {shown}." if shown else ""
    hint += f" Did you mean '{meant}'?" if meant else ""
    hint += _SMALL if len(words) > stop.place and _is_small(words[stop.place]) else ""
    hint += f" A sentence that works: '{close}'" if close else ""
    return WordsError(
        message,
        hint.strip(),
        sentence=sentence,
        column=offset + column + 1,
        length=length,
        expected=expected,
        nearest=close,
    )


_SMALL = " A line is called by two capital letters, its ends, as AB; a small letter names nothing."


def _is_small(word: Word) -> bool:
    """Whether a word is one small letter, as lines are called in some books."""
    return len(word) == 1 and word.isalpha() and word.islower() and word != "a"


def _meant(word: str, expected: Sequence[str]) -> str | None:
    """The expected word that this one looks like, if it looks like one."""
    allowed = [w for name in expected for w in words_of()[name] if w.isalpha()]
    close = get_close_matches(word.lower(), allowed, n=1, cutoff=0.7) if len(word) > 2 else []
    return close[0] if close else None


def nearest(sentence: str, kind: Kind) -> str | None:
    """The example sentence most like this one, with its own labels and numbers kept."""
    shape = _shape(sentence)
    best, score = None, -1.0
    for example in EXAMPLES[kind]:
        matcher = SequenceMatcher(None, shape, _shape_of_example(example), autojunk=False)
        if matcher.real_quick_ratio() <= score or matcher.quick_ratio() <= score:
            continue
        if (ratio := matcher.ratio()) > score:
            best, score = example, ratio
    return best


def _shape(sentence: str) -> tuple[str, ...]:
    """The words of a sentence with labels and numbers made alike."""
    out = []
    for word in re.findall(r"[A-Za-z'-]+|\d+(?:\.\d+)?|\S", sentence[:300]):
        if word.isupper() and word != "A":
            out.append("AB"[: len(word)])
        elif word[0].isdigit():
            out.append("0")
        else:
            out.append(word.lower())
    return tuple(out)


@cache
def _shape_of_example(example: str) -> tuple[str, ...]:
    return _shape(example)
