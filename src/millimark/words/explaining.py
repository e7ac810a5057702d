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
    "LABEL": "a point such as A",
    "PAIR": "a line such as AB",
    "TRIPLE": "three letters such as ABC",
    "QUAD": "four letters such as PQRS",
    "MANY": "a polygon's letters",
    "NUMBER": "a number",
    "UNIT": "a unit such as cm",
}
_MOST = 12


def plain(names: Sequence[str]) -> tuple[str, ...]:
    """What terminals stand for, in plain words, labels and numbers first."""
    known = [_PLAIN[name] for name in _PLAIN if name in names]
    words = sorted({words_of()[name][0] for name in names if words_of().get(name)})
    return tuple(known + [f"'{word}'" for word in words])


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


def _meant(word: str, expected: Sequence[str]) -> str | None:
    """The expected word that this one looks like, if it looks like one."""
    allowed = [w for name in expected for w in words_of()[name] if w.isalpha()]
    close = get_close_matches(word.lower(), allowed, n=1, cutoff=0.7) if len(word) > 2 else []
    return close[0] if close else None


def nearest(sentence: str, kind: Kind) -> str | None:
    """The example sentence most like this one, with its own labels and numbers kept."""
    shape = _shape(sentence)
    best, score = None, 0.35
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
