"""Each planted fault shows in the facts, and nothing shows where none was planted."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from tests.rehearsal.questions import FIVE, paper, place

from millimark.rehearsal.answering import answer
from millimark.rehearsal.faults import HABITS, KINDS, Fault, befalls, choose, misread_ruler
from millimark.rehearsal.hands import CAREFUL, Pupil
from millimark.rehearsal.setting import Setting, set_out
from millimark.rehearsal.truth import question_truth

PUPIL = Pupil("Nobody Real", CAREFUL, False, "hatch")
mm = 1.0


def setting(number: str, print_scale: float = 1.0) -> Setting:
    whole = paper(number)
    q = whole.questions[0]
    return set_out(whole, q, place(q), print_scale)


def truth(
    number: str, *faults: tuple[str, float], scale: float = 1.0, of: int = 0, seed: int = 3
) -> dict[str, Any]:
    """The truth of one careful answer with these faults on element ``of``."""
    there = setting(number, scale)
    name = there.elements[of].name
    planted = [Fault(kind, name, size) for kind, size in faults]
    done = answer(there, PUPIL, planted, np.random.default_rng(seed))
    assert len(done.faults) == len(planted)
    return question_truth(there, done, scale)


@pytest.mark.parametrize("number", FIVE)
@pytest.mark.parametrize("scale", [0.94, 1.0, 1.05])
def test_a_careful_answer_earns_everything_at_every_print_scale(number: str, scale: float):
    for seed in range(4):
        got = truth(number, scale=scale, seed=seed)
        assert got["awarded"] == got["out_of"]
        assert all(e["worst_mm"] < 1.8 * mm for e in got["elements"])
        assert all(e["found"] for e in got["evidence"])
    assert got["region"] is None or got["region"]["overlap"] > 0.95


@pytest.mark.parametrize("scale", [0.94, 1.0])
def test_lengths_asked_do_not_shrink_with_the_print(scale: float):
    got = truth("2", scale=scale)["elements"][0]
    assert got["radius_mm"] == pytest.approx(40.0, abs=0.8 * mm)
    page_radius = np.ptp(np.array(truth("2", scale=scale)["strokes"][0]["xy_mm"])[:, 0]) / 2
    assert page_radius == pytest.approx(40.0 / scale, abs=0.8 * mm)


@pytest.mark.parametrize("scale", [0.94, 1.05])
def test_pupils_work_from_the_figure_as_printed(scale: float):
    """The needle stands on the printed A and B, whose page places know no print scale."""
    printed = place(setting("1").question).points
    needles = [s["compass"] for s in truth("1", scale=scale)["strokes"] if s["compass"]]
    assert {n["about"] for n in needles} == {"A", "B"}
    for n in needles:
        assert np.hypot(*(np.array(n["centre_mm"]) - printed[n["about"]])) < 0.8 * mm


def test_radius_wrong_by_five():
    got = truth("2", ("length-wrong", 5.0))
    assert got["elements"][0]["radius_mm"] == pytest.approx(45.0, abs=0.8 * mm)
    assert got["elements"][0]["coverage"] == 0.0
    assert [m["decision"] for m in got["deserved"]] == ["withheld", "withheld"]


def test_ruler_read_from_its_end_moves_the_whole_path():
    got = truth("3", ("ruler-end", 4.0))["elements"][0]
    assert got["mean_mm"] == pytest.approx(4.0, abs=0.6 * mm)
    assert got["coverage"] == 0.0


def test_a_needle_beside_its_point_moves_the_whole_circle():
    got = truth("2", ("needle-off", 4.0))
    circle = got["elements"][0]
    centre = place(setting("2").question).points["A"]
    assert np.hypot(*(np.array(circle["centre_mm"]) - centre)) == pytest.approx(4.0, abs=0.8 * mm)
    assert circle["radius_mm"] == pytest.approx(40.0, abs=0.8 * mm)
    assert circle["worst_mm"] == pytest.approx(4.0, abs=0.9 * mm)
    assert got["deserved"][1]["decision"] == "withheld"


def test_a_short_arc_covers_its_share():
    got = truth("2", ("short", 0.5))
    assert got["elements"][0]["coverage"] == pytest.approx(0.5, abs=0.03)
    assert [m["decision"] for m in got["deserved"]] == ["awarded", "withheld"]


def test_slipped_compasses_drift():
    got = truth("2", ("slipped", 6.0))["elements"][0]
    assert got["worst_mm"] == pytest.approx(6.0, abs=0.8 * mm)
    assert got["coverage"] == pytest.approx(2 / 6, abs=0.15)


def test_squared_ends_leave_the_straights():
    got = truth("3", ("squared-ends", 0.0))
    element = got["elements"][0]
    assert element["coverage_straight"] > 0.95
    assert element["coverage_round"] < 0.7
    # the corner of a square on a circle of radius 20 mm: 20 (sqrt 2 - 1) from it
    assert element["worst_mm"] == pytest.approx(8.28, abs=1.5 * mm)
    assert [m["decision"] for m in got["deserved"]] == ["awarded", "withheld"]


@pytest.mark.parametrize(
    ("kind", "straight", "round_"),
    [("one-parallel", 0.5, 1.0), ("ends-missing", 1.0, 0.0), ("half-missing", 0.5, 0.5)],
)
def test_parts_that_are_missing(kind: str, straight: float, round_: float):
    got = truth("3", (kind, 1.0))["elements"][0]
    assert got["coverage_straight"] == pytest.approx(straight, abs=0.1)
    assert got["coverage_round"] == pytest.approx(round_, abs=0.1)


def test_unequal_arcs_shift_the_line_by_the_bound():
    """(r1^2 - r2^2) / (2 AB), the bound of the trade's notes (computed there)."""
    there = setting("1")
    radius = next(
        s.radius * 10 for s in there.working.steps[0].acts if type(s).__name__ == "SetCompasses"
    )
    got = truth("1", ("unequal-arcs", 6.0))
    shift = ((radius + 6) ** 2 - radius**2) / (2 * 80)
    assert abs(got["elements"][0]["offset_mm"]) == pytest.approx(shift, abs=0.7 * mm)
    assert not got["evidence"][0]["found"]


