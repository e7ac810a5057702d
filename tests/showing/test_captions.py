"""Captions, transcript and step sheets."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

import pikepdf
import pytest
import webvtt as parser
from tests.showing.conftest import Open, Shown

from millimark import demo
from millimark.errors import PaperError
from millimark.paper.reading import read_paper
from millimark.showing.captions import transcript, webvtt
from millimark.showing.demonstrate import demonstrate
from millimark.showing.score import Cue, Score
from millimark.showing.sheets import pictured, step_sheets


def seconds(stamp: str) -> float:
    hours, minutes, rest = stamp.split(":")
    return 3600 * int(hours) + 60 * int(minutes) + float(rest)


@pytest.mark.parametrize("number", ["1", "2", "3", "4", "5"])
def test_another_parser_reads_the_captions(
    shown: dict[str, Shown], tmp_path: Path, number: str
) -> None:
    """WebVTT (W3C) as webvtt-py (PyPI) reads it: every cue, its text and its times."""
    score = shown[number][2]
    path = tmp_path / "captions.vtt"
    path.write_text(webvtt(score), encoding="utf-8")
    read = list(parser.read(str(path)))
    assert [unescape(cue.text) for cue in read] == [cue.text for cue in score.cues]
    for got, cue in zip(read, score.cues, strict=True):
        assert seconds(got.start) == pytest.approx(cue.start, abs=6e-4)
        assert seconds(got.end) == pytest.approx(cue.end, abs=6e-4)


@pytest.mark.chromium
def test_chromium_reads_the_captions(shown: dict[str, Shown], open_page: Open) -> None:
    """The same by a browser's own parser."""
    score = shown["4"][2]
    page = open_page("<html><body><video><track kind='captions'></video></body></html>")
    cues = page.evaluate(
        """(text) => new Promise((done) => {
          const track = document.querySelector("track");
          track.onload = () =>
            done([...track.track.cues].map((c) => [c.startTime, c.endTime, c.text]));
          track.track.mode = "hidden";
          track.src = URL.createObjectURL(new Blob([text], {type: "text/vtt"}));
        })""",
        webvtt(score),
    )
    assert [c[2] for c in cues] == [cue.text for cue in score.cues]
    assert [c[0] for c in cues] == pytest.approx([cue.start for cue in score.cues], abs=6e-4)
    assert [c[1] for c in cues] == pytest.approx([cue.end for cue in score.cues], abs=6e-4)


def test_times_are_hours_minutes_seconds_and_thousandths(shown: dict[str, Shown]) -> None:
    lines = webvtt(shown["1"][2]).splitlines()
    assert lines[0] == "WEBVTT"
    clock = r"\d\d:[0-5]\d:[0-5]\d\.\d{3}"
    assert re.fullmatch(rf"{clock} --> {clock}", lines[3])


def test_long_times_run_over_minutes_and_hours() -> None:
    score = Score(cues=[Cue("Rest.", 59.9996, 3725.5, "x")])
    assert "00:01:00.000 --> 01:02:05.500" in webvtt(score)


def test_the_transcript_numbers_every_act_and_says_why(shown: dict[str, Shown]) -> None:
    _, stage, score = shown["1"]
    text = transcript(stage, score)
    assert "A and B are 8 cm apart." in text
    assert "rhombus" in text
    assert re.findall(r"^ *(\d+)\. ", text, re.M) == [str(n) for n in range(1, len(score.cues) + 1)]


def test_step_sheets_show_every_act_once(shown: dict[str, Shown]) -> None:
    _, stage, _ = shown["3"]
    pictures = list(pictured(stage))
    acts = [number for p in pictures for number in p.acts]
    assert acts == list(range(len(acts)))
    assert len(acts) == sum(len(step.acts) for step in stage.working.steps)


def test_step_sheets_are_a_tagged_pdf_with_alternatives(
    shown: dict[str, Shown], tmp_path: Path
) -> None:
    _, stage, score = shown["5"]
    path = tmp_path / "sheets.pdf"
    path.write_bytes(step_sheets(stage, score))
    with pikepdf.open(path) as pdf:
        assert pdf.Root.MarkInfo.Marked
        assert str(pdf.Root.Lang) == "en"
        assert "question 5" in str(pdf.docinfo.Title)


def test_everything_is_written(tmp_path: Path) -> None:
    file = tmp_path / "paper.yaml"
    file.write_text(demo.text("paper.yaml"), encoding="utf-8")
    told: list[str] = []
    written = demonstrate(
        read_paper(file), "2", tmp_path / "out", 0.5, lambda done, total, what: told.append(what)
    )
    names = [str(p.relative_to(tmp_path / "out")) for p in written]
    assert names[:4] == [
        "demonstration.html", "captions.vtt", "transcript.txt", "step-sheets.pdf",
    ]  # fmt: skip
    assert names[4] == "frames/0000.svg"
    assert all(p.stat().st_size > 100 for p in written)
    assert told[-1] == "demonstration"


def test_a_question_that_is_not_there_is_named(tmp_path: Path) -> None:
    file = tmp_path / "paper.yaml"
    file.write_text(demo.text("paper.yaml"), encoding="utf-8")
    with pytest.raises(PaperError, match="no question 9"):
        demonstrate(read_paper(file), "9", tmp_path)
