"""The README's pictures of the desk: a desk with an invented class, visited by Chromium."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from millimark import demo
from millimark.desk.hands import Hands
from millimark.desk.running import running
from millimark.desk.setting import Desk
from millimark.paper.fields import load
from millimark.paper.reading import PaperSource
from millimark.records import classes, papers, printings, queue, uploads
from millimark.records.class_lists import Listed
from millimark.records.store import Store
from millimark.rehearsal.rehearse import rehearse

if TYPE_CHECKING:
    from playwright.sync_api import Page

WIDTH, HEIGHT = 1280, 720
PUPILS = (
    "Quilla Marrowby", "Tam Oakes", "Pia Finch", "Odo Lark", "Wren Ashby", "Milo Thatcher",
    "Ines Copper", "Bram Tully", "Ottoline Pike", "Jory Fenn",
)  # fmt: skip
WRITTEN = """\
title: Gardens and ponds
questions:
  - story: A sprinkler stands at Q. Shade where the grass is watered and nearer to the hedge PQ.
    given: ["Triangle PQR has PQ = 8 cm, QR = 7 cm and PR = 6.5 cm."]
    ask: [Shade the region inside triangle PQR that is nearer to PQ than to PR and less than 5 cm from Q.]
"""  # noqa: E501


def marked_records(folder: Path) -> Store:
    """Records of a class whose papers were drawn by invented pupils and marked."""
    store = Store.open(folder / "records")
    text = demo.text("paper.yaml")
    with store.writing() as session:
        listed = [Listed(str(i), name) for i, name in enumerate(PUPILS, 1)]
        owner = classes.make_class(session, "8 Blue", listed).id
        paper = papers.make_paper(session, text, "R. Teasel")
        version = papers.version_of(session, paper.id).id
        papers.make_paper(session, WRITTEN, "R. Teasel")
    run = printings.print_for(store, version, owner)
    rehearse(
        PaperSource(load(text, None)).paper(),
        len(PUPILS),
        7,
        folder / "drawn",
        names=PUPILS,
        dpi=200,
    )
    for scan in sorted((folder / "drawn" / "scans").iterdir()):
        uploads.accept(store, run, scan.name, [scan.read_bytes()])
    queue.work(store)
    return store


def write(page: Page, place: str) -> None:
    page.goto(f"{place}/papers/2/questions/1")


def step(page: Page, place: str) -> None:
    write(page, place)
    page.get_by_role("button", name="Step by step").click()
    page.wait_for_selector(".stepped")
    for _ in range(6):
        page.keyboard.press("ArrowRight")


def demonstrate(page: Page, place: str) -> None:
    """Half way through an arc."""
    page.goto(f"{place}/papers/2/questions/1/show")
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    page.keyboard.press("Space")
    page.wait_for_timeout(1900)
    page.keyboard.press("k")


def review(page: Page, place: str) -> None:
    page.goto(f"{place}/printings/1/review")


def grid(page: Page, place: str) -> None:
    page.goto(f"{place}/printings/1/grid")


SCENES = {
    "desk-writing": write,
    "desk-steps": step,
    "desk-demonstration": demonstrate,
    "desk-review": review,
    "desk-grid": grid,
}


def photograph(folder: Path) -> None:
    """Write a picture of each scene into a folder."""
    from playwright.sync_api import sync_playwright

    program = shutil.which("chromium") or shutil.which("chromium-browser")
    with tempfile.TemporaryDirectory() as place, sync_playwright() as playwright:
        store = marked_records(Path(place))
        browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        with running(Desk(store, Hands(store))) as address:
            for name, scene in SCENES.items():
                context = browser.new_context(viewport={"width": WIDTH, "height": HEIGHT})
                page = context.new_page()
                scene(page, address)
                page.wait_for_timeout(500)
                page.screenshot(path=folder / f"{name}.png")
                context.close()
        browser.close()
        store.close()
