"""The player in headless Chromium: plays to the end, obeys keys, keeps still where asked."""

from __future__ import annotations

import json
import os
import re
from html import unescape
from pathlib import Path

import pytest
from tests.showing.conftest import Run, Shown, body_data

from millimark.drawing.svg import path_data
from millimark.showing.player import page

pytestmark = pytest.mark.chromium

PRESS = """
const key = (k) => document.dispatchEvent(new KeyboardEvent("keydown", {key: k, bubbles: true}));
const said = () => document.getElementById("said").textContent;
const log = []; const note = (what) => log.push(what);
const keep = () => { document.body.dataset.log = JSON.stringify(log); };
"""


def log_of(dom: str) -> list[str]:
    return list(json.loads(unescape(body_data(dom, "log"))))


def test_it_plays_to_the_end_and_shows_the_model_answer(
    shown: dict[str, Shown], run_page: Run
) -> None:
    drawn, stage, score = shown["5"]
    script = """
      document.getElementById("speed").value = "4";
      document.getElementById("speed").dispatchEvent(new Event("change"));
      document.getElementById("play").click();
    """
    dom = run_page(page(stage, score), script, score.length)
    assert body_data(dom, "ended") == "true"
    inks = re.findall(r'<path id="ink-\d+"[^>]*>', dom)
    drawn_paths = {m[1] for ink in inks if (m := re.search(r' d="([^"]*)"', ink))}
    assert drawn_paths == {path_data([c]) for c in (*drawn.ink.answer, *drawn.ink.construction)}
    assert not any("dashoffset" in ink or "hidden" in ink for ink in inks)
    assert set(re.findall(r'<g id="tool-\w+" opacity="([^"]*)"', dom)) == {"0.000"}
    assert re.search(r'<g id="shading" opacity="1.000"', dom)
    assert ">Play</button>" in dom


def test_keys_step_jump_and_pause(shown: dict[str, Shown], run_page: Run) -> None:
    _, stage, score = shown["1"]
    script = (
        PRESS
        + """
      key("ArrowRight"); key("ArrowRight"); note(said());
      key("ArrowLeft"); note(said());
      key("End"); note(document.body.dataset.ended);
      key("Home"); note(document.body.dataset.at);
      key(" "); note(document.getElementById("play").textContent);
      key("k"); note(document.getElementById("play").textContent);
      key("+"); note(document.getElementById("speed").value);
      key("-"); key("-"); note(document.getElementById("speed").value);
      keep();
    """
    )
    log = log_of(run_page(page(stage, score), script))
    assert [said.split(".")[0] for said in log[:2]] == ["2", "1"]
    assert log[2:] == ["true", "0.00", "Pause", "Play", "2", "0.5"]


def test_with_reduced_motion_it_goes_from_act_to_act(
    shown: dict[str, Shown], run_page: Run
) -> None:
    _, stage, score = shown["1"]
    script = (
        PRESS
        + """
      new MutationObserver(() => { note(document.body.dataset.at); keep(); })
        .observe(document.body, {attributes: true, attributeFilter: ["data-at"]});
      document.getElementById("play").click();
    """
    )
    html = page(stage, score)
    log = log_of(run_page(html, script, 12, "--force-prefers-reduced-motion"))
    ends = {round(cue.end, 2) for cue in score.cues} | {round(score.length, 2)}
    times = {float(t) for t in log}
    assert len(times) >= 3
    assert all(min(abs(t - end) for end in ends) < 0.011 for t in times)


def test_without_script_the_finished_drawing_is_there(shown: dict[str, Shown]) -> None:
    _, stage, score = shown["2"]
    html = page(stage, score)
    assert "dashoffset" not in html.split("<script", 1)[0]
    assert "http" not in html.replace("http://www.w3.org/2000/svg", "")


AXE = Path(os.environ.get("AXE_CORE", "node_modules/axe-core/axe.min.js"))


@pytest.mark.parametrize("number", ["1", "5"])
def test_axe_finds_no_violation(shown: dict[str, Shown], run_page: Run, number: str) -> None:
    """axe-core (npm) where it is installed: WCAG 2.2 A and AA and its own best practice."""
    if not AXE.exists():
        pytest.skip(f"axe-core is not at {AXE} (npm install axe-core, or set AXE_CORE)")
    _, stage, score = shown[number]
    script = (
        AXE.read_text("utf-8").replace("</script", "<\\/script")
        + """
      axe.run().then((found) => {
        document.body.dataset.log = JSON.stringify(
          found.violations.map((v) => v.id + ": " + v.nodes.map((n) => n.html).join(" | ")));
      });
    """
    )
    assert log_of(run_page(page(stage, score), script, 20)) == []
