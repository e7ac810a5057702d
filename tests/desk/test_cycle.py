"""The whole cycle as a teacher's browser does it: write, print, mark, decide, hand on, delete;
axe-core on every page (WCAG 2.2 A and AA and its best practice)."""

from __future__ import annotations

import re
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from tests.conftest import axe_core, why_no_axe
from tests.desk.conftest import PUPILS, rehearsed

from millimark.records import papers
from millimark.records.store import Store

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.chromium
SIZES = [(1280, 720, "light"), (390, 844, "dark")]


def served(folder: Path) -> Iterator[str]:
    """`millimark desk` as a teacher starts it, on a free port of this machine."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    words = [sys.executable, "-c", "from millimark.cli import main; main()", "desk"]
    log = folder.parent / "desk.log"
    with log.open("w") as out:
        running = subprocess.Popen(
            [*words, "--port", str(port), "--data", str(folder)], stdout=out, stderr=out
        )
        place = f"http://127.0.0.1:{port}"
        try:
            for _ in range(300):
                try:
                    urllib.request.urlopen(place, timeout=2).close()
                    break
                except OSError:
                    time.sleep(0.1)
            yield place
        finally:
            running.terminate()
            running.wait(20)
    assert "Traceback" not in log.read_text()


@pytest.fixture
def fresh(tmp_path: Path) -> Iterator[str]:
    yield from served(tmp_path / "records")


@pytest.fixture
def marked_desk(tmp_path: Path, marked_folder: Path) -> Iterator[str]:
    shutil.copytree(marked_folder, tmp_path / "records")
    yield from served(tmp_path / "records")


@pytest.fixture
def teacher(browser: Browser) -> Iterator[Page]:
    """A page whose script must not stumble, and that must not ask anyone else."""
    troubles: list[str] = []
    context = browser.new_context(viewport={"width": 1280, "height": 720})
    page = context.new_page()
    page.on("pageerror", lambda error: troubles.append(str(error)))
    page.on(
        "request",
        lambda asked: asked.url.startswith("http://127.0.0.1:") or troubles.append(asked.url),
    )
    page.on(
        "console",
        lambda said: troubles.append(said.text) if "Content Security" in said.text else None,
    )
    yield page
    context.close()
    assert troubles == []


def test_a_teacher_goes_through_the_whole_cycle(teacher: Page, fresh: str, tmp_path: Path) -> None:
    write(teacher, fresh)
    print_for_a_class(teacher, fresh)
    mark(teacher, tmp_path)
    decide_by_keyboard(teacher)
    hand_on_and_delete(teacher, fresh)


def write(page: Page, place: str) -> None:
    page.goto(place)
    page.get_by_role("button", name="Write a new paper").click()
    page.fill("#title", "Two beacons")
    page.fill("#given", "S and T are 7 cm apart.")
    page.fill("#ask", "Draw the locus of points that are the same distance form S as from T.")
    page.get_by_role("button", name=re.compile("instead of form")).click()
    page.wait_for_selector("text=perpendicular bisector of ST, within")
    page.reload()
    assert page.input_value("#ask").count("from") == 2
    page.get_by_role("button", name="Add a question").click()
    page.wait_for_url("**/questions/2")
    page.fill("#given", "U and V are 6 cm apart.")
    page.fill("#ask", "Draw the locus of points that are 3 cm from U.")
    page.wait_for_selector("#live svg[aria-label*='circle']")


def print_for_a_class(page: Page, place: str) -> None:
    page.goto(f"{place}/classes")
    page.fill("#name", "8 Blue")
    page.fill("#pupils", "\n".join(PUPILS))
    page.get_by_role("button", name="Make the class").click()
    page.goto(f"{place}/papers/1/print")
    page.select_option("#class", label="8 Blue, 3 pupils")
    page.get_by_role("button", name="Print").click()
    page.wait_for_selector("text=Printed. The files are below.", timeout=60_000)
    answered = page.request.get(f"{page.url}/files/question-paper.pdf")
    assert answered.body().startswith(b"%PDF-")


def mark(page: Page, tmp_path: Path) -> None:
    store = Store.open(tmp_path / "records")
    with store.reading() as session:
        text = papers.version_of(session, 1).text
    store.close()
    scans = rehearsed(text, list(PUPILS), tmp_path / "rehearsed", 11)
    wrong = tmp_path / "holiday.pdf"
    wrong.write_bytes(b"not a scan")
    page.set_input_files("#scans", [*scans, wrong])
    page.get_by_role("button", name="Mark them").click()
    page.wait_for_selector("text=4 files taken in.")
    page.wait_for_selector("#progress:not(:has([hx-get]))", timeout=90_000)
    told = page.inner_text("#progress")
    assert told.count("1 page marked") == 3
    assert "holiday.pdf: not read" in told


def decide_by_keyboard(page: Page) -> None:
    """Whatever comes first is withheld for a reason of the teacher's own, without a mouse."""
    page.get_by_role("link", name="Review marks").click()
    page.wait_for_selector("#why")
    page.fill("#who", "A. Rook")
    page.keyboard.press("Escape")
    page.keyboard.press("c")
    assert page.evaluate("document.activeElement.id") == "why"
    page.keyboard.press("Control+A")
    page.keyboard.type("Drawn through the label.")
    page.keyboard.press("Escape")
    decided = page.input_value("input[name=mark]")
    page.keyboard.press("w")
    page.wait_for_selector("text=Withheld, kept as version 2.")
    page.goto(f"{page.url.partition('?')[0]}?mark={decided}")
    assert "A. Rook: Withheld. Drawn through the label." in page.inner_text(".history")


def hand_on_and_delete(page: Page, place: str) -> None:
    page.goto(f"{place}/printings/1/grid")
    with page.expect_download() as taken:
        page.get_by_role("link", name="Table (CSV)").click()
    assert "Quilla Marrowby" in Path(taken.value.path()).read_text(encoding="utf-8-sig")
    page.goto(f"{place}/classes/1")
    page.get_by_role("link", name="Delete Quilla Marrowby").click()
    page.check("input[name=sure]")
    page.get_by_role("button", name="Delete").click()
    page.wait_for_selector("text=The pupil is deleted")
    page.goto(f"{place}/printings/1/grid")
    assert "Quilla" not in page.content()


PATHS = (
    "/", "/papers/1/questions/1", "/papers/1/print", "/printings", "/printings/1",
    "/printings/1/review", "/printings/1/grid", "/classes", "/classes/1", "/pupils/2",
    "/papers/9/print",
)  # fmt: skip


@pytest.mark.parametrize(("width", "height", "scheme"), SIZES)
def test_every_page_passes_axe_and_fits_the_screen(
    browser: Browser, marked_desk: str, width: int, height: int, scheme: str
) -> None:
    context = browser.new_context(
        viewport={"width": width, "height": height}, color_scheme=scheme, bypass_csp=True
    )
    page = context.new_page()
    for path in PATHS:
        page.goto(marked_desk + path)
        across = page.evaluate("document.documentElement.scrollWidth")
        assert across <= width, path
        if why_no_axe() is None:
            page.add_script_tag(path=axe_core())
            found = page.evaluate("axe.run().then((found) => found.violations)")
            told = [f"{v['id']}: {[n['html'] for n in v['nodes']]}" for v in found]
            assert told == [], path
    context.close()
