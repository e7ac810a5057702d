"""Whole batches: every page accounted for, files valid, one bad page stops nothing."""

from __future__ import annotations

import csv
import json
import shutil
from pathlib import Path

import cv2
import numpy as np
import pypdfium2
import pytest
from jsonschema import Draft202012Validator

from millimark.errors import SourceError
from millimark.marking.batch import mark_batch
from millimark.paper.reading import read_paper
from millimark.rehearsal.rehearse import rehearse
from millimark.schemas import schema

PAPER = """\
title: A short walk
page: A4
questions:
  - given: [A and B are 7 cm apart.]
    ask: [Draw the locus of points that are the same distance from A as from B.]
"""
OTHER = PAPER.replace("A short walk", "Another paper")


def drawn(folder: Path, text: str, pupils: int, seed: int) -> Path:
    """A rehearsed class: the folder with layout.json and scans."""
    folder.mkdir()
    (folder / "paper.yaml").write_text(text, encoding="utf-8")
    rehearse(read_paper(folder / "paper.yaml"), pupils, seed, folder / "out", jobs=1, dpi=200)
    return folder / "out"


@pytest.fixture(scope="module")
def batch(tmp_path_factory):
    """Three right scans and as many hostile files as can be thought of; then marked."""
    root = tmp_path_factory.mktemp("batch")
    ours = drawn(root / "ours", PAPER, 3, 11)
    theirs = drawn(root / "theirs", OTHER, 1, 12)
    scans = root / "scans"
    shutil.copytree(ours / "scans", scans)
    good = sorted(scans.iterdir())
    shutil.copy(sorted((theirs / "scans").iterdir())[0], scans / "other-paper.jpg")
    shutil.copy(good[0], scans / "twice.jpg")
    (scans / "empty.pdf").write_bytes(b"")
    (scans / "words.pdf").write_text("no PDF at all", encoding="utf-8")
    (scans / "cut.jpg").write_bytes(good[1].read_bytes()[:2000])
    grass = np.random.default_rng(1).integers(0, 255, (900, 700), dtype=np.uint8)
    cv2.imwrite(str(scans / "meadow.png"), cv2.GaussianBlur(grass, (0, 0), 3))
    paths = [scans, root / "missing.png"]
    seen: list[tuple[int, int, str]] = []
    out = root / "marked"
    report = mark_batch(
        paths, ours / "layout.json", out, progress=lambda *step: seen.append(step), jobs=1
    )
    return root, ours, out, report, seen


def test_every_page_ends_in_one_line(batch):
    _, _, out, report, _ = batch
    pages = json.loads((out / "marks.json").read_text(encoding="utf-8"))["pages"]
    assert len(pages) == len(report.pages) == 3 + 7
    reasons = {p["source"]: p["reason"] for p in pages if p["status"] == "unread"}
    assert set(reasons) - {"scan-0001.jpg", "twice.jpg"} == {
        "other-paper.jpg", "empty.pdf", "words.pdf", "cut.jpg", "meadow.png", "missing.png",
    }  # fmt: skip
    assert all(len(r) > 15 for r in reasons.values())
    twice = reasons.get("twice.jpg") or reasons["scan-0001.jpg"]
    assert "scanned twice" in twice
    assert report.exit_status == 1


def test_the_three_scripts_are_marked(batch):
    _, _, out, report, _ = batch
    scripts = json.loads((out / "marks.json").read_text(encoding="utf-8"))["scripts"]
    assert [s["sheet"] for s in scripts] == ["S0001", "S0002", "S0003"]
    assert [s.sheet for s in report.scripts] == ["S0001", "S0002", "S0003"]
    for script in scripts:
        assert script["out_of"] == 2
        decided = [m["decision"] for q in script["questions"] for m in q["marks"]]
        assert script["total"] == decided.count("awarded")


def test_marks_json_keeps_the_published_schema(batch):
    marks = json.loads((batch[2] / "marks.json").read_text(encoding="utf-8"))
    Draft202012Validator(schema("marks")).validate(marks)
    assert list(marks) == ["format", "version", "pages", "scripts"]


def test_marks_csv_has_a_row_for_each_pupil(batch):
    _, _, out, report, _ = batch
    text = (out / "marks.csv").read_text(encoding="utf-8-sig")
    rows = list(csv.DictReader(text.splitlines()))
    assert [r["sheet"] for r in rows] == [s.sheet for s in report.scripts]
    assert [int(r["total"]) for r in rows] == [s.total for s in report.scripts]
    assert all(r["question 1"] and r["out of"] == "2" for r in rows)


def test_annotated_pages_are_true_to_size_and_told_in_words(batch):
    """Outside authority: ISO 216 A4 is 210 x 297 mm; page size read by PDFium."""
    document = pypdfium2.PdfDocument(batch[2] / "annotated.pdf")
    assert len(document) == 3
    for page in document:
        assert page.get_size() == pytest.approx((210 * 72 / 25.4, 297 * 72 / 25.4), abs=0.01)
    text = document[0].get_textpage().get_text_range()
    assert "of 2" in text
    assert "awarded" in text or "withheld" in text or "for the teacher" in text
    document.close()


def test_progress_counts_every_page(batch):
    seen = batch[4]
    assert seen[0][:2] == (3, 10)  # three files hold no page at all
    assert [d for d, _, _ in seen] == sorted(d for d, _, _ in seen)
    assert seen[-1][:2] == (10, 10)


def test_a_second_run_gives_the_same_bytes(batch, tmp_path):
    root, ours, out, _, _ = batch
    mark_batch([root / "scans", root / "missing.png"], ours / "layout.json", tmp_path, jobs=1)
    for name in ("marks.json", "marks.csv", "annotated.pdf"):
        assert (tmp_path / name).read_bytes() == (out / name).read_bytes()


def test_nothing_readable_still_writes_its_files(batch, tmp_path):
    root, ours, _, _, _ = batch
    report = mark_batch([root / "scans" / "empty.pdf"], ours / "layout.json", tmp_path, jobs=1)
    assert report.exit_status == 1
    assert report.scripts == ()
    assert len(pypdfium2.PdfDocument(tmp_path / "annotated.pdf")) == 1
    Draft202012Validator(schema("marks")).validate(
        json.loads((tmp_path / "marks.json").read_text(encoding="utf-8"))
    )


def test_a_missing_layout_is_named(batch, tmp_path):
    with pytest.raises(SourceError, match=r"nowhere\.json"):
        mark_batch([batch[0] / "scans"], tmp_path / "nowhere.json", tmp_path, jobs=1)


def test_a_missing_page_goes_to_the_teacher_with_the_reason(tmp_path):
    text = PAPER + "\n".join(
        f"  - given: [{a} and {b} are 9 cm apart.]\n"
        f"    ask: [Draw the locus of points that are 4.5 cm from {a}.]\n"
        for a, b in (("C", "D"), ("E", "F"))
    )
    ours = drawn(tmp_path / "ours", text, 1, 3)
    scans = sorted((ours / "scans").iterdir())
    assert len(scans) > 1
    report = mark_batch(scans[:1], ours / "layout.json", tmp_path / "marked", jobs=1)
    missing = [q for q in report.scripts[0].questions if q.page is None]
    assert missing
    for q in missing:
        assert {m.decision for m in q.marks} == {"teacher"}
        assert "was not among the scans" in q.marks[0].reason
    assert report.exit_status == 0
