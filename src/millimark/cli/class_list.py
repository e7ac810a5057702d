"""``--class CLASS.csv``: the names or numbers that the sheets carry."""

from __future__ import annotations

from pathlib import Path

from millimark.errors import SourceError


def read_class(path: Path) -> list[str]:
    """A name, or else a number, for each pupil in the order of the file.

    An error names the file, the row and the column.
    """
    from millimark.records.class_lists import read_class_list

    if not path.exists():
        raise SourceError(f"'{path}' does not exist.", "Check the name of the class list.")
    if path.is_dir():
        raise SourceError(f"'{path}' is a folder, not a class list.", "Name the CSV file.")
    return [pupil.name or pupil.number for pupil in read_class_list(path.read_bytes(), str(path))]
