"""OneRoster CSV, version 1.1 (1EdTech): classes read from a zip, results written as one.

Columns that are read or written are those of the 1.1 tables; which of them the reader needs
is said where it misses one.
"""

from __future__ import annotations

import csv
import io
import lzma
import zipfile
import zlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import IO

from millimark.errors import SourceError
from millimark.marking.results import safe_cell
from millimark.records.class_lists import Listed, plain_name

MOST_BYTES = 100_000_000
"""Unpacked size of one file that is read: a large district's users are about 40 MB."""
MOST_ROWS = 500_000
"""Lines of one file that is read."""
_LONGEST_LINE = 1 << 18
_READ = frozenset((
    "propertyName", "value", "sourcedId", "status", "title", "role", "givenName", "familyName",
    "identifier", "username", "classSourcedId", "userSourcedId",
))  # fmt: skip
"""The columns that are read; no others are kept."""
FILES = (
    "academicSessions",
    "categories",
    "classes",
    "classResources",
    "courses",
    "courseResources",
    "demographics",
    "enrollments",
    "lineItems",
    "orgs",
    "resources",
    "results",
    "users",
)
_AGAIN = "Export it again as OneRoster CSV 1.1 from the school's information system."


@dataclass(frozen=True)
class RosterClass:
    """A class of a roster with its pupils, by family name then given name."""

    sourced_id: str
    title: str
    pupils: tuple[Listed, ...]


@dataclass(frozen=True)
class Scored:
    """One pupil's total of one print run; ``waiting`` marks are not decided yet."""

    student: str
    score: int
    waiting: int
    comment: str = ""


def read_roster(source: Path | io.BytesIO, names: bool = True) -> list[RosterClass]:
    """The classes of a OneRoster zip by title; active pupils only.

    ``names`` False keeps numbers alone (the roster's identifier, else user name). SourceError
    if it is no such zip, of another version, or a column is missing.
    """
    try:
        with zipfile.ZipFile(source) as archive:
            _check_manifest(_table(archive, "manifest", ("propertyName", "value")))
            classes = _table(archive, "classes", ("sourcedId", "title"))
            users = _table(archive, "users", ("sourcedId", "role", "givenName", "familyName"))
            enrolled = _table(archive, "enrollments", ("classSourcedId", "userSourcedId", "role"))
    except (zipfile.BadZipFile, NotImplementedError, EOFError, OSError) as error:
        raise SourceError(
            f"The roster cannot be opened as a zip file ({error}).", _AGAIN
        ) from error
    pupils = {u["sourcedId"]: u for u in users if u["role"] == "student" and _active(u)}
    members: dict[str, set[str]] = {}
    for e in enrolled:
        if e["role"] == "student" and _active(e) and e["userSourcedId"] in pupils:
            members.setdefault(e["classSourcedId"], set()).add(e["userSourcedId"])
    found = [
        RosterClass(
            c["sourcedId"],
            plain_name(c["title"], f"class {c['sourcedId']}") or c["sourcedId"],
            _listed([pupils[u] for u in members.get(c["sourcedId"], ())], names),
        )
        for c in classes
        if _active(c)
    ]
    return sorted(found, key=lambda c: (c.title.casefold(), c.sourced_id))


def _listed(users: Iterable[dict[str, str]], names: bool) -> tuple[Listed, ...]:
    ordered = sorted(
        users,
        key=lambda u: (u["familyName"].casefold(), u["givenName"].casefold(), u["sourcedId"]),
    )
    pupils: list[Listed] = []
    numbers: set[str] = set()
    called: set[str] = set()
    for user in ordered:
        where = f"user {user['sourcedId']}"
        number = plain_name(
            user.get("identifier") or user.get("username") or user["sourcedId"], where
        )
        if number in numbers:
            number = plain_name(user["sourcedId"], where)
        name = plain_name(f"{user['givenName']} {user['familyName']}", where) if names else ""
        if name and name in called:  # two pupils of one name: their numbers tell them apart
            name = plain_name(f"{name} ({number})", where)
        numbers.add(number)
        called.add(name)
        pupils.append(Listed(number, name or None, user["sourcedId"]))
    return tuple(pupils)


def _active(row: dict[str, str]) -> bool:
    """Bulk files leave status empty; delta files say 'active' or 'tobedeleted'."""
    return row.get("status", "").strip().casefold() in ("", "active")


