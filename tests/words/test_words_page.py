"""docs/words.md: every example is read and solved, and every sentence form has an example."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from millimark.loci.solve import solve
from millimark.words.earley import Node
from millimark.words.grammar import Kind, parse, table
from millimark.words.reading import parts_of, sort_sentences, understand

PAGE = Path(__file__).parents[2] / "docs" / "words.md"
BLOCKS = re.findall(r"```words\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
CASES = [block.strip().splitlines() for block in BLOCKS]
# Rules that stand for the one thing inside them and never make a node.
TRANSPARENT = {
    "along", "command", "crossing", "fact", "group", "predicate", "property_or_fact", "thing",
}  # fmt: skip


def test_the_page_has_examples() -> None:
    assert len(CASES) > 100


@pytest.mark.parametrize("lines", CASES, ids=lambda lines: lines[0])
def test_an_example_is_read_and_solved(lines: list[str]) -> None:
    given, ask = sort_sentences(lines)
    assert given or ask
    understood = understand(given, ask)
    for one in understood.asks:
        answer = solve(understood.figure, one)
        assert answer.special != "empty", one
    again = understand(understood.canonical_given, understood.canonical_ask)
    assert again.asks == understood.asks
    assert again.figure == understood.figure


def names_in(node: object) -> set[str]:
    if not isinstance(node, Node):
        return set()
    return {node.name}.union(*(names_in(child) for child in node.children))


def forms(kind: Kind) -> set[str]:
    """The names of all rules that a sentence of this kind can use."""
    rules, names, seen = table(), set(), set()
    work = [rules.starts[kind]]
    while work:
        symbol = work.pop()
        if symbol in seen or rules.terminal(symbol):
            continue
        seen.add(symbol)
        for i in rules.of[symbol]:
            if not rules.rules[i].inlined:
                names.add(rules.rules[i].name)
            if rules.rules[i].name != "motion":  # its inside is read as an ask is
                work.extend(rules.rules[i].symbols)
    return names - TRANSPARENT


@pytest.mark.parametrize("kind", ["given", "ask"])
def test_every_sentence_form_is_shown(kind: Kind) -> None:
    shown: set[str] = set()
    for lines in CASES:
        for line in lines:
            for _, part in parts_of(line):
                shown |= names_in(parse(part, kind)[0])
    assert sorted(forms(kind) - shown) == []
