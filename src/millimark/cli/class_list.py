"""A class list: a CSV file with one pupil a row and a column ``name`` (or ``number``)."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from millimark.errors import SourceError

HEADINGS = ("name", "pupil", "number")
LONGEST = 60
"""Characters of a name that the page's heading holds."""
MOST_PUPILS = 2000
MOST_BYTES = 2_000_000
SAVE_AGAIN = "Save the class list again as 'CSV UTF-8' from the spreadsheet."


def read_class(path: Path) -> list[str]:
    """Names in the order of the file; an error names the file, the row and the column."""
    text = _text(path)
    first = text.split("\n", 1)[0]
    delimiter = ";" if ";" in first and "," not in first else ","
    try:
        rows = list(csv.reader(io.StringIO(text), delimiter=delimiter, strict=True))
    except csv.Error as error:
        raise SourceError(f"{path}: this is not a CSV table ({error}).", SAVE_AGAIN) from error
    if not rows or not any(cell.strip() for cell in rows[0]):
        raise SourceError(f"{path}: the first row has no headings.", _needs())
    column = _name_column(path, rows[0])
    names: dict[str, int] = {}
    for row, cells in enumerate(rows[1:], start=2):
        if any(cell.strip() for cell in cells):
            name = _name(path, row, column, rows[0], cells)
            if name in names:
                raise SourceError(
                    f"{path}, row {row}: '{name}' is already in row {names[name]}.",
                    "Two sheets must not carry one name: add an initial or use numbers.",
                )
            names[name] = row
    if not names:
        raise SourceError(f"{path}: there is no pupil under the headings.", _needs())
    if len(names) > MOST_PUPILS:
        raise SourceError(
            f"{path}: {len(names)} pupils; at most {MOST_PUPILS} are printed at once.",
            "Split the list.",
        )
    return list(names)


def _needs() -> str:
    return "A class list needs a first row of headings with 'name', then one pupil a row."


def _text(path: Path) -> str:
    if not path.exists():
        raise SourceError(f"'{path}' does not exist.", "Check the name of the class list.")
    if path.is_dir():
        raise SourceError(f"'{path}' is a folder, not a class list.", "Name the CSV file.")
    if path.stat().st_size > MOST_BYTES:
        raise SourceError(f"'{path}' is too large for a class list.", "Name the CSV file.")
    data = path.read_bytes()
    if not data.strip():
        raise SourceError(f"{path}: the class list is empty.", _needs())
    if b"\0" in data:
        raise SourceError(f"{path}: this is not a text file.", SAVE_AGAIN)
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError as error:
        row = data.count(b"\n", 0, error.start) + 1
        raise SourceError(f"{path}, row {row}: the text is not UTF-8.", SAVE_AGAIN) from error


def _name_column(path: Path, headings: list[str]) -> int:
    plain = [heading.strip().lower() for heading in headings]
    for wanted in HEADINGS:
        if wanted in plain:
            return plain.index(wanted)
    found = ", ".join(f"'{heading.strip()}'" for heading in headings)
    raise SourceError(f"{path}, row 1: no column is called 'name'; found {found}.", _needs())


def _name(path: Path, row: int, column: int, headings: list[str], cells: list[str]) -> str:
    """One pupil's name, or an error that names row and column."""
    where = f"{path}, row {row}, column {column + 1} ('{headings[column].strip()}')"
    name = " ".join(cells[column].split()) if column < len(cells) else ""
    if not name:
        raise SourceError(f"{where}: the name is missing.", "Fill it in or delete the row.")
    if len(name) > LONGEST:
        raise SourceError(
            f"{where}: '{name[:20]}…' has {len(name)} characters; {LONGEST} fit on the page.",
            "Shorten the name.",
        )
    if not name.isprintable():
        raise SourceError(f"{where}: the name holds a character that cannot be printed.")
    return name
