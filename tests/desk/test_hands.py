"""The worker beside the desk: it ends when told, quietly, and nothing that waits is lost."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from tests.desk.conftest import PAPER, rehearsed

from millimark.desk.hands import Hands
from millimark.records import marks, papers, printings, queue, uploads
from millimark.records.store import Store


def busy(store: Store) -> int:
    with store.reading() as session:
        return queue.busy(session)


def test_told_to_stop_it_leaves_what_is_not_done_and_the_next_one_does_it_once(
    store: Store, tmp_path: Path, url: str | None, capfd: pytest.CaptureFixture[str]
) -> None:
    with store.writing() as session:
        paper = papers.make_paper(session, PAPER, "R. Teasel")
        version = papers.version_of(session, paper.id).id
    run = printings.print_for(store, version, sheets=4)
    for scan in rehearsed(PAPER, [None] * 4, tmp_path / "rehearsed", 3):
        uploads.accept(store, run, scan.name, [scan.read_bytes()])
    first = Hands(store, url)
    first.start()
    for _ in range(200):  # until the worker has taken the files on
        with store.reading() as session:
            if any(s.upload.state == "working" for s in uploads.standings(session, run)):
                break
        time.sleep(0.05)
    first.stop()
    assert busy(store) > 0
    second = Hands(store, url)
    second.start()
    for _ in range(600):
        if not busy(store):
            break
        time.sleep(0.1)
    second.stop()
    with store.reading() as session:
        assert len(marks.review_queue(session, run)) == 4 * 4
        assert [s.read for s in uploads.standings(session, run)] == [1, 1, 1, 1]
    assert "Traceback" not in capfd.readouterr().err
