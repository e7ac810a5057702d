"""Variants: values, turns and mirrors from sheet to sheet, by seed, every one of them sound."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pikepdf
import pytest

from millimark.errors import FitError, PaperError
from millimark.paper.editions import choices_for, is_fair
from millimark.paper.fields import Field, load
from millimark.paper.printing import print_paper
from millimark.paper.raster import printed_page
from millimark.paper.reading import PaperSource, paper_for_sheet, paper_from_data
from millimark.paper.turning import may_turn, turned
from millimark.sheet.layout import read_layout

from .papers import BISECTOR, paper_data

LENGTH = {
    "given": ["A and B are {AB} apart."],
    "ask": ["Draw the locus of points that are the same distance from A as from B."],
    "choose": {"AB": "6 cm to 9 cm in steps of 0.5 cm"},
}
ANGLE = {
    "given": ["Angle GHK is {size}."],
    "ask": ["Draw the locus of points that are the same distance from HG as from HK."],
    "choose": {"size": ["40°", "55°", "70°"]},
    "turn": "free",
    "mirror": "free",
}


def source(*questions: dict[str, object], **more: object) -> PaperSource:
    return PaperSource(Field(paper_data(*questions, **more), "the paper"))


def test_a_range_is_stepped_through_to_its_end() -> None:
    (question,) = source(LENGTH).questions
    values = [dict(c)["AB"] for c in question.variation.combinations]
    assert values == ["6 cm", "6.5 cm", "7 cm", "7.5 cm", "8 cm", "8.5 cm", "9 cm"]


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("060° to 090° in steps of 10°", ["060°", "070°", "080°", "090°"]),
        ("4 cm or 5 cm", ["4 cm", "5 cm"]),
        ("30 to 50 in steps of 10", ["30", "40", "50"]),
    ],
)
def test_other_ways_to_write_values(text: str, values: list[str]) -> None:
    question = {
        "story": "A turn of {x}.",
        "given": ["A and B are 6 cm apart."],
        "ask": ["Draw the locus of points that are 3 cm from A."],
        "choose": {"x": text},
    }
    (read,) = source(question).questions
    assert [dict(c)["x"] for c in read.variation.combinations] == values


def test_every_value_is_used_before_one_is_used_again() -> None:
    chosen = [c["1"]["AB"] for c in choices_for(source(LENGTH), 14)]
    assert sorted(chosen[:7]) == sorted(set(chosen))
    assert chosen[7:] == chosen[:7]


def test_the_seed_decides() -> None:
    first = choices_for(source(LENGTH, ANGLE, seed=4), 8)
    assert choices_for(source(LENGTH, ANGLE, seed=4), 8) == first
    assert choices_for(source(LENGTH, ANGLE, seed=5), 8) != first


def test_variants_that_cannot_be_drawn_are_left_out() -> None:
    triangle = {
        "given": ["Triangle PQR has PQ = {PQ}, QR = 4 cm and PR = 3 cm."],
        "ask": ["Draw the locus of points that are 2 cm from P."],
        "choose": {"PQ": "5 cm to 9 cm in steps of 1 cm"},  # 7, 8 and 9 make no triangle
    }
    assert {c["1"]["PQ"] for c in choices_for(source(triangle), 10)} == {"5 cm", "6 cm"}


def test_every_variant_is_fair_to_a_careful_hand() -> None:
    read = source(LENGTH, ANGLE)
    for choices in choices_for(read, 6):
        for question in read.questions:
            values = choices[question.number]
            assert is_fair(question.question(values))


def test_each_sheet_prints_and_keeps_its_own_values(tmp_path: Path) -> None:
    paper = paper_from_data(paper_data(LENGTH, ANGLE, BISECTOR, seed=2))
    layout = print_paper(paper, tmp_path, [None, None, None])
    assert read_layout(tmp_path / "layout.json") == layout
    lengths = set()
    for sheet in layout.sheets:
        own = paper_for_sheet(paper, sheet)
        question, (place, *_) = own.questions[0], sheet.pages[0].questions
        a, b = (np.array(place.points[n]) for n in "AB")
        said = float(question.given[0].split(" are ")[1].split(" cm")[0])
        assert np.hypot(*(b - a)) == pytest.approx(10 * said, abs=1e-5)
        lengths.add(said)
        assert own.questions[2] == paper.questions[2]
    assert len(lengths) == 3
    with pikepdf.open(tmp_path / "question-paper.pdf") as pdf:
        assert len(pdf.pages) == sum(len(s.pages) for s in layout.sheets)


def test_variants_come_out_the_same_byte_for_byte(tmp_path: Path) -> None:
    paper = paper_from_data(paper_data(LENGTH, ANGLE, seed=2))
    for folder in ("one", "two"):
        print_paper(paper, tmp_path / folder, [None] * 3)
    for name in ("question-paper.pdf", "model-answers.pdf", "overlays.pdf", "layout.json"):
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()


def test_a_variants_page_is_typeset_again_as_it_was(tmp_path: Path) -> None:
    paper = paper_from_data(paper_data(LENGTH, ANGLE, seed=2))
    layout = print_paper(paper, tmp_path, [None] * 3)
    page = layout.sheets[2].pages[0]
    printed = printed_page(tmp_path / "layout.json", layout, page, 6.0)
    (tmp_path / "question-paper.pdf").unlink()
    assert np.array_equal(printed_page(tmp_path / "layout.json", layout, page, 6.0), printed)


def test_a_paper_without_choices_keeps_none() -> None:
    paper = paper_from_data(paper_data(BISECTOR))
    assert json.dumps(paper.data)
    assert not any(q.varies for q in source(BISECTOR).questions)


WRONG = {
    "unknown name": ({"given": ["A and B are {AB} {XY} apart."]}, "not a name that 'choose' gives"),
    "idle name": ({"given": ["A and B are 6 cm apart."]}, "uses {AB}"),
    "one value": ({"choose": {"AB": "6 cm"}}, "gives 1 value"),
    "downwards": ({"choose": {"AB": "9 cm to 6 cm in steps of 1 cm"}}, "runs upwards"),
    "two units": ({"choose": {"AB": "6 cm to 90 mm in steps of 1 cm"}}, "stepped through"),
    "too alike": ({"choose": {"AB": "6 cm to 7 cm in steps of 0.1 cm"}}, "look the same"),
    "no mapping": ({"choose": "AB"}, "each name its values"),
    "bad turn": ({"turn": "sideways"}, "not a turn"),
    "bad mirror": ({"mirror": "maybe"}, "true or false"),
}


@pytest.mark.parametrize(("change", "said"), WRONG.values(), ids=WRONG)
def test_what_is_wrong_with_choices_is_said(change: dict[str, object], said: str) -> None:
    with pytest.raises(PaperError, match=said):
        source({**LENGTH, **change}).paper()


def test_a_figure_with_a_direction_in_its_words_is_not_turned() -> None:
    assert may_turn(["A and B are 8 cm apart.", "Angle A is a right angle."])
    for words in ("B is 5 cm above A.", "B is to the right of A.", "B is on a bearing of 070°.",
                  "A is at (1, 2).", "The line is horizontal.", "B is north of A."):  # fmt: skip
        assert not may_turn([words])
    north = {
        "given": ["C is 5 cm above A."],
        "ask": ["Draw the locus of points that are 3 cm from A."],
    }
    at = source(BISECTOR, north).paper().questions[1].figure.points
    assert (at["C"] - at["A"]) == pytest.approx((0.0, 5.0))
    with pytest.raises(PaperError, match="which way is up"):
        source({**north, "turn": "30 deg"}).paper()


def test_not_every_line_of_a_paper_lies_level() -> None:
    questions = source(BISECTOR, BISECTOR, BISECTOR).paper().questions
    slopes = {round((q.figure.points["B"] - q.figure.points["A"]).angle(), 3) for q in questions}
    assert len(slopes) == 3
    level = source({**BISECTOR, "turn": False}, {**BISECTOR, "turn": "0 deg"}).paper()
    for question in level.questions:
        assert question.figure.points["B"].y == question.figure.points["A"].y


def test_turning_keeps_distances_and_mirroring_the_hand() -> None:
    (question,) = source(
        {"given": ["Triangle PQR has PQ = 8 cm, QR = 7 cm and PR = 6.5 cm."],
         "ask": ["Draw the locus of points that are 2 cm from P."], "turn": False}
    ).paper().questions  # fmt: skip
    p, q, r = (question.figure.points[n] for n in "PQR")
    for mirror in (False, True):
        moved = turned(question.figure, 33.0, mirror).points
        p2, q2, r2 = (moved[n] for n in "PQR")
        assert p2.distance(q2) == pytest.approx(p.distance(q))
        assert q2.distance(r2) == pytest.approx(q.distance(r))
        hand = (q2 - p2).cross(r2 - p2) * (q - p).cross(r - p)
        assert (hand < 0) == mirror


def test_a_figure_that_is_too_wide_is_turned_upright() -> None:
    wide = {
        "given": ["A and B are 17.5 cm apart."],
        "ask": ["Draw the locus of points that are 2 cm from A."],
    }
    (question,) = source(wide).paper().questions
    a, b = (question.figure.points[n] for n in "AB")
    assert abs(b.x - a.x) < 16.6  # what an A4 page is wide inside its frame
    with pytest.raises(FitError):
        source({**wide, "turn": False}).paper()


def test_a_figure_that_lies_otherwise_on_each_sheet_is_refused_for_no_unfairness() -> None:
    """'Unfair' is a warning: turning the figure changes no length, nor what may be printed."""
    hexagon = {
        "given": ["AB is 3.2 cm long."],
        "ask": ["Construct a regular hexagon on AB."],
        "marks": 2,
    }
    for turn in ({}, {"turn": "free"}):
        data = {"title": "Small", "questions": [{**hexagon, **turn}]}
        source = PaperSource(load(json.dumps(data), "small.yaml"))
        assert source.paper().questions[0].number == "1"
        if turn:
            assert len(choices_for(source, 4)) == 4
