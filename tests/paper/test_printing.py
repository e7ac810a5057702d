"""The printed files, looked at by other eyes: poppler, qpdf, pikepdf, OpenCV, zxing."""

from __future__ import annotations

import hashlib
import json
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pikepdf
import pytest
import zxingcpp
from jsonschema import Draft202012Validator

from millimark.errors import FitError, PaperError
from millimark.paper.formats import page_format
from millimark.paper.printing import print_paper
from millimark.paper.raster import pdf_page, printed_page
from millimark.sheet.code import PageCode, decode
from millimark.sheet.layout import CodeBox, PageMap, read_layout

from .conftest import PX_PER_MM, Printed
from .papers import BISECTOR, CIRCLE, paper_of

PDFS = (
    "question-paper", "model-answers", "overlays", "mark-scheme", "step-booklet", "register",
)  # fmt: skip
mm = 1.0
SCHEMA = json.loads(
    (Path(__file__).parents[2] / "src/millimark/schemas/layout.json").read_text("utf-8")
)


def pages(printed: Printed) -> Iterator[PageMap]:
    for sheet in printed.layout.sheets:
        yield from sheet.pages


# --- sizes, true to the hundredth of a millimetre --------------------------------------
@pytest.mark.parametrize(
    ("page", "width", "height"),
    [("A4", 210.0, 297.0), ("A3", 297.0, 420.0), ("Letter", 8.5 * 25.4, 11 * 25.4)],
)
def test_pages_have_their_standard_size(
    page: str, width: float, height: float, tmp_path: Path
) -> None:
    # ISO 216: A4 is 210 x 297 mm, A3 297 x 420 mm; Letter is 8.5 x 11 in (ANSI Y14.1).
    layout = print_paper(paper_of(BISECTOR, page=page), tmp_path, [None])
    for name in PDFS:
        with pikepdf.open(tmp_path / f"{name}.pdf") as pdf:
            for sheet in pdf.pages:
                x0, y0, x1, y1 = (float(v) * 25.4 / 72 for v in sheet.mediabox)
                assert (x1 - x0, y1 - y0) == pytest.approx((width, height), abs=0.01 * mm)
    assert layout.sheets[0].pages[0].width_mm == pytest.approx(width)


def test_the_check_rule_is_100_mm_between_its_end_ticks(printed: Printed) -> None:
    picture = 255.0 - printed.poppler(1)
    rule = next(pages(printed)).check_rule
    assert rule is not None
    x0, y, x1, _ = rule
    top, bottom = int((y - 2.9) * PX_PER_MM), int((y - 2.6) * PX_PER_MM)  # end ticks alone
    places = []
    for x in (x0, x1):
        left, right = int((x - 1) * PX_PER_MM), int((x + 1) * PX_PER_MM)
        column = picture[top:bottom, left:right].sum(axis=0)
        places.append(left + 0.5 + (column * np.arange(len(column))).sum() / column.sum())
    assert (places[1] - places[0]) / PX_PER_MM == pytest.approx(100.0, abs=0.01 * mm)


def test_the_check_square_is_10_mm_each_way(printed: Printed) -> None:
    picture = 255.0 - printed.poppler(1)
    x0, y0, x1, y1 = (v * PX_PER_MM for v in page_format("A4").check_square)
    middle_row, middle_column = round((y0 + y1) / 2), round((x0 + x1) / 2)
    for places, line in (
        ((x0, x1), picture[middle_row]),
        ((y0, y1), picture[:, middle_column]),
    ):
        found = []
        for place in places:
            k = round(place)
            patch = line[k - 12 : k + 12]
            found.append(k - 12 + 0.5 + (patch * np.arange(24)).sum() / patch.sum())
        assert (found[1] - found[0]) / PX_PER_MM == pytest.approx(10.0, abs=0.05 * mm)


def test_every_labelled_point_lies_on_its_ink(printed: Printed) -> None:
    """Crosses are found by the centroid of each arm; corners by ink at the point itself."""
    seen = 0
    for page in printed.layout.sheets[0].pages:
        picture = 255.0 - printed.poppler(page.pdf_page)
        for place in page.questions:
            for x, y in place.points.values():
                column, row = int(x * PX_PER_MM), int(y * PX_PER_MM)
                assert picture[row - 2 : row + 3, column - 2 : column + 3].max() > 128
                seen += 1
    assert seen == 16


def test_crosses_are_centred_on_their_points(printed: Printed) -> None:
    crosses = {"1": ("A", "B"), "2": ("C", "D")}
    for page in printed.layout.sheets[0].pages:
        picture = 255.0 - printed.poppler(page.pdf_page)
        for place in page.questions:
            for name in crosses.get(place.question, ()):
                x, y = place.points[name]
                assert arm_centre(picture, x, y) == pytest.approx((x, y), abs=0.01 * mm)


