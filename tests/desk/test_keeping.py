"""Records from their page: how long they are kept, the daily sweep, backups that are checked and
brought back, everything handed over, and a deleted pupil of whom nothing is left in any file."""

from __future__ import annotations

import errno
import hashlib
import io
import json
import time
import zipfile
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import select
from starlette.testclient import TestClient
from tests.desk.conftest import BOTH, Marked, desk

from millimark.desk import keeping
from millimark.desk.sweeping import Sweeper
from millimark.records import backups, classes, deleting, handing_over, marks, settings
from millimark.records.base import now
from millimark.records.models import TABLES, Printing, Upload
from millimark.records.store import Store

RELEASED = Path(__file__).parents[1] / "records" / "releases" / "backup-0002.zip"


def send(client: TestClient, data: bytes, **form: str):  # type: ignore[no-untyped-def]
    sent = {"backup": ("b.zip", data, "application/zip")}
    return client.post("/records/backups", files=sent, data=form)


def age(store: Store, days: int) -> None:
    """Make everything so much older."""
    with store.writing() as session:
        for run in session.scalars(select(Printing)):
            run.made_at -= timedelta(days=days)
        for upload in session.scalars(select(Upload)):
            upload.accepted_at -= timedelta(days=days)


@BOTH
def test_the_retention_time_is_set_and_what_goes_next_is_told(marked: Marked) -> None:
    assert "Nothing goes by itself." in marked.client.get("/records").text
    said = marked.client.post("/records/retention", data={"days": "30"}).text
    assert "Kept for 30 days" in said
    with marked.store.reading() as session:
        (due,) = deleting.falls_due(session, 30)
        last = max(session.scalars(select(Upload.accepted_at)))
        assert (due.title, due.at) == ("Two beacons", last + timedelta(days=30))
    assert f"goes on {due.at:%-d %B %Y}" in said
    age(marked.store, 31)
    assert "goes at the next sweep" in marked.client.get("/records").text
    refused = marked.client.post("/records/retention", data={"days": "99999"})
    assert (refused.status_code, "runs from 0 to 36500" in refused.text) == (400, True)
    assert "until deleted by hand" in marked.client.post("/records/retention", data={}).text


def test_what_is_past_its_time_goes_while_the_desk_runs(marked: Marked) -> None:
    with marked.store.writing() as session:
        settings.put(session, settings.RETENTION_DAYS, 30)
    sweeper = Sweeper(marked.store, every=timedelta(seconds=0.2), look_seconds=0.05)
    sweeper.start()
    try:
        assert sweeper.last is not None
        assert sweeper.last.deleted == deleting.Deleted()
        age(marked.store, 31)
        for _ in range(100):
            time.sleep(0.05)
            if sweeper.last.deleted.printings:
                break
        with marked.store.reading() as session:
            assert not session.scalars(select(Printing)).all()
    finally:
        sweeper.stop()


def test_a_hindered_sweep_is_told_and_the_desk_goes_on(
    marked: Marked, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    sweeper = Sweeper(marked.store)
    monkeypatch.setattr(Store, "compact", lambda _: (_ for _ in ()).throw(OSError("disk")))
    with marked.store.writing() as session:
        settings.put(session, settings.RETENTION_DAYS, 1)
    age(marked.store, 3)
    assert "hindered" in sweeper.sweep().trouble
    assert "disk" in caplog.text


@BOTH
def test_a_backup_is_taken_checked_and_brought_back_into_an_empty_desk(
    marked: Marked, tmp_path: Path
) -> None:
    taken = marked.client.post("/records/backup")
    name = f'filename="millimark-backup-{now():%Y-%m-%d}.zip"'
    assert name in taken.headers["content-disposition"]
    assert list(marked.store.incoming.iterdir()) == []  # nothing is left lying about
    checked = send(marked.client, taken.content, act="check").text
    assert "b.zip is whole" in checked
    assert "<li>3 pupils</li>" in checked
    refused = send(marked.client, taken.content, act="restore", sure="yes")
    assert "never overwrites" in refused.text
    with marked.store.reading() as session:
        stands = [(m.id, m.decision, m.version) for m in marks.review_queue(session, 1)]
    fresh = Store.open(tmp_path / "fresh")
    with desk(fresh) as client:
        assert "tick" in send(client, taken.content, act="restore").text.lower()
        said = send(client, taken.content, act="restore", sure="yes").text
        assert f"Restored and checked: {len(stands)} marks of 3 sheets." in said
        assert "Two beacons" in client.get("/printings").text
        assert (
            client.get("/pages/1/picture").content == marked.client.get("/pages/1/picture").content
        )
    with fresh.reading() as session:
        assert [(m.id, m.decision, m.version) for m in marks.review_queue(session, 1)] == stands
    for file in (marked.store.folder / "uploads").rglob("*"):
        if file.is_file():
            there = fresh.folder / file.relative_to(marked.store.folder)
            assert there.read_bytes() == file.read_bytes()
    fresh.close()


@BOTH
def test_a_backup_of_the_previous_release_is_brought_back(store: Store, url: str | None) -> None:
    with desk(store) as client:
        client.post("/records/retention", data={"days": "10"})  # the backup's own takes its place
        said = send(client, RELEASED.read_bytes(), act="restore", sure="yes").text
        assert "Restored and checked: 12 marks of 3 sheets." in said
        assert "The arcs do not cross: ½ mm short." in client.get("/printings/1/review?mark=9").text
    with store.reading() as session:
        assert settings.get(session, settings.RETENTION_DAYS) == 730


def test_a_damaged_backup_changes_nothing(marked: Marked, tmp_path: Path) -> None:
    store = Store.open(tmp_path / "empty")
    good = marked.client.post("/records/backup").content
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(good)) as old, zipfile.ZipFile(out, "w") as bad:
        head = json.loads(old.read("backup.json"))
        head["rows"]["marks"] += 1
        for name in old.namelist():
            bad.writestr(name, json.dumps(head) if name == "backup.json" else old.read(name))
    with desk(store) as client:
        for data, said in ((out.getvalue(), "rows of marks"), (b"PK", "cannot be opened")):
            for act in ("check", "restore"):
                told = send(client, data, act=act, sure="yes")
                assert (told.status_code, said in told.text) == (400, True)
        assert client.post("/records/backups", data={"act": "check"}).status_code == 400
    with store.reading() as session:
        assert backups.is_empty(backups.counts(session))
    assert list(store.folder.rglob("uploads/*/*")) == []
    assert list(store.incoming.iterdir()) == []
    store.close()


