"""One small marked print run, made once and copied for each test, on SQLite and PostgreSQL."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count
from pathlib import Path

import pytest
from sqlalchemy import text

from millimark.paper.reading import read_paper
from millimark.records import classes, papers, printings, queue, uploads
from millimark.records.class_lists import read_class_list
from millimark.records.store import Store
from millimark.rehearsal.rehearse import rehearse

from .server import Server, servers

PAPER = """\
title: Two beacons
questions:
  - given:
      - S and T are 7 cm apart.
    ask:
      - Draw the locus of points that are the same distance from S as from T.
    marks: 2
  - given:
      - U and V are 6 cm apart.
    ask:
      - Draw the locus of points that are 3 cm from U.
    marks: 2
"""
CLASS_LIST = b"number,name\n1,Quilla Marrowby\n2,=HYPERLINK(1)\n3,\n"
MARKS = 4  # of one sheet
_numbers = count(1)


@dataclass(frozen=True)
class World:
    """A store with a marked print run: three pupils, one page each, and a file that is none."""

    store: Store
    url: str | None
    class_id: int
    paper_id: int
    printing_id: int
    pupils: tuple[int, ...]


@pytest.fixture(scope="session")
def scans(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """The class's sheets as three invented pupils filled them in."""
    folder = tmp_path_factory.mktemp("rehearsed")
    (folder / "paper.yaml").write_text(PAPER)
    names = [p.name or p.number for p in read_class_list(CLASS_LIST)]
    paper = read_paper(folder / "paper.yaml")
    rehearse(paper, 3, 5, folder / "out", dpi=150, names=names, jobs=1)
    return sorted((folder / "out" / "scans").iterdir())


@pytest.fixture(scope="session")
def marked_folder(tmp_path_factory: pytest.TempPathFactory, scans: list[Path]) -> Path:
    """The store that is copied: nobody opens it after it is made."""
    folder = tmp_path_factory.mktemp("template") / "store"
    store = Store.open(folder)
    with store.writing() as session:
        owner = classes.make_class(session, "8 Blue", read_class_list(CLASS_LIST)).id
        paper = papers.make_paper(session, PAPER, "R. Teasel")
        version = papers.version_of(session, paper.id).id
    run = printings.print_for(store, version, owner)
    for scan in scans:
        uploads.accept(store, run, scan.name, [scan.read_bytes()])
    uploads.accept(store, run, "holiday.pdf", [b"not a scan"])
    assert queue.work(store, confined=False) == len(scans)
    store.close()
    return folder


@pytest.fixture(scope="session")
def server() -> Iterator[Server | str]:
    """A PostgreSQL server on the loopback address, or why there is none."""
    with servers() as found:
        yield found


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest) -> Iterator[str | None]:
    """None for SQLite, else the URL of a PostgreSQL database: empty, or made by `world`."""
    if request.param == "sqlite":
        yield None
        return
    server = request.getfixturevalue("server")
    if isinstance(server, str):
        pytest.skip(f"{request.node.nodeid}: {server}")
    name = f"test_{next(_numbers)}"
    yield server.url(name) if "world" in request.fixturenames else server.database(name)
    server.drop(name)


@pytest.fixture
def empty(tmp_path: Path, url: str | None) -> Iterator[Store]:
    """A store without rows."""
    store = Store.open(tmp_path / "empty", url)
    yield store
    store.close()


@pytest.fixture(scope="session")
def marked_database(server: Server | str, marked_folder: Path) -> str | None:
    """The template as a PostgreSQL database, restored from a backup of the SQLite one."""
    from millimark.records.backups import back_up, restore

    if isinstance(server, str):
        return None
    source = Store.open(marked_folder)
    saved = marked_folder.parent / "template.zip"
    back_up(source, saved)
    source.close()
    url = server.database("template_marked")
    restore(saved, marked_folder.parent / "restored", url).close()
    return "template_marked"


@pytest.fixture
def world(
    request: pytest.FixtureRequest, tmp_path: Path, url: str | None, marked_folder: Path
) -> Iterator[World]:
    """A marked print run to work on."""
    folder = tmp_path / "store"
    shutil.copytree(marked_folder, folder)
    if url is not None:
        server = request.getfixturevalue("server")
        server.copy(request.getfixturevalue("marked_database"), url.rsplit("/", 1)[1])
        for file in folder.glob("millimark.sqlite*"):
            file.unlink()
    store = Store.open(folder, url)
    with store.reading() as session:
        owner = classes.all_classes(session)[0]
        found = World(
            store,
            url,
            owner.id,
            papers.all_papers(session)[0].id,
            printings.all_printings(session)[0].id,
            tuple(p.id for p in owner.pupils),
        )
    yield found
    store.close()


def rows(store: Store, table: str) -> int:
    """How many rows a table has, asked in plain SQL."""
    with store.engine.connect() as connection:
        return int(connection.execute(text(f"SELECT count(*) FROM {table}")).scalar_one())


__all__ = ["MARKS", "PAPER", "Server", "World", "rows"]
