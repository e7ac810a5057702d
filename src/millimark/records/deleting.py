"""Deleting a pupil and everything of theirs; print runs; and what is older than the school
keeps. What is deleted is overwritten in the database file and its space given back.

Papers, and other pupils' marks, stay. Backups and files that were exported before are out of
reach: the school deletes those.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from sqlalchemy import delete, func, or_, select
from sqlalchemy.orm import Session

from millimark.errors import RecordsError
from millimark.records import settings
from millimark.records.base import now
from millimark.records.classes import class_of, pupil_of
from millimark.records.forgetting import forget_names
from millimark.records.mend_tables import PageStep
from millimark.records.models import Page, Printing, Pupil, Script, TeachingClass, Upload
from millimark.records.printings import keep_layout, layout_of, printing_of
from millimark.records.queue import busy
from millimark.records.store import Store

FILE_GONE = "the file was deleted with a pupil whose page it held; its marks were kept"
_OLD_SECONDS = 3_600.0


@dataclass(frozen=True)
class Deleted:
    """What was deleted: pupils, print runs, scripts, pages, and files of scans."""

    pupils: int = 0
    printings: int = 0
    scripts: int = 0
    pages: int = 0
    files: int = 0

    def __add__(self, other: Deleted) -> Deleted:
        return Deleted(
            self.pupils + other.pupils,
            self.printings + other.printings,
            self.scripts + other.scripts,
            self.pages + other.pages,
            self.files + other.files,
        )


def delete_pupil(store: Store, pupil_id: int) -> Deleted:
    """Delete a pupil: their scripts, marks, history, pictures, their sheets and name in print
    runs, and every file of scans that holds, or may hold, a page of theirs.

    A file may hold a page of theirs if one of its pages could not be read. Other pupils' marks
    and pictures from such a file stay. RecordsError while scans of their print runs are being
    marked.
    """
    with store.writing() as session:
        deleted, hashes = _delete_pupils(store, session, [pupil_of(session, pupil_id)])
    _finish(store, hashes)
    return replace(deleted, files=len(hashes))


def delete_class(store: Store, class_id: int) -> Deleted:
    """Delete a class with all its pupils and everything of theirs; its print runs stay, as
    sheets without names, where any sheet is left."""
    with store.writing() as session:
        found = class_of(session, class_id)
        deleted, hashes = _delete_pupils(store, session, list(found.pupils))
        session.expire(found)
        session.delete(found)
    _finish(store, hashes)
    return replace(deleted, files=len(hashes))


def delete_printing(store: Store, printing_id: int) -> Deleted:
    """Delete a print run: sheets, scans, scripts, marks and their history."""
    with store.writing() as session:
        deleted, hashes = _delete_printing(store, session, printing_of(session, printing_id))
    _finish(store, hashes)
    return replace(deleted, files=len(hashes))


@dataclass(frozen=True)
class Due:
    """A print run and when it goes: its retention time after its last scan."""

    printing_id: int
    title: str
    at: datetime


def falls_due(session: Session, days: int) -> list[Due]:
    """Every print run with the moment at which `sweep_retention` takes it, the next to go first;
    empty where nothing goes by itself (``days`` 0)."""
    if days == 0:
        return []
    last = (
        select(func.max(Upload.accepted_at))
        .where(Upload.printing_id == Printing.id)
        .scalar_subquery()
    )
    found = [
        Due(run.id, run.title, max(run.made_at, scanned or run.made_at) + timedelta(days=days))
        for run, scanned in session.execute(select(Printing, last))
    ]
    return sorted(found, key=lambda due: (due.at, due.printing_id))


def sweep_retention(store: Store, at: datetime | None = None) -> Deleted:
    """Delete print runs (and pupils left without any script) older than the retention time.

    A print run's age counts from its last accepted scan, a pupil's from when they were
    entered. Nothing where the time is 0. Call it at start and once a day.
    """
    with store.writing() as session:
        days = settings.get(session, settings.RETENTION_DAYS)
        if days == 0:
            return Deleted()
        limit = (at or now()) - timedelta(days=days)
        deleted, hashes = Deleted(), set[str]()
        for printing in session.scalars(select(Printing).where(Printing.made_at < limit)).all():
            last = session.scalar(
                select(func.max(Upload.accepted_at)).where(Upload.printing_id == printing.id)
            )
            if (last is None or last < limit) and not busy(session, printing.id):
                some, more = _delete_printing(store, session, printing)
                deleted, hashes = deleted + some, hashes | more
        done, more = _delete_pupils(store, session, _idle_pupils(session, limit))
        deleted, hashes = deleted + done, hashes | more
        for owner in session.scalars(select(TeachingClass).where(TeachingClass.made_at < limit)):
            if not session.scalar(select(Pupil.id).where(Pupil.class_id == owner.id).limit(1)):
                session.delete(owner)
    if deleted != Deleted():
        _finish(store, hashes)
    return replace(deleted, files=len(hashes))


def sweep_orphans(store: Store) -> int:
    """Remove files that no record speaks of any more (a deletion or a print run was killed
    half way), an hour old at least; how many. Call it at start."""
    old = now().timestamp() - _OLD_SECONDS
    with store.reading() as session:
        hashes = set(session.scalars(select(Upload.sha256).where(Upload.stored)))
        tokens = set(session.scalars(select(Printing.folder)))
    removed = 0
    for file in (store.folder / "uploads").glob("??/*"):
        if file.name not in hashes and file.stat().st_mtime < old:
            file.unlink(missing_ok=True)
            removed += 1
    for folder in (store.folder / "printings").iterdir():
        if folder.name not in tokens and folder.stat().st_mtime < old:
            shutil.rmtree(folder, ignore_errors=True)
            removed += 1
    return removed


# --- pupils -----------------------------------------------------------------------------
def _idle_pupils(session: Session, limit: datetime) -> Sequence[Pupil]:
    has_script = select(Script.id).where(Script.pupil_id == Pupil.id).exists()
    return session.scalars(select(Pupil).where(Pupil.made_at < limit, ~has_script)).all()


def _delete_pupils(
    store: Store, session: Session, pupils: Sequence[Pupil]
) -> tuple[Deleted, set[str]]:
    """Rows of these pupils away; hashes of the files to remove once that is committed."""
    ids = [p.id for p in pupils]
    scripts = session.scalars(select(Script).where(Script.pupil_id.in_(ids))).all()
    theirs = {s.printing_id for s in scripts}
    for printing_id in theirs:
        _not_busy(session, printing_id)
    uploads = _touched(session, [s.id for s in scripts], theirs)
    pages = sum(len(s.pages) for s in scripts)
    _forget_sheets(store, session, pupils, scripts)
    for script in scripts:
        session.delete(script)
    session.flush()
    hashes = _forget_files(session, uploads)
    names = [p.name for p in pupils if p.name]
    for pupil in pupils:
        session.delete(pupil)
    forget_names(session, names)
    session.flush()
    return Deleted(pupils=len(pupils), scripts=len(scripts), pages=pages), hashes


def _touched(session: Session, scripts: Sequence[int], printings: Iterable[int]) -> list[Upload]:
    """Uploads with a page of these scripts, or with one of these print runs that nobody read."""
    found = (
        select(Upload)
        .join(Page)
        .where(
            or_(
                Page.script_id.in_(scripts),
                (Page.script_id.is_(None)) & (Upload.printing_id.in_(list(printings))),
            )
        )
        .distinct()
    )
    uploads = {u.id: u for u in session.scalars(found)}
    # A file that could not be opened at all has no pages, and may hold anything.
    failed = select(Upload).where(Upload.printing_id.in_(list(printings)), Upload.state == "failed")
    uploads.update({u.id: u for u in session.scalars(failed)})
    return list(uploads.values())


def _forget_files(session: Session, uploads: Sequence[Upload]) -> set[str]:
    """Say that the files are gone, and forget their names: senders name files after pupils."""
    hashes = {u.sha256 for u in uploads}
    # What people wrote about unread pages may tell whose they were.
    touched = select(Upload.id).where(Upload.sha256.in_(hashes))
    session.execute(delete(PageStep).where(PageStep.upload_id.in_(touched)))
    for upload in session.scalars(select(Upload).where(Upload.sha256.in_(hashes))).all():
        session.expire(upload, ["read_pages"])
        if not any(page.script_id is not None for page in upload.read_pages):
            session.delete(upload)
            continue
        fresh = f"upload {upload.id}"
        named = session.scalars(select(Page).where(Page.reason.contains(upload.name))).all()
        for page in named:
            page.reason = (page.reason or "").replace(upload.name, fresh)
        upload.name, upload.stored, upload.reason = fresh, False, FILE_GONE
    session.flush()
    return hashes


def _forget_sheets(
    store: Store, session: Session, pupils: Sequence[Pupil], scripts: Sequence[Script]
) -> None:
    """Take their sheets out of the sheet maps, and printed papers with names off the disk."""
    sheets: dict[int, set[str]] = {}
    for script in scripts:
        sheets.setdefault(script.printing_id, set()).add(script.sheet)
    owners = {p.class_id for p in pupils}
    called = {text for p in pupils for text in (p.name, p.number) if text}
    printings = session.scalars(
        select(Printing).where(or_(Printing.id.in_(sheets), Printing.class_id.in_(owners)))
    ).all()
    for printing in printings:
        gone = sheets.get(printing.id, set())
        layout = layout_of(session, printing.id)
        left = tuple(
            replace(s, pupil=None) if s.pupil in called else s
            for s in layout.sheets
            if s.sheet not in gone
        )
        if left != layout.sheets:
            keep_layout(store, session, printing.id, replace(layout, sheets=left, pdf_sha256=""))
            for file in store.printing_folder(printing.folder).glob("*.pdf"):
                file.unlink(missing_ok=True)


# --- print runs -------------------------------------------------------------------------
def _delete_printing(
    store: Store, session: Session, printing: Printing
) -> tuple[Deleted, set[str]]:
    _not_busy(session, printing.id)
    uploads = list(printing.uploads)
    hashes = {u.sha256 for u in uploads}
    pages = sum(len(u.read_pages) for u in uploads)
    scripts = len(printing.scripts)
    folder = store.printing_folder(printing.folder)
    session.delete(printing)
    session.flush()
    shared = session.scalars(select(Upload.sha256).where(Upload.sha256.in_(hashes)))
    shutil.rmtree(folder, ignore_errors=True)
    return Deleted(printings=1, scripts=scripts, pages=pages), hashes - set(shared)


def _not_busy(session: Session, printing_id: int) -> None:
    count = busy(session, printing_id)
    if count:
        raise RecordsError(
            f"{count} uploads of '{printing_of(session, printing_id).title}' are being marked.",
            "Wait until they are done, then delete.",
        )


def _finish(store: Store, hashes: Iterable[str]) -> None:
    for sha256 in hashes:
        store.upload_file(sha256).unlink(missing_ok=True)
    store.compact()