def test_small_arcs_do_not_cross():
    got = truth("1", ("small-arcs", 0.8))
    assert not got["evidence"][0]["found"]
    assert got["deserved"][0]["decision"] == "withheld"
    assert got["deserved"][0]["clear"]


@pytest.mark.parametrize("number", ["1", "4"])
def test_no_arcs_costs_the_evidence_only_where_it_is_independent(number: str):
    got = truth(number, ("no-arcs", 0.0))
    assert not got["evidence"][0]["found"]
    assert got["elements"][0]["worst_mm"] < 1.5 * mm
    line = {"1": "awarded", "4": "withheld"}[number]  # B1 stands alone, A1 needs its M1
    assert [m["decision"] for m in got["deserved"]] == ["withheld", line]


def test_line_shifted_and_turned():
    shifted = truth("1", ("line-shifted", 4.0))["elements"][0]
    assert abs(shifted["offset_mm"]) == pytest.approx(4.0, abs=0.8 * mm)
    assert shifted["angle_deg"] < 1.0
    turned = truth("1", ("line-turned", 6.0))["elements"][0]
    assert turned["angle_deg"] == pytest.approx(6.0, abs=0.6)


def test_wrong_side_and_not_shaded():
    wrong = truth("5", ("wrong-side", 0.0))
    assert wrong["region"]["shaded"]
    assert wrong["region"]["overlap"] < 0.1
    assert wrong["deserved"][-1]["decision"] == "withheld"
    bare = truth("5", ("not-shaded", 0.0))
    assert not bare["region"]["shaded"]
    assert bare["deserved"][-1]["decision"] == "withheld"
    assert not [s for s in bare["strokes"] if s["role"] == "shade"]


def test_region_follows_a_wrong_boundary():
    got = truth("5", ("length-wrong", 6.0), of=1)
    assert [m["decision"] for m in got["deserved"]] == ["awarded", "withheld", "awarded"]
    assert got["region"]["overlap"] > 0.95


