"""The whole cycle as a teacher's browser does it: write, print, mark 30 scripts, decide what waits,
hand on, delete a pupil. And what is typed is not lost, whatever happens to the page."""

from __future__ import annotations

import re
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from tests.desk.conftest import rehearsed

from millimark.records import marks, papers
from millimark.records.store import Store

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.chromium
CLASS = [
    f"{first} {last}"
    for last in ("Marrowby", "Oakes", "Finch")
    for first in (
        "Quilla", "Tam", "Pia", "Odo", "Wren", "Milo", "Ines", "Bram", "Ottoline", "Jory",
    )
]  # fmt: skip


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


def until(page: Page, condition: str) -> None:
    """Wait for a condition. (The pages' policy allows no script from a string, and so none of
    Playwright's own waiting.)"""
    from playwright.sync_api import Error

    said = ""
    for _ in range(300):
        try:
            if page.evaluate(condition):
                return
        except Error as error:  # the page was left, or is not whole yet, while it was asked
            said = str(error)
        page.wait_for_timeout(50)
    raise AssertionError(f"after 15 seconds not yet: {condition} {said}")


@pytest.fixture
def fresh(tmp_path: Path) -> Iterator[str]:
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
    resolve_what_waits(teacher, tmp_path)
    hand_on_and_delete(teacher, fresh)


def write(page: Page, place: str) -> None:
    page.goto(place)
    page.get_by_role("button", name="Write a new paper").click()
    page.get_by_text("The paper: title, page").click()
    page.fill("#title", "Two beacons")
    page.fill("#given", "S and T are 7 cm apart.")
    page.fill("#ask", "Draw the locus of points that are the same distance form S as from T.")
    page.get_by_role("button", name=re.compile("instead of form")).click()
    page.wait_for_selector("text=perpendicular bisector of ST, within")
    until(page, "document.querySelector('#kept').textContent.includes('Kept')")
    page.reload()
    assert page.input_value("#ask").count("from") == 2
    page.get_by_role("button", name="Step by step").click()
    page.wait_for_selector(".stepped")
    page.keyboard.press("End")
    page.keyboard.press("ArrowLeft")
    assert "Act" in page.inner_text("#step-at")
    assert page.locator(".stepped .later").count() > 0
    page.get_by_role("link", name="From the bank").click()
    page.select_option("#code", "G2")
    page.get_by_role("button", name="Show them").click()
    page.wait_for_selector("article .sheet svg")
    page.get_by_role("link", name="Back to Two beacons").click()


def print_for_a_class(page: Page, place: str) -> None:
    page.goto(f"{place}/classes")
    page.fill("#name", "8 Blue")
    page.fill("#pupils", "\n".join(CLASS))
    page.get_by_role("button", name="Make the class").click()
    page.goto(f"{place}/papers/1/print")
    page.select_option("#class", label="8 Blue, 30 pupils")
    page.uncheck("input[name=with-step-booklet]")
    page.get_by_role("button", name="Print").click()
    page.wait_for_selector("h2:has-text('Files')", timeout=60_000)
    page.get_by_role("link", name="Question paper").click()
    assert page.locator(".proofs img").count() == 30
    answered = page.request.get(
        page.get_by_role("link", name="Open the PDF").evaluate("a => a.href")
    )
    assert answered.body().startswith(b"%PDF-")
    page.get_by_role("link", name="Back to the print run").click()


def mark(page: Page, tmp_path: Path) -> None:
    store = Store.open(tmp_path / "records")
    with store.reading() as session:
        text = papers.version_of(session, 1).text
    store.close()
    scans = rehearsed(text, list(CLASS), tmp_path / "rehearsed", 11)
    wrong = tmp_path / "holiday.pdf"
    wrong.write_bytes(b"not a scan")
    page.set_input_files("#scans", [*scans, wrong])
    page.get_by_role("button", name="Mark them").click()
    page.wait_for_selector("text=31 files taken in.")
    page.wait_for_selector("#progress:not(:has([hx-get]))", timeout=120_000)
    told = page.inner_text("#progress")
    assert told.count("1 page marked") == 30
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


def resolve_what_waits(page: Page, tmp_path: Path) -> None:
    """The borderline queue to its end, one key a mark."""
    page.goto(page.url.partition("?")[0])
    for _ in range(60):
        if "nothing waits for you" in page.inner_text(".head"):
            break
        with page.expect_navigation():
            page.keyboard.press("a")
    store = Store.open(tmp_path / "records")
    with store.reading() as session:
        assert marks.waiting(session, 1) == 0
        assert len(marks.review_queue(session, 1)) == 60  # two marks of each of 30 scripts
    store.close()


