"""Access: large print, tinted grounds, left hands; lengths stay what the words say."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2 as pdfium
import pytest
import zxingcpp

from millimark.errors import PaperError
from millimark.paper.access import GROUNDS, Access
from millimark.paper.printing import print_paper
from millimark.paper.question_pages import plan_paper
from millimark.paper.raster import pdf_page
from millimark.sheet.layout import Layout

from .papers import ANGLE, BISECTOR, REGION, paper_of

PT = 25.4 / 72


def words_height(folder: Path) -> float:
    """Type size in pt of the first question's words, as the PDF has it."""
    page = pdfium.PdfDocument(folder / "question-paper.pdf")[0]
    text = page.get_textpage()
    found = text.search("A and B are")
    start, _ = found.get_next()
    box = text.get_charbox(start, loose=True)
    return float(box[3] - box[1])


@pytest.mark.parametrize(("text", "points"), [("18 pt", 18.0), ("24 pt", 24.0)])
def test_large_print_is_as_large_as_it_says(tmp_path: Path, text: str, points: float) -> None:
    # 18 pt on A4 and 24 pt on A3 are the usual large print (TRADE [V/C]).
    print_paper(paper_of(BISECTOR, access={"text": text}), tmp_path / "large", [None])
    print_paper(paper_of(BISECTOR), tmp_path / "usual", [None])
    usual = 2.5 / 0.713 / PT
    ratio = words_height(tmp_path / "large") / words_height(tmp_path / "usual")
    assert ratio * usual == pytest.approx(points, rel=0.01)


def test_large_print_keeps_lengths() -> None:
    for text in ("usual", "18 pt", "24 pt"):
        plan = plan_paper(paper_of(BISECTOR, access={"text": text}, page="A3"), "7K2QXW")
        places = dict(plan.drawn[0].ink.points)
        assert places["A"].distance(places["B"]) == pytest.approx(80.0, abs=1e-6)


def test_large_labels_are_clear_of_lines() -> None:
    plan = plan_paper(paper_of(REGION, ANGLE, access={"text": "24 pt"}, page="A3"), "7K2QXW")
    for drawn in plan.drawn:
        for label in drawn.labels:
            assert label.box[3] - label.box[1] > 6.0
            assert label.clearance > 0.3


@pytest.mark.parametrize("ground", GROUNDS)
def test_ink_keeps_its_contrast_and_codes_are_read_on_every_ground(
    ground: str, tmp_path: Path
) -> None:
    layout: Layout = print_paper(paper_of(BISECTOR, access={"ground": ground}), tmp_path, [None])
    picture = pdf_page(tmp_path / "question-paper.pdf", 1, 200 / 25.4)
    code = layout.sheets[0].pages[0].codes[0]
    x0, y0, x1, y1 = (round(v * 200 / 25.4) for v in code.box)
    patch = np.ascontiguousarray(picture[y0:y1, x0:x1])
    assert [b.text for b in zxingcpp.read_barcodes(patch)] == [code.text]
    assert picture[-3, -3] >= 230  # the ground reaches the edge and stays pale
    assert contrast("#16202e", GROUNDS[ground]) > 12


def contrast(one: str, two: str) -> float:
    """Contrast ratio by WCAG 2.2's definition of relative luminance (from memory)."""

    def luminance(colour: str) -> float:
        channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
        return 0.2126 * r + 0.7152 * g + 0.0722 * b

    light, dark = sorted((luminance(one), luminance(two)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_a_left_hand_gets_its_instruments_and_its_marks_at_the_left(tmp_path: Path) -> None:
    paper = paper_of(BISECTOR, access={"hand": "left"})
    assert paper.instruments.left_handed
    print_paper(paper, tmp_path, [None])
    page = pdfium.PdfDocument(tmp_path / "question-paper.pdf")[0]
    text = page.get_textpage()
    start, _ = text.search("[2 marks]").get_next()
    assert text.get_charbox(start)[0] * PT < 25.0


def test_all_access_pdfs_ask_for_pdf_ua(tmp_path: Path) -> None:
    print_paper(paper_of(BISECTOR, access={"text": "18 pt", "ground": "blue"}), tmp_path, [None])
    for path in tmp_path.glob("*.pdf"):
        with pikepdf.open(path) as pdf, pdf.open_metadata() as metadata:
            assert metadata["pdfuaid:part"] == "1"


@pytest.mark.parametrize(
    "access", [{"text": "30 pt"}, {"ground": "black"}, {"hand": "both"}, {"size": "18 pt"}]
)
def test_unknown_access_is_refused(access: dict[str, str]) -> None:
    with pytest.raises(PaperError):
        paper_of(BISECTOR, access=access)


def test_the_usual_access_is_plain() -> None:
    assert paper_of(BISECTOR).access == Access()
