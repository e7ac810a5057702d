"""Arcs that show a construction are as short as pupils', and cross what they are to cross."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.rehearsal.questions import FIVE, paper, place

from millimark.bank.shelf import bank
from millimark.paper.reading import paper_from_data
from millimark.plane.curves import Arc
from millimark.plane.point import Point
from millimark.rehearsal.answering import answer
from millimark.rehearsal.arc_spans import PAST, Crossed, drawn_pieces
from millimark.rehearsal.faults import Fault
from millimark.rehearsal.hands import CAREFUL, SHAKY, Hand, Pupil, invent
from millimark.rehearsal.pencil import ALL_ROUND, PencilStroke, past_ends
from millimark.rehearsal.setting import Setting, set_out
from millimark.rehearsal.truth import question_truth

mm = 1.0
SHOWN = [q.id for q in bank() if any("onstruct" in a or "bisector" in a for a in q.content["ask"])]


def of_the_bank(name: str) -> Setting:
    content = next(q.content for q in bank() if q.id == name)
    read = paper_from_data({"title": name, "questions": [dict(content)]})
    return set_out(read, read.questions[0], place(read.questions[0]), 1.0)


def arcs(setting: Setting, hand: Hand, seed: int, *faults: Fault) -> list[PencilStroke]:
    pupil = Pupil("Nobody Real", hand, False, "hatch")
    done = answer(setting, pupil, faults, np.random.default_rng(seed))
    return [s for s in done.sketch.strokes if s.role == "construction" and s.compass]


def test_most_arcs_are_8_to_15_mm_long():
    whole = paper("1")
    setting = set_out(whole, whole.questions[0], place(whole.questions[0]), 1.0)
    lengths = np.array([
        s.length
        for k in range(150)
        if not (hand := invent(k, 5).hand).circles
        for s in arcs(setting, hand, k)
    ])  # fmt: skip
    assert lengths.min() >= 4.9 * mm
    assert lengths.max() <= 26 * mm
    assert np.mean((lengths >= 8) & (lengths <= 15)) > 0.6
    assert (lengths < 7).any()
    assert (lengths > 18).any()


def test_hands_differ_more_than_the_arcs_of_one():
    hands = [invent(k, 5).hand for k in range(200)]
    assert 0.25 < np.mean([h.ticks for h in hands]) < 0.45
    assert 0.01 < np.mean([h.circles for h in hands]) < 0.08
    usual = np.array([h.arc_mm for h in hands])
    assert usual.std() > 1.5 * mm
    assert all(invent(k, 5).hand == h for k, h in enumerate(hands))


@pytest.mark.parametrize("name", SHOWN)
@pytest.mark.parametrize("ticks", [False, True])
def test_arcs_that_no_fault_befell_cross_where_they_should(name: str, ticks: bool):
    """With the shortest arcs of the shakiest hand: what the pupil sees to cross does."""
    setting = of_the_bank(name)
    pupil = Pupil("Nobody Real", replace(SHAKY, arc_mm=5.0, ticks=ticks), False, "hatch")
    for seed in range(4):
        done = answer(setting, pupil, [], np.random.default_rng(seed))
        truth = question_truth(setting, done, 1.0)
        for evidence in truth["evidence"]:
            assert evidence["slack_mm"] is not None
            assert evidence["slack_mm"] > -1.0  # a shaky hand may open the compasses unequally


@pytest.mark.parametrize("name", SHOWN)
def test_short_arcs_of_a_careful_hand_show_the_method_clearly(name: str):
    setting = of_the_bank(name)
    pupil = Pupil("Nobody Real", replace(CAREFUL, arc_mm=5.0), False, "hatch")
    for seed in range(4):
        done = answer(setting, pupil, [], np.random.default_rng(seed))
        truth = question_truth(setting, done, 1.0)
        assert all(e["found"] and e["slack_mm"] > 0.25 for e in truth["evidence"])


def test_a_whole_circle_has_no_ends_and_is_drawn_once():
    whole = paper("1")
    setting = set_out(whole, whole.questions[0], place(whole.questions[0]), 1.0)
    roomy = replace(setting, frame=(-100.0, -100.0, 300.0, 300.0))
    drawn = arcs(roomy, replace(CAREFUL, circles=True), 3)
    assert len(drawn) == 2  # about A and about B
    assert all(past_ends(s.xy[len(s.xy) // 2], s) == ALL_ROUND for s in drawn)
    pupil = Pupil("Nobody Real", replace(CAREFUL, circles=True), False, "hatch")
    done = answer(roomy, pupil, [], np.random.default_rng(3))
    evidence = question_truth(roomy, done, 1.0)["evidence"]
    assert all(e["found"] and e["slack_mm"] > 0.25 for e in evidence)


@pytest.mark.parametrize("name", SHOWN)
def test_circles_stay_in_the_frame_and_show_the_method(name: str):
    setting = of_the_bank(name)
    low, high = np.array(setting.frame[:2]), np.array(setting.frame[2:])
    pupil = Pupil("Nobody Real", replace(CAREFUL, circles=True), False, "hatch")
    for seed in range(2):
        done = answer(setting, pupil, [], np.random.default_rng(seed))
        assert all(e["found"] for e in question_truth(setting, done, 1.0)["evidence"])
        for s in done.sketch.strokes:
            if s.compass is not None and s.role == "construction" and s.length > 30:
                assert (s.xy > low).all()
                assert (s.xy < high).all()


def test_ticks_or_one_sweep_from_arm_to_arm():
    whole = paper("4")
    setting = set_out(whole, whole.questions[0], place(whole.questions[0]), 1.0)
    sweep = arcs(setting, CAREFUL, 2)
    ticked = arcs(setting, replace(CAREFUL, ticks=True), 2)
    assert len(ticked) == len(sweep) + 1
    assert max(s.length for s in ticked) < 20 * mm < max(s.length for s in sweep)


@pytest.mark.parametrize("turn", [-1.0, 1.0])
def test_pieces_hold_what_they_cross_with_something_past_it(turn: float):
    rng = np.random.default_rng(8)
    circle = Arc(Point(3, 4), 40.0)
    nominal = Arc(Point(3, 4), 40.0, 3.0, turn * 0.4)  # over the cut of the angle at pi
    for _ in range(50):
        at = circle.centre.polar(40.0, 3.0 + turn * 0.2 + float(rng.uniform(-0.1, 0.1)))
        (piece,) = drawn_pieces(circle, nominal, [Crossed(at, PAST)], CAREFUL, rng)
        assert piece.sense == turn
        assert min(piece.start.distance(at), piece.end.distance(at)) > PAST - 0.05
        assert piece.distance_to(at) < 1e-9
        assert 4.9 < piece.length < 26


@pytest.mark.parametrize("number", ["1"])
@pytest.mark.parametrize("seed", range(5))
def test_faults_of_arcs_are_as_clear_as_they_were(number: str, seed: int):
    whole = paper(number)
    assert number in FIVE
    setting = set_out(whole, whole.questions[0], place(whole.questions[0]), 1.0)
    pupil = Pupil("Nobody Real", replace(CAREFUL, arc_mm=8.0), False, "hatch")
    name = setting.elements[0].name
    for kind, size in (("unequal-arcs", 4.0), ("small-arcs", 0.8)):
        done = answer(setting, pupil, [Fault(kind, name, size)], np.random.default_rng(seed))
        truth = question_truth(setting, done, 1.0)
        assert truth["deserved"][0]["decision"] == "withheld"
        assert truth["deserved"][0]["clear"]
