"""Records of the previous release, as it wrote them, keep every mark: as a file of SQLite that is
opened, and as a backup that is restored into SQLite and into PostgreSQL and brought up to date."""

from __future__ import annotations

import gzip
import sqlite3
from pathlib import Path
from typing import Any

from sqlalchemy import text

from millimark.records import backups, blind, marks, migrating, rounds, scripts
from millimark.records.store import DATABASE, Store

RELEASES = Path(__file__).parent / "releases"
REVISION = "0002"
KEPT = {
    "classes": "id, name, sourced_id",
    "pupils": "id, class_id, number, name, position",
    "papers": "id, title, at",
    "paper_versions": "id, paper_id, number, text, saved_by",
    "printings": "id, version_id, class_id, title, sheets, paper_code, folder",
    "scripts": "id, printing_id, pupil_id, sheet",
    "uploads": "id, printing_id, name, sha256, state",
    "pages": "id, upload_id, script_id, source_page, state, overlay, notes",
    "answers": "id, script_id, page_id, question, position",
    "marks": "id, answer_id, position, code, criterion, decision, machine, reason, version",
    "mark_changes": "id, mark_id, version, before, after, who, why",
    "second_opinions": "id, mark_id, marker, decision, why",
    "settings": "name, value",
}
"""Every table of that release, and the columns by which its rows are told again."""
Rows = dict[str, list[tuple[Any, ...]]]


def released(tmp_path: Path) -> Path:
    """The database as the release left it, in a folder of its own."""
    place = tmp_path / "old" / DATABASE
    place.parent.mkdir()
    place.write_bytes(gzip.decompress((RELEASES / f"millimark-{REVISION}.sqlite.gz").read_bytes()))
    return place


def before(place: Path) -> Rows:
    """What the release's file says, read past Millimark."""
    with sqlite3.connect(place) as old:
        told = {
            t: old.execute(f"SELECT {c} FROM {t} ORDER BY 1").fetchall() for t, c in KEPT.items()
        }
    old.close()
    return told


def after(store: Store) -> Rows:
    with store.engine.connect() as connection:
        return {
            table: [
                tuple(r) for r in connection.execute(text(f"SELECT {c} FROM {table} ORDER BY 1"))
            ]
            for table, c in KEPT.items()
        }


def check(store: Store, told: Rows) -> None:
    """Every row is there, and the release's marks are read and changed as before."""
    assert after(store) == told
    with store.engine.connect() as connection:
        assert migrating.revision_of(connection) == migrating.head()
    with store.reading() as session:
        found = scripts.marked(session, 1)
        decided = [m.decision for m in marks.review_queue(session, 1)]
    assert [s.pupil for s in found.scripts] == ["Quilla Marrowby", "2", "Pia Finch"]
    assert len(decided) == len(told["marks"])
    assert sum(s.total for s in found.scripts) == decided.count("awarded")
    with store.writing() as session:
        assert isinstance(marks.change(session, 3, "teacher", "R", "seen again", 1), marks.Changed)
        # an opinion of that release is compared with what the machine had said
        again = rounds.begin(session, 1, "R").id
        told = blind.compare(session, again, None, "B. Wren")
        assert (told.both, told.agreed) == (6, 4)
        blind.decide(session, 3, "C. Lark", "awarded")


def test_the_file_of_the_previous_release_is_one(tmp_path: Path) -> None:
    """The kept file is what it says: at that revision, with marks that people changed."""
    told = before(released(tmp_path))
    assert (len(told["marks"]), len(told["mark_changes"]), len(told["second_opinions"])) == (
        12,
        3,
        12,
    )
    with sqlite3.connect(tmp_path / "old" / DATABASE) as old:
        assert old.execute("SELECT version_num FROM alembic_version").fetchall() == [(REVISION,)]
    old.close()


def test_a_database_of_the_previous_release_is_opened_with_every_mark(tmp_path: Path) -> None:
    place = released(tmp_path)
    told = before(place)
    store = Store.open(place.parent)
    check(store, told)
    store.close()


def test_a_backup_of_the_previous_release_is_restored_with_every_mark(
    tmp_path: Path, url: str | None
) -> None:
    told = before(released(tmp_path))
    store = backups.restore(RELEASES / f"backup-{REVISION}.zip", tmp_path / "new", url)
    check(store, told)
    store.close()