def arm_centre(picture: np.ndarray, x: float, y: float) -> tuple[float, float]:
    """Centre of the two arms of an upright cross near (x, y): the outer halves of each arm."""
    j, i = round(x * PX_PER_MM), round(y * PX_PER_MM)
    reach, inner, half = round(1.2 * PX_PER_MM), round(0.4 * PX_PER_MM), round(0.35 * PX_PER_MM)
    outer = [*range(-reach, -inner), *range(inner, reach)]
    across = np.arange(-half, half + 1)
    upright = picture[np.ix_([i + k for k in outer], j + across)].sum(axis=0)
    level = picture[np.ix_(i + across, [j + k for k in outer])].sum(axis=1)
    cx = j + 0.5 + (upright * across).sum() / upright.sum()
    cy = i + 0.5 + (level * across).sum() / level.sum()
    return cx / PX_PER_MM, cy / PX_PER_MM


def test_dots_and_marks_lie_where_the_layout_says(printed: Printed) -> None:
    page = next(pages(printed))
    picture = 255.0 - printed.poppler(1)
    for dot in page.dots:
        j, i, half = int(dot.x * PX_PER_MM), int(dot.y * PX_PER_MM), round(0.5 * PX_PER_MM)
        patch = picture[i - half : i + half + 1, j - half : j + half + 1]
        rows, columns = np.mgrid[i - half : i + half + 1, j - half : j + half + 1]
        x = ((columns + 0.5) * patch).sum() / patch.sum() / PX_PER_MM
        y = ((rows + 0.5) * patch).sum() / patch.sum() / PX_PER_MM
        assert (x, y) == pytest.approx((dot.x, dot.y), abs=0.02 * mm)
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50))
    corners, ids, _ = detector.detectMarkers(printed.poppler(1)[::2, ::2])
    found = {
        int(i): c.reshape(4, 2).mean(axis=0) for i, c in zip(ids.ravel(), corners, strict=True)
    }
    for mark in page.marks:
        x, y = (found[mark.id] + 0.5) * 2 / PX_PER_MM
        assert (x, y) == pytest.approx((mark.x, mark.y), abs=0.1 * mm)


# --- the page code, by two decoders ----------------------------------------------------
def crop(picture: np.ndarray, code: CodeBox, px_per_mm: float) -> np.ndarray:
    x0, y0, x1, y1 = (round(v * px_per_mm) for v in code.box)
    return np.ascontiguousarray(picture[y0:y1, x0:x1])


@pytest.mark.parametrize("dpi", [200, 300])
def test_both_copies_of_every_page_code_are_read_by_two_decoders(
    printed: Printed, dpi: int
) -> None:
    px_per_mm = dpi / 25.4
    for sheet in printed.layout.sheets:
        for page in sheet.pages:
            picture = pdf_page(printed.pdf, page.pdf_page, px_per_mm)
            expected = PageCode(printed.layout.paper_id, sheet.sheet, page.page)
            assert len({code.box for code in page.codes}) == 2
            for code in page.codes:
                assert decode(code.text) == expected
                patch = crop(picture, code, px_per_mm)
                assert [b.text for b in zxingcpp.read_barcodes(patch)] == [code.text]
                larger = cv2.resize(patch, None, fx=4, fy=4, interpolation=cv2.INTER_CUBIC)
                assert cv2.QRCodeDetector().detectAndDecode(larger)[0] == code.text


# --- rasters ----------------------------------------------------------------------------
def test_the_raster_agrees_with_poppler_to_a_fraction_of_a_pixel(printed: Printed) -> None:
    ours = 255 - pdf_page(printed.pdf, 1, PX_PER_MM).astype(float)
    theirs = 255 - printed.poppler(1).astype(float)
    assert ours.shape == theirs.shape
    window = (slice(1000, 2024), slice(1000, 2024))  # a corner of the first frame with its cross
    shift, _ = cv2.phaseCorrelate(ours[window], theirs[window])
    assert np.hypot(*shift) < 0.1
    assert np.abs(ours - theirs).mean() < 1.0


def test_a_printed_page_comes_from_the_pdf_or_is_typeset_again(
    printed: Printed, tmp_path: Path
) -> None:
    layout_path = printed.folder / "layout.json"
    layout = read_layout(layout_path)
    page = layout.sheets[1].pages[1]
    beside = printed_page(layout_path, layout, page, 8.0)
    alone = tmp_path / "layout.json"
    alone.write_bytes(layout_path.read_bytes())
    again = printed_page(alone, layout, page, 8.0)
    assert np.array_equal(beside, again)
    (tmp_path / "question-paper.pdf").write_bytes(b"%PDF-1.7 of another paper")
    assert np.array_equal(printed_page(alone, layout, page, 8.0), beside)


