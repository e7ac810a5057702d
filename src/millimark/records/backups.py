"""Backup of a whole store into one zip, checked after writing, and restored with every count
and hash checked. A backup of SQLite can be restored into PostgreSQL and the other way round.

    backup.json            format, revision of the tables, rows of each, SHA-256 of each file
    tables/<name>.jsonl    one row a line; bytes in base64, times in ISO 8601
    uploads/…, printings/… the store's files
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
import tempfile
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import IO, Any

from sqlalchemy import (
    Column,
    Connection,
    DateTime,
    LargeBinary,
    MetaData,
    Table,
    delete,
    func,
    insert,
    select,
    text,
)
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from millimark.errors import RecordsError
from millimark.records.migrating import head, known_revisions, revision_of, upgrade
from millimark.records.models import TABLES, Setting
from millimark.records.store import Store

FORMAT = "millimark-backup"
VERSION = 1
_HEAD = "backup.json"
_ROWS_AT_ONCE = 50
_CHUNK = 1 << 20
_NAMES = re.compile(r"uploads/[0-9a-f]{2}/[0-9a-f]{64}|printings/[0-9a-f]{24}/[a-z.-]{1,60}")
_AGAIN = "Use another backup."


@dataclass(frozen=True)
class Contents:
    """What a backup holds: revision, rows by table, SHA-256 by file."""

    revision: str
    rows: dict[str, int]
    files: dict[str, str]


def back_up(store: Store, target: Path) -> Contents:
    """Write the whole store into the zip ``target`` and check what was written.

    It is one unchanging view of the rows; work may go on meanwhile. The file holds pupils'
    data: it needs the same care as the store.
    """
    part = target.with_name(f".{target.name}.part")
    digests: dict[str, str] = {}
    try:
        with zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as out:
            with store.reading() as session:
                connection = session.connection()
                rows = {table.name: _dump(out, connection, table) for table in TABLES}
            for file in _files(store):
                name = file.relative_to(store.folder).as_posix()
                if _NAMES.fullmatch(name):
                    digests[name] = _pack(out, name, file)
            contents = Contents(head(), rows, digests)
            data = {"format": FORMAT, "version": VERSION, **vars(contents)}
            out.writestr(_HEAD, json.dumps(data, indent=1) + "\n")
        check(part)
        part.replace(target)
    except OSError as error:
        raise RecordsError(
            f"The backup {target} cannot be written: {error.strerror}.",
            "Name a file in a folder that you may write to, with room on the disk.",
        ) from error
    finally:
        part.unlink(missing_ok=True)
    return contents


def check(source: Path) -> Contents:
    """Read a backup through: every file's hash, every table's rows. RecordsError says what is
    damaged."""
    with _opened(source) as archive:
        contents = _contents(archive, source)
        for name, digest in contents.files.items():
            with _member(archive, name, source) as packed:
                if _digest(packed) != digest:
                    raise RecordsError(f"The backup {source.name} is damaged at {name}.", _AGAIN)
        for name, count in contents.rows.items():
            with _member(archive, f"tables/{name}.jsonl", source) as packed:
                found = sum(1 for _ in packed)
            if found != count:
                raise RecordsError(
                    f"The backup {source.name} holds {found} rows of {name}, not {count}.", _AGAIN
                )
    return contents


def restore(source: Path, folder: Path, url: str | None = None) -> Store:
    """The store that a backup holds, in an empty ``folder`` and an empty database.

    Older backups are brought up to date. Rows are counted and files hashed once they are in
    place; RecordsError if anything differs, and nothing is left of the attempt but the folder.
    """
    contents = _known(source)
    if folder.exists() and any(folder.iterdir()):
        raise RecordsError(f"The folder {folder} is not empty.", "Restore into a new folder.")
    store = Store.open(folder, url, revision=contents.revision)
    with _opened(source) as archive:
        with store.engine.begin() as connection:
            _fill(connection, archive, contents)
        _place_files(archive, contents, folder)
    upgrade(store.engine)
    return store


def restore_into(store: Store, source: Path) -> Contents:
    """Restore a backup into an open store that holds nothing yet but settings, which the backup's
    own replace. RecordsError, and the store as it was, if it holds anything or anything differs."""
    contents = _known(source)
    with store.reading() as session:
        if not is_empty(counts(session)):
            raise RecordsError(
                "These records are not empty: restoring never overwrites.",
                "Start the desk with a new folder (--data) and restore there.",
            )
    if contents.revision != head():
        with tempfile.TemporaryDirectory(prefix="restored-", dir=store.incoming) as place:
            older = restore(source, Path(place) / "store")
            try:
                back_up(older, Path(place) / "present.zip")
            finally:
                older.close()
            return restore_into(store, Path(place) / "present.zip")
    with _opened(source) as archive:
        placed = [store.folder / name for name in contents.files]
        try:
            _place_files(archive, contents, store.folder)
            with store.engine.begin() as connection:
                connection.execute(delete(Setting))
                _fill(connection, archive, contents)
        except BaseException:
            for file in placed:
                file.unlink(missing_ok=True)
            raise
    return contents


def counts(session: Session) -> dict[str, int]:
    """How many rows each table has."""
    return {
        table.name: session.scalar(select(func.count()).select_from(table)) or 0 for table in TABLES
    }


def is_empty(rows: Mapping[str, int]) -> bool:
    """Whether there is nothing but settings."""
    return not any(count for name, count in rows.items() if name != Setting.__tablename__)


def _known(source: Path) -> Contents:
    """What a backup holds, read through; RecordsError if it is damaged or of a newer release."""
    contents = check(source)
    if contents.revision not in known_revisions():
        raise RecordsError(
            f"The backup {source.name} is of a newer release (revision {contents.revision!r}).",
            "Restore it with that release.",
        )
    return contents


def _place_files(archive: zipfile.ZipFile, contents: Contents, folder: Path) -> list[Path]:
    """The backup's files in a store's folder, each read again and hashed; where they lie. A file
    that an attempt before left there is written again."""
    placed = []
    for name, digest in contents.files.items():
        place = folder / name  # only names that `_contents` has let pass
        try:
            place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            with archive.open(name) as packed, place.open("wb") as out:
                placed.append(place)
                while chunk := packed.read(_CHUNK):
                    out.write(chunk)
            with place.open("rb") as back:
                same = _digest(back) == digest
        except OSError as error:
            raise RecordsError(
                f"{name} cannot be written: {error.strerror}.", "Make room on the disk."
            ) from error
        if not same:
            raise RecordsError(f"{name} was not restored as it was.", "Check the disk.")
    return placed


# --- writing ----------------------------------------------------------------------------
def _dump(out: zipfile.ZipFile, connection: Connection, table: Table) -> int:
    """One table as lines of JSON; how many."""
    count = 0
    rows = connection.execution_options(yield_per=_ROWS_AT_ONCE).execute(
        select(table).order_by(*table.primary_key)
    )
    with out.open(f"tables/{table.name}.jsonl", "w", force_zip64=True) as lines:
        for row in rows.mappings():
            data = {key: _plain(value) for key, value in row.items()}
            lines.write(json.dumps(data, ensure_ascii=False).encode() + b"\n")
            count += 1
    return count


def _plain(value: Any) -> Any:
    if isinstance(value, bytes | memoryview):
        return base64.b64encode(bytes(value)).decode("ascii")
    return value.isoformat() if isinstance(value, datetime) else value


def _files(store: Store) -> Iterator[Path]:
    for folder in ("uploads", "printings"):
        yield from sorted(f for f in (store.folder / folder).rglob("*") if f.is_file())


def _pack(out: zipfile.ZipFile, name: str, file: Path) -> str:
    digest = hashlib.sha256()
    with file.open("rb") as unpacked, out.open(name, "w", force_zip64=True) as packed:
        while chunk := unpacked.read(_CHUNK):
            digest.update(chunk)
            packed.write(chunk)
    return digest.hexdigest()


# --- reading ----------------------------------------------------------------------------
def _opened(source: Path) -> zipfile.ZipFile:
    try:
        return zipfile.ZipFile(source)
    except (OSError, zipfile.BadZipFile) as error:
        raise RecordsError(f"The backup {source} cannot be opened: {error}.", _AGAIN) from error


def _contents(archive: zipfile.ZipFile, source: Path) -> Contents:
    try:
        data = json.loads(archive.read(_HEAD))
        if data["format"] != FORMAT or data["version"] != VERSION:
            raise KeyError("format")
        found = Contents(str(data["revision"]), dict(data["rows"]), dict(data["files"]))
    except (KeyError, ValueError, TypeError, zipfile.BadZipFile) as error:
        raise RecordsError(f"{source.name} is not a backup of Millimark.", _AGAIN) from error
    known = {table.name for table in TABLES}
    strange = [n for n in found.files if not _NAMES.fullmatch(n)]
    strange += [n for n in found.rows if n not in known]
    if strange:
        raise RecordsError(f"The backup {source.name} holds {strange[0]!r}, which is none of its.")
    return found


def _member(archive: zipfile.ZipFile, name: str, source: Path) -> IO[bytes]:
    try:
        return archive.open(name)
    except (KeyError, zipfile.BadZipFile) as error:
        raise RecordsError(f"The backup {source.name} has lost {name}.", _AGAIN) from error


def _digest(packed: IO[bytes]) -> str:
    digest = hashlib.sha256()
    try:
        while chunk := packed.read(_CHUNK):
            digest.update(chunk)
    except (zipfile.BadZipFile, EOFError, OSError):
        return "unreadable"
    return digest.hexdigest()


def _fill(connection: Connection, archive: zipfile.ZipFile, contents: Contents) -> None:
    """The rows into tables as they were at the backup's revision."""
    if revision_of(connection) != contents.revision:
        raise RecordsError("The database is not empty.", "Restore into a new database.")
    tables = MetaData()
    tables.reflect(connection)
    for table in TABLES:
        if table.name not in contents.rows:
            continue
        if table.name not in tables.tables:
            raise RecordsError(
                f"The backup holds rows of {table.name}, which revision {contents.revision!r} did "
                "not have.",
                _AGAIN,
            )
        if connection.scalar(select(func.count()).select_from(tables.tables[table.name])):
            raise RecordsError("The database is not empty.", "Restore into a new database.")
        _fill_table(connection, archive, table, tables.tables[table.name])
        found = connection.scalar(select(func.count()).select_from(tables.tables[table.name]))
        if found != contents.rows[table.name]:
            raise RecordsError(
                f"{found} of {contents.rows[table.name]} rows of {table.name} were restored.",
                "Check the disk.",
            )


