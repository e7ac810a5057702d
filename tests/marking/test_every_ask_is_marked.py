"""An answer of an unusual kind must not end the batch, nor cost its page.

``expected.samples`` raised ValueError for an unbounded parabola ("the same distance from a point
and from a line"); ``faults`` KeyError for two circles that are one locus.
"""

from __future__ import annotations

import json

import pytest

from millimark.marking.batch import mark_batch
from millimark.paper.reading import paper_from_data
from millimark.rehearsal.rehearse import rehearse

ASKS = [
    (["Triangle PQR has PQ = 7 cm, QR = 6 cm and PR = 5 cm."],
     "Draw the locus of points that are the same distance from P as from the line QR."),
    (["A and B are 6 cm apart."], "Draw the locus of points that are 2 cm from the line AB."),
    (["A circle has centre O and radius 3 cm."],
     "Draw the locus of points that are 1.5 cm from the circle."),
]  # fmt: skip


@pytest.mark.parametrize(("given", "ask"), ASKS)
def test_marked_whatever_the_curve(tmp_path, given, ask):
    paper = paper_from_data({"title": "One", "questions": [{"given": given, "ask": [ask]}]})
    rehearse(paper, 1, 5, tmp_path)
    report = mark_batch([tmp_path / "scans"], tmp_path / "layout.json", tmp_path / "marked")
    assert report.exit_status == 0
    marks = json.loads((tmp_path / "marked" / "marks.json").read_text())
    assert marks["scripts"]
    assert [p["status"] for p in marks["pages"]] == ["read"]
