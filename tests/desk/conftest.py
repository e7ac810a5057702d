"""A desk in this process, one with a marked print run, and one that Chromium visits."""

from __future__ import annotations

import os
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from starlette.testclient import TestClient
from tests.records.server import Server, servers

from millimark.desk.application import make_app
from millimark.desk.hands import Hands
from millimark.desk.password import door_of
from millimark.desk.setting import LOCAL_NAMES, Desk, names_beyond
from millimark.paper.fields import load
from millimark.paper.reading import PaperSource
from millimark.records import backups, classes, marks, papers, printings, queue, uploads
from millimark.records.class_lists import Listed
from millimark.records.store import Store
from millimark.rehearsal.rehearse import rehearse

if TYPE_CHECKING:
    from httpx2 import Response

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


DATABASE = os.environ.get("MILLIMARK_DESK_DATABASE", "sqlite")
"""On which database the desk's tests run: sqlite, or postgresql where its server is installed."""
BOTH = pytest.mark.parametrize("url", ["sqlite", "postgresql"], indirect=True)
"""For what must hold on both in every run."""
_numbers = count(1)


@pytest.fixture(scope="session")
def server() -> Iterator[Server | str]:
    """A PostgreSQL server on the loopback address, or why there is none."""
    with servers() as found:
        yield found


@pytest.fixture
def url(request: pytest.FixtureRequest) -> Iterator[str | None]:
    """The URL of an empty PostgreSQL database; None for the SQLite file."""
    if getattr(request, "param", DATABASE) == "sqlite":
        yield None
        return
    server = request.getfixturevalue("server")
    if isinstance(server, str):
        pytest.skip(f"{request.node.nodeid}: {server}")
    name = f"desk_{next(_numbers)}"
    yield server.database(name)
    server.drop(name)


@pytest.fixture
def store(tmp_path: Path, url: str | None) -> Iterator[Store]:
    """Records without a row."""
    opened = Store.open(tmp_path / "records", url)
    yield opened
    opened.close()


def desk(store: Store, beyond: bool = False, place: str = HERE) -> TestClient:
    """A browser's requests to a desk, without a browser; enter it to start the desk."""
    hosts = names_beyond() if beyond else LOCAL_NAMES
    place_of_rows = store.engine.url.render_as_string(hide_password=False)
    url = None if store.engine.dialect.name == "sqlite" else place_of_rows
    app = make_app(Desk(store, Hands(store, url), door_of(store.folder), hosts, beyond))
    return TestClient(app, base_url=place, headers={"origin": place})


@contextmanager
def idle(store: Store, beyond: bool = False, place: str = HERE) -> Iterator[TestClient]:
    """The same with no worker beside it: `mark_here` marks what came in, in this process."""
    found = desk(store, beyond, place)
    yield found
    found.app.state.desk.films.cleanup()  # type: ignore[attr-defined]
    found.close()


def mark_here(store: Store) -> None:
    """Mark what waits, without the seconds that a worker takes to start."""
    queue.work(store, confined=False)


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


@pytest.fixture(scope="session")
def marked_backup(marked_folder: Path) -> Path:
    """The same records as a backup, for the other database."""
    source, made = Store.open(marked_folder), marked_folder.parent / "marked.zip"
    backups.back_up(source, made)
    source.close()
    return made


@pytest.fixture
def marked(
    request: pytest.FixtureRequest, tmp_path: Path, marked_folder: Path, url: str | None
) -> Iterator[Marked]:
    if url is None:
        shutil.copytree(marked_folder, tmp_path / "marked")
        opened = Store.open(tmp_path / "marked")
    else:
        saved = request.getfixturevalue("marked_backup")
        opened = backups.restore(saved, tmp_path / "marked", url)
    with opened.reading() as session:
        (waits,) = [mark.id for mark in marks.borderline(session, 1)]
    with desk(opened) as found:
        yield Marked(found, opened, waits)
    opened.close()
