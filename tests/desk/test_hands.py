"""The worker beside the desk: it ends when told, quietly, and nothing that waits is lost."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import cv2
import pytest
from tests.desk.conftest import PAPER, rehearsed
from tests.desk.process import DeskProcess, padded

from millimark.desk.hands import Hands
from millimark.paper.raster import pdf_page
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


def test_a_worker_whose_desk_was_killed_ends_soon_and_leaves_the_rest(
    store: Store, tmp_path: Path
) -> None:
    with store.writing() as session:
        version = papers.version_of(session, papers.make_paper(session, PAPER, "R").id).id
    run = printings.print_for(store, version, sheets=1)
    with store.reading() as session:
        paper = printings.files_of(store, session, run)["question-paper.pdf"]
    done, data = cv2.imencode(".png", pdf_page(paper, 1, 4.0))
    assert done
    for k in range(60):  # the same page in sixty files
        uploads.accept(store, run, f"{k}.png", [padded(bytes(data), len(data) + k)])
    desk = DeskProcess(store.folder, tmp_path / "desk.log")
    wait_for(lambda: at_work(store, run))
    desk.kill(workers_too=False)
    wait_for(lambda: not processes_of_group(desk.running.pid))
    assert busy(store) > 0


def at_work(store: Store, run: int) -> bool:
    with store.reading() as session:
        return any(s.upload.state == "working" for s in uploads.standings(session, run))


def wait_for(what: Callable[[], bool]) -> None:
    end = time.monotonic() + 60
    while not what():
        assert time.monotonic() < end
        time.sleep(0.05)


def processes_of_group(group: int) -> list[int]:
    """Living processes of a process group (proc(5): the fifth field of stat; zombies left out)."""
    found = []
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                fields = (entry / "stat").read_text().rpartition(")")[2].split()
            except OSError:
                continue
            if fields[2] == str(group) and fields[0] != "Z":
                found.append(int(entry.name))
    return found
