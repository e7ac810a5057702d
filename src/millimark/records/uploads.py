"""Accepting scans: a file counts only once its bytes and its row are safe."""

from __future__ import annotations

import hashlib
import os
import secrets
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import func, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from millimark.errors import RecordsError, SourceError
from millimark.records.base import now
from millimark.records.models import Page, Upload
from millimark.records.printings import printing_of
from millimark.records.store import Store

MAX_BYTES = 400_000_000
"""Largest file taken: about a 300-page feeder scan in colour at 300 dpi."""
CHUNK = 1 << 20
_OLD_SECONDS = 86_400.0


@dataclass(frozen=True)
class Accepted:
    """An accepted upload; ``again`` if the same bytes had been accepted before."""

    upload_id: int
    sha256: str
    size: int
    again: bool


@dataclass(frozen=True)
class Standing:
    """How far an upload is: pages done of ``pages`` (None: not opened yet), by state."""

    upload: Upload
    read: int
    unread: int
    twice: int

    @property
    def done(self) -> int:
        """Pages that are done with."""
        return self.read + self.unread + self.twice


def accept(
    store: Store,
    printing_id: int,
    name: str,
    chunks: Iterable[bytes],
    print_scale: float | None = None,
    most: int = MAX_BYTES,
) -> Accepted:
    """Receive a file of scans for a print run; it waits in the queue when this returns.

    ``chunks`` are its bytes in order (memory: one chunk); ``name`` is kept as text only.
    The same bytes for the same print run are one upload. SourceError for an empty file or one
    larger than ``most`` bytes; nothing is kept then.
    """
    with store.reading() as session:
        printing_of(session, printing_id)
    shown = shown_name(name)
    part = store.incoming / secrets.token_hex(16)
    try:
        sha256, size = _receive(part, chunks, shown, most)
        _settle(part, store.upload_file(sha256))
        return _recorded(store, printing_id, shown, sha256, size, print_scale)
    finally:
        part.unlink(missing_ok=True)


def shown_name(name: str) -> str:
    """A sender's file name as text to show: last part, printable, at most 255 characters."""
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    return "".join(c if c.isprintable() else "?" for c in last).strip()[:255] or "scan"


def _receive(part: Path, chunks: Iterable[bytes], shown: str, most: int) -> tuple[str, int]:
    """Write the bytes out to the disk: their SHA-256 and their number."""
    digest, size = hashlib.sha256(), 0
    try:
        with part.open("xb") as file:
            for chunk in chunks:
                size += len(chunk)
                if size > most:
                    raise SourceError(
                        f"{shown} is larger than the {most // 1_000_000} MB that a file may have.",
                        "Split it into smaller files.",
                    )
                digest.update(chunk)
                file.write(chunk)
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        raise RecordsError(
            f"{shown} could not be stored: {error.strerror}.", "Make room on the disk; send again."
        ) from error
    if size == 0:
        raise SourceError(f"{shown} is empty (0 bytes).", "Scan or copy it again.")
    return digest.hexdigest(), size


def _settle(part: Path, place: Path) -> None:
    """Move the file to its place by hash, for good: the folder is written out too."""
    place.parent.mkdir(mode=0o700, exist_ok=True)
    part.replace(place)
    for folder in (place.parent, place.parent.parent):
        _sync_folder(folder)


def _sync_folder(folder: Path) -> None:
    if os.name == "nt":  # folders cannot be opened there
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _recorded(
    store: Store, printing_id: int, name: str, sha256: str, size: int, scale: float | None
) -> Accepted:
    """The upload's row, made once whoever comes first."""
    try:
        with store.writing() as session:
            known = _known(session, printing_id, sha256)
            if known is not None:
                return _again(known)
            made = Upload(
                printing_id=printing_id, name=name, sha256=sha256, size=size, print_scale=scale
            )
            session.add(made)
            session.flush()
            return Accepted(made.id, sha256, size, again=False)
    except IntegrityError:
        # Another process recorded the same bytes in between.
        with store.writing() as session:
            known = _known(session, printing_id, sha256)
            if known is None:
                raise
            return _again(known)


def _known(session: Session, printing_id: int, sha256: str) -> Upload | None:
    return session.scalar(
        select(Upload).where(Upload.printing_id == printing_id, Upload.sha256 == sha256)
    )


def _again(known: Upload) -> Accepted:
    """The same bytes once more: what was deleted or failed is done anew."""
    known.stored = True
    if known.state == "failed":
        known.state, known.reason, known.accepted_at = "waiting", None, now()
    return Accepted(known.id, known.sha256, known.size, again=True)


def upload_of(session: Session, upload_id: int) -> Upload:
    """The upload; RecordsError if there is none of this id."""
    found = session.get(Upload, upload_id)
    if found is None:
        raise RecordsError(f"There is no upload {upload_id}.", "It may have been deleted.")
    return found


def standings(session: Session, printing_id: int) -> list[Standing]:
    """Every upload of a print run with how far it is, in the order of arrival."""
    counts: dict[int, dict[str, int]] = {}
    rows = session.execute(
        select(Page.upload_id, Page.state, func.count())
        .join(Upload)
        .where(Upload.printing_id == printing_id)
        .group_by(Page.upload_id, Page.state)
    )
    for upload_id, state, count in rows:
        counts.setdefault(upload_id, {})[state] = count
    uploads = session.scalars(
        select(Upload).where(Upload.printing_id == printing_id).order_by(Upload.id)
    )
    return [
        Standing(u, *(counts.get(u.id, {}).get(s, 0) for s in ("read", "unread", "twice")))
        for u in uploads
    ]


def unread_pages(session: Session, printing_id: int) -> Sequence[Page]:
    """Pages of a print run that do not count, with their reasons: unread, or scanned twice."""
    return session.scalars(
        select(Page)
        .join(Upload)
        .where(Upload.printing_id == printing_id, Page.state != "read")
        .order_by(Page.upload_id, Page.source_page)
    ).all()


def sweep_incoming(store: Store) -> int:
    """Remove what a killed process left half received a day ago or earlier; how many files."""
    old = now().timestamp() - _OLD_SECONDS
    stale = [f for f in store.incoming.iterdir() if f.is_file() and f.stat().st_mtime < old]
    for file in stale:
        file.unlink(missing_ok=True)
    return len(stale)
