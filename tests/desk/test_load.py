"""Twenty clients send scans to one desk at once: no error, and its memory stays small."""

from __future__ import annotations

import os
import urllib.request
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import cv2
from sqlalchemy import select
from tests.desk.conftest import PAPER
from tests.desk.process import DeskProcess, padded

from millimark.paper.raster import pdf_page
from millimark.records import papers, printings
from millimark.records.models import Upload
from millimark.records.store import Store

CLIENTS = 20
BYTES = 12_000_000
MOST_GROWTH = 100_000_000
"""Far less than the 240 MB that are sent: no body is held in memory. 480 MB took 43 MB."""


def test_twenty_clients_at_once(tmp_path: Path, store: Store, url: str | None) -> None:
    with store.writing() as session:
        version = papers.version_of(session, papers.make_paper(session, PAPER, "R").id).id
    run = printings.print_for(store, version, sheets=1)
    more = ("--database", url) if url else ()
    desk = DeskProcess(store.folder, tmp_path / "desk.log", *more)
    try:
        desk.wait_until_it_answers()
        desk.send(f"/printings/{run}/scans", "first.png", sheet(store, run))
        before = desk.most_memory()
        with ThreadPoolExecutor(CLIENTS) as pool:
            told = list(pool.map(lambda k: client(desk, run, k), range(CLIENTS)))
        grown = desk.most_memory() - before
    finally:
        desk.end()
    sent = CLIENTS * BYTES
    print(f"{sent / 1e6:.0f} MB sent, memory {before / 1e6:.0f} + {grown / 1e6:.0f} MB")
    assert all("1 file taken in" in each for each in told)
    with store.reading() as session:
        kept = session.scalars(select(Upload)).all()
        assert len(kept) == 1 + CLIENTS
        assert all(store.upload_file(u.sha256).stat().st_size == u.size for u in kept)
    assert list(store.incoming.iterdir()) == []
    assert grown < MOST_GROWTH
    assert "Traceback" not in (tmp_path / "desk.log").read_text()


def client(desk: DeskProcess, run: int, number: int) -> str:
    """One teacher: a file of their own, and a look at how far it is."""
    told = desk.send(f"/printings/{run}/scans", f"{number}.pdf", b"no scan" + os.urandom(BYTES))
    with urllib.request.urlopen(f"{desk.place}/printings/{run}/progress", timeout=60) as seen:
        assert seen.status == 200
    return told


def sheet(store: Store, run: int) -> bytes:
    with store.reading() as session:
        paper = printings.files_of(store, session, run)["question-paper.pdf"]
    done, data = cv2.imencode(".png", pdf_page(paper, 1, 4.0))
    assert done
    return padded(bytes(data), BYTES)
