"""Boundaries under hatching, and two answers to one question, from rehearsal to marks.

Seeds on which marks went wrong. A boundary that shading hides must be found
under it or be the teacher's; of two lines that could both be the answer the teacher decides.
"""

from __future__ import annotations

import json

import pytest
from tests.rehearsal.agreement import compare

from millimark.marking.batch import mark_batch
from millimark.paper.reading import paper_from_data
from millimark.rehearsal.rehearse import rehearse

LENS = {
    "title": "Shaded lens",
    "questions": [
        {
            "given": ["F and G are 7 cm apart."],
            "ask": ["Shade the region that is nearer to F than to G and less than 5 cm from G."],
            "marks": 3,
        },
        {
            "given": ["Rectangle KLMN has KL = 9 cm and LM = 6 cm."],
            "ask": [
                "Shade the region inside KLMN that is more than 4 cm from K and nearer to LM than "
                "to MN."
            ],
            "marks": 3,
        },
    ],
}


@pytest.mark.parametrize("seed", [31337, 2718])
def test_no_boundary_is_lost_under_its_shading(tmp_path, seed):
    rehearse(paper_from_data(LENS), 7, seed, tmp_path)
    mark_batch([tmp_path / "scans"], tmp_path / "layout.json", tmp_path / "marked")
    marks = json.loads((tmp_path / "marked" / "marks.json").read_text())
    found = compare(marks, json.loads((tmp_path / "truth.json").read_text()))
    assert not found.wrong, "\n".join(map(str, found.wrong))
