"""A pupil's own sheet: what it says, whose marks count, and what it may not show."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pikepdf
import pypdfium2
import pytest
from jsonschema import Draft202012Validator
from tests.marking.test_batch import PAPER

from millimark.marking import feedback_words as words
from millimark.marking.annotate import write_annotated
from millimark.marking.feedback import feedback_sheets
from millimark.marking.findings import Fault as FoundFault
from millimark.marking.findings import Mark
from millimark.marking.for_teacher import write_for_teacher
from millimark.marking.names import write_names
from millimark.marking.page import Marker, mark_page
from millimark.marking.pictures import waiting_boxes
from millimark.marking.results import as_json
from millimark.marking.scripts import scripts_of, settle_pages
from millimark.marking.summary import ADVICE
from millimark.paper.access import Access
from millimark.paper.reading import paper_from_data, read_paper
from millimark.rehearsal.faults import Fault
from millimark.rehearsal.rehearse import rehearse
from millimark.scan.sources import list_pages
from millimark.schemas import schema
from millimark.sheet.layout import read_layout

NAMES = ["Ada Holt", "Ben Okoro"]


@pytest.fixture(scope="module")
def marked(tmp_path_factory):
    """Two invented pupils: one right, one whose line runs 6 mm beside its place."""
    folder = tmp_path_factory.mktemp("feedback")
    (folder / "paper.yaml").write_text(PAPER, encoding="utf-8")
    planned = {(0, "1"): [], (1, "1"): [Fault("line-shifted", "perpendicular bisector of AB", 6.0)]}
    made = rehearse(
        read_paper(folder / "paper.yaml"), 2, 4, folder, jobs=1, dpi=200, fault_rate=0.0,
        planned=planned, names=NAMES,
    )  # fmt: skip
    layout = read_layout(made.layout_path)
    paper = paper_from_data(layout.paper)
    outcomes = [mark_page(Marker(made.layout_path), ref) for ref in list_pages([folder / "scans"])]
    _, kept = settle_pages(outcomes)
    return paper, scripts_of(layout, paper, kept), kept, layout


def text_of(pdf: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    pages = [" ".join(page.get_textpage().get_text_range().split()) for page in document]
    document.close()
    return pages


def decided(scripts, decision, said="looked again", overruled=True):
    """The scripts with a person's decision on every mark of the second pupil."""
    script = scripts[1]
    question = script.questions[0]
    marks = tuple(
        replace(m, decision=decision, person="R", said=said, overruled=overruled)
        for m in question.marks
    )
    return [scripts[0], replace(script, questions=(replace(question, marks=marks),))]


def test_each_pupil_has_a_sheet_of_their_own(marked):
    pages = text_of(feedback_sheets(*marked))
    assert len(pages) == 3  # the second begins on a new sheet of paper, so its back is empty
    assert NAMES[0] in pages[0]
    assert NAMES[1] in pages[2]
    assert NAMES[1] not in pages[0] + pages[1]
    assert "2 of 2" in pages[0]
    assert "What may have happened" not in pages[0]
    assert "Every mark earned" in pages[0]


def test_a_mark_not_given_has_its_value_cause_and_practice(marked):
    page = text_of(feedback_sheets(*marked))[2]
    assert "Not yet (B1) At least 30 mm of the perpendicular bisector of AB" in page
    assert "mm from the right place; 2 mm is allowed" in page
    assert "What may have happened: The line runs in the right direction" in page
    assert f"To practise: {words.PRACTICE['line-shifted']}" in page
    assert "withheld" not in page
    assert "Mark given (B1) Construction shown" in page


def test_a_person_who_gives_the_mark_is_believed(marked):
    paper, scripts, kept, layout = marked
    page = text_of(feedback_sheets(paper, decided(scripts, "awarded"), kept, layout))[2]
    assert "Your teacher looked at this and gave the mark." in page
    assert "2 of 2" in page
    for gone in ("Not yet", "mm is allowed", "What may have happened", "looked again"):
        assert gone not in page


def test_teachers_words_are_printed_only_when_asked(marked):
    paper, scripts, kept, layout = marked
    changed = decided(scripts, "withheld", said="Ask me about the arcs")
    quiet = text_of(feedback_sheets(paper, changed, kept, layout))[2]
    told = text_of(feedback_sheets(paper, changed, kept, layout, teachers_words=True))[2]
    assert "Ask me" not in quiet
    assert "Your teacher: Ask me about the arcs" in told


