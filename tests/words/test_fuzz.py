"""No sentence ends in anything but a meaning or an error that says what to do."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.words.fuzzing import fuzz, read

from millimark.words.grammar import vocabulary

ENDS = {"understood", "WordsError", "GivensError", "NoAnswerError"}
words = st.sampled_from(
    [*sorted(vocabulary()), "A", "B", "AB", "PQRS", "8", "cm", "3 cm", "50°", "(1, 2)", "."]
)


def test_bent_sentences_end_in_a_meaning_or_an_error_of_ours() -> None:
    found = fuzz(1500, seed=7)
    assert found.broken == []
    assert set(found.ends) <= ENDS
    assert found.ends["understood"] > 20
    assert found.ends["WordsError"] > 500


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=120))
def test_any_text_ends_in_a_meaning_or_an_error_of_ours(text: str) -> None:
    assert read(text) in ENDS


@settings(max_examples=300, deadline=None)
@given(st.lists(words, max_size=20).map(" ".join))
def test_any_words_of_the_grammar_end_in_a_meaning_or_an_error_of_ours(text: str) -> None:
    assert read(text) in ENDS
