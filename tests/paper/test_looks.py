"""One print run for different readers: each sheet set as its pupil needs it."""

from __future__ import annotations

import json
from importlib import resources
from pathlib import Path

import jsonschema
import numpy as np
import pypdfium2
import pytest
from tests.paper.papers import BISECTOR, paper_of

from millimark.paper.printing import page_again, print_paper
from millimark.paper.raster import pdf_page
from millimark.paper.reading import paper_for_sheet
from millimark.sheet.layout import Layout, read_layout

VARIED = {**BISECTOR, "given": ["A and B are {AB} apart."], "choose": {"AB": ["7 cm", "8 cm"]}}
LARGE = {"text": "24 pt", "ground": "cream", "hand": "left"}
LOOKS = [None, LARGE, None]


@pytest.fixture(scope="module")
def mixed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Layout]:
    folder = tmp_path_factory.mktemp("mixed")
    layout = print_paper(paper_of(BISECTOR), folder, ["Pia", "Odo", None], looks=LOOKS)
    return folder, layout


def ground(pdf: Path, page: int) -> tuple[int, ...]:
    with pypdfium2.PdfDocument(pdf) as document:
        picture = document[page - 1].render(scale=0.5).to_pil().convert("RGB")
    return tuple(picture.getpixel((3, 3)))


def test_each_sheet_is_set_as_its_pupil_needs_it(
    mixed: tuple[Path, Layout], tmp_path: Path
) -> None:
    folder, layout = mixed
    pdf = folder / "question-paper.pdf"
    assert [ground(pdf, page) for page in (1, 2, 3)] == [
        (255, 255, 255), (251, 244, 221), (255, 255, 255),
    ]  # fmt: skip
    whole = print_paper(paper_of(BISECTOR, access=LARGE), tmp_path, [None])
    usual = print_paper(paper_of(BISECTOR), tmp_path, [None])
    places = [sheet.pages[0].questions for sheet in layout.sheets]
    assert places[0] == places[2] == usual.sheets[0].pages[0].questions
    assert places[1] == whole.sheets[0].pages[0].questions != places[0]


def test_the_words_are_as_large_as_where_the_whole_paper_is(
    mixed: tuple[Path, Layout], tmp_path: Path
) -> None:
    folder, _ = mixed
    print_paper(paper_of(BISECTOR, access=LARGE), tmp_path, ["Odo"])
    mine = pdf_page(folder / "question-paper.pdf", 2, 4.0)
    theirs = pdf_page(tmp_path / "question-paper.pdf", 1, 4.0)
    body = np.s_[120:1100, 60:780]  # without the codes, which name another paper
    assert mine.shape == theirs.shape
    assert np.array_equal(mine[body], theirs[body])


def test_marking_finds_the_sheet_again_as_it_was_printed(mixed: tuple[Path, Layout]) -> None:
    folder, layout = mixed
    kept = read_layout(folder / "layout.json")
    assert kept.sheets == layout.sheets
    schema = json.loads((resources.files("millimark") / "schemas" / "layout.json").read_text())
    jsonschema.validate(json.loads((folder / "layout.json").read_text()), schema)
    paper = paper_of(BISECTOR)
    assert [paper_for_sheet(paper, s).access.text for s in kept.sheets] == [
        "usual", "24 pt", "usual",
    ]  # fmt: skip
    assert all(paper_for_sheet(paper, s).data == paper.data for s in kept.sheets)
    again = folder / "again.pdf"
    for sheet in kept.sheets:
        again.write_bytes(page_again(kept, sheet.pages[0]))
        printed = pdf_page(folder / "question-paper.pdf", sheet.pages[0].pdf_page, 3.0)
        assert np.array_equal(pdf_page(again, 1, 3.0), printed)


def test_values_vary_as_they_would_without(tmp_path: Path) -> None:
    layout = print_paper(paper_of(VARIED), tmp_path / "a", [None] * 3, looks=LOOKS)
    plain = print_paper(paper_of(VARIED), tmp_path / "b", [None] * 3)
    assert [s.choices["1"] for s in layout.sheets] == [s.choices["1"] for s in plain.sheets]
    assert layout.sheets[1].choices["access"] == LARGE
    assert layout.sheets[1].pages[0].questions[0].points != {}
