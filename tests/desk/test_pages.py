"""Every page of the desk: axe-core finds nothing (WCAG 2.2 A and AA and its best practice), it
fits the screen, and its own script does not stumble. With MILLIMARK_SCREENS=DIR each is
photographed to be looked at."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from tests.conftest import axe_core, why_no_axe
from tests.desk.scenes import BESIDES, PAGES, PARTS, PASSWORD, Everything, everything, path_of

from millimark.desk.application import routes
from millimark.records.store import Store

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext

SIZES = [(1280, 720, "light"), (390, 844, "dark")]
SCREENS = os.environ.get("MILLIMARK_SCREENS")


@pytest.fixture(scope="module")
def seen(tmp_path_factory: pytest.TempPathFactory, marked_folder: Path) -> Iterator[Everything]:
    folder = tmp_path_factory.mktemp("everything") / "records"
    shutil.copytree(marked_folder, folder)
    store = Store.open(folder)
    with everything(store) as found:
        yield found
    store.close()


def test_every_path_has_a_scene_or_is_no_page() -> None:
    """Write the scene of a new page in tests/desk/scenes.py. (What programs ask for under /api
    is no page; it has tests of its own.)"""
    asked = {route.path for route in routes() if "GET" in (route.methods or ())}
    there = {path for path in asked if not path.startswith("/api/")}
    assert there == set(PAGES) | set(PARTS)
    assert not set(PAGES) & set(PARTS)


def test_pages_are_pages_and_parts_are_not(seen: Everything) -> None:
    for path, scene in PAGES.items():
        answer = seen.client.get(path_of(scene, seen))
        if path != "/phone/page":  # without a phone's pass: it says so, on a page
            assert answer.status_code == 200, path
        assert answer.text.startswith("<!doctype html>"), path
    for path, scene in PARTS.items():
        answer = seen.client.get(path_of(scene, seen))
        assert not answer.content.startswith(b"<!doctype html>"), path


def signed_in(browser: Browser, seen: Everything, size: tuple[int, int, str]) -> BrowserContext:
    width, height, scheme = size
    context = browser.new_context(
        viewport={"width": width, "height": height}, color_scheme=scheme, bypass_csp=True
    )
    page = context.new_page()
    page.goto(f"{seen.place}/sign-in")
    page.fill("#name", "R. Teasel")
    page.fill("#password", PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"{seen.place}/")
    page.close()
    return context


@pytest.mark.chromium
@pytest.mark.parametrize("size", SIZES, ids=str)
def test_every_page_passes_axe_and_fits_the_screen(
    browser: Browser, seen: Everything, size: tuple[int, int, str]
) -> None:
    context = signed_in(browser, seen, size)
    page = context.new_page()
    troubles: list[str] = []
    page.on("pageerror", lambda error: troubles.append(f"{page.url}: {error}"))
    for name, scene in (*PAGES.items(), *BESIDES.items()):
        page.goto(seen.place + path_of(scene, seen))
        if SCREENS:
            photograph(page, name, size)
        across = page.evaluate("document.documentElement.scrollWidth")
        assert across <= size[0], name
        if why_no_axe() is None:
            page.add_script_tag(path=axe_core())
            found = page.evaluate("axe.run().then((found) => found.violations)")
            told = [f"{v['id']}: {[n['html'] for n in v['nodes']]}" for v in found]
            assert told == [], name
    context.close()
    assert troubles == []


def photograph(page: object, name: str, size: tuple[int, int, str]) -> None:
    folder = Path(str(SCREENS))
    folder.mkdir(parents=True, exist_ok=True)
    plain = re.sub(r"[^a-z]+", "-", name.lower()).strip("-") or "home"
    page.wait_for_timeout(400)  # type: ignore[attr-defined]
    page.screenshot(  # type: ignore[attr-defined]
        path=folder / f"{plain}-{size[0]}-{size[2]}.png", full_page=size[0] < 500
    )
