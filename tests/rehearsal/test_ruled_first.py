"""A pupil has one perpendicular, and measures along it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from tests.rehearsal.questions import place

from millimark.paper.reading import paper_from_data
from millimark.rehearsal.answering import answer
from millimark.rehearsal.faults import Fault
from millimark.rehearsal.hands import CAREFUL, Pupil
from millimark.rehearsal.setting import Setting, set_out
from millimark.rehearsal.truth import question_truth

PUPIL = Pupil("Nobody Real", CAREFUL, False, "cross")
mm = 1.0
GIVEN = "Triangle PQR has PQ = 8 cm, QR = 6.5 cm and PR = 6 cm."
ASK = ["Construct the perpendicular from R to PQ.", "Measure the shortest distance from R to PQ."]
FOOT, HEIGHT = 3.609375, 4.79295
"""cm: PF = (8² + 6² - 6.5²) / 16, and FR (Pythagoras)."""


def setting(scale: float = 1.0) -> Setting:
    data = {"title": "Heights", "questions": [{"given": [GIVEN], "ask": ASK}]}
    paper = paper_from_data(data)
    lined = place(paper.questions[0])
    box = (20.0, 210.0, 80.0, 220.0)
    return set_out(paper, paper.questions[0], replace(lined, answer_lines=(box,)), scale)


def drawn(kind: str, size: float, seed: int = 3, scale: float = 1.0) -> dict[str, Any]:
    there = setting(scale)
    planted = [Fault(kind, there.elements[0].name, size)] if kind else []
    done = answer(there, PUPIL, planted, np.random.default_rng(seed))
    return {**question_truth(there, done, 1.0), "there": there}


def beside_pq(got: dict[str, Any]) -> list[np.ndarray]:
    """Ruled strokes that do not run along PQ, cm from P along PQ and above it."""
    back = got["there"].to_paper.inverse()
    found = []
    for s in got["strokes"]:
        if s["compass"] is None and s["role"] in ("construction", "answer"):
            xy = np.array(back.points(np.array(s["xy_mm"])))
            if np.ptp(xy[:, 1]) > 0.5:
                found.append(xy)
    return found


@pytest.mark.parametrize("size", [-5.0, 5.0])
@pytest.mark.parametrize("seed", range(4))
def test_all_that_was_ruled_lies_on_the_shifted_line(size: float, seed: int):
    got = drawn("line-shifted", size, seed)
    ruled = beside_pq(got)
    assert len(ruled) == 2  # as far as PQ, then at full length
    means = [float(xy[:, 0].mean()) - FOOT for xy in ruled]
    assert [abs(m) for m in means] == pytest.approx([0.5, 0.5], abs=0.1)
    assert means[0] * means[1] > 0
    element = got["elements"][0]
    assert abs(element["offset_mm"]) == pytest.approx(5.0, abs=0.8 * mm)
    assert element["coverage"] == 0.0
    assert element["covered_mm"] == 0.0
    assert got["deserved"][1]["decision"] == "withheld"


def test_all_that_was_ruled_turns_together():
    for seed in range(4):
        got = drawn("line-turned", 8.0, seed)
        ruled = beside_pq(got)
        ways = [xy[-1] - xy[0] for xy in ruled]
        turns = [np.degrees(np.arctan2(w[0], w[1])) for w in ways]
        leans = [(t + 90) % 180 - 90 for t in turns]
        assert len(ruled) == 2
        assert leans[0] == pytest.approx(leans[1], abs=1.0)
        # the ruler was laid anew for each of the two
        assert got["elements"][0]["angle_deg"] == pytest.approx(8.0, abs=1.2)


@pytest.mark.parametrize(("kind", "size"), [("short-line", 12.0), ("freehand", 1.5), ("dot", 0.0)])
def test_no_ruled_line_lies_beside_one_that_was_not_ruled(kind: str, size: float):
    got = drawn(kind, size)
    assert len(beside_pq(got)) == (0 if kind == "dot" else 1)


def test_a_short_line_stays_short():
    got = drawn("short-line", 12.0)
    # and what lies within the tolerance past its ends
    assert got["elements"][0]["covered_mm"] == pytest.approx(12.0 + 2 * 2.0, abs=1.0 * mm)
    assert got["deserved"][1]["decision"] == "withheld"


@pytest.mark.parametrize("scale", [0.94, 1.0])
def test_the_height_is_read_off_the_pupils_own_line(scale: float):
    plain = drawn("", 0.0, scale=scale)["readings"][0]
    assert plain["true"] == pytest.approx(HEIGHT * scale, abs=1e-4)
    assert plain["own"] == pytest.approx(plain["true"], abs=0.05)
    # a line at 20 degrees to the height, through its middle: R to where it meets PQ, along it
    turned = drawn("line-turned", 20.0, scale=scale)["readings"][0]
    along = HEIGHT * scale / np.cos(np.radians(20.0))
    assert turned["own"] > plain["true"] + 0.02
    assert turned["own"] <= along + 0.1
    assert float(turned["written"]) == pytest.approx(turned["own"], abs=0.25)


def test_a_blank_answer_has_no_reading():
    there = setting()
    done = answer(there, PUPIL, [Fault("blank")], np.random.default_rng(1))
    assert question_truth(there, done, 1.0)["readings"] == []
