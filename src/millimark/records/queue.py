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
from functools import partial
from pathlib import Path

from sqlalchemy import or_, select, update
from sqlalchemy.orm import Session

from millimark.marking.page import MarkedPage, Marker, mark_page
from millimark.marking.print_run import RunScale, scale_for
from millimark.marking.workers import Lost, NoWorkersError, run_all
from millimark.records.models import Upload, now
from millimark.records.printings import layout_file
from millimark.records.saving import pages_kept, readable, refresh_page, save_page
from millimark.records.scripts import measured
from millimark.records.store import Store
from millimark.scan.reading import Source, Unread
from millimark.scan.sources import PageRef, pages_in

LEASE = timedelta(minutes=5)
"""A worker of another machine that gave no sign of life for so long is taken for dead. A page
takes at most `marking.workers.SECONDS`."""

Stop = Callable[[], bool]


@dataclass(frozen=True)
class Claim:
    """An upload that a worker has taken on."""

    upload_id: int
    printing_id: int
    sha256: str
    name: str
    print_scale: float | None
    layout: Path
    worker: str


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
        claim = claim_next(store)
        if claim is None:
            break
        done += _mark_upload(store, claim, _Hands(jobs, confined), stop)
    return done


def claim_next(store: Store, worker: str | None = None) -> Claim | None:
    """Take on the upload that waits longest; None if none waits. Dead workers' claims are
    released first."""
    who = worker or this_worker()
    with store.writing() as session:
        release_dead(session)
        upload = session.scalar(
            select(Upload)
            .where(Upload.state == "waiting", Upload.stored)
            .order_by(Upload.id)
            .limit(1)
            .with_for_update(skip_locked=True)
        )
        if upload is None:
            return None
        upload.state, upload.claimed_by, upload.beat_at = "working", who, now()
        return Claim(
            upload.id,
            upload.printing_id,
            upload.sha256,
            upload.name,
            upload.print_scale,
            layout_file(store, session, upload.printing_id),
            who,
        )


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


# --- one upload -----------------------------------------------------------------------
@dataclass(frozen=True)
class _Hands:
    """How pages are worked on: in processes that can be ended, or here."""

    jobs: int | None
    confined: bool

    def listed(self, file: Path) -> Sequence[PageRef | Unread]:
        if not self.confined:
            return pages_in(file)
        try:
            for _, found in run_all(pages_in, [file], 1):
                return (
                    [Unread(Source(file.name, 1), found.reason)]
                    if isinstance(found, Lost)
                    else found
                )
        except NoWorkersError:
            pass
        return pages_in(file)

    def marked(
        self, marker: Marker, refs: Sequence[PageRef]
    ) -> Iterator[tuple[PageRef, MarkedPage | Unread]]:
        done: set[int] = set()
        if self.confined and refs:
            count = min(self.jobs or os.cpu_count() or 1, len(refs))
            try:
                for k, outcome in run_all(partial(mark_page, marker), refs, count):
                    done.add(k)
                    if isinstance(outcome, Lost):
                        outcome = Unread(refs[k].source, outcome.reason)
                    yield refs[k], outcome
                return
            except NoWorkersError:
                pass
        yield from ((ref, mark_page(marker, ref)) for k, ref in enumerate(refs) if k not in done)


def _mark_upload(store: Store, claim: Claim, hands: _Hands, stop: Stop) -> int:
    """Mark what is left of one upload; the number of pages done."""
    file = store.upload_file(claim.sha256)
    listed = hands.listed(file)
    refs = [ref for ref in listed if isinstance(ref, PageRef)]
    if not refs:
        _fail(store, claim, next((u.reason for u in listed if isinstance(u, Unread)), ""))
        return 0
    if not _begin(store, claim, len(refs)):
        return 0
    with store.reading() as session:
        kept = set(pages_kept(session, claim.upload_id))
    marker = Marker(claim.layout, claim.print_scale)
    done = 0
    for ref, outcome in hands.marked(marker, [r for r in refs if r.page not in kept]):
        done += save_page(store, claim.upload_id, ref.page, outcome)
        if not _beat(store, claim):
            return done  # deleted, or taken for dead: somebody else has it
        if stop():
            _release(store, claim)
            return done
    _at_scale_of_the_run(store, claim, hands)
    _finish(store, claim)
    return done


def _at_scale_of_the_run(store: Store, claim: Claim, hands: _Hands) -> None:
    """Measure pages whose image could not say their print scale again, with that of the run."""
    if claim.print_scale is not None:
        return
    again: dict[RunScale, dict[Path, dict[int, int]]] = {}
    with store.reading() as session:
        pages = measured(session, claim.printing_id)
        every = [each for _, _, each in pages]
        for page, upload, each in pages:
            if page.print_scale_source != "assumed" or not upload.stored:
                continue
            run = scale_for(each, every)
            if run is not None:
                file = store.upload_file(upload.sha256)
                again.setdefault(run, {}).setdefault(file, {})[page.source_page] = page.id
    for run, files in again.items():
        marker = Marker(claim.layout, run=(run.scale, run.sigma))
        for file, wanted in files.items():
            refs = [r for r in hands.listed(file) if isinstance(r, PageRef) and r.page in wanted]
            for ref, outcome in hands.marked(marker, refs):
                if isinstance(outcome, MarkedPage):
                    refresh_page(store, wanted[ref.page], outcome)
                _beat(store, claim)


def _begin(store: Store, claim: Claim, pages: int) -> bool:
    return _set(store, claim, pages=pages, beat_at=now())


def _beat(store: Store, claim: Claim) -> bool:
    return _set(store, claim, beat_at=now())


def _release(store: Store, claim: Claim) -> bool:
    return _set(store, claim, state="waiting", claimed_by=None, beat_at=None)


def _finish(store: Store, claim: Claim) -> bool:
    return _set(store, claim, state="done", claimed_by=None, beat_at=None, done_at=now())


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
