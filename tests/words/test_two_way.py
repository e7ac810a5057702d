"""Whatever can be asked can be said, and what is said is read as it was meant."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.words.strategies import GIVEN, LABELS, asks, conditions

from millimark.loci.conditions import Ask, DrawLocus, ShadeRegion
from millimark.loci.solve import holds
from millimark.plane.point import Point
from millimark.words.reading import understand
from millimark.words.writing import write_ask

FIGURE = understand(GIVEN, []).figure
places = st.builds(
    lambda i, j: Point(i / 7 + 0.0123, j / 7 + 0.0217), st.integers(-35, 140), st.integers(-35, 140)
)
"""Places that lie on no border by chance."""


def read(sentence: str) -> Ask:
    (ask,) = understand(GIVEN, [sentence]).asks
    return ask


@settings(max_examples=150, deadline=None)
@given(asks)
def test_reading_what_was_written_and_writing_it_again_changes_nothing(ask: Ask) -> None:
    once = read(write_ask(ask, labels=LABELS))
    said = write_ask(once, labels=LABELS)
    assert read(said) == once, said
    assert type(once) is type(ask)


@settings(max_examples=100, deadline=None)
@given(asks.filter(lambda ask: not isinstance(ask, ShadeRegion | DrawLocus)))
def test_points_and_measures_are_read_exactly_as_they_were_meant(ask: Ask) -> None:
    assert read(write_ask(ask, labels=LABELS)) == ask


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("Mark the centroid of triangle ABC.", "Mark the centroid of triangle ABC."),
        ("Find the orthocentre of triangle ABC.", "Mark the orthocentre of triangle ABC."),
        (
            "Mark the centre of the circumscribed circle of triangle ABC.",
            "Mark the circumcentre of triangle ABC.",
        ),
        (
            "Mark the centre of the incircle of triangle ABC.",
            "Mark the incentre of triangle ABC.",
        ),
    ],
)
def test_a_centre_of_a_triangle_is_said_by_its_name(asked: str, said: str) -> None:
    ask = read(asked)
    assert write_ask(ask, labels=LABELS) == said
    assert read(said) == ask


@settings(max_examples=100, deadline=None)
@given(conditions, st.lists(places, min_size=5, max_size=5))
def test_a_region_that_is_said_and_read_holds_at_the_same_points(
    condition: object, points: list[Point]
) -> None:
    asked = ShadeRegion(condition)  # type: ignore[arg-type]
    found = read(write_ask(asked))
    assert isinstance(found, ShadeRegion)
    for point in points:
        same = holds(FIGURE, found.condition, point), holds(FIGURE, asked.condition, point)
        assert same[0] == same[1], write_ask(asked)
