"""Class lists: what is read, and errors that name row and column."""

from __future__ import annotations

from pathlib import Path

import pytest

from millimark.cli.class_list import read_class
from millimark.errors import SourceError
from millimark.records.class_lists import LONGEST


def written(tmp_path: Path, content: str | bytes) -> Path:
    path = tmp_path / "class.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


@pytest.mark.parametrize(
    "content",
    [
        "name\nAda Holt\nBen Okoro\n",
        "Name,form\nAda Holt,9T\nBen Okoro,9T\n",
        "form;name\n9T;Ada Holt\n9T;Ben Okoro\n",
        "\ufeffname\r\nAda Holt\r\nBen Okoro\r\n",
        "name\rAda Holt\rBen Okoro",
        'name\n"Ada  Holt"\n\n  Ben Okoro  \n\n',
        "form,pupil\n9T,Ada Holt\n9T,Ben Okoro\n",
    ],
)
def test_spreadsheets_of_many_makes_are_read(tmp_path: Path, content: str) -> None:
    assert read_class(written(tmp_path, content)) == ["Ada Holt", "Ben Okoro"]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", ["no headings"]),
        (b" \n \n", ["no headings"]),
        ("name\n", ["no pupil"]),
        ("surname,form\nHolt,9T\n", ["row 1", "'name'", "'surname'"]),
        (",,\n,,\n", ["first row has no headings"]),
        ("name,form\nAda,9T\n,9T\n", ["row 3", "column 1 ('name')", "missing"]),
        ("form,name\n9T,Ada\n9T\n", ["row 3", "column 2 ('name')", "missing"]),
        ("name\nAda\nBen\nAda\n", ["'Ada'", "rows 2 and 4"]),
        (f"name\n{'x' * (LONGEST + 1)}\n", ["row 2", "characters"]),
        ("name\nA\x07da\n", ["row 2", "cannot be printed"]),
        (b"name\nAda\nBj\xf6rn\n", ["row 3", "UTF-8"]),
        (b"PK\x03\x04\0\0\0", ["not a text file"]),
        ('name\n"Ada\n', ["not a CSV table"]),
    ],
)
def test_errors_name_the_row_and_the_column(
    tmp_path: Path, content: str | bytes, says: list[str]
) -> None:
    with pytest.raises(SourceError) as caught:
        read_class(written(tmp_path, content))
    for part in says:
        assert part in str(caught.value)


def test_a_missing_file_and_a_folder_are_named(tmp_path: Path) -> None:
    with pytest.raises(SourceError, match="does not exist"):
        read_class(tmp_path / "nowhere.csv")
    with pytest.raises(SourceError, match="is a folder"):
        read_class(tmp_path)
