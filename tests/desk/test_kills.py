"""`millimark desk` killed at random moments while scans arrive and are marked.

How many kills: MILLIMARK_DESK_KILLS, 3 where it is not set; 50 were tried by hand.
"""

from __future__ import annotations

import os
import random
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path

import cv2
from sqlalchemy import func, select
from tests.desk.conftest import PAPER
from tests.desk.process import DeskProcess, padded

from millimark.paper.raster import pdf_page
from millimark.records import marks, papers, printings, queue, uploads
from millimark.records.mark_tables import Mark, MarkChange
from millimark.records.models import Answer, Page, Upload
from millimark.records.store import Store

KILLS = int(os.environ.get("MILLIMARK_DESK_KILLS", "3"))
MARKS = 4
AT_ONCE = 3
BYTES = 3_000_000


@dataclass
class Sent:
    """Files that the desk said it took in, by name, and decisions that it said it kept."""

    accepted: list[str] = field(default_factory=list)
    changed: dict[int, str] = field(default_factory=dict)


def test_killed_at_any_moment_it_loses_nothing_and_marks_nothing_twice(
    tmp_path: Path, url: str | None
) -> None:
    seed = random.randrange(1 << 30)
    print(f"seed {seed}, {KILLS} kills")
    chance = random.Random(seed)
    folder = tmp_path / "records"
    store = Store.open(folder, url)
    more = ("--database", url) if url else ()
    pages = sheets(store, AT_ONCE * (KILLS + 1))
    sent = Sent()
    for k in range(KILLS + 1):
        desk = DeskProcess(folder, tmp_path / "desk.log", *more)
        batch = pages[AT_ONCE * k : AT_ONCE * (k + 1)]
        if k == KILLS:
            break
        round_until_killed(desk, store, batch, sent, chance)
    desk.wait_until_it_answers()
    for name, content in batch:
        take_in(desk, name, content, sent)
    wait_until_done(store)
    desk.end()
    check(store, sent)
    store.close()


def sheets(store: Store, number: int) -> list[tuple[str, bytes]]:
    """Blank answers, each in a file of its own, large enough that sending takes a while."""
    with store.writing() as session:
        version = papers.version_of(session, papers.make_paper(session, PAPER, "R").id).id
    run = printings.print_for(store, version, sheets=number)
    with store.reading() as session:
        paper = printings.files_of(store, session, run)["question-paper.pdf"]
    found = []
    for page in range(1, number + 1):
        done, data = cv2.imencode(".png", pdf_page(paper, page, 4.0))
        assert done
        found.append((f"{page}.png", padded(bytes(data), BYTES)))
    return found


def round_until_killed(
    desk: DeskProcess,
    store: Store,
    batch: list[tuple[str, bytes]],
    sent: Sent,
    chance: random.Random,
) -> None:
    """Start, send, decide a mark, and be killed: before it answers, while files arrive, or while
    they are marked."""
    moment = chance.choice(("starting", "sending", "sending", "marking", "marking", "marking"))
    if moment == "starting":
        time.sleep(chance.uniform(0.0, 2.0))
        desk.kill(workers_too=chance.random() < 0.5)
        return
    desk.wait_until_it_answers()
    decide(desk, store, sent)
    sending = [
        threading.Thread(target=take_in, args=(desk, name, content, sent))
        for name, content in batch
    ]
    for thread in sending:
        thread.start()
    if moment == "marking":
        for thread in sending:
            thread.join(60)
    time.sleep(chance.uniform(0.0, 0.2 if moment == "sending" else 4.0))
    desk.kill(workers_too=chance.random() < 0.5)
    for thread in sending:
        thread.join(60)


def take_in(desk: DeskProcess, name: str, content: bytes, sent: Sent) -> None:
    try:
        told = desk.send("/printings/1/scans", name, content)
    except OSError:  # killed meanwhile: it may have been taken in or not
        return
    if "1 file taken in" in told:
        sent.accepted.append(name)


def decide(desk: DeskProcess, store: Store, sent: Sent) -> None:
    """A person's decision on a mark that nobody has decided."""
    with store.reading() as session:
        free = [m for m in marks.review_queue(session, 1) if m.version == 1]
        found = (free[0].id, free[0].version) if free else None
    if found is None:
        return
    import urllib.parse
    import urllib.request

    form = {"mark": found[0], "seen": found[1], "to": "awarded", "who": "R", "why": "Seen."}
    asked = urllib.request.Request(
        f"{desk.place}/printings/1/review",
        data=urllib.parse.urlencode(form).encode(),
        headers={"Origin": desk.place},
    )
    opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
    with opener.open(asked, timeout=60) as answered:
        if "kept as version 2" in answered.read().decode():
            sent.changed[found[0]] = "awarded"


def wait_until_done(store: Store) -> None:
    end = time.monotonic() + 120 + 10 * KILLS
    while time.monotonic() < end:
        with store.reading() as session:
            if not queue.busy(session):
                return
        time.sleep(0.2)
    raise TimeoutError("marking does not end")


def check(store: Store, sent: Sent) -> None:
    """Everything that was accepted is marked, once; decisions stand."""
    with store.reading() as session:
        kept = session.scalars(select(Upload)).all()
        assert {u.state for u in kept} == {"done"}
        assert set(sent.accepted) <= {u.name for u in kept}
        assert all(store.upload_file(u.sha256).stat().st_size == u.size for u in kept)
        done = [s.read for s in uploads.standings(session, 1)]
        assert done == [1] * len(kept)
        assert session.scalar(select(func.count(Page.id))) == len(kept)
        assert session.scalar(select(func.count(Answer.id))) == 2 * len(kept)
        assert session.scalar(select(func.count(Mark.id))) == MARKS * len(kept)
        changed = {m.id: m.decision for m in session.scalars(select(Mark).where(Mark.version > 1))}
        assert sent.changed.items() <= changed.items()
        assert session.scalar(select(func.count(MarkChange.id))) == len(changed)
        print(f"{len(kept)} files kept, {len(sent.accepted)} answered, {len(changed)} decisions")
    assert sent.accepted
