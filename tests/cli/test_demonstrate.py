"""millimark demonstrate, through the real command."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

from .conftest import Command


def test_one_question_is_shown(paper_file: Path, tmp_path: Path, command: Command) -> None:
    ran = command("demonstrate", paper_file, "--question", "2", "--out", tmp_path, "--frames", "1")
    assert ran.code == 0
    assert [Path(line).name for line in ran.out.split()] == [
        "demonstration.html",
        "captions.vtt",
        "transcript.txt",
        "step-sheets.pdf",
        "frames",
    ]
    assert (tmp_path / "captions.vtt").read_text(encoding="utf-8").startswith("WEBVTT")
    assert len(list((tmp_path / "frames").glob("*.svg"))) > 3
    html = (tmp_path / "demonstration.html").read_text(encoding="utf-8")
    assert 'src="http' not in html
    assert 'href="http' not in html


def test_a_construction_needs_no_paper(tmp_path: Path, command: Command) -> None:
    ran = command("demonstrate", "--construction", "perpendicular bisector", "--out", tmp_path)
    assert ran.code == 0
    assert "bisector" in (tmp_path / "transcript.txt").read_text(encoding="utf-8")


def pencils(folder: Path) -> set[str]:
    """How the pencil leans in the page."""
    html = (folder / "demonstration.html").read_text(encoding="utf-8")
    return set(re.findall(r'id="tool-pencil"[^>]*><g transform="rotate\(([-0-9]+)\)', html))


def test_a_left_hand_is_shown_from_a_paper_and_from_the_catalogue(
    paper_file: Path, tmp_path: Path, command: Command
) -> None:
    for name, what in (("paper", [paper_file]), ("named", ["--construction", "midpoint"])):
        right, left = tmp_path / name, tmp_path / f"left-{name}"
        assert command("demonstrate", *what, "--out", right).code == 0
        assert command("demonstrate", *what, "--left-handed", "--out", left).code == 0
        assert pencils(right) == {"35"}
        assert pencils(left) == {"-35"}


def test_without_the_encoder_a_film_is_refused_before_anything_is_written(
    paper_file: Path, tmp_path: Path, command: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "imageio_ffmpeg", None)
    ran = command("demonstrate", paper_file, "--film", "--out", tmp_path / "out")
    assert ran.code == 2
    assert "millimark[film]" in ran.err
    assert not list((tmp_path / "out").glob("*"))


def test_unknown_constructions_and_half_a_choice_are_said(
    paper_file: Path, tmp_path: Path, command: Command
) -> None:
    unknown = command("demonstrate", "--construction", "bisecter", "--out", tmp_path)
    assert unknown.code == 2
    assert "perpendicular bisector" in unknown.err
    both = command("demonstrate", paper_file, "--construction", "square", "--out", tmp_path)
    assert both.code == 2
    assert command("demonstrate", "--out", tmp_path).code == 2


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--question", "7"], "no question 7"),
        (["--frames", "-1"], "--frames"),
        (["--frames", "nan"], "--frames"),
        (["--frames", "1e9"], "--frames"),
    ],
)
def test_wrong_options_are_said(
    options: list[str], says: str, paper_file: Path, tmp_path: Path, command: Command
) -> None:
    ran = command("demonstrate", paper_file, "--out", tmp_path / "out", *options)
    assert ran.code == 2
    assert says in ran.err
