"""Deleting a pupil leaves nothing of theirs: rows, files, sheet maps, the database's own bytes."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import select, text

from millimark.errors import RecordsError
from millimark.records import classes, deleting, marks, printings, queue, settings, uploads
from millimark.records.base import now
from millimark.records.deleting import Deleted
from millimark.records.forgetting import forget_names
from millimark.records.mark_tables import Mark
from millimark.records.models import TABLES, Page, Script, Upload
from millimark.records.store import Store

from .conftest import MARKS, World, rows

NAME = "Quilla Marrowby"


def _bytes_of(folder: Path) -> bytes:
    """Everything that lies in a folder, database included."""
    return b"\n".join(f.read_bytes() for f in sorted(folder.rglob("*")) if f.is_file())


def _picture(store: Store, pupil: int) -> bytes:
    with store.reading() as session:
        page = session.scalar(select(Page.picture).join(Script).where(Script.pupil_id == pupil))
    assert page is not None
    return page


def _stretches(picture: bytes) -> list[bytes]:
    """Stretches of a picture by which its bytes are known again."""
    return [picture[i : i + 200] for i in range(2000, len(picture) - 200, 1000)]


def test_a_pupil_is_deleted_with_everything_of_theirs(world: World) -> None:
    store, pupil = world.store, world.pupils[0]
    picture = _picture(store, pupil)
    others = [_picture(store, other) for other in world.pupils[1:]]
    with store.writing() as session:
        upload = session.scalar(
            select(Upload).join(Page).join(Script).where(Script.pupil_id == pupil)
        )
        assert upload is not None
        upload.name = "scan of Quilla Marrowby.jpg"
        scan = store.upload_file(upload.sha256)
    assert scan.is_file()
    if world.url is None:
        found = _bytes_of(store.folder)
        # a stretch that runs over from one page of the database to the next is not found whole
        assert sum(part in found for part in _stretches(picture)) > len(_stretches(picture)) / 2
        assert NAME.encode() in found
    told = deleting.delete_pupil(store, pupil)
    # their own scan, and the file that nobody could read and that may hold a page of theirs
    assert told == Deleted(pupils=1, scripts=1, pages=1, files=2)
    assert not scan.exists()
    assert rows(store, "marks") == 2 * MARKS
    assert rows(store, "pages") == 2
    assert [_picture(store, other) for other in world.pupils[1:]] == others
    with store.reading() as session:
        assert [p.number for p in classes.class_of(session, world.class_id).pupils] == ["2", "3"]
        layout = printings.layout_of(session, world.printing_id)
        assert [s.pupil for s in layout.sheets] == ["=HYPERLINK(1)", "3"]
        assert printings.files_of(store, session, world.printing_id) == {}
    store.close()
    left = _bytes_of(store.folder)
    assert NAME.encode() not in left
    assert not any(part in left for part in _stretches(picture))


def test_the_rows_are_gone_from_every_table(world: World) -> None:
    """No column of any table holds the name after the pupil was deleted."""
    deleting.delete_pupil(world.store, world.pupils[0])
    with world.store.engine.connect() as connection:
        for table in TABLES:
            said = connection.execute(text(f"SELECT * FROM {table.name}")).all()
            assert NAME not in repr(said)


def test_what_is_left_can_still_be_printed_and_marked(world: World, scans: list[Path]) -> None:
    deleting.delete_pupil(world.store, world.pupils[0])
    made = printings.question_paper_again(world.store, world.printing_id)
    import pikepdf

    with pikepdf.open(made) as pdf:
        assert len(pdf.pages) == 2
    assert NAME.encode() not in _bytes_of(made.parent)
    # the deleted pupil's scan is of no sheet any more; the others' are read as before
    for k, scan in enumerate(scans):
        data = scan.read_bytes() + b"\0"
        uploads.accept(world.store, world.printing_id, f"{k}.jpg", [data])
    assert queue.work(world.store, confined=False) == 3
    with world.store.reading() as session:
        told = uploads.unread_pages(session, world.printing_id)
        assert sorted(p.state for p in told) == ["twice", "twice", "unread"]
    assert rows(world.store, "marks") == 2 * MARKS


def test_nobody_is_deleted_while_their_scans_are_marked(world: World) -> None:
    uploads.accept(world.store, world.printing_id, "late.pdf", [b"%PDF-"])
    with pytest.raises(RecordsError, match="being marked"):
        deleting.delete_pupil(world.store, world.pupils[0])
    with pytest.raises(RecordsError, match="no pupil"):
        deleting.delete_pupil(world.store, 99)
    assert rows(world.store, "pupils") == 3


def test_a_file_with_several_pupils_goes_and_the_others_keep_their_marks(world: World) -> None:
    """One file held pages of two pupils: it is deleted, the other's picture and marks stay."""
    with world.store.writing() as session:
        first, second = session.scalars(select(Page).order_by(Page.id)).all()[:2]
        second.upload_id, second.source_page = first.upload_id, 2
        upload_id, owner = first.upload_id, first.script
        assert owner is not None
        pupil = owner.pupil_id
        assert pupil is not None
    deleting.delete_pupil(world.store, pupil)
    with world.store.reading() as session:
        upload = uploads.upload_of(session, upload_id)
        assert (upload.stored, upload.name) == (False, f"upload {upload_id}")
        assert upload.reason == deleting.FILE_GONE
        assert not world.store.upload_file(upload.sha256).exists()
        (page,) = upload.read_pages
        assert page.state == "read"


