"""The score: every act in order, instruments where the acts want them, ink that stays."""

from __future__ import annotations

import math
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from tests.showing.conftest import Shown

from millimark.drawing.svg import path_data
from millimark.showing.picture import frame
from millimark.showing.score import Key, Score, eased, nearest_turn
from millimark.showing.tools import compasses_parts, leg_length
from millimark.working.acts import JoinMarks, RuleLine, SetCompasses, StrikeArc
from millimark.working.instruments import Instruments
from millimark.working.spread import acts_of

QUESTIONS = ("1", "2", "3", "4", "5")
MM = 1e-6  # mm


def test_between_keys_a_track_moves_and_before_the_first_nothing_is_seen() -> None:
    score = Score({"pencil": [Key(1.0, (0.0, 0.0, 1.0)), Key(3.0, (10.0, 20.0, 1.0), even=True)]})
    assert score.state("pencil", 0.5) == (0.0, 0.0, 0.0)
    assert score.state("pencil", 2.0) == (5.0, 10.0, 1.0)
    assert score.state("pencil", 9.0) == (10.0, 20.0, 1.0)
    assert score.state("ruler", 2.0) == (0.0, 0.0, 0.0, 0.0)


def test_easing_is_slow_at_both_ends() -> None:
    assert (eased(0.0), eased(0.5), eased(1.0)) == (0.0, 0.5, 1.0)
    assert eased(0.05) < 0.01


def test_turning_goes_the_short_way() -> None:
    assert nearest_turn(3.0, -3.0) == pytest.approx(3.0 - 2 * math.pi)


@pytest.mark.parametrize("number", QUESTIONS)
def test_every_act_that_is_told_has_one_cue_in_order(shown: dict[str, Shown], number: str) -> None:
    _, stage, score = shown[number]
    told = [a.caption for a in acts_of(stage.working) if a.caption]
    assert [c.text for c in score.cues][: len(told)] == told
    assert all(a.end <= b.start + 1e-9 for a, b in pairwise(score.cues))
    assert score.cues[-1].end <= score.length


@pytest.mark.parametrize("number", QUESTIONS)
def test_keys_never_go_back_in_time(shown: dict[str, Shown], number: str) -> None:
    for keys in shown[number][2].tracks.values():
        assert all(a.t <= b.t + 1e-9 for a, b in pairwise(keys))


@pytest.mark.parametrize("number", QUESTIONS)
def test_pencil_and_needle_are_where_the_ink_is(shown: dict[str, Shown], number: str) -> None:
    """At the beginning and end of each stroke: the compasses stand on centre and arc at the
    true opening; the pencil is at the line's ends and the ruler's edge passes through both."""
    _, stage, score = shown[number]
    acts = acts_of(stage.working)
    for ink in score.inks:
        for t, place in ((ink.start, ink.curve.start), (ink.end, ink.curve.end)):
            if isinstance(acts[ink.act], StrikeArc):
                x, y, r, a, seen = score.state("compasses", t)
                tip = (x + r * math.cos(a), y + r * math.sin(a))
                assert seen == pytest.approx(1.0)
                assert math.dist(tip, place) < MM
            elif isinstance(acts[ink.act], RuleLine):
                x, y, seen = score.state("pencil", t)
                assert math.dist((x, y), place) < MM
                zx, zy, turn, _ = score.state("ruler", t)
                off = (x - zx) * math.sin(turn) - (y - zy) * math.cos(turn)
                assert abs(off) < MM


@pytest.mark.parametrize("number", QUESTIONS)
def test_the_opening_on_the_ruler_is_true_to_scale(shown: dict[str, Shown], number: str) -> None:
    _, stage, score = shown[number]
    for act in acts_of(stage.working):
        if isinstance(act, SetCompasses):
            openings = [k.values[2] for k in score.tracks["compasses"]]
            assert any(abs(r - 10 * act.radius) < MM for r in openings)


def test_both_legs_are_as_long_whatever_the_opening() -> None:
    leg = leg_length(Instruments())
    for opening in (10.0, 60.0, 120.0):
        parts = compasses_parts((0.0, 0.0, opening, 0.0), leg)
        hinge_x, hinge_y = float(parts["hinge"]["cx"]), float(parts["hinge"]["cy"])
        assert hinge_x == pytest.approx(opening / 2)
        assert math.hypot(opening / 2, hinge_y / 0.5) == pytest.approx(leg, abs=0.01)


@pytest.mark.parametrize("number", QUESTIONS)
def test_the_last_frame_is_the_model_answer(shown: dict[str, Shown], number: str) -> None:
    drawn, stage, score = shown[number]
    root = ElementTree.fromstring(frame(stage, score, score.length))
    paths = {e.get("d") for e in root.iter() if e.get("pathLength") == "1"}
    freehand = any(isinstance(a, JoinMarks) for a in acts_of(stage.working))
    assert not freehand
    assert paths == {path_data([c]) for c in (*drawn.ink.answer, *drawn.ink.construction)}
    assert not any(e.get("stroke-dashoffset") for e in root.iter())


def test_frames_are_true_to_scale(shown: dict[str, Shown]) -> None:
    _, stage, score = shown["1"]
    root = ElementTree.fromstring(frame(stage, score, 0.0))
    x0, _, x1, _ = stage.box
    assert root.get("width") == f"{x1 - x0:g}mm"
    assert float(root.get("viewBox", "").split()[2]) == pytest.approx(x1 - x0)
