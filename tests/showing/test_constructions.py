"""Every construction of the catalogue can be shown: its last frame is its ink, all of it."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest

from millimark.drawing.svg import path_data
from millimark.plane.point import Point
from millimark.showing.demonstrate import demonstrate_construction
from millimark.showing.director import direct
from millimark.showing.picture import frame
from millimark.showing.stage import stage_for_construction
from millimark.working.acts import RuleLine, StrikeArc
from millimark.working.catalogue import CATALOGUE, construct
from millimark.working.instruments import Instruments
from millimark.working.spread import acts_of


@pytest.mark.parametrize("protractor", [False, True])
@pytest.mark.parametrize("name", CATALOGUE)
def test_the_last_frame_is_all_ink(name: str, protractor: bool) -> None:
    stage = stage_for_construction(construct(name, instruments=Instruments(protractor=protractor)))
    score = direct(stage)
    root = ElementTree.fromstring(frame(stage, score, score.length))
    paths = {e.get("d") for e in root.iter() if e.get("pathLength") == "1"}
    inked = [a for a in acts_of(stage.working) if isinstance(a, StrikeArc | RuleLine)]
    assert paths == {path_data([a.ink[0].transformed(stage.to_page)]) for a in inked}
    assert all(keys[-1].values[-1] == 0.0 for keys in score.tracks.values())


def test_a_construction_is_written_without_a_paper(tmp_path: Path) -> None:
    written = demonstrate_construction("incircle", tmp_path)
    assert [p.name for p in written] == [
        "demonstration.html", "captions.vtt", "transcript.txt", "step-sheets.pdf",
    ]  # fmt: skip
    assert "question" not in (tmp_path / "transcript.txt").read_text("utf-8")


@pytest.mark.parametrize("name", ["pentagon in a circle", "divide into equal parts", "incircle"])
def test_letters_of_marks_stand_clear_of_the_ink(name: str) -> None:
    """A letter is 3.5 mm high (its middle is half of that over its foot): at least a millimetre
    of paper is left round a small circle in its middle, wherever lines cross."""
    score = direct(stage_for_construction(construct(name)))
    lettered = [m for m in score.marks if m.letter]
    assert lettered
    for mark in lettered:
        assert mark.letter_at is not None
        middle = mark.letter_at - Point(0.0, 1.75)
        assert min(ink.curve.distance_to(middle) for ink in score.inks) > 1.7
        assert middle.distance(mark.at) < 9.0
