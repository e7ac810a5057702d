"""The pages after marking in a browser with everything on them: axe-core finds nothing, none is
wider than its screen; blind marking and settling by keyboard alone."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select
from sqlalchemy.orm.attributes import flag_modified
from tests.conftest import axe_core, why_no_axe
from tests.desk.test_cycle import served

from millimark.records import backups, blind, marks, rounds, scripts
from millimark.records.models import Page as ScannedPage
from millimark.records.store import Store

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.chromium
RUN = "/printings/1"
PATHS = (
    f"{RUN}/review?mark=5", f"{RUN}/second/1/mark", f"{RUN}/second/1/compare", f"{RUN}/twice",
    f"{RUN}/feedback", f"{RUN}/reteach",
)  # fmt: skip
"""Pages that hold more here than among all pages of the desk (tests/desk/test_pages.py)."""
SCREENS = [(1280, 720, "light"), (390, 844, "dark")]


@pytest.fixture(scope="module")
def lived_in(tmp_path_factory: pytest.TempPathFactory, marked_backup: Path) -> Path:
    """Records with a page scanned twice, a fault, a round with differences, a changed mark."""
    folder = tmp_path_factory.mktemp("lived") / "records"
    store = backups.restore(marked_backup, folder)
    with store.writing() as session:
        page = scripts.page_of(session, 1)
        page.questions[0]["faults"] = [
            {"fault": "no-arcs", "text": "There are no construction arcs.", "size_mm": None}
        ]
        flag_modified(page, "questions")
        kept = {c.name: getattr(page, c.name) for c in ScannedPage.__table__.columns}
        again = {"id": None, "state": "twice", "source_page": 2, "reason": "scanned twice"}
        session.add(ScannedPage(**{**kept, **again}))
        round_id = rounds.begin(session, 1, "A. Rook").id
        for k, mark in enumerate(blind.to_decide(session, round_id, "B. Wren")[:8]):
            blind.decide(session, mark.mark_id, "B. Wren", "awarded" if k % 3 else "withheld", "?")
        for mark in page.script.answers[0].marks if page.script else []:
            if mark.version == 1:
                marks.change(session, mark.id, "withheld", "A. Rook", "No arcs.", 1)
        marks.change(session, 5, "teacher", "A. Rook", "The arc is hidden by shading.", 1)
        assert len(session.scalars(select(ScannedPage)).all()) == 4
    store.close()
    return folder


@pytest.fixture(scope="module")
def place(lived_in: Path) -> Iterator[str]:
    yield from served(lived_in)


@pytest.mark.parametrize(("width", "height", "scheme"), SCREENS)
def test_every_page_passes_axe_and_fits(
    browser: Browser, place: str, width: int, height: int, scheme: str
) -> None:
    context = browser.new_context(
        viewport={"width": width, "height": height},
        color_scheme=scheme,  # type: ignore[arg-type] # one of its words
        bypass_csp=True,
    )
    page = context.new_page()
    for path in PATHS:
        answer = page.goto(place + path)
        assert answer is not None
        assert answer.status == 200, path
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path
        if why_no_axe() is None:
            page.add_script_tag(path=axe_core())
            found = page.evaluate("axe.run().then((found) => found.violations)")
            told = [f"{v['id']}: {[n['html'] for n in v['nodes']]}" for v in found]
            assert told == [], path
    context.close()


def test_a_second_marker_works_by_keyboard_and_differences_are_settled(
    browser: Browser, place: str, lived_in: Path
) -> None:
    page = browser.new_page(viewport={"width": 1280, "height": 720})
    page.goto(f"{place}{RUN}/second/1/mark")
    waits = page.input_value("input[name=mark]")  # undecided so far: no difference can be of it
    page.keyboard.press("n")
    page.wait_for_function(f"document.querySelector('input[name=mark]').value != '{waits}'")
    page.fill("#who", "D. Teal")
    page.keyboard.press("Escape")
    page.keyboard.press("m")
    assert page.locator(".transparency:not(.off)").count() == 1
    wide = "document.querySelector('.pupil image').getBoundingClientRect().width"
    before = page.evaluate(wide)
    page.keyboard.press("z")
    assert page.evaluate(wide) > 1.9 * before
    page.keyboard.press("c")
    page.keyboard.type("Two pairs of arcs, and through both crossings.")
    page.keyboard.press("Escape")
    first = page.input_value("input[name=mark]")
    page.keyboard.press("w")
    page.wait_for_selector("text=Withheld. Kept.")
    assert page.input_value("#who") == "D. Teal"
    assert page.input_value("input[name=mark]") != first
    page.goto(f"{place}{RUN}/second/1/compare?pair=%7CD.%20Teal")
    page.fill("textarea[required]", "Seen together: they are there.")
    page.get_by_role("button", name="Withhold sheet").click()
    page.wait_for_selector("text=Settled:")
    page.close()
    store = Store.open(lived_in)
    with store.reading() as session:
        last = marks.history(session, int(first))[-1]
        assert (last.who, last.why) == ("D. Teal", "Seen together: they are there.")
    store.close()


def keyboard_reaches(page: Page, most: int = 120) -> set[str]:
    """What the Tab key comes to on a page: the visible words of each."""
    found = set()
    for _ in range(most):
        page.keyboard.press("Tab")
        found.add(page.evaluate("document.activeElement.innerText || document.activeElement.name"))
    return found


def test_every_control_of_the_class_pages_is_reached_by_keyboard(
    browser: Browser, place: str
) -> None:
    page = browser.new_page(viewport={"width": 1280, "height": 720})
    for path, words in (
        (f"{RUN}/feedback", {"Make a sheet to teach it again", "Table of marks (CSV)"}),
        (f"{RUN}/grid", {"Total", "Feed back"}),
        ("/records", {"Make a backup", "Check it", "Take everything away (ZIP)", "days"}),
    ):
        page.goto(place + path)
        assert words <= keyboard_reaches(page), path
    page.close()
