"""Many wordings, one meaning."""

from __future__ import annotations

from itertools import combinations

import pytest
from tests.words.phrasings import ASKS, GIVENS

from millimark.loci.figure import Figure
from millimark.words.reading import sort_sentences, understand

CM = 1.0
GIVEN_CASES = [
    pytest.param(before, said, group[0], id=said)
    for before, group in GIVENS.values()
    for said in group
]
ASK_CASES = [
    pytest.param(given, said, group[0], id=said) for given, group in ASKS.values() for said in group
]


def distances(figure: Figure) -> dict[tuple[str, str], float]:
    points = figure.points
    return {(a, b): points[a].distance(points[b]) for a, b in combinations(sorted(points), 2)}


@pytest.mark.parametrize(("before", "said", "first"), GIVEN_CASES)
def test_a_given_means_what_the_first_of_its_group_means(
    before: tuple[str, ...], said: str, first: str
) -> None:
    figure = understand([*before, said], []).figure
    wanted = understand([*before, first], []).figure
    assert distances(figure) == pytest.approx(distances(wanted), abs=1e-9 * CM)
    assert len(figure.polygons) == len(wanted.polygons) or said.startswith("PQ = ")


@pytest.mark.parametrize(("before", "said", "first"), GIVEN_CASES)
def test_a_given_is_written_back_with_the_same_meaning(
    before: tuple[str, ...], said: str, first: str
) -> None:
    once = understand([*before, said], [])
    again = understand(once.canonical_given, [])
    assert again.figure == once.figure


@pytest.mark.parametrize(("given", "said", "first"), ASK_CASES)
def test_an_ask_means_what_the_first_of_its_group_means(
    given: tuple[str, ...], said: str, first: str
) -> None:
    sorted_given, sorted_ask = sort_sentences([said, *given])
    assert sorted_given == given
    assert understand(sorted_given, sorted_ask).asks == understand(given, [first]).asks


@pytest.mark.parametrize(("given", "said", "first"), ASK_CASES)
def test_an_ask_is_written_back_with_the_same_meaning(
    given: tuple[str, ...], said: str, first: str
) -> None:
    once = understand(given, [said])
    again = understand(once.canonical_given, once.canonical_ask)
    assert again.asks == once.asks
    assert again.figure == once.figure


def test_no_two_groups_of_asks_mean_the_same() -> None:
    meanings = [(given, understand(given, [group[0]]).asks) for given, group in ASKS.values()]
    assert all(one != two for one, two in combinations(meanings, 2))
