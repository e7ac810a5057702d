"""Class lists as text: CSV with headings 'number', 'name' or both. No database.

A number suffices: names may be left out for some pupils or for all.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass

from millimark.errors import SourceError

NUMBER_HEADINGS = ("number", "no", "no.", "id")
NAME_HEADINGS = ("name", "pupil", "full name")
LONGEST = 60
"""Characters of a name or number that the page's heading holds."""
MOST_PUPILS = 2_000
MOST_BYTES = 2_000_000
_SAVE_AGAIN = "Save the class list again as 'CSV UTF-8' from the spreadsheet."
_NEEDS = "A class list needs a first row of headings with 'number', 'name' or both."


@dataclass(frozen=True)
class Listed:
    """A pupil as a list names them; ``sourced_id`` is a OneRoster identifier or None."""

    number: str
    name: str | None = None
    sourced_id: str | None = None


def read_class_list(data: bytes, what: str = "the class list") -> list[Listed]:
    """Pupils in the order of the list; SourceError names the row and what is wrong with it.

    Without a column of numbers pupils are numbered 1, 2 … in order. ``what`` names the list in
    messages.
    """
    rows = _rows(data, what)
    headings = [cell.strip().casefold() for cell in rows[0]]
    number_at, name_at = _column(headings, NUMBER_HEADINGS), _column(headings, NAME_HEADINGS)
    if number_at is None and name_at is None:
        found = ", ".join(f"'{cell.strip()}'" for cell in rows[0])
        raise SourceError(f"{what}, row 1: no column 'number' or 'name'; found {found}.", _NEEDS)
    pupils: list[Listed] = []
    at: list[int] = []
    for row, cells in enumerate(rows[1:], start=2):
        if not any(cell.strip() for cell in cells):
            continue
        name = plain_name(_cell(cells, name_at), _where(what, row, name_at, rows[0])) or None
        where = _where(what, row, number_at if number_at is not None else name_at, rows[0])
        number = plain_name(_cell(cells, number_at), where)
        if not number and (number_at is not None or name is None):
            raise SourceError(
                f"{where}: the {'number' if number_at is not None else 'name'} is missing.",
                "Fill it in or delete the row.",
            )
        pupils.append(Listed(number or str(len(pupils) + 1), name))
        at.append(row)
    check_list(pupils, what, at)
    return pupils


def _where(what: str, row: int, column: int | None, headings: Sequence[str]) -> str:
    if column is None:
        return f"{what}, row {row}"
    return f"{what}, row {row}, column {column + 1} ('{headings[column].strip()}')"


def check_list(pupils: Sequence[Listed], what: str, rows: Sequence[int] | None = None) -> None:
    """SourceError if the list is empty, too long, or has one number or name twice.

    ``rows`` are the rows in which the pupils stand, for the message, if it has rows.
    """
    if not pupils:
        raise SourceError(f"{what}: there is no pupil under the headings.", _NEEDS)
    if len(pupils) > MOST_PUPILS:
        raise SourceError(
            f"{what}: {len(pupils)} pupils; a class holds at most {MOST_PUPILS}.", "Split the list."
        )
    seen: dict[tuple[str, str], int] = {}
    for i, pupil in enumerate(pupils):
        for kind, text in (("number", pupil.number), ("name", pupil.name)):
            if text is None:
                continue
            if (kind, text) in seen:
                raise SourceError(
                    f"{what}: the {kind} '{text}' stands there twice"
                    + (f", in rows {rows[seen[kind, text]]} and {rows[i]}." if rows else "."),
                    "Two sheets must not carry one name: add an initial or use numbers.",
                )
            seen[kind, text] = i


def plain_name(text: str, where: str) -> str:
    """A name or number with single spaces; SourceError if a page cannot show it."""
    name = " ".join(text.split())
    if len(name) > LONGEST:
        raise SourceError(
            f"{where}: '{name[:20]}…' has {len(name)} characters; {LONGEST} fit on the page.",
            "Shorten it.",
        )
    if not name.isprintable():
        raise SourceError(f"{where}: a name holds a character that cannot be printed.")
    return name


def _rows(data: bytes, what: str) -> list[list[str]]:
    if len(data) > MOST_BYTES:
        raise SourceError(f"{what}: too large for a class list.", "Name the CSV file.")
    if b"\0" in data:
        raise SourceError(f"{what}: this is not a text file.", _SAVE_AGAIN)
    try:
        text = data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError as error:
        row = data.count(b"\n", 0, error.start) + 1
        raise SourceError(f"{what}, row {row}: the text is not UTF-8.", _SAVE_AGAIN) from error
    first = text.split("\n", 1)[0]
    delimiter = ";" if ";" in first and "," not in first else ","
    try:
        rows = list(csv.reader(io.StringIO(text), delimiter=delimiter, strict=True))
    except csv.Error as error:
        raise SourceError(f"{what}: this is not a CSV table ({error}).", _SAVE_AGAIN) from error
    if not rows or not any(cell.strip() for cell in rows[0]):
        raise SourceError(f"{what}: the first row has no headings.", _NEEDS)
    return rows


def _column(headings: Sequence[str], wanted: Sequence[str]) -> int | None:
    return next((headings.index(each) for each in wanted if each in headings), None)


def _cell(cells: Sequence[str], column: int | None) -> str:
    return cells[column] if column is not None and column < len(cells) else ""
