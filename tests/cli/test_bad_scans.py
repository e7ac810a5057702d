"""Bad files among good ones: each is named with its reason, and the good ones are marked."""

from __future__ import annotations

import json
import os
import shutil
from pathlib import Path
from typing import Any

import pytest

from millimark.cli.door import run

from .conftest import Command, marks_of


def as_image(pixels: Any, path: Path) -> Path:
    from PIL import Image

    Image.fromarray(pixels).save(path, dpi=(300, 300))
    return path


def something_else(path: Path) -> Path:
    """A photograph without a page: soft blobs and grain."""
    import cv2
    import numpy as np

    rng = np.random.default_rng(3)
    blobs = cv2.resize(rng.integers(0, 255, (9, 13, 3), dtype=np.uint8), (1600, 1200))
    grain = rng.normal(0, 6, blobs.shape)
    return as_image(np.clip(blobs + grain, 0, 255).astype(np.uint8), path)


def blank_page(rehearsed: Path, path: Path) -> Path:
    """A page of the paper on which nobody drew: the print alone."""
    from millimark.paper.raster import pdf_page

    return as_image(pdf_page(rehearsed / "question-paper.pdf", 1, 300 / 25.4), path)


def page_of_another_paper(folder: Path, paper_file: Path) -> Path:
    from millimark.paper.raster import pdf_page

    other = folder / "other.yaml"
    text = paper_file.read_text(encoding="utf-8")
    other.write_text(text.replace("Two beacons", "Two wells").replace("7 cm", "6.5 cm"))
    assert run(["print", str(other), "--out", str(folder / "other")]) == 0
    pixels = pdf_page(folder / "other" / "question-paper.pdf", 1, 300 / 25.4)
    return as_image(pixels, folder / "another-paper.png")


def encrypted(source: Path, path: Path) -> Path:
    import pikepdf

    with pikepdf.open(source) as pdf:
        pdf.save(path, encryption=pikepdf.Encryption(owner="o", user="u"))
    return path


def without_pages(path: Path) -> Path:
    import pikepdf

    pikepdf.new().save(path)
    return path


BAD = {
    "missing.pdf": "does not exist",
    "empty.pdf": "empty",
    "truncated.pdf": "",
    "truncated.jpg": "cut short",
    "truncated.png": "cut short",
    "encrypted.pdf": "password",
    "no-pages.pdf": "page",
    "renamed.pdf": "not a PDF",
    "renamed.png": "not a PDF, PNG, JPEG or TIFF",
    "holiday.png": "",
    "another-paper.png": "another paper",
}