def test_a_class_is_deleted_with_all_its_pupils(world: World) -> None:
    told = deleting.delete_class(world.store, world.class_id)
    assert (told.pupils, told.scripts) == (3, 3)
    for table in ("classes", "pupils", "scripts", "pages", "answers", "marks", "uploads"):
        assert rows(world.store, table) == 0
    assert rows(world.store, "papers") == 1


def test_a_print_run_is_deleted_with_its_scans(world: World) -> None:
    with world.store.reading() as session:
        folder = world.store.printing_folder(
            printings.printing_of(session, world.printing_id).folder
        )
    told = deleting.delete_printing(world.store, world.printing_id)
    assert (told.printings, told.scripts, told.pages, told.files) == (1, 3, 3, 4)
    assert not folder.exists()
    assert not any(f.is_file() for f in (world.store.folder / "uploads").rglob("*"))
    assert rows(world.store, "pupils") == 3


def test_nothing_is_swept_before_its_time(world: World) -> None:
    store, later = world.store, now() + timedelta(days=400)
    assert deleting.sweep_retention(store, later) == Deleted()  # 0 days: kept
    with store.writing() as session:
        settings.put(session, settings.RETENTION_DAYS, 365)
    assert deleting.sweep_retention(store, now() + timedelta(days=364)) == Deleted()
    assert rows(store, "marks") == 3 * MARKS
    told = deleting.sweep_retention(store, later)
    assert (told.printings, told.scripts, told.pupils, told.files) == (1, 3, 3, 4)
    for table in ("printings", "pupils", "classes", "marks", "pages", "uploads"):
        assert rows(store, table) == 0


def test_wrong_settings_are_said(empty: Store) -> None:
    with empty.writing() as session:
        assert settings.get(session, settings.RETENTION_DAYS) == 0
        for name, value in (("retention_days", -1), ("retention_days", 10**6), ("colour", 1)):
            with pytest.raises(RecordsError):
                settings.put(session, name, value)


def test_files_that_no_record_speaks_of_are_swept(world: World) -> None:
    import os

    stray = world.store.upload_file("ab" + "0" * 62)
    stray.parent.mkdir(exist_ok=True)
    stray.write_bytes(b"left behind")
    assert deleting.sweep_orphans(world.store) == 0  # it may be arriving just now
    os.utime(stray, (1, 1))
    assert deleting.sweep_orphans(world.store) == 1
    assert len([f for f in (world.store.folder / "uploads").rglob("*") if f.is_file()]) == 4


@pytest.mark.parametrize(
    ("said", "left"),
    [
        ("PIA, seen with pia's friend", "(deleted), seen with (deleted)'s friend"),
        ("Piano and Copia", "Piano and Copia"),
        ("100% Pia_1", "100% Pia_1"),
        ("", ""),
    ],
)
def test_a_name_is_forgotten_as_a_whole_word(world: World, said: str, left: str) -> None:
    with world.store.writing() as session:
        mark = session.scalars(select(Mark)).first()
        assert mark is not None
        marks.change(session, mark.id, mark.decision, "R", said, 1)
        assert forget_names(session, ["Pia", "P%"]) == int(said != left)
        assert marks.history(session, mark.id)[-1].why == left
