"""A sentence into tokens: words, labels, numbers, units, signs, each with its column.

An empty sentence gives no tokens. A word that the grammar does not know becomes a token
of type ``UNKNOWN_WORD``, which no rule accepts, so that the error points at its column.
Capitals are labels ("A", "B1", "P'"), grouped as they are printed: "AB" is one token of
type ``LINE_NAME``. Words are lower case; the first letter may be a capital.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from millimark.words.earley import Word

UNKNOWN = "UNKNOWN_WORD"

_LABEL = r"[A-Z](?:\d+|[₀-₉]+)?['′’]*"
_TOKEN = re.compile(
    rf"""
    (?P<sign>∠|△|°|º|≤|≥|[().,;:=<>/+−–-]|\u0022)
  | (?P<fraction>\d+[½¼¾]|[½¼¾])
  | (?P<number>\d{{1,3}}(?:\ \d{{3}})+(?!\d)
      |(?:(?<=:)|(?<=:\ ))\d{{1,3}}(?:,\d{{3}})+
      |\d+(?:[.·]\d+)?|[.·]\d+)
  | (?P<word>[A-Za-z]?[a-z]+(?:-[a-z]+)*(?![A-Za-z0-9]))
  | (?P<labels>(?:{_LABEL})+(?![A-Za-z0-9]))
  | (?P<other>\S)
    """,
    re.VERBOSE,
)
_ONE_LABEL = re.compile(_LABEL)
_SUBSCRIPTS = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "0123456789")
_GROUPS = {1: "POINT_NAME", 2: "LINE_NAME", 3: "ANGLE_NAME", 4: "FOUR_NAMES"}
_FRACTIONS = {"½": 0.5, "¼": 0.25, "¾": 0.75}
_SIGN_WORDS = {"∠": "angle", "△": "triangle", "º": "°", "−": "-", "–": "-", "≤": "≤", "≥": "≥"}
_UNIT_WORDS = {
    "mm": "mm mms millimetre millimetres millimeter millimeters",
    "cm": "cm cms centimetre centimetres centimeter centimeters",
    "m": "m metre metres meter meters",
    "km": "km kms kilometre kilometres kilometer kilometers",
    "in": "in inch inches",
    "ft": "ft foot feet",
    "yd": "yd yard yards",
    "mile": "mile miles mi",
}
_UNITS = {word: unit for unit, words in _UNIT_WORDS.items() for word in words.split()}
_NUMBER_WORDS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
    "nine": 9, "ten": 10, "eleven": 11, "twelve": 12,
}  # fmt: skip
# "A" at the start is the point A where one of these follows it, else the article.
_AFTER_LABEL = re.compile(
    r"\s*(?:$|[^\sa-zA-Z\d]|(?:and|is|lies|are|lie|or|to|from|has coordinates)\b)"
)


def split_labels(group: str) -> tuple[str, ...]:
    """The labels of a group as it is printed: "AB1C'" is A, B1, C'."""
    plain = group.translate(_SUBSCRIPTS).replace("′", "'").replace("’", "'")
    return tuple(_ONE_LABEL.findall(plain))


def tokens(sentence: str, vocabulary: Mapping[str, str]) -> Iterator[Word]:
    """The tokens of a sentence; ``vocabulary`` says which terminal reads a word."""
    before = ""
    for match in _TOKEN.finditer(sentence):
        kind, text = _read(match, before, sentence, vocabulary)
        before = kind
        yield Word.of(text, kind, match.start(), match.end())


def _read(
    match: re.Match[str], before: str, sentence: str, vocabulary: Mapping[str, str]
) -> tuple[str, str]:
    """The terminal's name and the text of one token."""
    text, end = match.group(), match.end()
    match match.lastgroup:
        case "number":
            return "NUMERAL", text.replace("·", ".").replace(" ", "").replace(",", "")
        case "fraction":
            return "NUMERAL", repr(float(text[:-1] or 0) + _FRACTIONS[text[-1]])
        case "word":
            return _word(text.lower(), before, sentence, end, vocabulary)
        case "labels":
            return _labels(text, before, sentence, end, vocabulary)
        case "sign":
            if text == '"':
                return ("UNIT_NAME", "in") if before == "NUMERAL" else (UNKNOWN, text)
            text = _SIGN_WORDS.get(text, text)
    return vocabulary.get(text, UNKNOWN), text


def _word(
    word: str, before: str, sentence: str, end: int, vocabulary: Mapping[str, str]
) -> tuple[str, str]:
    if word in _UNITS and (before == "NUMERAL" or word not in ("in", "foot")):
        return "UNIT_NAME", _UNITS[word]
    if word in _NUMBER_WORDS and _unit_follows(sentence, end):
        return "NUMERAL", str(_NUMBER_WORDS[word])
    return vocabulary.get(word, UNKNOWN), word


def _labels(
    text: str, before: str, sentence: str, end: int, vocabulary: Mapping[str, str]
) -> tuple[str, str]:
    if text == "A" and not before and not _AFTER_LABEL.match(sentence, end):
        return vocabulary.get("a", UNKNOWN), "a"
    labels = split_labels(text)
    return _GROUPS.get(len(labels), "MANY_NAMES"), "".join(labels)


def _unit_follows(sentence: str, end: int) -> bool:
    after = re.compile(r"\s*-?\s*([a-z]+)").match(sentence, end)
    return after is not None and after.group(1) in _UNITS and after.group(1) != "in"
