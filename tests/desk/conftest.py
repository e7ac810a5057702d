"""A desk in this process, one with a marked print run, and one that Chromium visits."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from starlette.testclient import TestClient

from millimark.desk.application import make_app
from millimark.desk.hands import Hands
from millimark.desk.password import door_of
from millimark.desk.setting import LOCAL_NAMES, Desk, names_beyond
from millimark.paper.fields import load
from millimark.paper.reading import PaperSource
from millimark.records import classes, marks, papers, printings, queue, uploads
from millimark.records.class_lists import Listed
from millimark.records.store import Store
from millimark.rehearsal.rehearse import rehearse

if TYPE_CHECKING:
    from httpx2 import Response
    from playwright.sync_api import Browser

HERE = "http://127.0.0.1:8017"
PAPER = """\
title: Two beacons
questions:
  - given: [S and T are 7 cm apart.]
    ask: [Draw the locus of points that are the same distance from S as from T.]
  - given: [U and V are 6 cm apart.]
    ask: [Draw the locus of points that are 3 cm from U.]
"""
PUPILS = ("Quilla Marrowby", "<b>Tam</b> Oakes", "Pia Finch")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """Records without a row."""
    opened = Store.open(tmp_path / "records")
    yield opened
    opened.close()


def desk(store: Store, beyond: bool = False, place: str = HERE) -> TestClient:
    """A browser's requests to a desk, without a browser; enter it to start the desk."""
    hosts = names_beyond() if beyond else LOCAL_NAMES
    app = make_app(Desk(store, Hands(store), door_of(store.folder), hosts, beyond))
    return TestClient(app, base_url=place, headers={"origin": place})


@pytest.fixture
def client(store: Store) -> Iterator[TestClient]:
    """A desk on this machine."""
    with desk(store) as found:
        yield found


def print_at(client: TestClient, paper: int, **form: str) -> Response:
    """Order a print run and wait for the press; the last page that came, the run's if it went
    well."""
    seen = client.post(f"/papers/{paper}/print", data=form)
    for _ in range(600):
        if not seen.url.path.startswith("/jobs/") or "wrong" in seen.text:
            return seen
        time.sleep(0.1)
        seen = client.get(seen.url.path)
    raise TimeoutError("the press took longer than a minute")


def rehearsed(text: str, names: list[str | None], folder: Path, seed: int) -> list[Path]:
    """Scans of a class's sheets as invented pupils fill them in."""
    paper = PaperSource(load(text, None)).paper()
    rehearse(paper, len(names), seed, folder, dpi=150, names=names, jobs=1)
    return sorted((folder / "scans").iterdir())


@pytest.fixture(scope="session")
def marked_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Records with a print run of three marked sheets; they are copied, never opened."""
    folder = tmp_path_factory.mktemp("marked")
    store = Store.open(folder / "records")
    with store.writing() as session:
        listed = [Listed(str(i), name) for i, name in enumerate(PUPILS, 1)]
        owner = classes.make_class(session, "8 Blue", listed).id
        paper = papers.make_paper(session, PAPER, "R. Teasel")
        version = papers.version_of(session, paper.id).id
    run = printings.print_for(store, version, owner)
    for scan in rehearsed(PAPER, list(PUPILS), folder / "rehearsed", 5):
        uploads.accept(store, run, scan.name, [scan.read_bytes()])
    assert queue.work(store, confined=False) == 3
    with store.writing() as session:  # one that a person has to decide
        first = marks.review_queue(session, run)[0]
        marks.change(session, first.id, "teacher", "R. Teasel", "Look again.", first.version)
    store.close()
    return folder / "records"


@dataclass(frozen=True)
class Marked:
    """A desk with print run 1 marked; mark ``waits`` waits for a person, at version 2."""

    client: TestClient
    store: Store
    waits: int


@pytest.fixture
def marked(tmp_path: Path, marked_folder: Path) -> Iterator[Marked]:
    shutil.copytree(marked_folder, tmp_path / "marked")
    opened = Store.open(tmp_path / "marked")
    with opened.reading() as session:
        (waits,) = [mark.id for mark in marks.borderline(session, 1)]
    with desk(opened) as found:
        yield Marked(found, opened, waits)
    opened.close()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Debian's chromium, headless, driven by Playwright."""
    from playwright.sync_api import sync_playwright

    program = shutil.which("chromium") or shutil.which("chromium-browser")
    flags = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run"]
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=program, args=flags)
        yield running
        running.close()
