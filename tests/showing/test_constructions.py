"""Every construction of the catalogue can be shown: its last frame is its ink, all of it."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest

from millimark.drawing.svg import path_data
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