# --- the files as PDFs ------------------------------------------------------------------
@pytest.mark.qpdf
@pytest.mark.parametrize("name", PDFS)
def test_qpdf_finds_no_fault(printed: Printed, name: str) -> None:
    checked = subprocess.run(
        ["qpdf", "--check", str(printed.folder / f"{name}.pdf")],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert checked.returncode == 0, checked.stdout + checked.stderr


@pytest.mark.parametrize("name", PDFS)
def test_pdfs_are_tagged_titled_and_in_english(printed: Printed, name: str) -> None:
    with pikepdf.open(printed.folder / f"{name}.pdf") as pdf:
        assert pdf.Root.MarkInfo.Marked
        assert "/StructTreeRoot" in pdf.Root
        assert str(pdf.Root.Lang).startswith("en")
        assert pdf.Root.ViewerPreferences.DisplayDocTitle
        with pdf.open_metadata() as metadata:
            assert "The shore of Ness" in str(metadata["dc:title"])
            assert metadata["pdfuaid:part"] == "1"  # declared by the typesetter, partly checked


@pytest.mark.parametrize("name", PDFS)
def test_every_font_is_embedded(printed: Printed, name: str) -> None:
    with pikepdf.open(printed.folder / f"{name}.pdf") as pdf:
        descriptors = [o for o in pdf.objects if is_type(o, "/FontDescriptor")]
        assert descriptors
        for descriptor in descriptors:
            assert "Andika" in str(descriptor.FontName)
            assert any(key in descriptor for key in ("/FontFile", "/FontFile2", "/FontFile3"))


@pytest.mark.parametrize("name", ["question-paper", "model-answers", "overlays", "step-booklet"])
def test_every_figure_has_alternative_text(printed: Printed, name: str) -> None:
    with pikepdf.open(printed.folder / f"{name}.pdf") as pdf:
        figures = [o for o in pdf.objects if is_type(o, "/StructElem") and o.get("/S") == "/Figure"]
        assert len(figures) >= 6
        for figure in figures:
            assert len(str(figure.Alt)) > 20
    if name == "question-paper":
        texts = {str(f) for f in alternatives(printed.folder / f"{name}.pdf")}
        assert any("Points A and B, 8 cm apart, B to the right of A" in t for t in texts)


def alternatives(path: Path) -> list[str]:
    with pikepdf.open(path) as pdf:
        return [str(o.Alt) for o in pdf.objects if is_type(o, "/StructElem") and "/Alt" in o]


def is_type(thing: Any, name: str) -> bool:
    return isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == name


# --- the sheet map ----------------------------------------------------------------------
def test_layout_is_valid_and_belongs_to_the_pdf(printed: Printed) -> None:
    data = json.loads((printed.folder / "layout.json").read_text("utf-8"))
    assert list(Draft202012Validator(SCHEMA).iter_errors(data)) == []
    assert data["pdf_sha256"] == hashlib.sha256(printed.pdf.read_bytes()).hexdigest()
    assert read_layout(printed.folder / "layout.json") == printed.layout
    numbers = [p.pdf_page for p in pages(printed)]
    assert numbers == list(range(1, len(numbers) + 1))
    with pikepdf.open(printed.pdf) as pdf:
        assert len(pdf.pages) == len(numbers)
    assert [s.pupil for s in printed.layout.sheets] == ["Asha Ø.", None]
    assert [s.sheet for s in printed.layout.sheets] == ["S0001", "S0002"]


def test_the_same_paper_gives_the_same_bytes(printed: Printed, tmp_path: Path) -> None:
    print_paper(printed.paper, tmp_path, ["Asha Ø.", None])
    for name in (*(f"{n}.pdf" for n in PDFS), "layout.json"):
        assert (tmp_path / name).read_bytes() == (printed.folder / name).read_bytes(), name


def test_progress_is_told_and_ends(tmp_path: Path) -> None:
    told: list[tuple[int, int, str]] = []
    print_paper(paper_of(CIRCLE), tmp_path, [None], lambda *step: told.append(step))
    assert told[0][0] == 0
    assert told[-1][0] == told[-1][1]


@pytest.mark.parametrize("count", [0, 10_000])
def test_a_number_of_sheets_without_codes_is_refused(tmp_path: Path, count: int) -> None:
    with pytest.raises(PaperError, match=f"{count} sheets"):
        print_paper(paper_of(CIRCLE), tmp_path, [None] * count)


def test_an_answer_that_fits_no_frame_is_refused_before_anything_is_written(
    tmp_path: Path,
) -> None:
    story = "A tale of the shore. " * 400
    with pytest.raises(FitError, match="question 1 take"):
        print_paper(paper_of({**BISECTOR, "story": story}), tmp_path / "out", [None])
    assert not (tmp_path / "out").exists()
