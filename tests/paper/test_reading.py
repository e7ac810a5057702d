"""Paper files: what is read, and how what is wrong is pointed at."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from ruamel.yaml import YAML

from millimark.errors import FitError, MillimarkError, PaperError, PlanError, SourceError
from millimark.paper.reading import paper_from_data, read_paper
from millimark.paper.units import angle_deg, length_cm, length_mm

from .papers import paper_data

GOOD = """\
title: The shore of Ness   # a comment
page: A4
instruments: {ruler: 30 cm, compasses: 12 cm, protractor: false}
tolerance: {length: 3 mm, angle: 1.5 deg}
questions:
  - story: Two bells on the shore.
    given:
      - A and B are 8 cm apart.
    ask:
      - Draw the locus of points that are the same distance from A as from B.
    marks: 2
"""


def read(text: str, folder: Path) -> object:
    path = folder / "paper.yaml"
    path.write_text(text, "utf-8")
    return read_paper(path)


def test_a_good_file_is_read_in_full(tmp_path: Path) -> None:
    path = tmp_path / "paper.yaml"
    path.write_text(GOOD, "utf-8")
    paper = read_paper(path)
    assert paper.title == "The shore of Ness"
    assert not paper.instruments.protractor
    (question,) = paper.questions
    assert (question.tolerance.length_mm, question.tolerance.angle_deg) == (3.0, 1.5)
    assert question.story == "Two bells on the shore."
    assert question.marks == 2
    assert sorted(question.figure.points) == ["A", "B"]


def test_the_kept_data_gives_an_equal_paper(tmp_path: Path) -> None:
    path = tmp_path / "paper.yaml"
    path.write_text(GOOD, "utf-8")
    paper = read_paper(path)
    again = paper_from_data(json.loads(json.dumps(paper.data)))
    assert again == paper


def test_a_single_sentence_need_not_be_a_list() -> None:
    ask = "Construct the perpendicular bisector of AB."
    data = paper_data({"given": "A and B are 8 cm apart.", "ask": ask})
    assert paper_from_data(data).questions[0].given == ("A and B are 8 cm apart.",)


# What is wrong in the file: what is changed, where that is, what is said.
WRONG = {
    "empty": (GOOD, "", None, "empty"),
    "not YAML": ("title: The", "title: [The", (2, 1), "not readable as YAML"),
    "unknown key": ("page: A4", "pgae: A4", (2, 1), "Did you mean 'page'"),
    "unknown page": ("page: A4", "page: A5", (2, 7), "Did you mean 'A4'"),
    "no unit": ("compasses: 12 cm", "compasses: 12", (3, 40), "a length with its unit"),
    "wrong unit": ("length: 3 mm", "length: 3 deg", (4, 21), "'3 deg'"),
    "zero": ("length: 3 mm", "length: 0 mm", (4, 21), "more than zero"),
    "not true": ("protractor: false", "protractor: maybe", (3, 59), "true or false"),
    "marks": ("marks: 2", "marks: 7", (11, 12), "Totals that work here: 1 or 2"),
    "marks in words": ("marks: 2", "marks: two", (11, 12), "whole number from 1 to 20"),
    "word": ("locus", "lokus", (10, 18), "lokus"),
    "quoted word": (
        "- Draw the locus of points that are the same distance from A as from B.",
        "- 'Draw the lokus of points that are the same distance from A as from B.'",
        (10, 19),
        "lokus",
    ),
    "label": ("as from B", "as from Q", (10, None), "Q"),
    "colon in a sentence": ("A and B are 8", "A and B: 8", (8, 9), "in quotes"),
    "no ask": ("    ask:\n      - Draw", "    story2:\n      - Draw", (9, 5), "story"),
    "no scale": ("marks: 2", "scale: 1 cm for 2 km", (11, None), "for"),
    "strange letter": ("Two bells", "Two 鐘", (6, 16), "U\\+9418"),
    "given beyond its reach": ("8 cm apart", "0 cm apart", (8, None), "0"),
}


@pytest.mark.parametrize(("old", "new", "place", "said"), WRONG.values(), ids=WRONG)
def test_what_is_wrong_is_pointed_at(
    tmp_path: Path, old: str, new: str, place: tuple[int, int | None] | None, said: str
) -> None:
    assert old in GOOD
    with pytest.raises(PaperError, match=said) as caught:
        read(GOOD.replace(old, new), tmp_path)
    error = caught.value
    assert error.file is not None
    assert error.file.endswith("paper.yaml")
    if place is not None:
        assert error.line == place[0]
        assert place[1] is None or error.column == place[1]
    assert str(tmp_path) in str(error)


def test_impossible_givens_are_said_with_their_line(tmp_path: Path) -> None:
    text = GOOD.replace(
        "A and B are 8 cm apart.", "Triangle ABC has AB = 2 cm, BC = 3 cm and AC = 9 cm."
    )
    with pytest.raises(PaperError, match=r"Question 1: .*2 cm, 3 cm and 9 cm") as caught:
        read(text, tmp_path)
    assert caught.value.line == 8


def test_an_empty_answer_is_refused(tmp_path: Path) -> None:
    text = GOOD.replace(
        "Draw the locus of points that are the same distance from A as from B.",
        "Shade the region that is less than 3 cm from A and less than 4 cm from B.",
    )
    with pytest.raises(PaperError, match="no point does what is asked"):
        read(text, tmp_path)


def test_what_has_no_end_cannot_be_measured(tmp_path: Path) -> None:
    ask = "Find the area of the region of points that are more than 3 cm from A."
    text = GOOD.replace(
        "Draw the locus of points that are the same distance from A as from B.", ask
    )
    with pytest.raises(PaperError, match="has no end") as caught:
        read(text, tmp_path)
    assert caught.value.line == 10


def test_compasses_too_small_are_said_before_printing(tmp_path: Path) -> None:
    with pytest.raises((PlanError, FitError), match=r"Question 1: .*3 cm"):
        read(GOOD.replace("compasses: 12 cm", "compasses: 3 cm"), tmp_path)


def test_an_answer_larger_than_any_page_is_said(tmp_path: Path) -> None:
    with pytest.raises(FitError, match=r"Question 1: .*80 cm wide"):
        read(GOOD.replace("8 cm apart", "80 cm apart"), tmp_path)


@pytest.mark.parametrize("name", ["none.yaml", "."])
def test_a_file_that_is_not_there(tmp_path: Path, name: str) -> None:
    with pytest.raises(SourceError):
        read_paper(tmp_path / name)


def test_a_file_that_is_not_text(tmp_path: Path) -> None:
    (tmp_path / "paper.yaml").write_bytes(b"\xff\xfe\x00\x01")
    with pytest.raises(SourceError, match="UTF-8"):
        read_paper(tmp_path / "paper.yaml")


@pytest.mark.parametrize(
    "data",
    [
        {},
        {"title": "T"},
        {"title": "T", "questions": []},
        {"title": "T", "questions": "none"},
        {"title": "T", "questions": [{}]},
        {"title": "T", "questions": [{"given": [], "ask": ["x"]}]},
        {"title": "T", "questions": [{"given": [3], "ask": ["x"]}]},
        {"title": 7, "questions": [{}]},
        {"title": "T", "questions": [[]] * 41},
    ],
)
def test_data_without_its_parts_is_refused_without_a_traceback(data: dict[str, object]) -> None:
    with pytest.raises(MillimarkError):
        paper_from_data(data)


def test_plain_yaml_libraries_read_the_same_content(tmp_path: Path) -> None:
    path = tmp_path / "paper.yaml"
    path.write_text(GOOD, "utf-8")
    assert read_paper(path).data == YAML(typ="safe").load(GOOD)


@pytest.mark.parametrize(
    ("text", "value"), [("12 cm", 12.0), ("120mm", 12.0), ("0.3 m", 30.0), (" 1.5 cm ", 1.5)]
)
def test_lengths(text: str, value: float) -> None:
    assert length_cm(text) == pytest.approx(value)
    assert length_mm(text) == pytest.approx(10 * value)


@pytest.mark.parametrize("text", ["2 deg", "2°", "2 degrees"])
def test_angles(text: str) -> None:
    assert angle_deg(text) == 2.0


@pytest.mark.parametrize("text", ["", "cm", "-2 mm", "2,5 cm", 3, None, "1e3 mm", "2 deg"])
def test_what_is_no_length(text: object) -> None:
    with pytest.raises(ValueError, match="is not a length"):
        length_cm(text)


@pytest.mark.parametrize(
    ("scale", "said"),
    [("1 cm represents 2 km", 200_000.0), ("1 : 50 000", 50_000.0), ("1:200", 200.0)],
)
def test_a_scale_may_stand_beside_the_givens(scale: str, said: float) -> None:
    question = {
        "given": ["A and B are 12 km apart." if said > 1e4 else "A and B are 12 m apart."],
        "ask": ["Draw the locus of points that are the same distance from A as from B."],
        "scale": scale,
    }
    if said == 50_000.0:
        question["given"] = ["A and B are 4 km apart."]
    (read,) = paper_from_data(paper_data(question)).questions
    assert read.scale == said
    assert len(read.given) == 2


def test_two_regions_in_one_frame_are_refused(tmp_path: Path) -> None:
    """One patch of shading cannot say which of two regions it is meant for."""
    ask = "Draw the locus of points that are the same distance from A as from B."
    one = "Shade the region that is less than 3 cm from A."
    two = "Shade the region that is less than 3 cm from B."
    text = GOOD.replace(ask, f"{one}\n      - {two}")
    with pytest.raises(PaperError, match="two regions in one frame") as caught:
        read(text, tmp_path)
    assert caught.value.line == 11
