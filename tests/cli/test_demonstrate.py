"""millimark demonstrate, through the real command."""

from __future__ import annotations

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
