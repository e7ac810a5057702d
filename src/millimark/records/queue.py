"""The marking queue: uploads are claimed, and their pages marked and kept one by one.

A worker that is killed at any moment loses nothing: what it had kept is kept, its claim is
released when it is seen to be dead, and the next worker does only the pages that are left.
"""

from __future__ import annotations

import os
import platform
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import TypeVar

from sqlalchemy import or_, select, update
from sqlalchemy.orm import Session

from millimark.marking.page import MarkedPage, Marker, mark_page
from millimark.marking.print_run import RunScale, scale_for
from millimark.marking.workers import Lost, NoWorkersError, run_all
from millimark.records.base import now
from millimark.records.mending import codes_of
from millimark.records.models import Upload
from millimark.records.printings import layout_file
from millimark.records.saving import pages_kept, readable, refresh_page, save_page
from millimark.records.scripts import measured
from millimark.records.store import Store
from millimark.scan.reading import Source, Unread
from millimark.scan.sources import PageRef, pages_in
from millimark.sheet.code import PageCode

LEASE = timedelta(minutes=5)
"""A worker of another machine that gave no sign of life for so long is taken for dead. A page
takes at most `marking.workers.SECONDS`."""

MOST_AT_ONCE = 50
"""Uploads that a worker takes on together: their pages share the worker processes."""

T = TypeVar("T")
Result = TypeVar("Result")
Task = tuple[Marker, PageRef]
Stop = Callable[[], bool]


@dataclass(frozen=True)
class Claim:
    """An upload that a worker has taken on."""

    upload_id: int
    printing_id: int
    sha256: str
    print_scale: float | None
    layout: Path
    worker: str


def mark_task(task: Task) -> MarkedPage | Unread:
    """A worker process's work: mark one page."""
    return mark_page(*task)


def this_worker() -> str:
    """This process's name: machine, process id and when it started."""
    return f"{platform.node()[:60]}:{os.getpid()}:{_started(os.getpid())}"


def work(
    store: Store,
    jobs: int | None = None,
    confined: bool = True,
    stop: Stop = lambda: False,
) -> int:
    """Mark everything that waits; the number of pages done comes back. Ends between two pages
    once ``stop()``: what is left waits for the next call.

    ``confined``: every page in a process of limited memory and time (all cores, or ``jobs``
    of them); else here.
    """
    done = 0
    while not stop():
        claims = claim_waiting(store)
        if not claims:
            break
        done += _mark_uploads(store, claims, _Hands(jobs, confined), stop)
    return done


def run_worker(folder: Path, url: str | None = None, confined: bool = True) -> int:
    """What a worker process of its own runs: open the store and mark what waits."""
    store = Store.open(folder, url)
    try:
        return work(store, confined=confined)
    finally:
        store.close()


def claim_waiting(store: Store, worker: str | None = None, most: int = MOST_AT_ONCE) -> list[Claim]:
    """Take on the uploads that wait longest, at most ``most``; empty if none waits. Dead
    workers' claims are released first."""
    who = worker or this_worker()
    with store.writing() as session:
        release_dead(session)
        uploads = session.scalars(
            select(Upload)
            .where(Upload.state == "waiting", Upload.stored)
            .order_by(Upload.id)
            .limit(most)
            .with_for_update(skip_locked=True)
        ).all()
        for upload in uploads:
            upload.state, upload.claimed_by, upload.beat_at = "working", who, now()
        return [
            Claim(
                u.id,
                u.printing_id,
                u.sha256,
                u.print_scale,
                layout_file(store, session, u.printing_id),
                who,
            )
            for u in uploads
        ]


def release_dead(session: Session) -> int:
    """Put uploads of dead workers back into the queue; how many. Call it at start."""
    working = session.scalars(select(Upload).where(Upload.state == "working")).all()
    dead = [u for u in working if _is_dead(u)]
    for upload in dead:
        upload.state, upload.claimed_by, upload.beat_at = "waiting", None, None
    session.flush()
    return len(dead)


def mark_again(session: Session, upload_id: int) -> None:
    """Let an upload's unread pages be tried again, for example after its layout came back."""
    upload = session.get(Upload, upload_id)
    if upload is None or not upload.stored or upload.state in ("waiting", "working"):
        return
    for page in list(upload.read_pages):
        if page.state == "unread":
            session.delete(page)
    upload.state, upload.reason, upload.done_at = "waiting", None, None
    session.flush()


# --- a batch of uploads -----------------------------------------------------------------
@dataclass(frozen=True)
class _Hands:
    """How pages are worked on: in processes that can be ended, or here."""

    jobs: int | None
    confined: bool

    def listed(self, files: Sequence[Path]) -> list[Sequence[PageRef | Unread]]:
        """The pages of each file in order."""
        found: list[Sequence[PageRef | Unread]] = [[] for _ in files]
        for k, pages in self._each(pages_in, files):
            if isinstance(pages, Lost):
                found[k] = [Unread(Source(files[k].name, 1), pages.reason)]
            else:
                found[k] = pages
        return found

    def marked(self, tasks: Sequence[Task]) -> Iterator[tuple[int, MarkedPage | Unread]]:
        """(index, outcome) of every page as it is done."""
        for k, outcome in self._each(mark_task, tasks):
            if isinstance(outcome, Lost):
                yield k, Unread(tasks[k][1].source, outcome.reason)
            else:
                yield k, outcome

    def _each(
        self, act: Callable[[T], Result], tasks: Sequence[T]
    ) -> Iterator[tuple[int, Result | Lost]]:
        done: set[int] = set()
        if self.confined and tasks:
            try:
                for k, outcome in run_all(act, tasks, self.jobs or os.cpu_count() or 1):
                    done.add(k)
                    yield k, outcome
            except NoWorkersError:
                pass
        yield from ((k, act(task)) for k, task in enumerate(tasks) if k not in done)


