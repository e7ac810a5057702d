"""Rewriting a paper file: one value changes, comments and everything else stay."""

from __future__ import annotations

import pytest

from millimark.errors import PaperError
from millimark.paper.rewriting import changed

TEXT = """\
# The department's own paper.
title: The shore of Ness   # shown at the head
page: A4
tolerance: {length: 2 mm, angle: 2 deg}   # by overlay
questions:
  # first, an easy one
  - story: Two bells on the shore.
    given:
      - A and B are 8 cm apart.   # a hand's width
    ask:
      - 'Draw the locus of points that are the same distance from A as from B.'
    marks: 2
"""


def test_one_value_changes_and_nothing_else() -> None:
    new = changed(TEXT, ("questions", 0, "marks"), 1)
    assert new == TEXT.replace("marks: 2", "marks: 1")


def test_a_sentence_and_a_new_key() -> None:
    new = changed(TEXT, ("questions", 0, "given", 0), "A and B are 9 cm apart.")
    assert "A and B are 9 cm apart.   # a hand's width" in new
    assert changed(TEXT, ("page",), "A3").count("#") == TEXT.count("#")
    assert "profile: Wales" in changed(TEXT, ("profile",), "Wales")


def test_a_change_that_breaks_the_paper_is_refused() -> None:
    with pytest.raises(PaperError, match="Totals that work"):
        changed(TEXT, ("questions", 0, "marks"), 9)


@pytest.mark.parametrize(
    "path", [("questions", 3, "marks"), ("nothing", "here"), ("title", "x"), ("questions", 5)]
)
def test_a_path_that_leads_nowhere_is_said(path: tuple[str | int, ...]) -> None:
    with pytest.raises(PaperError, match="nothing at"):
        changed(TEXT, path, 1)
