"""Smooth grey shading on photographs, drawn by the simulator of another make: it is decided,
and a shadow is not taken for it.
"""

from __future__ import annotations

import json

import cv2
import numpy as np
import pytest
from tests.rehearsal import other_hand
from tests.rehearsal.other_hand import PAPER, Case, Scanner, region

from millimark.marking.batch import mark_batch
from millimark.paper.printing import print_paper
from millimark.paper.reading import read_paper

CASES = {
    "right": ({"hatched": False}, "awarded"),
    "wrong side": ({"hatched": False, "wrong_side": True}, "withheld"),
    "not shaded": ({"shaded": False}, "withheld"),
}


def in_a_shadow(page):
    """The usual photograph, with a hand's shadow from one side across the last answer."""
    view = photographed(page)
    h, w = view.shape
    x, y = np.meshgrid(np.arange(w) / w, np.arange(h) / h)
    return view * (1.0 - 0.4 / (1.0 + np.exp(np.clip((x + 0.5 * y - 0.75) * 25.0, -40, 40))))


photographed = other_hand._photographed


@pytest.fixture(scope="module")
def marks(tmp_path_factory):
    folder = tmp_path_factory.mktemp("tones")
    alone = "title: Tones\nquestions:\n" + PAPER[PAPER.rindex("  - given") :]
    (folder / "paper.yaml").write_text(alone, encoding="utf-8")
    print_paper(read_paper(folder / "paper.yaml"), folder, [None] * len(CASES))
    sheets = [
        {"1": Case("1", name, lambda p, k, how=how: region(p, k, **how), ())}
        for name, (how, _) in CASES.items()
    ]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(other_hand, "_photographed", in_a_shadow)
        layout, pdf = folder / "layout.json", folder / "question-paper.pdf"
        scanner = Scanner(dpi=200, photo=True)
        other_hand.draw_sheets(layout, pdf, folder / "scans", sheets, scanner)
    mark_batch([folder / "scans"], layout, folder / "marks", jobs=1)
    return json.loads((folder / "marks" / "marks.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", CASES)
def test_the_shading_is_decided(marks, name):
    script = marks["scripts"][list(CASES).index(name)]
    mark = script["questions"][0]["marks"][-1]
    assert mark["decision"] == CASES[name][1], mark["reason"]


def test_the_shadow_is_there(tmp_path):
    """The scene is what it says: light falls off by nearly a third across the page."""
    view = in_a_shadow(np.full((600, 420), 255, np.uint8))
    rows = cv2.resize(view, (9, 9), interpolation=cv2.INTER_AREA)[2:-2, 2:-2]
    assert rows.min() < 0.7 * rows.max()
