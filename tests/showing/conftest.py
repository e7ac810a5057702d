"""The demo's questions on stage, and pages that Chromium has run."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from millimark import demo
from millimark.paper.question_pages import Drawn, plan_paper
from millimark.paper.reading import read_paper
from millimark.showing.director import direct
from millimark.showing.score import Score
from millimark.showing.stage import Stage, stage_of

Shown = tuple[Drawn, Stage, Score]


@pytest.fixture(scope="session")
def shown(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Shown]:
    """By question number: the question as drawn on its page, its stage, its score."""
    path = tmp_path_factory.mktemp("paper") / "paper.yaml"
    path.write_text(demo.text("paper.yaml"), encoding="utf-8")
    paper = read_paper(path)
    out = {}
    for drawn in plan_paper(paper, "").drawn:
        stage = stage_of(drawn, paper.title, paper.instruments)
        out[drawn.question.number] = (drawn, stage, direct(stage))
    return out


FRAMES = "requestAnimationFrame = (f) => setTimeout(() => f(performance.now()), 16);"
Run = Callable[..., str]


@pytest.fixture
def run_page(tmp_path: Path) -> Run:
    """Open a page in headless Chromium with a script added, let ``seconds`` of its own time
    go by, and give the document as it is then. Nothing is painted then, so no animation
    frame comes by itself: a timer brings one every 16 ms."""

    def run(html: str, script: str = "", seconds: float = 5.0, *flags: str) -> str:
        page = tmp_path / "page.html"
        html = html.replace("<body>", f"<body><script>{FRAMES}</script>", 1)
        page.write_text(html.replace("</body>", f"<script>{script}</script></body>"), "utf-8")
        browser = shutil.which("chromium") or shutil.which("chromium-browser") or "chromium"
        done = subprocess.run(
            [
                browser, "--headless", "--no-sandbox", "--disable-gpu",
                f"--user-data-dir={tmp_path / 'profile'}",
                f"--virtual-time-budget={int(seconds * 1000)}", "--dump-dom", *flags,
                page.as_uri(),
            ],
            capture_output=True, text=True, timeout=180, check=True,
        )  # fmt: skip
        return done.stdout

    return run


def body_data(dom: str, name: str) -> str:
    """The value of a data attribute of the body."""
    found = re.search(rf'<body[^>]* data-{name}="([^"]*)"', dom)
    return found[1] if found else ""
