"""--out: earlier files are kept aside, strangers' files are not touched."""

from __future__ import annotations

from pathlib import Path

import pytest

from millimark.cli.keeping import kept_folder
from millimark.errors import SourceError

NAMES = ("a.json", "scans")


def write(out: Path, text: str) -> None:
    (out / "a.json").write_text(text)
    (out / "scans").mkdir()
    (out / "scans" / "one.txt").write_text(text)


def test_a_new_folder_is_made(tmp_path: Path) -> None:
    with kept_folder(tmp_path / "deep" / "out", NAMES) as out:
        write(out, "1")
    assert sorted(p.name for p in out.iterdir()) == ["a.json", "scans"]


def test_other_files_stay_and_earlier_ones_are_kept_aside(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine")
    for text in ("1", "2", "3"):
        with kept_folder(tmp_path, NAMES) as out:
            write(out, text)
    assert (tmp_path / "notes.txt").read_text() == "mine"
    assert (tmp_path / "a.json").read_text() == "3"
    assert (tmp_path / "earlier-1" / "a.json").read_text() == "1"
    assert (tmp_path / "earlier-2" / "scans" / "one.txt").read_text() == "2"


def test_the_same_result_leaves_no_copy(tmp_path: Path) -> None:
    for _ in range(2):
        with kept_folder(tmp_path, NAMES) as out:
            write(out, "1")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a.json", "scans"]


def test_a_failed_run_puts_the_earlier_files_back(tmp_path: Path) -> None:
    write(tmp_path, "1")
    with pytest.raises(ValueError, match="stopped"), kept_folder(tmp_path, NAMES):
        raise ValueError("stopped")
    assert (tmp_path / "a.json").read_text() == "1"
    assert (tmp_path / "scans" / "one.txt").read_text() == "1"
    assert not (tmp_path / "earlier-1").exists()


def test_a_run_that_fails_half_way_loses_neither(tmp_path: Path) -> None:
    write(tmp_path, "1")

    def fail_half_way(out: Path) -> None:
        (out / "a.json").write_text("2")
        raise ValueError("stopped")

    with pytest.raises(ValueError, match="stopped"), kept_folder(tmp_path, NAMES) as out:
        fail_half_way(out)
    assert (tmp_path / "a.json").read_text() == "2"
    assert (tmp_path / "earlier-1" / "a.json").read_text() == "1"
    assert (tmp_path / "scans" / "one.txt").read_text() == "1"


def test_a_file_is_not_a_folder(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("mine")
    with pytest.raises(SourceError, match="is a file"), kept_folder(tmp_path / "out", NAMES):
        pass
    assert (tmp_path / "out").read_text() == "mine"
