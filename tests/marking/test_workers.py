"""Workers that hang, die or ask for too much cost only their own task; batches resume."""

from __future__ import annotations

import os
import time

import pytest

from millimark.marking import batch
from millimark.marking.journal import FOLDER, Journal
from millimark.marking.page import Marker
from millimark.marking.workers import Lost, run_all
from millimark.scan.reading import Source, Unread
from millimark.scan.sources import PageRef


def hostile(task: str) -> str:
    """A task that does what its name says (run in a worker)."""
    if task == "die":
        os._exit(3)
    if task == "hang":
        time.sleep(60.0)
    if task == "spin":
        while True:
            pass
    if task == "fault":
        raise KeyError("no such thing")
    if task == "swell":
        return str(len(bytearray(4_000_000_000)))
    return task.upper()


def test_every_task_comes_back_whatever_happens_to_its_worker():
    tasks = ["a", "die", "b", "hang", "swell", "c", "spin", "fault"]
    found = dict(run_all(hostile, tasks, workers=2, seconds=1.0))
    assert sorted(found) == list(range(8))
    assert [found[k] for k in (0, 2, 5)] == ["A", "B", "C"]
    assert isinstance(found[1], Lost)
    assert "ended the process" in found[1].reason
    assert isinstance(found[3], Lost)
    assert "longer than 1 s" in found[3].reason
    assert isinstance(found[6], Lost)
    assert "longer than 1 s" in found[6].reason
    assert isinstance(found[7], Lost)
    assert "KeyError" in found[7].reason
    assert isinstance(found[4], Lost)
    assert "memory" in found[4].reason


@pytest.fixture
def refs(tmp_path):
    (tmp_path / "layout.json").write_text("{}", encoding="utf-8")
    made = []
    for k in range(3):
        path = tmp_path / f"scan-{k}.jpg"
        path.write_bytes(b"\xff\xd8\xff" + bytes([k]))
        made.append(PageRef(path, "jpeg", 1))
    return made


def test_a_stopped_batch_goes_on_where_it_ended(tmp_path, refs, monkeypatch):
    """A run that is interrupted after two pages; the next one marks only the third."""
    marker, seen = Marker(tmp_path / "layout.json"), []

    def mark(marker, ref):
        if len(seen) == 2:
            raise KeyboardInterrupt
        seen.append(ref.path.name)
        return Unread(ref.source, f"looked at {ref.path.name}")

    monkeypatch.setattr(batch, "mark_page", mark)
    journal, here = Journal.beside(tmp_path / "out"), batch._Hands(1, confined=False)
    tasks = [(marker, ref) for ref in refs]
    with pytest.raises(KeyboardInterrupt):
        batch._marked(tasks, lambda *_: None, here, journal)
    again: list[str] = []
    monkeypatch.setattr(
        batch, "mark_page", lambda m, ref: again.append(ref.path.name) or Unread(ref.source, "new")
    )
    outcomes = batch._marked(tasks, lambda *_: None, here, journal)
    assert again == ["scan-2.jpg"]
    assert [o.reason for o in outcomes] == ["looked at scan-0.jpg", "looked at scan-1.jpg", "new"]


def test_a_changed_scan_or_scale_is_marked_afresh(tmp_path, refs):
    journal, marker = Journal.beside(tmp_path / "out"), Marker(tmp_path / "layout.json")
    outcome = Unread(Source("scan-0.jpg", 1), "too dark")
    journal.keep(marker, refs[0], outcome)
    assert journal.find(marker, refs[0]) == outcome
    assert journal.find(Marker(tmp_path / "layout.json", 0.97), refs[0]) is None
    refs[0].path.write_bytes(b"\xff\xd8\xff something else")
    assert journal.find(marker, refs[0]) is None


def test_a_journal_that_others_can_write_is_not_trusted(tmp_path):
    (tmp_path / FOLDER).mkdir()
    (tmp_path / FOLDER).chmod(0o777)
    assert Journal.beside(tmp_path).folder is None


def test_a_finished_batch_leaves_no_journal(tmp_path):
    journal = Journal.beside(tmp_path)
    assert (tmp_path / FOLDER).is_dir()
    journal.close()
    assert not (tmp_path / FOLDER).exists()
