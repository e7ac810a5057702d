"""A sentence into tokens: words, labels, numbers, units, signs, each with its column.

An empty sentence gives no tokens. A word that the grammar does not know becomes a token
of type ``UNKNOWN``, which no rule accepts, so that the error points at its column.
Capitals are labels ("A", "B1", "P'"), grouped as they are printed: "AB" is one token of
type ``PAIR``. Words are lower case; the first letter may be a capital.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from lark import Token
from lark.lexer import Lexer

_LABEL = r"[A-Z](?:\d+|[₀-₉]+)?['′’]*"
_TOKEN = re.compile(
    rf"""
    (?P<sign>∠|△|°|º|≤|≥|[().,;:=<>/+−–-]|\u0022)
  | (?P<fraction>\d+[½¼¾]|[½¼¾])
  | (?P<number>\d+(?:[.·]\d+)?|[.·]\d+)
  | (?P<word>[A-Za-z]?[a-z]+(?:-[a-z]+)*(?![A-Za-z0-9]))
  | (?P<labels>(?:{_LABEL})+(?![A-Za-z0-9]))
  | (?P<other>\S)
    """,
    re.VERBOSE,
)
_ONE_LABEL = re.compile(_LABEL)
_SUBSCRIPTS = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "0123456789")
_GROUPS = {1: "LABEL", 2: "PAIR", 3: "TRIPLE", 4: "QUAD"}
_FRACTIONS = {"½": 0.5, "¼": 0.25, "¾": 0.75}
_SIGN_WORDS = {"∠": "angle", "△": "triangle", "º": "°", "−": "-", "–": "-", "≤": "≤", "≥": "≥"}
_UNITS = {
    "mm": "mm", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "cm": "cm", "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "m": "m", "metre": "m", "metres": "m", "meter": "m", "meters": "m",
    "km": "km", "kilometre": "km", "kilometres": "km", "kilometer": "km", "kilometers": "km",
    "in": "in", "inch": "in", "inches": "in", "ft": "ft", "foot": "ft", "feet": "ft",
    "yd": "yd", "yard": "yd", "yards": "yd", "mile": "mile", "miles": "mile", "mi": "mile",
}  # fmt: skip
_NUMBER_WORDS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
    "nine": 9, "ten": 10, "eleven": 11, "twelve": 12,
}  # fmt: skip
# "A" is the article where one of these words follows it, else the point A.
_AFTER_ARTICLE = re.compile(
    r"\s+(?:\d|third |second |fourth |further |horizontal |vertical |straight |scale |line|point|circle|triangle|square|rectangle|parallelogram|rhombus|"
    r"kite|trapezi|trapezo|quadrilateral|regular|right|equilateral|isosceles|scalene|scale|map|"
    r"penta|hexa|hepta|octa|nona|deca|polygon|goat|dog|cow|horse|ladder|wheel|rope|distance|chord)"
)


def split_labels(group: str) -> tuple[str, ...]:
    """The labels of a group as it is printed: "AB1C'" is A, B1, C'."""
    plain = group.translate(_SUBSCRIPTS).replace("′", "'").replace("’", "'")
    return tuple(_ONE_LABEL.findall(plain))


class WordLexer(Lexer):
    """Lark's custom lexer: words are looked up among the grammar's terminals."""

    def __init__(self, lexer_conf: Any) -> None:
        self._patterns = [
            (t.name, re.compile(t.pattern.to_regexp()))
            for t in lexer_conf.terminals
            if t.pattern is not None
        ]
        self._known: dict[str, str] = {}

    def type_of(self, word: str) -> str:
        """The terminal that reads ``word`` (lower case), or ``UNKNOWN``."""
        if word not in self._known:
            found = [name for name, p in self._patterns if p.fullmatch(word)]
            self._known[word] = found[0] if found else "UNKNOWN"
        return self._known[word]

    def lex(self, data: str) -> Iterator[Token]:
        """The tokens of a sentence; ``start_pos`` counts characters from 0."""
        before = ""
        for match in _TOKEN.finditer(data):
            kind = str(match.lastgroup)
            type_, value = self._read(kind, match.group(), before, data, match.end())
            before = type_
            yield Token(
                type_, value, start_pos=match.start(), line=1, column=match.start() + 1,
                end_line=1, end_column=match.end() + 1, end_pos=match.end(),
            )  # fmt: skip

    def _read(self, kind: str, text: str, before: str, sentence: str, end: int) -> tuple[str, str]:
        if kind == "number":
            return "NUMBER", text.replace("·", ".")
        if kind == "fraction":
            return "NUMBER", repr(float(text[:-1] or 0) + _FRACTIONS[text[-1]])
        if kind == "word":
            return self._word(text, before, sentence, end)
        if kind == "labels":
            return self._labels(text, before, sentence, end)
        if kind == "sign":
            if text == '"':
                return ("UNIT", "in") if before == "NUMBER" else ("UNKNOWN", text)
            word = _SIGN_WORDS.get(text, text)
            return self.type_of(word), word
        return "UNKNOWN", text

    def _word(self, text: str, before: str, sentence: str, end: int) -> tuple[str, str]:
        word = text.lower()
        if before == "NUMBER" and word in _UNITS:
            return "UNIT", _UNITS[word]
        if word in _NUMBER_WORDS and _unit_follows(sentence, end):
            return "NUMBER", str(_NUMBER_WORDS[word])
        if word in _UNITS and word not in ("in", "foot"):
            return "UNIT", _UNITS[word]
        return self.type_of(word), word

    def _labels(self, text: str, before: str, sentence: str, end: int) -> tuple[str, str]:
        if text == "A" and before in ("", "FULL_STOP") and _AFTER_ARTICLE.match(sentence, end):
            return self.type_of("a"), "a"
        labels = split_labels(text)
        return _GROUPS.get(len(labels), "MANY"), "".join(labels)


def _unit_follows(sentence: str, end: int) -> bool:
    after = re.compile(r"\s*-?\s*([a-z]+)").match(sentence, end)
    return after is not None and after.group(1) in _UNITS and after.group(1) != "in"