def test_dot_short_line_and_blank():
    assert truth("2", ("dot", 0.0))["awarded"] == 0
    assert truth("1", ("short-line", 12.0))["deserved"][1]["decision"] == "withheld"
    blank = truth("2", ("blank", 0.0))
    assert blank["strokes"] == []
    assert blank["awarded"] == 0


def test_freehand_is_rough():
    smooth = truth("2")["elements"][0]
    rough = truth("2", ("freehand", 1.5))["elements"][0]
    assert rough["worst_mm"] > 2.5 * smooth["worst_mm"]


@pytest.mark.parametrize("kind", HABITS)
def test_habits_leave_the_facts_alone(kind: str):
    there = setting("3" if kind == "near-arc" else "1")
    plain = answer(there, PUPIL, [], np.random.default_rng(9))
    marked = answer(there, PUPIL, [Fault(kind)], np.random.default_rng(9))
    before, after = (question_truth(there, a, 1.0) for a in (plain, marked))
    assert after["awarded"] == before["awarded"]
    faint = kind == "faint-arcs"
    assert (len(after["strokes"]) > len(before["strokes"])) != faint
    if faint:
        assert max(s["darkness"] for s in after["strokes"] if s["role"] == "construction") <= 0.2


def test_two_answers_are_for_the_teacher():
    got = truth("1", ("two-answers", 8.0))
    assert [m["decision"] for m in got["deserved"]] == ["awarded", "teacher"]
    assert got["elements"][0]["worst_mm"] < 1.5 * mm  # the first answer, which is right


def test_a_first_try_stays_in_the_frame_and_is_crossed_out():
    there = setting("2")
    for seed in range(20):
        done = answer(there, PUPIL, [Fault("first-try")], np.random.default_rng(seed))
        tried = [s for s in done.sketch.strokes if s.role == "cancelled"]
        crossed = [s for s in done.sketch.strokes if s.role == "scribble"]
        assert len(tried) == len(crossed)
        for s in tried:
            assert (s.xy > np.array(there.frame[:2])).all()
            assert (s.xy < np.array(there.frame[2:])).all()


def test_every_kind_of_fault_is_chosen_sooner_or_later():
    rng = np.random.default_rng(12)
    seen: set[str] = set()
    for number in FIVE:
        there = setting(number)
        for _ in range(400):
            faults = choose(there.elements, there.region is not None, rng, rate=1.0)
            seen |= {f.kind for f in faults}
            for f in faults:
                if f.element is not None:
                    element = next(e for e in there.elements if e.name == f.element)
                    kind = next(k for k in KINDS if k.name == f.kind)
                    assert set(kind.befalls) & set(befalls(element))
    elsewhere = {(), ("mistaken",), ("points",)}  # the five ask for nothing that these befall
    everywhere = {k.name for k in KINDS if k.befalls not in elsewhere}
    assert seen & {k.name for k in KINDS} == everywhere


def test_a_misconception_is_chosen_where_there_is_one():
    there, rng = setting("2"), np.random.default_rng(3)
    mistakes = {there.elements[0].name: ("scale-ignored",)}
    chosen = [choose(there.elements, False, rng, 1.0, (), mistakes) for _ in range(200)]
    assert "scale-ignored" in {f.kind for faults in chosen for f in faults}


def test_a_pupil_who_misreads_the_ruler_gets_every_length_wrong():
    element = setting("2").elements[0]
    slanted, end = replace(PUPIL, reads_mm=-1.2), replace(PUPIL, reads_mm=4.0)
    assert [f.kind for f in misread_ruler(slanted, [element], ())] == ["parallax"]
    assert [(f.kind, f.size) for f in misread_ruler(end, [element], ())] == [("ruler-end", 4.0)]
    assert misread_ruler(end, [element], (Fault("blank"),)) == []
    assert misread_ruler(PUPIL, [element], ()) == []


def test_a_rate_of_nought_plants_no_fault():
    there = setting("2")
    rng = np.random.default_rng(1)
    kinds = {f.kind for _ in range(200) for f in choose(there.elements, False, rng, 0.0)}
    assert not kinds & {k.name for k in KINDS}
