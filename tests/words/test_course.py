"""The whole course: every kind of ask in several wordings, read alike, solved and written back."""

from __future__ import annotations

import pytest
from tests.words.course import COURSE

from millimark.loci.solve import solve
from millimark.words.reading import sort_sentences, understand

CASES = [pytest.param(given, said, group[0], id=said) for given, group in COURSE for said in group]


@pytest.mark.parametrize(("given", "said", "first"), CASES)
def test_wordings_of_one_ask_mean_one_thing(given: tuple[str, ...], said: str, first: str) -> None:
    sorted_given, sorted_ask = sort_sentences([said, *given])
    assert sorted_given == given
    assert understand(sorted_given, sorted_ask).asks == understand(given, [first]).asks


@pytest.mark.parametrize(("given", "said", "first"), CASES)
def test_what_was_understood_is_written_back(given: tuple[str, ...], said: str, first: str) -> None:
    once = understand(given, [said])
    again = understand(once.canonical_given, once.canonical_ask)
    assert again.asks == once.asks
    assert again.figure == once.figure


@pytest.mark.parametrize(("given", "said"), [(given, group[0]) for given, group in COURSE])
def test_each_kind_of_ask_has_an_answer(given: tuple[str, ...], said: str) -> None:
    understood = understand(given, [said])
    for ask in understood.asks:
        answer = solve(understood.figure, ask)
        assert answer.special != "empty"
