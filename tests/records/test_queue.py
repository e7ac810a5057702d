"""The marking queue: workers killed at any moment, dead claims, scans of one page twice.

How many random kills: MILLIMARK_KILLS, 6 where it is not set; 50 were tried by hand.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
import time
from datetime import timedelta
from multiprocessing import get_context
from multiprocessing.process import BaseProcess
from pathlib import Path

import cv2
import pytest
from sqlalchemy import func, select, text

from millimark.paper.raster import pdf_page
from millimark.records import papers, printings, queue, uploads
from millimark.records.base import now
from millimark.records.mark_tables import Mark
from millimark.records.models import Answer, Page, Upload
from millimark.records.saving import save_page
from millimark.records.store import Store
from millimark.scan.reading import Source, Unread

from .conftest import MARKS, PAPER, World, rows

KILLS = int(os.environ.get("MILLIMARK_KILLS", "6"))
SHEETS = 8


def test_the_class_was_marked(world: World) -> None:
    with world.store.reading() as session:
        said = {s.upload.name: (s.upload.state, s.read, s.unread, s.upload.pages)
                for s in uploads.standings(session, world.printing_id)}  # fmt: skip
    assert said.pop("holiday.pdf") == ("failed", 0, 0, None)
    assert set(said.values()) == {("done", 1, 0, 1)}
    assert rows(world.store, "marks") == 3 * MARKS
    assert queue.work(world.store, confined=False) == 0  # nothing is marked twice


def test_pages_are_marked_in_processes_that_can_be_ended(world: World) -> None:
    bad = b"%PDF-1.7 but nothing more"
    uploads.accept(world.store, world.printing_id, "cut short.pdf", [bad])
    assert queue.work(world.store, jobs=1) == 0
    with world.store.reading() as session:
        last = uploads.standings(session, world.printing_id)[-1].upload
        assert last.state == "failed"
        assert last.reason is not None
        assert "cut short.pdf" in last.reason
        assert last.sha256 not in last.reason


def test_a_page_is_kept_once(world: World) -> None:
    with world.store.reading() as session:
        page = session.scalars(select(Page)).first()
    assert page is not None
    again = Unread(Source("x", 1), "no")
    assert not save_page(world.store, page.upload_id, page.source_page, again)
    assert not save_page(world.store, 999, 1, again)
    assert save_page(world.store, page.upload_id, 2, again)
    assert rows(world.store, "pages") == 4


def test_a_second_scan_of_a_page_does_not_count_twice(world: World, scans: list[Path]) -> None:
    # the same picture in another file: other bytes, the same page
    picture = cv2.imread(str(scans[0]), cv2.IMREAD_GRAYSCALE)
    done, data = cv2.imencode(".png", picture)
    assert done
    uploads.accept(world.store, world.printing_id, "again.png", [bytes(data)])
    assert queue.work(world.store, confined=False) == 1
    with world.store.reading() as session:
        states = session.scalars(select(Page.state).order_by(Page.id)).all()
        assert sorted(states) == ["read", "read", "read", "twice"]
        (told,) = uploads.unread_pages(session, world.printing_id)
        assert told.reason is not None
        assert "was scanned twice" in told.reason
    assert rows(world.store, "marks") == 3 * MARKS


def test_claims_of_the_dead_are_released_and_of_the_living_kept(world: World) -> None:
    store = world.store
    ids = [uploads.accept(store, world.printing_id, f"{k}.pdf", [bytes([k])]).upload_id
           for k in range(3)]  # fmt: skip
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait()
    mine = queue.this_worker()
    node = mine.split(":")[0]
    claims = {
        ids[0]: (mine, now()),
        ids[1]: (f"{node}:{gone.pid}:123", now()),
        ids[2]: ("another machine:1:1", now() - queue.LEASE - timedelta(seconds=1)),
    }
    with store.writing() as session:
        for upload_id, (who, beat) in claims.items():
            upload = uploads.upload_of(session, upload_id)
            upload.state, upload.claimed_by, upload.beat_at = "working", who, beat
        session.flush()
        assert queue.release_dead(session) == 2
        assert uploads.upload_of(session, ids[0]).state == "working"
    assert {c.upload_id for c in queue.claim_waiting(store)} == set(ids[1:])
    assert queue.claim_waiting(store) == []


def test_work_that_is_stopped_goes_on_where_it_ended(tmp_path: Path) -> None:
    store, run = _waiting(tmp_path / "s", None)
    done = 0

    def enough() -> bool:
        return done == 0 and rows(store, "pages") >= 3

    assert queue.work(store, confined=False, stop=enough) == 3
    assert queue.work(store, confined=False) == SHEETS - 3
    _all_there(store, run)
    store.close()


def _waiting(folder: Path, url: str | None) -> tuple[Store, int]:
    """A store with `SHEETS` blank answers to mark, each in a file of its own."""
    store = Store.open(folder, url)
    with store.writing() as session:
        version = papers.version_of(session, papers.make_paper(session, PAPER, "R").id).id
    run = printings.print_for(store, version, sheets=SHEETS)
    with store.reading() as session:
        paper = printings.files_of(store, session, run)["question-paper.pdf"]
    for page in range(1, SHEETS + 1):
        done, data = cv2.imencode(".png", pdf_page(paper, page, 4.0))
        assert done
        uploads.accept(store, run, f"{page}.png", [bytes(data)])
    return store, run


def _all_there(store: Store, run: int) -> None:
    """Every upload done, every page once, every mark once."""
    with store.reading() as session:
        assert {u.state for u in session.scalars(select(Upload))} == {"done"}
        assert session.scalars(select(Page.state)).all() == ["read"] * SHEETS
        assert session.scalar(select(func.count(Answer.id))) == 2 * SHEETS
        assert session.scalar(select(func.count(Mark.id))) == MARKS * SHEETS
        assert {m.decision for m in session.scalars(select(Mark))} == {"withheld"}


def test_killed_workers_lose_nothing_and_never_mark_twice(tmp_path: Path, url: str | None) -> None:
    context = get_context("forkserver")
    context.set_forkserver_preload(["millimark.records.queue", "millimark.marking.examine"])
    store, run = _waiting(tmp_path / "s", url)
    chance, kept, kills = random.Random(20), 0, 0
    give_up = time.monotonic() + 30 + 8 * KILLS
    while kills < KILLS and time.monotonic() < give_up:
        worker = context.Process(target=queue.run_worker, args=(store.folder, url, False))
        worker.start()
        _let_work(store, worker, kept + chance.randint(0, 2))
        # at once, soon, or after about what a page takes
        time.sleep(chance.choice((0.0, 0.05, 0.7)) * chance.random())
        worker.kill()
        worker.join()
        kills += 1
        present = rows(store, "pages")
        assert present >= kept  # what was kept is still there
        assert rows(store, "marks") == MARKS * present  # a page with its marks, or neither
        kept = present
        if kept == SHEETS:  # begin again, so that every kill has something to hit
            _forget_marking(store)
            kept = 0
    assert queue.work(store, confined=False) + kept == SHEETS
    _all_there(store, run)
    if url is None:
        with store.engine.connect() as connection:
            assert connection.execute(text("PRAGMA integrity_check")).scalar() == "ok"
            assert connection.execute(text("PRAGMA foreign_key_check")).all() == []
    store.close()
    assert kills == KILLS, f"only {kills} kills in the time given"


def _let_work(store: Store, worker: BaseProcess, pages: int) -> None:
    """Wait until so many pages are kept, the worker has ended, or ten seconds have gone."""
    end = time.monotonic() + 10
    while rows(store, "pages") < pages and worker.is_alive() and time.monotonic() < end:
        time.sleep(0.02)


def _forget_marking(store: Store) -> None:
    with store.writing() as session:
        for table in ("marks", "answers", "pages"):
            session.execute(text(f"DELETE FROM {table}"))
        session.execute(text("UPDATE uploads SET state = 'waiting', claimed_by = NULL"))


RECEIVER = """
import sys
from pathlib import Path
from millimark.records import uploads
from millimark.records.store import Store
store = Store.open(Path(sys.argv[1]))
for k in range(10_000):
    made = uploads.accept(store, 1, f"{k}.pdf", [str(k).encode() * 5_000])
    print(made.sha256, flush=True)
"""


def test_what_was_accepted_outlives_the_server(world: World) -> None:
    if world.url is not None:
        pytest.skip("the files are the same on both; the rows are tested by the kills above")
    chance = random.Random(3)
    for _ in range(2):
        server = subprocess.Popen(
            [sys.executable, "-c", RECEIVER, str(world.store.folder)], stdout=subprocess.PIPE
        )
        assert server.stdout is not None
        heard = [server.stdout.readline()]  # it has started
        time.sleep(chance.uniform(0.05, 0.4))
        server.kill()
        heard += server.stdout.readlines()
        server.stdout.close()
        server.wait()
        accepted = {line.decode().strip() for line in heard if len(line) == 65}
        assert accepted
        with world.store.reading() as session:
            known = set(session.scalars(select(Upload.sha256)))
        assert accepted <= known
        for sha256 in known:
            assert uploads.hashlib.sha256(
                world.store.upload_file(sha256).read_bytes()
            ).hexdigest() == sha256  # fmt: skip
