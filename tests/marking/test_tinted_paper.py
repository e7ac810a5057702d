"""Paper with a tinted ground: the tint is the paper's, neither print nor pencil."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from millimark.marking.batch import mark_batch
from millimark.paper.access import GROUNDS
from millimark.paper.raster import pdf_page, printed_page
from millimark.paper.reading import paper_from_data
from millimark.rehearsal.rehearse import rehearse
from millimark.sheet.layout import read_layout


def lamps(ground: str) -> dict:
    return {
        "title": "Lamps",
        "access": {"ground": ground},
        "questions": [
            {
                "given": ["A and B are 8 cm apart."],
                "ask": ["Shade the region less than 5 cm from A and nearer to B than to A."],
                "marks": 3,
            }
        ],
    }


@pytest.mark.parametrize("capture", ["phone", "flatbed"])
@pytest.mark.parametrize("ground", [g for g in GROUNDS if g != "white"])
def test_a_tinted_sheet_is_marked_as_a_white_one(ground: str, capture: str, tmp_path: Path) -> None:
    """All five tints passed for print on photographs: everything drawn was hidden by it."""
    paper = paper_from_data(lamps(ground))
    rehearse(paper, 1, 5, tmp_path, capture=capture, fault_rate=0.0)
    mark_batch([tmp_path / "scans"], tmp_path / "layout.json", tmp_path / "marked")
    (script,) = json.loads((tmp_path / "marked" / "marks.json").read_text())["scripts"]
    (question,) = script["questions"]
    assert [m["decision"] for m in question["marks"]] == ["awarded"] * 3


@pytest.mark.parametrize("ground", GROUNDS)
def test_the_known_page_is_the_same_on_every_ground(ground: str, tmp_path: Path) -> None:
    """Ink on white, as if the paper had no tint."""
    rehearse(paper_from_data(lamps(ground)), 1, 5, tmp_path)
    layout = read_layout(tmp_path / "layout.json")
    page = layout.sheets[0].pages[0]
    known = printed_page(tmp_path / "layout.json", layout, page, 8.0)
    raw = pdf_page(tmp_path / "question-paper.pdf", 1, 8.0)
    assert np.median(known) == 255
    assert (np.median(raw) == 255) == (ground == "white")
    assert (known < 128).mean() == pytest.approx((raw < 128 * np.median(raw) / 255).mean(), rel=0.1)
