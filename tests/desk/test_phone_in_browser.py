"""A teacher's browser and a phone's, side by side: the code, photographs, a page that is mended.
axe-core (WCAG 2.2 A and AA and its best practice) looks at every page on the way."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

import cv2
import numpy as np
import pytest
from tests.conftest import axe_core, why_no_axe
from tests.desk.process import DeskProcess

from millimark.desk.password import keep_password

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.chromium
PASSWORD = "seven quiet herons"


@pytest.fixture
def desk(tmp_path: Path, marked_folder: Path) -> Iterator[DeskProcess]:
    """A desk that phones of the network can reach."""
    folder = tmp_path / "records"
    shutil.copytree(marked_folder, folder)
    keep_password(folder, PASSWORD)
    running = DeskProcess(folder, tmp_path / "desk.log", "--host", "0.0.0.0")
    running.wait_until_it_answers()
    yield running
    running.end()
    assert "Traceback" not in (tmp_path / "desk.log").read_text()


def visitor(browser: Browser, width: int, height: int, scheme: str, troubles: list[str]) -> Page:
    context = browser.new_context(viewport={"width": width, "height": height}, color_scheme=scheme)
    page = context.new_page()
    page.on("pageerror", lambda error: troubles.append(str(error)))
    page.on(
        "console",
        lambda said: troubles.append(said.text) if "Content Security" in said.text else None,
    )
    return page


def looked_at(page: Page) -> None:
    """No axe violation, and nothing wider than the screen."""
    size = page.viewport_size
    assert size is not None
    assert page.evaluate("document.documentElement.scrollWidth") <= size["width"], page.url
    if why_no_axe() is None:
        page.evaluate(axe_core().read_text(encoding="utf-8"))  # a script tag, the policy forbids
        found = page.evaluate("axe.run().then((found) => found.violations)")
        assert [f"{v['id']}: {[n['html'] for n in v['nodes']]}" for v in found] == [], page.url


def test_a_phone_photographs_pages_and_one_is_mended(
    browser: Browser, desk: DeskProcess, tmp_path: Path, marked_folder: Path
) -> None:
    troubles: list[str] = []
    teacher = visitor(browser, 1280, 720, "light", troubles)
    phone = visitor(browser, 390, 844, "dark", troubles)
    teacher.goto(desk.place)
    teacher.fill("#name", "R. Teasel")
    teacher.fill("#password", PASSWORD)
    teacher.get_by_role("button", name="Sign in").click()
    switch_on(teacher, desk)
    enter(phone, desk, urlsplit(teacher.inner_text(".address")).path)
    photograph(phone, tmp_path, marked_folder)
    teacher.wait_for_selector("text=Phone 1: 2 photographs")
    looked_at(teacher)
    mend(teacher, desk)
    teacher.goto(f"{desk.place}/printings/1/phone")
    teacher.get_by_role("button", name="Switch everything off").click()
    teacher.wait_for_selector("text=Phones are switched off.")
    phone.goto(f"{desk.place}/phone/page")
    assert "its time is over" in phone.inner_text("main")
    looked_at(phone)
    assert troubles == []


def switch_on(teacher: Page, desk: DeskProcess) -> None:
    teacher.goto(f"{desk.place}/printings/1/phone")
    looked_at(teacher)
    teacher.get_by_role("button", name="Switch on: show a code").click()
    teacher.wait_for_selector(".code svg")
    looked_at(teacher)


def enter(phone: Page, desk: DeskProcess, path: str) -> None:
    phone.goto(desk.place + path)
    looked_at(phone)
    phone.get_by_role("button", name="Use this phone").click()
    phone.wait_for_selector("#camera", state="attached")
    looked_at(phone)


def photograph(phone: Page, tmp_path: Path, marked_folder: Path) -> None:
    """A page, and a blank; what cannot be opened stays on the phone and can be sent again."""
    scan = next((marked_folder.parent / "rehearsed" / "scans").iterdir())
    page = tmp_path / scan.name
    page.write_bytes(scan.read_bytes() + b"\x00")
    cv2.imwrite(str(tmp_path / "blank.png"), np.full((900, 700), 200, np.uint8))
    (tmp_path / "no-picture.heic").write_text("no picture")
    phone.set_input_files("#pictures", [page, tmp_path / "blank.png", tmp_path / "no-picture.heic"])
    phone.wait_for_selector("text=1 not sent")
    phone.wait_for_selector("li.read", timeout=90_000)
    phone.wait_for_selector("li.unread[data-number]", timeout=90_000)
    assert "take it again: " in phone.inner_text("#sent")
    looked_at(phone)


def mend(teacher: Page, desk: DeskProcess) -> None:
    """By keyboard: to the page that was not read, turn it, set it aside."""
    teacher.goto(f"{desk.place}/printings/1")
    looked_at(teacher)
    teacher.get_by_role("link", name="Mend page 1 of Phone 1, photograph 2").press("Enter")
    looked_at(teacher)
    teacher.get_by_role("button", name="Turn right").press("Enter")
    teacher.wait_for_selector("text=turned by 90 degrees")
    teacher.fill("#why", "A picture of the bench.")
    teacher.keyboard.press("Enter")
    teacher.wait_for_selector("text=The page is set aside.")
    teacher.set_viewport_size({"width": 390, "height": 844})
    teacher.locator("summary", has_text="Set aside or named by hand").press("Enter")
    looked_at(teacher)
    teacher.get_by_role("link", name="Page 1 of Phone 1, photograph 2").press("Enter")
    teacher.wait_for_selector("text=Take it back")
    looked_at(teacher)
    teacher.set_viewport_size({"width": 1280, "height": 720})
