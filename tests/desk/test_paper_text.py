"""The paper file under the form: what a teacher wrote into it stays, comments and all."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as some

from millimark.desk.paper_text import (
    data_of,
    data_with_form,
    with_form,
    with_question,
    without_question,
)
from millimark.errors import RecordsError

PAPER = """\
# for 8 Blue, after half term
title: Loci, first practice  # a working title
instruments: {ruler: 30 cm, compasses: 12 cm}  # the hall's set
questions:
  # a start that everyone can make
  - given: [S and T are 7 cm apart.]
    ask: ["Draw the locus of points that are 2 cm from S."]
  # the long one
  - given:
      - Triangle PQR has PQ = 7 cm, QR = 6 cm and PR = 5 cm.  # checked
      # next: the point inside
      - X is the midpoint of PQ.
    # what is asked
    ask:
      - Draw the locus of points that are 3 cm from X.
    marks: 2   # not three
  # the last
  - given: [U and V are 6 cm apart.]
    ask:
      - Draw the locus of points that are 3 cm from U.
# kept for next year: a region
"""
COMMENTS = [line.strip() for line in PAPER.splitlines() if line.lstrip().startswith("#")]


def comments_in(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.lstrip().startswith("#")]


def test_what_the_form_does_not_change_stays_to_the_letter() -> None:
    assert with_form(PAPER, 2, {"marks": "2", "story": "", "ruler": "30 cm", "page": ""}) == PAPER


def test_a_changed_sentence_changes_its_line_alone() -> None:
    same = "Triangle PQR has PQ = 7 cm, QR = 6 cm and PR = 5 cm."
    made = with_form(PAPER, 2, {"given": f"{same}\nX is the midpoint of QR."})
    old, new = PAPER.splitlines(), made.splitlines()
    assert [(a, b) for a, b in zip(old, new, strict=True) if a != b] == [
        ("      - X is the midpoint of PQ.", "      - X is the midpoint of QR.")
    ]


@pytest.mark.parametrize(
    ("place", "form"),
    [
        (2, {"given": "X is the midpoint of PQ."}),
        (2, {"given": "Triangle PQR has PQ = 7 cm, QR = 6 cm and PR = 5 cm."}),
        (2, {"given": ""}),
        (2, {"ask": "Draw the locus of points that are 3 cm from X.\nDraw XR."}),
        (2, {"marks": ""}),
        (3, {"ask": ""}),
        (1, {"story": "Two bells: a boat.", "title": "Other"}),
        (3, {"choose": "r: 2 cm, 3 cm", "own-length": "3 mm"}),
        (1, {"ruler": "", "compasses": ""}),
    ],
)
def test_comments_on_their_own_lines_stay(place: int, form: dict[str, str]) -> None:
    assert comments_in(with_form(PAPER, place, form)) == COMMENTS


@pytest.mark.parametrize("place", [1, 2, 3])
def test_taking_a_question_out_keeps_the_rest_and_its_comments(place: int) -> None:
    made = without_question(PAPER, place)
    kept = data_of(PAPER)["questions"]
    assert data_of(made)["questions"] == kept[: place - 1] + kept[place:]
    assert comments_in(made) == COMMENTS


def test_a_question_is_added_after_what_there_is() -> None:
    content = {"given": ["J: K"], "ask": ["Draw {r}."], "choose": {"r": ["2 cm", "3 cm"]}}
    made = with_question(PAPER, content)
    assert data_of(made)["questions"] == [*data_of(PAPER)["questions"], content]
    assert comments_in(made) == COMMENTS


def test_the_only_question_is_not_taken_out() -> None:
    only = without_question(without_question(PAPER, 3), 2)
    with pytest.raises(RecordsError, match="at least one question"):
        without_question(only, 1)


LINES = some.lists(
    some.text(some.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"]), max_size=20), max_size=5
)
FORMS = some.fixed_dictionaries(
    {},
    optional={
        "given": LINES.map("\n".join),
        "ask": LINES.map("\n".join),
        "story": some.sampled_from(["", "A: b", "# no comment", "- dash", "'quote", "yes", "1"]),
        "marks": some.sampled_from(["", "2", "03", "two"]),
        "title": some.sampled_from(["T", "null", "~", "a: b # c"]),
        "scheme": LINES.map("\n".join),
        "turn": some.sampled_from(["", "false", "free", "30 deg"]),
        "ground": some.sampled_from(["", "cream"]),
        "ruler": some.sampled_from(["", "15 cm"]),
    },
)


@given(place=some.integers(1, 3), form=FORMS)
def test_the_file_says_what_the_preview_was_made_of(place: int, form: dict[str, str]) -> None:
    """Two ways from a form, to the file's text and to data alone, come to the same; and what
    the file says then is shown again as it was typed."""
    made = with_form(PAPER, place, form)
    assert data_of(made) == data_with_form(data_of(PAPER), place, form)
    assert comments_in(made) == COMMENTS or "#" in "".join(form.values())
    assert with_form(made, place, form) == made