def test_large_print_papers_give_large_print_feedback(marked):
    """24 pt words are 24 pt high: the type size as PDFium reads it from the page."""
    paper, scripts, kept, layout = marked
    large = replace(paper, access=Access(text="24 pt", ground="cream"))
    document = pypdfium2.PdfDocument(feedback_sheets(large, scripts[:1], kept, layout))
    page = document[0].get_textpage()
    at = page.get_text_range().index("Every mark")
    box = page.get_charbox(at)  # the capital E: cap height is 0.713 of the type size (Andika)
    assert (box[3] - box[1]) / 0.713 == pytest.approx(24.0, rel=0.03)
    document.close()


def test_one_pupil_alone_and_none_at_all(marked):
    paper, scripts, kept, layout = marked
    (page,) = text_of(feedback_sheets(paper, scripts[1:], kept, layout))
    assert NAMES[1] in page
    assert NAMES[0] not in page
    (empty,) = text_of(feedback_sheets(paper, [], {}, layout))
    assert "No page could be read" in empty


def test_a_page_that_was_not_scanned_is_said(marked):
    paper, scripts, _, layout = marked
    (page,) = text_of(feedback_sheets(paper, scripts[:1], {}, layout))
    assert "not among the scans" in page


def test_pictures_hold_the_answer_and_nothing_beside_it(marked):
    """The name line stands above the frame: no picture reaches it, not even cut from view."""
    paper, scripts, kept, layout = marked
    whole = kept["S0001", 1]
    with pikepdf.open(io.BytesIO(feedback_sheets(paper, scripts[:1], kept, layout))) as pdf:
        sizes = [
            (int(o.Width), int(o.Height)) for o in streams(pdf) if o.get("/Subtype") == "/Image"
        ]  # fmt: skip
    place = layout.sheets[0].pages[0].questions[0]
    high = (place.frame_mm[3] - place.frame_mm[1]) * 6.0  # px/mm of the straightened page
    assert sizes
    assert whole.picture
    assert all(height <= high + 2 for _, height in sizes)


def test_sheets_are_tagged_with_embedded_fonts_and_words_for_pictures(marked):
    """PDF/UA-1 (ISO 14289-1): tagged, title shown, language, alternatives, embedded fonts."""
    with pikepdf.open(io.BytesIO(feedback_sheets(*marked))) as pdf:
        assert pdf.Root.MarkInfo.Marked
        assert str(pdf.Root.Lang).startswith("en")
        assert pdf.Root.ViewerPreferences.DisplayDocTitle
        parts = [o for o in pdf.objects if isinstance(o, pikepdf.Dictionary)]
        figures = [o for o in parts if o.get("/S") == "/Figure"]
        assert len(figures) >= 2
        assert all("Measured: " in str(f.Alt) for f in figures)
        fonts = [o for o in parts if o.get("/Type") == "/FontDescriptor"]
        assert fonts
        assert all("/FontFile2" in f or "/FontFile3" in f for f in fonts)


def test_every_fault_has_something_to_practise():
    assert set(words.PRACTICE) == set(ADVICE)


def test_words_for_pupils_are_never_hard(marked):
    """No sentence of a mark that is not given uses a marker's or a programmer's word."""
    paper, scripts, _, _ = marked
    question, answer = paper.questions[0], scripts[1].questions[0]
    reasons = [
        "Nothing was drawn.", "There are no construction arcs.", "No shading was found.",
        "This mark needs B1 (construction shown) first, and it was withheld.",
        "No line for the perpendicular bisector of AB was found.",
    ]  # fmt: skip
    for reason in reasons:
        for criterion in (*question.scheme, None):
            mark = Mark("B1", "x", "withheld", reason)
            said = words.sentence(mark, criterion, answer, 2.0)
            assert said.endswith(".")
            assert "withheld" not in said


def test_a_cause_is_told_only_where_it_cost_a_mark(marked):
    paper, scripts, _, _ = marked
    question, answer = paper.questions[0], scripts[1].questions[0]
    arcs = FoundFault("no-arcs", "There are no construction arcs.")
    given = replace(answer, faults=(arcs, *answer.faults))
    assert [f.fault for f in words.standing_faults(given, question)] == ["line-shifted"]
    all_given = tuple(replace(m, decision="awarded") for m in answer.marks)
    assert words.standing_faults(replace(given, marks=all_given), question) == []


