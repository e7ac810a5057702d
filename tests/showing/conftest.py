"""The demo's questions on stage, and pages that Chromium shows."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from millimark import demo
from millimark.paper.question_pages import Drawn, plan_paper
from millimark.paper.reading import read_paper
from millimark.showing.director import direct
from millimark.showing.score import Score
from millimark.showing.stage import Stage, stage_of

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

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


Open = Callable[..., "Page"]


@pytest.fixture
def open_page(browser: Browser, tmp_path: Path) -> Iterator[Open]:
    """Open a document from a file, as a teacher would, on a clock that the test moves on. Any
    trouble in the page's script and any wish for the network fails the test."""
    troubles: list[str] = []
    contexts = []

    def show(
        html: str, width: int = 1280, height: int = 720, motion: str = "no-preference"
    ) -> Page:
        context = browser.new_context(
            viewport={"width": width, "height": height}, reduced_motion=motion
        )
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: troubles.append(str(error)))
        page.on(
            "request",
            lambda asked: asked.url.startswith(("file:", "blob:")) or troubles.append(asked.url),
        )
        page.clock.install(time=0)
        file = tmp_path / "page.html"
        file.write_text(html, encoding="utf-8")
        page.goto(file.as_uri())
        page.clock.pause_at(600_000)  # time goes by only where a test says so
        return page

    yield show
    for context in contexts:
        context.close()
    assert troubles == []
