"""What is written for the class: summary, class sheet, workbook, name strips."""

from __future__ import annotations

import time
from dataclasses import replace

import openpyxl
import pikepdf
import pypdfium2
import pytest
from tests.marking.pupil import Hand
from tests.marking.test_batch import PAPER, drawn
from tests.marking.test_lines import BISECTOR, bisected

from millimark.marking.batch import mark_batch
from millimark.marking.findings import Script
from millimark.marking.results import safe_cell
from millimark.marking.summary import by_fault, by_question, to_teach_again
from millimark.marking.workbook import write_workbook
from millimark.sheet.layout import read_layout


def scripts():
    answers = [
        bisected(Hand()),
        bisected(Hand(2), off=5.0),
        bisected(Hand(3), off=7.0),
        Hand().marked(BISECTOR),
    ]
    return [Script(f"S000{k}", None, (a,)) for k, a in enumerate(answers, start=1)]


def test_marks_by_question_and_commonest_faults():
    (only,) = by_question(scripts())
    assert (only.awarded, only.out_of) == (4, 8)
    faults = by_fault(scripts())
    assert [(f.fault, f.answers) for f in faults] == [("line-shifted", 2), ("blank", 1)]
    assert faults[0].example[0] == "S0003"  # the clearest: 7 mm
    assert all(f.title and f.advice for f in faults)


def test_what_to_teach_again_is_what_earned_little():
    assert [q.question for q in to_teach_again(scripts())] == ["1"]
    assert to_teach_again(scripts()[:1]) == []


def test_workbook_holds_every_mark_and_is_the_same_each_time(tmp_path):
    """Outside reader: openpyxl reads back what stands in the cells."""
    for name in ("one.xlsx", "two.xlsx"):
        write_workbook("A trial", scripts(), tmp_path / name)
        time.sleep(1.1)  # the format keeps whole seconds
    assert (tmp_path / "one.xlsx").read_bytes() == (tmp_path / "two.xlsx").read_bytes()
    book = openpyxl.load_workbook(tmp_path / "one.xlsx")
    assert book.sheetnames == ["Marks", "Reasons", "Questions", "Faults"]
    assert [c.value for c in book["Marks"][2]][2:] == [2, 2, 2, 0]
    assert book["Reasons"].max_row == 1 + 8


@pytest.mark.parametrize("text", ["=1+1", "+CMD", "-2", "@x"])
def test_no_cell_is_run_as_a_formula(text):
    assert safe_cell(text) == f"'{text}"


def tallest(path):
    """Height in mm of the tallest photograph in a PDF: pages are straightened at 6 px/mm."""
    with pikepdf.open(path) as pdf:
        streams = [o for o in pdf.objects if isinstance(o, pikepdf.Stream)]
        heights = [int(o.Height) for o in streams if o.get("/Subtype") == "/Image"]
    return max(heights, default=0) / 6.0


def answer_frame(layout):
    """Height in mm of the tallest answer frame: what reaches no further shows no name line."""
    pages = [p for s in read_layout(layout).sheets for p in s.pages]
    return max(q.frame_mm[3] - q.frame_mm[1] for p in pages for q in p.questions)


def test_an_answer_with_all_its_marks_shows_no_fault():
    whole = scripts()[1]
    given = tuple(replace(m, decision="awarded", person="R") for m in whole.questions[0].marks)
    believed = replace(whole, questions=(replace(whole.questions[0], marks=given),))
    assert by_fault([whole])
    assert by_fault([believed]) == []


def test_unnamed_sheets_get_a_strip_and_the_class_a_sheet(tmp_path):
    ours = drawn(tmp_path / "ours", PAPER, 2, 21)
    layout = ours / "layout.json"
    text = layout.read_text(encoding="utf-8")
    named = list(text.split('"pupil": ')[1:])
    assert named
    mark_batch([ours / "scans"], layout, tmp_path / "marked", jobs=1)
    document = pypdfium2.PdfDocument(tmp_path / "marked" / "class-sheet.pdf")
    told = document[0].get_textpage().get_text_range()
    assert "Marks by question" in told
    assert "Commonest faults" in told
    document.close()
    assert tallest(tmp_path / "marked" / "class-sheet.pdf") <= answer_frame(layout)
    has_names = all(s is not None for s in named) and '"pupil": null' not in text
    assert (tmp_path / "marked" / "names.pdf").exists() != has_names