def test_the_marked_script_says_what_a_person_decided(marked, tmp_path: Path):
    """The notes beside the answer follow the mark as it stands, and cover no pencil anew."""
    paper, scripts, kept, layout = marked

    def told(given):
        write_annotated(paper, given, kept, layout, tmp_path / "annotated.pdf")
        return text_of((tmp_path / "annotated.pdf").read_bytes())

    before, after = told(scripts), told(decided(scripts, "awarded", said="Near enough"))
    assert after[0] == before[0]  # nobody looked at the first pupil's
    assert "withheld" in before[1]
    assert "Likely cause" in before[1]
    assert "2 of 2" in after[1]
    assert "Near enough (R; measured:" in after[1]
    assert "withheld" not in after[1]
    assert "Likely cause" not in after[1]


def test_marks_that_wait_are_listed_with_their_pictures_and_without_names(marked, tmp_path: Path):
    paper, scripts, kept, layout = marked
    path = tmp_path / "for-teacher.pdf"
    settled = decided(scripts, "awarded")
    assert not write_for_teacher(paper, settled, kept, layout, path)
    assert not path.exists()
    waiting = decided(scripts, "teacher", said="", overruled=False)
    assert write_for_teacher(paper, waiting, kept, layout, path)
    (page,) = text_of(path.read_bytes())
    assert "2 marks wait for you" in page
    assert "Sheet S0002" in page
    assert "award withhold" in page
    assert waiting[1].questions[0].marks[1].reason in page
    assert not any(name in page for name in NAMES)
    with pikepdf.open(path) as pdf:
        assert any(o.get("/Subtype") == "/Image" for o in streams(pdf))


def test_marks_json_says_where_to_look(marked):
    """The box holds both points that were printed and lies inside the answer frame."""
    _, scripts, kept, layout = marked
    waiting = decided(scripts, "teacher", said="", overruled=False)
    boxes = waiting_boxes(waiting, kept, layout)
    data = as_json([], waiting, {}, boxes)
    Draft202012Validator(schema("marks")).validate(data)
    looked = [m["picture"] for s in data["scripts"] for q in s["questions"] for m in q["marks"]]
    assert looked[:2] == [None, None]
    place = layout.sheets[1].pages[0].questions[0]
    (x0, y0, x1, y1), frame = looked[2]["box_mm"], place.frame_mm
    assert looked[2]["page"] == 1
    assert all(x0 < x < x1 and y0 < y < y1 for x, y in place.points.values())
    assert frame[0] <= x0 < x1 <= frame[2]
    assert frame[1] <= y0 < y1 <= frame[3]


def test_unnamed_sheets_show_their_name_line_and_no_more(marked, tmp_path: Path):
    """The strip is the line that is printed for the name, as it lies on the page."""
    paper, scripts, kept, layout = marked
    path = tmp_path / "names.pdf"
    assert not write_names(paper, scripts, kept, layout, path)
    assert write_names(paper, [replace(scripts[0], pupil=None)], kept, layout, path)
    with pikepdf.open(path) as pdf:
        (image,) = [o for o in streams(pdf) if o.get("/Subtype") == "/Image"]
        strip = cv2.imdecode(np.frombuffer(image.read_raw_bytes(), np.uint8), 0)
    page = cv2.imdecode(np.frombuffer(kept["S0001", 1].picture, np.uint8), 0)
    assert strip.shape[0] == pytest.approx(12.5 * 6, abs=2)  # 6 px/mm
    assert strip.shape[1] < page.shape[1] / 2
    where = cv2.matchTemplate(page, strip, cv2.TM_SQDIFF)
    x, y = cv2.minMaxLoc(where)[2]
    assert (x / 6.0, y / 6.0) == pytest.approx((210 / 2 + 6, 6.5), abs=0.4)
    assert strip.min() < 120  # Ada's printed name


def streams(pdf):
    return [o for o in pdf.objects if isinstance(o, pikepdf.Stream)]


def test_without_a_cause_there_is_still_something_to_do(marked):
    paper, scripts, _, _ = marked
    question, answer = paper.questions[0], replace(scripts[1].questions[0], faults=())
    (practise,) = words.without_cause(answer, question)
    assert "check two points" in practise
    changed = decided(scripts, "withheld")[1].questions[0]
    assert words.without_cause(changed, question) == []  # why, only the teacher knows


def test_the_file_is_written_by_marking(marked, tmp_path: Path):
    from millimark.cli.keeping import MARKED
    from millimark.marking.feedback import write_feedback

    write_feedback(*marked, tmp_path / "feedback.pdf")
    assert text_of((tmp_path / "feedback.pdf").read_bytes())[0].startswith("A short walk")
    assert "feedback.pdf" in MARKED
