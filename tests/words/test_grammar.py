"""The compiled grammar: fresh, without clashes, and every rule has a reader."""

from __future__ import annotations

import json
from importlib import resources

import pytest

from millimark.words import building
from millimark.words.ask_tree import AskTree
from millimark.words.common_tree import KINDS, CommonTree
from millimark.words.earley import Node
from millimark.words.examples import EXAMPLES
from millimark.words.given_tree import DIRECTIONS, GivenTree
from millimark.words.grammar import Kind, parse, table, words_of


def test_the_shipped_table_is_what_the_grammar_compiles_to() -> None:
    shipped = resources.files("millimark.words").joinpath(building.TABLE).read_text("utf-8")
    fresh = json.loads(json.dumps(building.compiled()))
    assert json.loads(shipped) == fresh, "run: python -m millimark.words.building"


def test_a_word_belongs_to_one_terminal_only() -> None:
    owners: dict[str, list[str]] = {}
    for name, words in words_of().items():
        for word in words:
            owners.setdefault(word, []).append(name)
    assert {word: names for word, names in owners.items() if len(names) > 1} == {}


@pytest.mark.parametrize(("kind", "reader"), [("given", GivenTree), ("ask", AskTree)])
def test_every_rule_has_a_method_that_reads_it(kind: Kind, reader: type[CommonTree]) -> None:
    rules, missing, seen = table(), set(), set()
    work = [rules.starts[kind]]
    while work:
        symbol = work.pop()
        if symbol in seen or rules.terminal(symbol):
            continue
        seen.add(symbol)
        for rule in (rules.rules[i] for i in rules.of[symbol]):
            if rule.name != "motion" or kind == "ask":  # its inside is read as an ask is
                work.extend(rule.symbols)
            if not (rule.inlined or rule.single or rule.name in KINDS or rule.name in DIRECTIONS):
                missing |= set() if hasattr(reader, rule.name) else {rule.name}
    assert missing == set()


@pytest.mark.parametrize(
    ("kind", "sentence"), [(kind, s) for kind, several in EXAMPLES.items() for s in several]
)
def test_a_sentence_that_is_offered_works(kind: Kind, sentence: str) -> None:
    assert isinstance(parse(sentence, kind)[0], Node)