def hand_on_and_delete(page: Page, place: str) -> None:
    page.goto(f"{place}/printings/1/feedback")
    with page.expect_download() as taken:
        page.get_by_role("link", name="Table of marks (CSV)").click()
    table = Path(taken.value.path()).read_text(encoding="utf-8-sig")
    assert all(name in table for name in CLASS)
    page.goto(f"{place}/classes/1")
    page.get_by_role("link", name="Delete Quilla Marrowby").click()
    page.check("input[name=sure]")
    page.get_by_role("button", name="Delete").click()
    page.wait_for_selector("text=The pupil is deleted")
    page.goto(f"{place}/printings/1/grid")
    assert "Quilla Marrowby" not in page.content()
    assert "Quilla Oakes" in page.content()


# --- nothing typed is lost ---------------------------------------------------------------------
SENTENCE = "Draw the locus of points that are 3 cm from A."


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A desk where each test writes papers of its own."""
    yield from served(tmp_path_factory.mktemp("shared") / "records")


@pytest.fixture
def typing(teacher: Page, shared: str) -> Page:
    """A teacher at a new paper."""
    teacher.goto(shared)
    teacher.get_by_role("button", name="Write a new paper").click()
    return teacher


def type_it(page: Page) -> None:
    page.focus("#ask")
    page.keyboard.press("Control+A")
    page.keyboard.insert_text(SENTENCE)


def test_a_page_that_is_reloaded_in_the_middle_of_a_word_has_it_again(typing: Page) -> None:
    type_it(typing)
    typing.reload()
    assert typing.input_value("#ask") == SENTENCE
    until(typing, "document.querySelector('#live svg').ariaLabel.includes('circle')")
    assert typing.locator("#draft").is_hidden()


def test_a_page_that_is_killed_while_the_desk_does_not_answer_has_it_again(typing: Page) -> None:
    """The browser's tab dies; nothing reached the desk; the next tab has what was typed."""
    typing.evaluate("navigator.sendBeacon = () => false")
    typing.context.route("**/keep", lambda route: route.abort())
    typing.context.route("**/live", lambda route: route.abort())
    type_it(typing)
    until(typing, "localStorage.length === 1")
    where, context = typing.url, typing.context
    typing.close(run_before_unload=False)
    context.unroute("**/keep")
    context.unroute("**/live")
    again = context.new_page()
    again.goto(where)
    until(again, f"document.querySelector('#ask').value === {SENTENCE!r}")
    until(again, "document.querySelector('#kept').textContent === 'Kept as version 2.'")
    until(again, "localStorage.length === 0")


def test_going_on_at_once_keeps_first(typing: Page) -> None:
    """Undo takes back what was typed, not what stood before it; a link waits for the keeping."""
    type_it(typing)
    typing.get_by_role("button", name="Undo").click()
    until(typing, "document.querySelector('#ask').value.includes('as from B')")
    typing.get_by_role("button", name="Redo").click()
    until(typing, f"document.querySelector('#ask').value === {SENTENCE!r}")
    typing.fill("#story", "Two bells.")
    typing.get_by_role("button", name="Add a question").click()
    typing.wait_for_url("**/questions/2")
    typing.get_by_role("link", name="Question 1").click()
    typing.wait_for_url("**/questions/1")
    assert typing.input_value("#story") == "Two bells."


def test_what_another_changed_meanwhile_is_not_overwritten_and_mine_can_be_put_back(
    typing: Page,
) -> None:
    typing.evaluate("navigator.sendBeacon = () => false")
    typing.context.route("**/keep", lambda route: route.abort())
    type_it(typing)
    until(typing, "localStorage.length === 1")
    where, context = typing.url, typing.context
    typing.close(run_before_unload=False)
    context.unroute("**/keep")
    form = {"given": "A and B are 6 cm apart.", "ask": "Draw the locus.", "seen": "1"}
    origin = where.partition("/papers")[0]
    kept = context.request.post(f"{where}/keep", form=form, headers={"origin": origin})
    assert kept.ok
    again = context.new_page()
    again.goto(where)
    assert again.input_value("#given") == "A and B are 6 cm apart."
    again.get_by_role("button", name="Put it back").click()
    assert again.input_value("#ask") == SENTENCE
    until(again, "document.querySelector('#kept').textContent === 'Kept as version 3.'")


def test_the_demonstration_plays_under_the_desks_policy(teacher: Page, shared: str) -> None:
    teacher.goto(f"{shared}/constructions/midpoint/show")
    teacher.keyboard.press("ArrowRight")
    assert teacher.inner_text("#said").startswith("1.")
    teacher.keyboard.press("f")
    assert teacher.locator("body.large").count() == 1
    assert teacher.locator("header").is_hidden()
    teacher.keyboard.press("End")
    assert teacher.get_attribute("body", "data-ended") == "true"