@pytest.fixture(scope="module")
def bad_files(
    rehearsed: Path, paper_file: Path, tmp_path_factory: pytest.TempPathFactory
) -> list[Path]:
    folder = tmp_path_factory.mktemp("bad")
    (folder / "empty.pdf").touch()
    question_paper = rehearsed / "question-paper.pdf"
    data = question_paper.read_bytes()
    (folder / "truncated.pdf").write_bytes(data[: len(data) // 3])
    for kind in ("jpg", "png"):
        from PIL import Image

        whole = folder / f"whole.{kind}"
        Image.open(blank_page(rehearsed, folder / "blank.png")).save(whole)
        cut = whole.read_bytes()
        (folder / f"truncated.{kind}").write_bytes(cut[: len(cut) // 2])
        whole.unlink()
    (folder / "blank.png").unlink()
    encrypted(question_paper, folder / "encrypted.pdf")
    without_pages(folder / "no-pages.pdf")
    (folder / "renamed.pdf").write_text("title: not a scan\n" * 50)
    (folder / "renamed.png").write_bytes(b"PK\x03\x04" + bytes(range(256)) * 8)
    something_else(folder / "holiday.png")
    page_of_another_paper(folder, paper_file)
    return [folder / name for name in BAD]


def test_bad_files_are_named_with_reasons_and_the_others_are_marked(
    rehearsed: Path, scans: list[Path], bad_files: list[Path], tmp_path: Path, command: Command
) -> None:
    layout = rehearsed / "layout.json"
    alone = command("mark", *scans, "--layout", layout, "--out", tmp_path / "alone")
    assert alone.code == 0
    mixed = [*bad_files[:5], *scans, *bad_files[5:]]
    ran = command("mark", *mixed, "--layout", layout, "--out", tmp_path / "mixed")
    assert ran.code == 1
    found = marks_of(tmp_path / "mixed")
    assert found["scripts"] == marks_of(tmp_path / "alone")["scripts"]
    unread = {page["source"]: page["reason"] for page in found["pages"] if page["reason"]}
    assert sorted(unread) == sorted(BAD)
    for name, says in BAD.items():
        assert says in unread[name], (name, unread[name])
        assert name in ran.out
        assert len(unread[name]) > 20


def test_only_bad_files_still_give_a_report(
    rehearsed: Path, bad_files: list[Path], tmp_path: Path, command: Command
) -> None:
    ran = command("mark", *bad_files, "--layout", rehearsed / "layout.json", "--out", tmp_path)
    assert ran.code == 1
    assert marks_of(tmp_path)["scripts"] == []
    assert {page["status"] for page in marks_of(tmp_path)["pages"]} == {"unread"}


def test_a_page_twice_is_marked_once_and_said(
    rehearsed: Path, scans: list[Path], tmp_path: Path, command: Command
) -> None:
    copy = tmp_path / f"again{scans[0].suffix}"
    shutil.copy(scans[0], copy)
    layout = rehearsed / "layout.json"
    command("mark", *scans, "--layout", layout, "--out", tmp_path / "once")
    ran = command("mark", *scans, copy, "--layout", layout, "--out", tmp_path / "twice")
    once, twice = marks_of(tmp_path / "once"), marks_of(tmp_path / "twice")
    assert [s["sheet"] for s in twice["scripts"]] == [s["sheet"] for s in once["scripts"]]
    assert copy.name in ran.out + ran.err + json.dumps(twice)
    assert len(twice["pages"]) == len(once["pages"]) + 1


def test_a_blank_answer_gets_no_mark_with_a_reason_and_is_not_an_error(
    rehearsed: Path, tmp_path: Path, command: Command
) -> None:
    blank = blank_page(rehearsed, tmp_path / "blank.png")
    ran = command("mark", blank, "--layout", rehearsed / "layout.json", "--out", tmp_path / "out")
    assert ran.code == 0
    (script,) = marks_of(tmp_path / "out")["scripts"]
    assert script["total"] == 0
    marks = [mark for question in script["questions"] for mark in question["marks"]]
    assert marks
    assert {mark["decision"] for mark in marks} == {"withheld"}
    assert all(mark["reason"] for mark in marks)


@pytest.mark.parametrize(
    "content",
    [
        None,
        b"",
        b"{",
        b"[]",
        b"null",
        b"\xff\xfe",
        b'{"format": "millimark-marks", "version": 1}',
        b'{"format": "millimark-layout", "version": 99, "paper": {}, "sheets": []}',
        b'{"format": "millimark-layout", "version": 1, "paper": {}, "sheets": []}',
        b"[" * 100_000,
    ],
)
def test_layouts_that_are_none(
    content: bytes | None, scans: list[Path], tmp_path: Path, command: Command
) -> None:
    layout = tmp_path / "layout.json"
    if content is not None:
        layout.write_bytes(content)
    ran = command("mark", *scans, "--layout", layout, "--out", tmp_path / "out")
    assert ran.code == 2
    assert "layout.json" in ran.err
    assert not (tmp_path / "out" / "marks.json").exists()


def test_an_empty_folder_of_scans_is_said(
    rehearsed: Path, tmp_path: Path, command: Command
) -> None:
    (tmp_path / "scans").mkdir()
    layout = rehearsed / "layout.json"
    ran = command("mark", tmp_path / "scans", "--layout", layout, "--out", tmp_path / "out")
    assert ran.code == 2
    assert str(tmp_path / "scans") in ran.err
    assert not (tmp_path / "out").exists()


def test_what_millimark_wrote_is_no_scan(
    rehearsed: Path, scans: list[Path], tmp_path: Path, command: Command
) -> None:
    """Scans, paper and results in one folder, marked twice: the same marks, nothing unread."""
    folder = tmp_path / "all"
    folder.mkdir()
    for file in (*scans, *(p for p in rehearsed.iterdir() if p.suffix in (".pdf", ".json"))):
        if file.name != "truth.json":
            shutil.copy(file, folder / file.name)
    layout = folder / "layout.json"
    first = command("mark", folder, "--layout", layout, "--out", folder)
    assert first.code == 0
    found = marks_of(folder)
    assert {page["source"] for page in found["pages"]} == {scan.name for scan in scans}
    again = command("mark", folder, "--layout", layout, "--out", folder)
    assert again.code == 0
    assert marks_of(folder) == found


def test_odd_names_of_files_are_reported_and_steer_nothing(
    rehearsed: Path, scans: list[Path], tmp_path: Path, command: Command
) -> None:
    folder = tmp_path / "scans"
    folder.mkdir()
    for name in (
        b"not \xff unicode.jpg",
        b"[bold]markup[/bold].jpg",
        b"two\nlines.jpg",
        b"\x1b[2J",
    ):
        Path(os.fsdecode(bytes(folder) + b"/" + name.replace(b"/", b"|"))).write_bytes(b"no scan")
    os.symlink(folder, folder / "loop")
    os.mkfifo(folder / "pipe.pdf")
    shutil.copy(scans[0], folder / "good.jpg")
    layout = rehearsed / "layout.json"
    ran = command("mark", folder, "--layout", layout, "--out", tmp_path / "out")
    assert ran.code == 1
    found = marks_of(tmp_path / "out")
    assert len(found["scripts"]) == 1
    assert sum(page["status"] == "unread" for page in found["pages"]) >= 5
    assert "[bold]markup[|bold].jpg" in ran.out
    assert "\x1b" not in ran.out