def _mark_uploads(store: Store, claims: Sequence[Claim], hands: _Hands, stop: Stop) -> int:
    """Mark what is left of these uploads; the number of pages done."""
    opened = [c for c in claims if store.upload_file(c.sha256).is_file()]
    for claim in claims:
        if claim not in opened:
            _fail(store, claim, "its file is no longer in the store")
    todo: list[tuple[Claim, PageRef]] = []
    finished: list[Claim] = []
    files = [store.upload_file(c.sha256) for c in opened]
    for claim, listed in zip(opened, hands.listed(files), strict=True):
        refs = [ref for ref in listed if isinstance(ref, PageRef)]
        if not refs:
            _fail(store, claim, next((u.reason for u in listed if isinstance(u, Unread)), ""))
        elif _set(store, claim, pages=len(refs), beat_at=now()):
            with store.reading() as session:
                kept = set(pages_kept(session, claim.upload_id))
            todo += [(claim, ref) for ref in refs if ref.page not in kept]
            finished.append(claim)
    done = 0
    with store.reading() as session:
        named = {c.upload_id: codes_of(session, c.upload_id) for c in finished}
    tasks = [
        (Marker(c.layout, c.print_scale, named=named[c.upload_id].get(ref.page)), ref)
        for c, ref in todo
    ]
    for k, outcome in hands.marked(tasks):
        claim, ref = todo[k]
        done += save_page(store, claim.upload_id, ref.page, outcome)
        _beat(store, claim)
        if stop():
            for each in finished:
                _set(store, each, state="waiting", claimed_by=None, beat_at=None)
            return done
    for printing_id, claim in {c.printing_id: c for c in finished}.items():
        _at_scale_of_the_run(store, printing_id, claim, hands)
    for claim in finished:
        _set(store, claim, state="done", claimed_by=None, beat_at=None, done_at=now())
    return done


def _at_scale_of_the_run(store: Store, printing_id: int, claim: Claim, hands: _Hands) -> None:
    """Measure pages whose image could not say their print scale again, with that of the run."""
    again: dict[tuple[Path, int], tuple[int, RunScale, PageCode | None]] = {}
    with store.reading() as session:
        pages = measured(session, printing_id)
        every = [each for _, _, each in pages]
        for page, upload, each in pages:
            if page.print_scale_source != "assumed" or not upload.stored:
                continue
            run = scale_for(each, every)
            if run is not None:
                file = store.upload_file(upload.sha256)
                named = codes_of(session, upload.id).get(page.source_page)
                again[file, page.source_page] = page.id, run, named
    files = list(dict.fromkeys(file for file, _ in again))
    refs = [
        ref
        for listed in hands.listed(files)
        for ref in listed
        if isinstance(ref, PageRef) and (ref.path, ref.page) in again
    ]
    found = [again[ref.path, ref.page] for ref in refs]
    tasks = [
        (Marker(claim.layout, run=(run.scale, run.sigma), named=named), ref)
        for ref, (_, run, named) in zip(refs, found, strict=True)
    ]
    for k, outcome in hands.marked(tasks):
        if isinstance(outcome, MarkedPage):
            refresh_page(store, found[k][0], outcome)
        _beat(store, claim)


def _beat(store: Store, claim: Claim) -> None:
    """A sign of life for everything that this worker has taken on."""
    with store.writing() as session:
        session.execute(
            update(Upload)
            .where(Upload.claimed_by == claim.worker)
            .values(beat_at=now())
            .execution_options(synchronize_session=False)
        )


def _fail(store: Store, claim: Claim, reason: str) -> None:
    with store.reading() as session:
        upload = session.get(Upload, claim.upload_id)
        told = reason if upload is None else readable(reason, upload)
    _set(
        store,
        claim,
        state="failed",
        reason=told or "the file holds no page",
        claimed_by=None,
        beat_at=None,
        done_at=now(),
    )


def _set(store: Store, claim: Claim, **values: object) -> bool:
    """Change the upload's row while it is this worker's; False if it is not (any more)."""
    with store.writing() as session:
        changed = session.execute(
            update(Upload)
            .where(Upload.id == claim.upload_id, Upload.claimed_by == claim.worker)
            .values(**values)
            .execution_options(synchronize_session=False)
        )
        return bool(getattr(changed, "rowcount", 0))


def busy(session: Session, printing_id: int | None = None) -> int:
    """How many uploads wait or are worked on, of one print run or of all."""
    found = select(Upload.id).where(or_(Upload.state == "waiting", Upload.state == "working"))
    if printing_id is not None:
        found = found.where(Upload.printing_id == printing_id)
    return len(session.scalars(found).all())


# --- who lives ------------------------------------------------------------------------
def _is_dead(upload: Upload) -> bool:
    node, _, rest = (upload.claimed_by or "").partition(":")
    pid, _, started = rest.partition(":")
    if node == platform.node()[:60] and pid.isdigit() and started != _UNKNOWN:
        return _started(int(pid)) != started
    return upload.beat_at is None or now() - upload.beat_at > LEASE


_UNKNOWN = "?"


def _started(pid: int) -> str:
    """When a process of this machine started, in the system's own ticks; "" if it is not
    there, `_UNKNOWN` where the system has no /proc to say."""
    if not Path("/proc/self/stat").exists():
        return _UNKNOWN
    try:
        fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    except OSError:
        return ""
    return "" if fields[0] in ("Z", "X") else fields[19]