def _check_manifest(rows: Sequence[dict[str, str]]) -> None:
    said = {row["propertyName"]: row["value"] for row in rows}
    version = said.get("oneroster.version", "")
    if version not in ("1.1", "1.2"):
        raise SourceError(
            f"The roster is of OneRoster version {version or 'unknown'!r}; 1.1 is read.", _AGAIN
        )


def _table(archive: zipfile.ZipFile, name: str, needed: Sequence[str]) -> list[dict[str, str]]:
    """The rows of one file of the archive as text by column."""
    file = f"{name}.csv"
    entry = next((i for i in archive.infolist() if i.filename == file), None)
    if entry is None:
        raise SourceError(f"The roster holds no {file}.", _AGAIN)
    if entry.flag_bits & 1:
        raise SourceError(f"{file} of the roster is encrypted.", _AGAIN)
    try:
        with archive.open(entry) as packed:
            rows = csv.DictReader(_lines(packed, file), restval="", strict=True)
            columns = [c for c in rows.fieldnames or () if c in _READ]
            if missing := [c for c in needed if c not in columns]:
                raise SourceError(
                    f"{file} of the roster has no column {', '.join(missing)}.", _AGAIN
                )
            return [{c: row[c].strip() for c in columns} for row in rows]
    except (UnicodeDecodeError, csv.Error, zlib.error, lzma.LZMAError) as error:
        raise SourceError(f"{file} of the roster cannot be read: {error}.", _AGAIN) from error


def _lines(packed: IO[bytes], file: str) -> Iterator[str]:
    """The lines of a file as they unpack: what the header says of its size is not trusted, and
    no more than a line is held. SourceError where they do not end."""
    text = io.TextIOWrapper(packed, "utf-8-sig", newline="")
    size = 0
    for number, line in enumerate(iter(lambda: text.readline(_LONGEST_LINE), "")):
        size += len(line)
        if size > MOST_BYTES:
            raise SourceError(
                f"{file} of the roster unpacks to over {MOST_BYTES // 10**6} MB.", _AGAIN
            )
        if number > MOST_ROWS:
            raise SourceError(f"{file} of the roster has over {MOST_ROWS} lines.", _AGAIN)
        yield line


# --- results ---------------------------------------------------------------------------
def results_zip(
    line_item: str,
    title: str,
    class_sourced_id: str,
    out_of: int,
    scored: Sequence[Scored],
    day: date,
    grading_period: str = "",
) -> bytes:
    """A OneRoster 1.1 zip with one line item and a result for each pupil.

    ``line_item`` is its identifier here (the same print run keeps the same one);
    ``grading_period`` the school's identifier of the term, "" where it is not known.
    """
    stamp = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%S.000Z")
    category = "millimark-constructions"
    head = ("sourcedId", "status", "dateLastModified")
    tables: dict[str, list[Sequence[str]]] = {
        "categories": [
            (*head, "title"),
            (category, "active", stamp, "Constructions and loci"),
        ],
        "lineItems": [
            (
                *head, "title", "description", "assignDate", "dueDate", "classSourcedId",
                "categorySourcedId", "gradingPeriodSourcedId", "resultValueMin", "resultValueMax",
            ),
            (
                line_item, "active", stamp, title, "", day.isoformat(), day.isoformat(),
                class_sourced_id, category, grading_period, "0.0", f"{out_of}.0",
            ),
        ],
        "results": [
            (
                *head, "lineItemSourcedId", "studentSourcedId", "scoreStatus", "score",
                "scoreDate", "comment",
            ),
            *(
                (
                    f"{line_item}-{s.student}", "active", stamp, line_item, s.student,
                    "partially graded" if s.waiting else "fully graded",
                    f"{s.score}.0", day.isoformat(), s.comment,
                )
                for s in scored
            ),
        ],
    }  # fmt: skip
    manifest: list[Sequence[str]] = [
        ("propertyName", "value"),
        ("manifest.version", "1.0"),
        ("oneroster.version", "1.1"),
        *((f"file.{name}", "bulk" if name in tables else "absent") for name in FILES),
        ("source.systemName", "Millimark"),
        ("source.systemCode", "millimark"),
    ]
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, rows in [("manifest", manifest), *tables.items()]:
            archive.writestr(f"{name}.csv", _csv(rows))
    return out.getvalue()


def _csv(rows: Iterable[Sequence[str]]) -> str:
    buffer = io.StringIO(newline="")
    writer = csv.writer(buffer, lineterminator="\r\n")
    writer.writerows([safe_cell(cell) for cell in row] for row in rows)
    return buffer.getvalue()
