"""A sentence that is not understood: the column, what was expected, what would work."""

from __future__ import annotations

import pytest

from millimark.errors import MillimarkError, NoAnswerError, WordsError
from millimark.words.earley import Node
from millimark.words.grammar import parse
from millimark.words.reading import LONGEST, sort_sentences, understand

AB = ["A and B are 8 cm apart."]
LOCUS = "Draw the locus of points 3 cm from A."

# given, ask, column of the first wrong word, the word, an expected word
WRONG = [
    (["A and B are 8 cm aprt."], [], 18, "aprt", "'apart'"),
    (["A and B are 8 apart."], [], 15, "apart", "a unit such as cm"),
    (["A and B are eight apart."], [], 13, "eight", "a number"),
    (["Triangel PQR has PQ = 7 cm."], [], 1, "Triangel", "'triangle'"),
    (["Triangle PQR has PQ = 7 cm, QR = and PR = 5 cm."], [], 34, "and", "a number"),
    (["a and b are 8 cm apart."], [], 3, "and", "'circle'"),
    (AB, ["Draw the locus of pionts 3 cm from A."], 19, "pionts", "'points'"),
    (AB, ["Draw the locus of points 3 cm form A."], 31, "form", "'from'"),
    (AB, ["Shade the region nearer to A then to B."], 30, "then", "'than'"),
    (AB, ["Shade the region nearer to A than to B annd less than 3 cm from A."], 40, "annd", "'and'"),
    (AB, ["Draw the locus of points 3 from A."], 28, "from", "a unit such as cm"),
    (AB, ["Dance on A."], 1, "Dance", "'draw'"),
    (["A and B are 8 cm apart. C is 3 cm frm A."], [], 35, "frm", "'from'"),
]  # fmt: skip


@pytest.mark.parametrize(("given", "ask", "column", "word", "expected"), WRONG)
def test_the_error_points_at_the_word_and_says_what_was_expected(
    given: list[str], ask: list[str], column: int, word: str, expected: str
) -> None:
    with pytest.raises(WordsError) as caught:
        understand(given, ask)
    error = caught.value
    assert error.column == column
    assert error.sentence[column - 1 : column - 1 + error.length] == word
    assert expected in error.expected
    assert error.nearest is not None
    assert isinstance(parse(error.nearest, "ask" if ask else "given")[0], Node)


@pytest.mark.parametrize("sentence", ["A and B are", "A and B are 8 cm", "Triangle PQR has PQ ="])
def test_a_sentence_that_stops_too_soon_points_behind_its_end(sentence: str) -> None:
    with pytest.raises(WordsError, match="stops too soon") as caught:
        understand([sentence], [])
    assert caught.value.column == len(sentence) + 1


def test_an_empty_sentence_is_said_to_be_empty() -> None:
    with pytest.raises(WordsError, match="empty"):
        understand([""], [])


def test_a_word_that_looks_like_an_expected_one_is_suggested() -> None:
    with pytest.raises(WordsError, match="Did you mean 'points'"):
        understand(AB, ["Draw the locus of pionts 3 cm from A."])


def test_a_very_long_sentence_is_refused_by_its_length() -> None:
    with pytest.raises(WordsError, match=f"{LONGEST}"):
        understand(["A and B are 8 cm apart" + " and C is 3 cm from A" * 60], [])


@pytest.mark.parametrize(
    ("ask", "said"),
    [
        ("Draw the locus of points 3 cm from C.", "names the point C"),
        ("Construct the bisector of angle BAC.", "names the point C"),
        ("Shade the region inside the triangle.", "0 shapes"),
        ("Shade the region inside the circle.", "0 circles"),
        ("Draw the locus of points P such that BA = 3 cm.", "moving point"),
        ("Draw the locus of points B such that BA = 3 cm.", "so is a given point"),
        ("Shade the region that the goat can reach.", "how the animal is tied"),
        ("Draw the locus of points that are 0 times as far from A as from B.", "0 times"),
    ],
)
def test_an_ask_about_what_is_not_given_says_so(ask: str, said: str) -> None:
    with pytest.raises(NoAnswerError, match=said) as caught:
        understand(AB, [ask])
    assert caught.value.hint


def test_only_instructions_ask_for_nothing() -> None:
    with pytest.raises(MillimarkError, match="nothing to be drawn"):
        understand(AB, ["Show all your construction lines."])


def test_sentences_are_sorted_in_any_order_and_parted() -> None:
    given, ask = sort_sentences([f"{LOCUS} C is 4 cm from A and 5 cm from B.", *AB])
    assert given == ("C is 4 cm from A and 5 cm from B.", AB[0])
    assert ask == (LOCUS,)


def test_a_misspelt_command_is_still_an_ask_and_its_error_says_so() -> None:
    given, ask = sort_sentences([*AB, "Shaed the region less than 3 cm from A."])
    with pytest.raises(WordsError, match="Did you mean 'shade'"):
        understand(given, ask)


def test_decimals_do_not_end_a_sentence() -> None:
    given, _ = sort_sentences(["AB = 8.5 cm. BC = 3.5 cm. AC = 7 cm"])
    assert given == ("AB = 8.5 cm.", "BC = 3.5 cm.", "AC = 7 cm")


@pytest.mark.parametrize(
    ("given", "ask", "note"),
    [
        (["AB is 8 cm long."], "Draw the locus of points 2 cm from AB.", "line segment from A to B"),
        (
            ["Angle BAC is 50°, AB = 7 cm and AC = 6 cm."],
            "Draw the locus of points equidistant from AB and AC.",
            "arms of angle BAC",
        ),
        (
            ["Rectangle PQRS is 6 cm by 4 cm."],
            "Draw the locus of points equidistant from PQ and RS.",
            "whole lines",
        ),
        (
            ["Rectangle PQRS is 6 cm by 4 cm."],
            "Draw the locus of points 2 cm from rectangle PQRS.",
            "outside PQRS",
        ),
        (
            AB,
            "Shade the region less than 6 cm from A and nearer to A than to B or less than "
            "2 cm from B.",
            "'and' was read as joining more closely",
        ),
    ],
)  # fmt: skip
def test_an_ambiguous_phrase_comes_with_a_note(given: list[str], ask: str, note: str) -> None:
    assert any(note in said for said in understand(given, [ask]).notes)