def _fill_table(
    connection: Connection, archive: zipfile.ZipFile, table: Table, present: Table
) -> None:
    # Columns of this release know how to keep times and JSON; those that an older revision
    # does not have yet are left out.
    writing = Table(
        table.name,
        MetaData(),
        *(Column(c.name, c.type) for c in table.columns if c.name in present.columns),
    )
    rows: list[dict[str, Any]] = []
    with archive.open(f"tables/{table.name}.jsonl") as lines:
        for line in lines:
            rows.append(_row(json.loads(line), writing))
            if len(rows) == _ROWS_AT_ONCE:
                _insert(connection, writing, rows)
                rows = []
    _insert(connection, writing, rows)
    if connection.dialect.name == "postgresql" and "id" in present.columns:
        connection.execute(
            text(
                f"SELECT setval(pg_get_serial_sequence('{table.name}', 'id'), "
                f"(SELECT COALESCE(MAX(id), 0) + 1 FROM {table.name}), false)"
            )
        )


def _insert(connection: Connection, table: Table, rows: list[dict[str, Any]]) -> None:
    if not rows:
        return
    try:
        connection.execute(insert(table), rows)
    except DBAPIError as error:
        raise RecordsError(f"A row of {table.name} cannot be restored: {error.orig}.") from error


def _row(data: dict[str, Any], table: Table) -> dict[str, Any]:
    found = {}
    for column in table.columns:
        value = data.get(column.name)
        if value is not None and isinstance(column.type, LargeBinary):
            value = base64.b64decode(value)
        elif value is not None and _is_time(column.type):
            value = datetime.fromisoformat(value)
        found[column.name] = value
    return found


def _is_time(kind: object) -> bool:
    return isinstance(getattr(kind, "impl", kind), DateTime)
