"""The player in headless Chromium: plays to the end, obeys keys, keeps still where asked."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from tests.conftest import axe_core
from tests.showing.conftest import Open, Shown

from millimark.drawing.svg import path_data
from millimark.showing.director import direct
from millimark.showing.player import page
from millimark.showing.score import Score
from millimark.showing.stage import stage_for_construction
from millimark.working.catalogue import construct

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.chromium
QUESTIONS = ("1", "2", "3", "4", "5")


def at(shown: Page) -> float:
    return float(shown.get_attribute("body", "data-at") or "nan")


def act(shown: Page) -> int:
    """The number of the act that is told."""
    return int(shown.locator("#said").inner_text().split(".")[0])


def inked(shown: Page) -> set[str]:
    """The ink that is seen. (A vertical line has no width, so ':visible' would miss it.)"""
    return set(
        shown.eval_on_selector_all(
            'path[id^="ink-"]',
            "all => all.filter(e => getComputedStyle(e).visibility === 'visible')"
            ".map(e => e.getAttribute('d'))",
        )
    )


def play_through(shown: Page, score: Score) -> None:
    """Play four times as fast, on the page's own clock, until the end."""
    shown.select_option("#speed", "4")
    shown.click("#play")
    shown.clock.run_for(int(1000 * score.length / 4) + 500)


@pytest.mark.parametrize("number", QUESTIONS)
def test_it_plays_to_the_end_and_shows_the_model_answer(
    shown: dict[str, Shown], open_page: Open, number: str
) -> None:
    drawn, stage, score = shown[number]
    seen = open_page(page(stage, score))
    assert inked(seen) == set()
    play_through(seen, score)
    assert seen.get_attribute("body", "data-ended") == "true"
    assert seen.locator("#play").inner_text() == "Play"
    assert inked(seen) == {path_data([c]) for c in (*drawn.ink.answer, *drawn.ink.construction)}
    assert seen.locator("path[stroke-dashoffset]").count() == 0
    tools = seen.locator('g[id^="tool-"]')
    assert {tools.nth(i).get_attribute("opacity") for i in range(tools.count())} == {"0.000"}
    shadings = seen.locator("#shading")
    assert shadings.count() == (1 if drawn.ink.regions else 0)
    if drawn.ink.regions:
        assert shadings.get_attribute("opacity") == "1.000"


def test_it_plays_at_the_pace_that_is_chosen(shown: dict[str, Shown], open_page: Open) -> None:
    _, stage, score = shown["1"]
    seen = open_page(page(stage, score))
    seen.keyboard.press("Space")
    seen.clock.run_for(3000)
    assert at(seen) == pytest.approx(3.0, abs=0.1)
    seen.keyboard.press("Space")
    paused = at(seen)
    seen.clock.run_for(3000)
    assert at(seen) == paused
    seen.keyboard.press("+")
    seen.keyboard.press("k")
    seen.clock.run_for(2000)
    assert at(seen) == pytest.approx(paused + 4.0, abs=0.1)


def test_keys_step_and_jump_wherever_the_focus_is(shown: dict[str, Shown], open_page: Open) -> None:
    _, stage, score = shown["1"]
    seen = open_page(page(stage, score))
    seen.focus("#play")  # as after a click: the arrows are still the player's
    for _ in range(3):
        seen.keyboard.press("ArrowRight")
    assert act(seen) == 3
    assert at(seen) == pytest.approx(score.cues[2].end, abs=0.01)
    seen.keyboard.press("ArrowLeft")
    assert at(seen) == pytest.approx(score.cues[2].start, abs=0.01)
    seen.keyboard.press("End")
    assert seen.get_attribute("body", "data-ended") == "true"
    seen.keyboard.press("Home")
    assert at(seen) == 0
    seen.keyboard.press("Space")  # the button's own key: it plays once, not twice
    assert seen.locator("#play").inner_text() == "Pause"
    seen.uncheck("#keys")
    seen.keyboard.press("End")
    assert at(seen) < 1


