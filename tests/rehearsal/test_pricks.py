"""The needle leaves a hole where it stood."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from tests.rehearsal.questions import paper, place

from millimark.marking.batch import mark_batch
from millimark.paper.reading import read_paper
from millimark.rehearsal.answering import answer
from millimark.rehearsal.faults import Fault
from millimark.rehearsal.hands import CAREFUL, Pupil, invent
from millimark.rehearsal.pencil import Hole
from millimark.rehearsal.pricks import prick
from millimark.rehearsal.rehearse import rehearse
from millimark.rehearsal.setting import set_out
from millimark.rehearsal.truth import question_truth

mm = 1.0
PAPER = 247


def drawn(number: str, depth: float):
    whole = paper(number)
    setting = set_out(whole, whole.questions[0], place(whole.questions[0]), 1.0)
    pupil = Pupil("Nobody Real", replace(CAREFUL, prick=depth), False, "hatch")
    return question_truth(setting, answer(setting, pupil, [], np.random.default_rng(4)), 1.0)


@pytest.mark.parametrize("number", ["1", "2", "4"])
def test_a_hole_for_every_place_of_the_needle(number: str):
    got = drawn(number, 0.5)
    stood = {tuple(s["compass"]["centre_mm"]) for s in got["strokes"] if s["compass"]}
    assert {tuple(h["at_mm"]) for h in got["holes"]} == stood
    assert all(0.2 <= h["width_mm"] <= 0.4 and 0.25 < h["depth"] < 0.7 for h in got["holes"])


def test_some_hands_leave_none():
    assert drawn("1", 0.0)["holes"] == []
    pricked = np.mean([invent(k, 3).hand.prick > 0 for k in range(300)])
    assert 0.65 < pricked < 0.85


def test_the_dot_has_its_place_size_and_darkness():
    page = np.full((400, 400), PAPER, dtype=np.uint8)
    hole = Hole((10.0, 8.0), "A", 0.3, 0.6)
    prick(page, [hole], 1.0, 20.0, "feeder", np.random.default_rng(1))
    dark = PAPER - page.astype(float)
    ys, xs = np.nonzero(dark > 1)
    weight = dark[ys, xs]
    assert (xs @ weight / weight.sum() + 0.5) / 20 == pytest.approx(10.0, abs=0.01 * mm)
    assert (ys @ weight / weight.sum() + 0.5) / 20 == pytest.approx(8.0, abs=0.01 * mm)
    assert dark.max() == pytest.approx(0.85 * 0.6 * PAPER, rel=0.05)
    assert np.ptp(xs) / 20 == pytest.approx(0.35, abs=0.15 * mm)


def test_a_telephone_sees_it_fainter_and_some_flatbeds_see_a_rim():
    pages = {}
    for capture in ("flatbed", "phone"):
        for seed in range(8):
            page = np.full((100, 100), PAPER, dtype=np.uint8)
            rng = np.random.default_rng(seed)
            prick(page, [Hole((2.5, 2.5), "A", 0.4, 0.6)], 1.0, 20.0, capture, rng)
            pages[capture, seed] = page
    least = {c: min(pages[c, s].min() for s in range(8)) for c in ("flatbed", "phone")}
    assert least["phone"] > least["flatbed"] + 50
    rims = [pages["flatbed", s].max() > PAPER for s in range(8)]
    assert any(rims)
    assert not all(rims)
    assert all(pages["phone", s].max() == PAPER for s in range(8))


def test_a_hole_off_the_page_does_nothing():
    page = np.full((40, 40), PAPER, dtype=np.uint8)
    hole = Hole((-50.0, 300.0), "A", 0.3, 0.6)
    prick(page, [hole], 1.0, 20.0, "flatbed", np.random.default_rng(1))
    assert (page == PAPER).all()


CIRCLE = """\
title: Circles
questions:
  - given: [A and B are 9 cm apart.]
    ask: [Draw the locus of points that are 4 cm from A.]
"""


def test_marking_finds_the_holes_of_needles_that_stood_beside_their_point(tmp_path: Path):
    (tmp_path / "paper.yaml").write_text(CIRCLE, encoding="utf-8")
    paper = read_paper(tmp_path / "paper.yaml")
    name = paper.questions[0].answers[0].elements[0].name
    planned = {(n, "1"): [Fault("needle-off", name, 3.0)] for n in range(6)}
    made = rehearse(paper, 6, 44, tmp_path / "out", planned=planned, jobs=1)
    mark_batch([tmp_path / "out" / "scans"], made.layout_path, tmp_path / "marked", jobs=1)
    marks = json.loads((tmp_path / "marked" / "marks.json").read_text(encoding="utf-8"))
    seen = 0
    for sheet, script in zip(made.truth["sheets"], marks["scripts"], strict=True):
        true, found = sheet["pages"][0]["questions"][0], script["questions"][0]
        needle = found["elements"][0]["needle_mm"]
        if needle is None:
            continue
        seen += 1
        assert min(math.dist(needle, h["at_mm"]) for h in true["holes"]) < 0.1 * mm
        told = [f["text"] for f in found["faults"] if f["fault"] == "needle-off"]
        assert all("its hole can be seen there" in text for text in told)
    pricked = sum(bool(s["pages"][0]["questions"][0]["holes"]) for s in made.truth["sheets"])
    assert 2 <= seen <= pricked
