"""Sentences to trees by the compiled grammar, which is loaded when the first one is read."""

from __future__ import annotations

import json
from functools import cache, lru_cache
from importlib import resources
from typing import Any, Literal

from millimark.words.building import TABLE
from millimark.words.earley import Chart, Derivation, Node, Rule, Stop, Table, Word
from millimark.words.tokens import tokens

Kind = Literal["given", "ask"]


@cache
def table() -> Table:
    """The grammar's rules."""
    data = _data()
    rules = [
        Rule(origin, tuple(symbols), name, tuple(map(bool, kept)), bool(inlined), bool(single))
        for origin, symbols, name, kept, inlined, single in data["rules"]
    ]
    return Table([name for name, _ in data["terminals"]], rules, data["starts"])


@cache
def words_of() -> dict[str, tuple[str, ...]]:
    """Each terminal's words, the one that the grammar names first at the front."""
    return {name: tuple(words) for name, words in _data()["terminals"]}


@cache
def vocabulary() -> dict[str, str]:
    """Each word of the grammar with the terminal that reads it."""
    return {word: name for name, words in words_of().items() for word in words}


@cache
def _data() -> dict[str, Any]:
    text = resources.files(__package__).joinpath(TABLE).read_text(encoding="utf-8")
    data: dict[str, Any] = json.loads(text)
    return data


@lru_cache(maxsize=512)  # a paper is read sentence by sentence, again and again while it is typed
def parse(sentence: str, kind: Kind) -> tuple[Node | Stop, tuple[Word, ...]]:
    """The tree of a sentence, or where reading it stopped; and its words."""
    words = tuple(tokens(sentence, vocabulary()))
    chart = Chart(table(), words, kind)
    stop = chart.run()
    return stop or Derivation(chart).tree(), words