def test_every_act_can_be_reached_by_tab_and_pressed(
    shown: dict[str, Shown], open_page: Open
) -> None:
    _, stage, score = shown["3"]
    seen = open_page(page(stage, score))
    for _ in range(60):
        seen.keyboard.press("Tab")
        if seen.evaluate("document.activeElement.closest('#acts li:last-child') !== null"):
            break
    seen.keyboard.press("Enter")
    assert act(seen) == int(seen.evaluate(
        "[...document.querySelectorAll('#acts button')].indexOf(document.activeElement) + 1"
    ))  # fmt: skip


def test_with_reduced_motion_it_goes_from_act_to_act(
    shown: dict[str, Shown], open_page: Open
) -> None:
    _, stage, score = shown["1"]
    seen = open_page(page(stage, score), motion="reduce")
    seen.click("#play")
    times = set()
    while seen.get_attribute("body", "data-ended") != "true" and len(times) < 50:
        seen.clock.run_for(500)
        times.add(at(seen))
    ends = {0.0, score.length} | {cue.end for cue in score.cues}
    assert all(min(abs(t - end) for end in ends) < 0.011 for t in times)
    assert len(times) == len(score.cues) + 1


@pytest.mark.parametrize(("width", "height"), [(1280, 720), (390, 844)])
def test_drawing_and_controls_are_seen_together(
    shown: dict[str, Shown], open_page: Open, width: int, height: int
) -> None:
    """On a classroom screen and on a telephone, without scrolling; nothing runs off sideways."""
    _, stage, score = shown["5"]
    seen = open_page(page(stage, score), width, height)
    for part in ("#view", "#play", "#said"):
        box = seen.locator(part).bounding_box()
        assert box is not None
        assert box["x"] >= -0.5
        assert box["x"] + box["width"] <= width + 0.5
        assert box["y"] + box["height"] <= height + 0.5
    assert seen.evaluate("document.documentElement.scrollWidth") <= width


def test_without_script_the_finished_drawing_is_there(shown: dict[str, Shown]) -> None:
    _, stage, score = shown["2"]
    html = page(stage, score)
    assert "dashoffset" not in html.split("<script", 1)[0]
    assert "http" not in html.replace("http://www.w3.org/2000/svg", "")


def violations(seen: Page) -> list[str]:
    """What axe-core finds: WCAG 2.2 A and AA and its own best practice."""
    found = seen.evaluate("axe.run().then((found) => found.violations)")
    return [f"{v['id']}: {[n['html'] for n in v['nodes']]}" for v in found]


@pytest.mark.axe
@pytest.mark.parametrize("number", ["1", "5"])
@pytest.mark.parametrize(("width", "height"), [(1280, 720), (390, 844)])
def test_axe_finds_no_violation(
    shown: dict[str, Shown], open_page: Open, number: str, width: int, height: int
) -> None:
    """At the beginning, in the middle and at the end."""
    _, stage, score = shown[number]
    seen = open_page(page(stage, score), width, height)
    seen.add_script_tag(path=axe_core())
    seen.clock.resume()
    for press in ("Home", "ArrowRight", "End"):
        seen.keyboard.press(press)
        assert violations(seen) == []


@pytest.mark.axe
def test_axe_finds_no_violation_in_a_construction(open_page: Open) -> None:
    stage = stage_for_construction(construct("incircle"))
    seen = open_page(page(stage, direct(stage)))
    seen.add_script_tag(path=axe_core())
    seen.clock.resume()
    assert violations(seen) == []


@pytest.mark.axe
def test_axe_would_find_one(shown: dict[str, Shown], open_page: Open) -> None:
    """The check can fail: a button without a name is reported."""
    _, stage, score = shown["1"]
    seen = open_page(page(stage, score).replace(">Next</button>", "></button>"))
    seen.add_script_tag(path=axe_core())
    seen.clock.resume()
    assert any(found.startswith("button-name") for found in violations(seen))