def test_a_restore_that_was_cut_off_is_done_again(marked: Marked, tmp_path: Path) -> None:
    """A killed attempt left files, one of them half: the next one writes them anew."""
    good = marked.client.post("/records/backup").content
    store = Store.open(tmp_path / "cut")
    for file in (marked.store.folder / "uploads").rglob("*"):
        if file.is_file():
            left = store.folder / file.relative_to(marked.store.folder)
            left.parent.mkdir(exist_ok=True)
            left.write_bytes(file.read_bytes()[:1000])
    with desk(store) as client:
        assert "Restored and checked" in send(client, good, act="restore", sure="yes").text
    for file in (store.folder / "uploads").rglob("*"):
        assert file.is_dir() or hashlib.sha256(file.read_bytes()).hexdigest() == file.name
    store.close()


def test_a_full_disk_is_told(marked: Marked, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(keeping.shutil, "copyfileobj", full)
    told = send(marked.client, b"PK", act="check")
    assert (told.status_code, "No space left on device" in told.text) == (400, True)
    monkeypatch.setattr(handing_over, "export_all", full)
    assert "Make room" in marked.client.post("/records/everything").text
    assert list(marked.store.incoming.iterdir()) == []


def test_everything_is_handed_over(marked: Marked) -> None:
    taken = marked.client.post("/records/everything").content
    with zipfile.ZipFile(io.BytesIO(taken)) as archive:
        pupils = [n for n in archive.namelist() if n.endswith("pupil.json")]
        assert len(pupils) == 3
    one = marked.client.get("/pupils/1/everything").content
    with zipfile.ZipFile(io.BytesIO(one)) as archive:
        whole = b"".join(archive.read(n) for n in archive.namelist())
    assert b"Quilla Marrowby" in whole
    assert b"Pia Finch" not in whole


@BOTH
def test_of_a_deleted_pupil_nothing_is_left_in_any_file(marked: Marked, url: str | None) -> None:
    """Every byte of the data folder is searched for the name: after the pages that show it were
    seen, sheets and feedback made, scans named after the pupil, the marks changed and marked blind.
    """
    client, name = marked.client, b"Quilla Marrowby"
    with marked.store.writing() as session:
        for upload in session.scalars(select(Upload)):
            upload.name = "Quilla Marrowby, scan.jpg" if upload.id == 1 else upload.name
    with marked.store.reading() as session:
        others = [m for m in marks.review_queue(session, 1) if m.answer.script.pupil_id != 1]
        mark, seen = others[0].id, others[0].version
    form = {"mark": str(mark), "seen": str(seen), "to": "withheld", "who": "A. Rook"}
    why = "As QUILLA MARROWBY drew it; Quilla M. differs."
    assert "kept as version" in client.post("/printings/1/review", data={**form, "why": why}).text
    client.post("/printings/1/second", data={"which": "all"})
    for path in ("/printings/1/grid", "/printings/1/exports/feedback.pdf", "/pupils/1",
                 "/pupils/1/everything", "/scripts/1/feedback", "/printings/1"):  # fmt: skip
        assert client.get(path).status_code == 200
    client.post("/records/backup")
    if url is None:
        assert name in whole(marked.store.folder)
    client.post("/pupils/1/delete", data={"sure": "yes"})
    marked.store.close()
    assert name not in whole(marked.store.folder)
    with marked.store.engine.connect() as connection:
        for table in TABLES:
            assert name.decode() not in repr(connection.execute(select(table)).all())
    with marked.store.reading() as session:
        assert marks.history(session, mark)[-1].why == "As (deleted) drew it; Quilla M. differs."


def whole(folder: Path) -> bytes:
    """Every byte that lies in a folder."""
    return b"\n".join(f.read_bytes() for f in sorted(folder.rglob("*")) if f.is_file())


def test_a_class_and_its_names_are_changed_and_deleted(marked: Marked) -> None:
    client = marked.client
    assert (
        "The class has its new name." in client.post("/classes/1/name", data={"name": "9 Sky"}).text
    )
    said = client.post("/pupils/1/name", data={"name": ""}).text
    assert "No name is kept" in said
    assert "Quilla" not in client.get("/classes/1").text
    added = client.post("/classes/1/lists", data={"pupils": "Ada\nBo\nCy\nDot"}).text
    assert "1 pupils added, 3 renamed" in added
    bare = client.post("/classes/lists", data={"name": "7 Fir", "pupils": "Ada\nBo", "names": "no"})
    assert "no name kept" in bare.text
    assert "Ada" not in bare.text
    assert "tick the box first" in client.post("/classes/1/delete").text
    assert "The class is deleted: 4 pupils, 3 scripts" in client.post(
        "/classes/1/delete", data={"sure": "yes"}
    ).text  # fmt: skip
    with marked.store.reading() as session:
        assert [c.name for c in classes.all_classes(session)] == ["7 Fir"]
