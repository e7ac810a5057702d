"""Decisions stay right at every print scale, turn and resolution, on the other simulator's sheets.

A few by default; all of them where MILLIMARK_SWEEP is set, to "all" or to some resolutions:
``MILLIMARK_SWEEP=150,200 pytest tests/marking/test_scales_and_turns.py``.
"""

from __future__ import annotations

import json
import math
import os
from itertools import product

import cv2
import pytest
from PIL import Image
from tests.rehearsal.other_hand import PAPER, Scanner, draw_sheets, sheets_of_cases

from millimark.marking.batch import mark_batch
from millimark.paper.printing import print_paper
from millimark.paper.reading import read_paper

SCALES = (0.90, 0.94, 0.97, 1.0, 1.05)
TURNS = (0.0, 1.5, 90.0, 180.0, 268.5)
DPIS = (150, 200, 300, 600)
SHEETS = sheets_of_cases()
QUARTERS = {90.0: cv2.ROTATE_90_CLOCKWISE, 180.0: cv2.ROTATE_180,
            270.0: cv2.ROTATE_90_COUNTERCLOCKWISE}  # fmt: skip
FEW = [(0.90, 180.0, 200), (1.05, 268.5, 150), (0.97, 90.0, 300), (0.97, 180.0, 200)]


def wanted():
    """The combinations to try, and on how many sheets each."""
    sweep = os.environ.get("MILLIMARK_SWEEP", "")
    if not sweep:
        return FEW
    dpis = DPIS if sweep == "all" else tuple(int(d) for d in sweep.split(","))
    return list(product(SCALES, TURNS, dpis))


def turned(path, degrees, dpi):
    """The scan laid the other way on the glass, by quarters."""
    with Image.open(path) as image:
        grey = image.convert("L")
    quarter = round(degrees / 90.0) * 90.0
    if quarter % 360.0:
        import numpy as np

        grey = Image.fromarray(cv2.rotate(np.asarray(grey), QUARTERS[quarter]))
    grey.save(path, "JPEG", quality=88, dpi=(dpi, dpi))


def codes_run_off(layout, scale, skew):
    """Whether no code of a page lies wholly on the sheet: print enlarged about its middle."""
    page = json.loads(layout.read_text(encoding="utf-8"))["sheets"][0]["pages"][0]
    a, middle = math.radians(skew), (page["width_mm"] / 2, page["height_mm"] / 2)
    whole = 0
    for code in page["codes"]:
        x0, y0, x1, y1 = code["box"]
        corners = [((x - middle[0]) * scale, (y - middle[1]) * scale)
                   for x in (x0, x1) for y in (y0, y1)]  # fmt: skip
        placed = [(x * math.cos(a) + y * math.sin(a), y * math.cos(a) - x * math.sin(a))
                   for x, y in corners]  # fmt: skip
        whole += all(abs(x) < middle[0] and abs(y) < middle[1] for x, y in placed)
    return whole == 0


@pytest.mark.parametrize(("scale", "turn", "dpi"), wanted())
def test_decisions_stay_right(tmp_path, scale, turn, dpi):
    (tmp_path / "paper.yaml").write_text(PAPER, encoding="utf-8")
    first = (SCALES.index(scale) + TURNS.index(turn) + DPIS.index(dpi)) % len(SHEETS)
    sheets = [SHEETS[first]]
    print_paper(read_paper(tmp_path / "paper.yaml"), tmp_path, [None])
    layout, pdf = tmp_path / "layout.json", tmp_path / "question-paper.pdf"
    skew = turn - round(turn / 90.0) * 90.0
    scanner = Scanner(dpi=dpi, print_scale=scale, turn=skew)
    for path in draw_sheets(layout, pdf, tmp_path / "scans", sheets, scanner):
        turned(path, turn, dpi)
    mark_batch([tmp_path / "scans"], layout, tmp_path / "marks", jobs=1)
    marks = json.loads((tmp_path / "marks" / "marks.json").read_text(encoding="utf-8"))
    unread = [p["reason"] for p in marks["pages"] if p["status"] != "read"]
    if unread and scale > 1.0 and codes_run_off(layout, scale, skew):
        assert all("page code" in reason for reason in unread)  # said, and nothing marked wrongly
        return
    assert not unread
    assert marks["pages"][0]["print_scale"] == pytest.approx(scale, abs=1.5e-3)
    questions = {q["question"]: q for q in marks["scripts"][0]["questions"]}
    decided = {
        f"{number} {case.name}": [m["decision"] for m in questions[number]["marks"]]
        for number, case in sheets[0].items()
    }
    right = {
        f"{number} {case.name}": ["awarded" if m else "withheld" for m in case.marks]
        for number, case in sheets[0].items()
    }
    assert decided == right
