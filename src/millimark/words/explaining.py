"""A sentence that is not understood: where, what was expected, and what would work."""

from __future__ import annotations

import re
from difflib import SequenceMatcher, get_close_matches
from functools import cache
from typing import Any

from millimark.errors import WordsError
from millimark.words.examples import EXAMPLES
from millimark.words.grammar import grammar

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


@cache
def _words_of() -> dict[str, tuple[str, ...]]:
    """Terminal name to the words that it reads, the first as the grammar writes it."""
    out: dict[str, tuple[str, ...]] = {}
    for terminal in grammar().terminals:
        text = terminal.pattern.value if terminal.pattern is not None else ""
        inside = re.sub(r"\(\?:|\)", "", text)
        words = tuple(word.replace("\\", "") for word in inside.split("|")) if text else ()
        out[terminal.name] = words
    return out


@cache
def vocabulary() -> tuple[str, ...]:
    """Every word of the grammar, in alphabetical order."""
    return tuple(sorted({w for words in _words_of().values() for w in words if w.isalpha()}))


def plain(names: Any) -> tuple[str, ...]:
    """What terminals stand for, in plain words, labels and numbers first."""
    known = [_PLAIN[name] for name in _PLAIN if name in names]
    words = sorted(
        {_words_of()[name][0] for name in names if name in _words_of() and _words_of()[name]}
    )
    return tuple(known + [f"'{word}'" for word in words])


def explained(trouble: Any, sentence: str, kind: str) -> WordsError:
    """The error for a sentence that Lark stopped at; ``kind`` is "given" or "ask"."""
    token = getattr(trouble, "token", None)
    names = set(getattr(trouble, "expected", None) or getattr(trouble, "accepts", None) or ())
    expected = plain(names)
    close = nearest(sentence, kind)
    if token is None or getattr(token, "start_pos", None) is None:  # or the end of the sentence
        column, length = len(sentence.rstrip()) + 1, 1
        if not sentence.strip():
            said = "The sentence is empty"
        else:
            said = f"The sentence stops too soon: '{sentence.strip()}'"
    else:
        column, length = int(token.start_pos) + 1, int(token.end_pos - token.start_pos)
        word = sentence[column - 1 : column - 1 + length]
        said = f"'{word}' was not expected here, at column {column} of '{sentence.strip()}'"
    shown = ", ".join(expected[:_MOST]) + (", …" if len(expected) > _MOST else "")
    hint = f"Expected {shown}." if shown else ""
    meant = _meant(sentence, column, length, names)
    if meant:
        hint += f" Did you mean '{meant}'?"
    if close:
        hint += f" A sentence that works: '{close}'"
    return WordsError(
        said + ".",
        hint.strip(),
        sentence=sentence,
        column=column,
        length=length,
        expected=expected,
        nearest=close,
    )


def _meant(sentence: str, column: int, length: int, names: set[str]) -> str | None:
    """The expected word that the one at ``column`` looks like, if it looks like one."""
    word = sentence[column - 1 : column - 1 + length].lower()
    allowed = [w for name in names for w in _words_of().get(name, ()) if w.isalpha()]
    found = get_close_matches(word, allowed, n=1, cutoff=0.7) if len(word) > 2 else []
    return found[0] if found else None


def nearest(sentence: str, kind: str) -> str | None:
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
