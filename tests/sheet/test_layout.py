"""layout.json: written, read back, checked against its schema, refused when damaged."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from millimark.errors import SourceError
from millimark.sheet.border import border_dots, border_marks
from millimark.sheet.layout import (
    CodeBox,
    Layout,
    PageMap,
    QuestionPlace,
    SheetMap,
    as_json,
    read_layout,
    write_layout,
)

SCHEMA = json.loads(
    (Path(__file__).parents[2] / "src/millimark/schemas/layout.json").read_text("utf-8")
)


def small_layout() -> Layout:
    place = QuestionPlace(
        "1", (17.0, 40.0, 193.0, 140.0), 10.0, {"A": (60.0, 90.0)}, (60.0, 90.0), 12.5, True
    )
    page = PageMap(
        1, 3, 210.0, 297.0, (place,), border_marks(210.0, 297.0), border_dots(210.0, 297.0),
        (CodeBox("7K2QXW-S0001-01-5D", (1.0, 2.0, 3.0, 4.0)),), (55.0, 276.5, 155.0, 276.5),
    )  # fmt: skip
    sheet = SheetMap("S0001", "Ada Ø.", (page,))
    return Layout({"title": "T", "questions": []}, "7K2QXW", (sheet,), "ab" * 32)


def test_a_layout_is_read_back_as_it_was_written(tmp_path: Path) -> None:
    write_layout(small_layout(), tmp_path / "layout.json")
    assert read_layout(tmp_path / "layout.json") == small_layout()


def test_what_is_written_is_valid_by_the_schema() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    data = json.loads(json.dumps(as_json(small_layout())))
    assert list(Draft202012Validator(SCHEMA).iter_errors(data)) == []


def damaged(change: Callable[[Any], object]) -> str:
    data = json.loads(json.dumps(as_json(small_layout())))
    change(data)
    return json.dumps(data)


BROKEN = {
    "empty": ("", "not JSON"),
    "cut short": (json.dumps(as_json(small_layout()))[:300], "not JSON"),
    "a list": ("[1, 2]", "not a sheet map"),
    "another format": (damaged(lambda d: d.update(format="other")), "not a sheet map"),
    "a later version": (damaged(lambda d: d.update(version=2)), "version 2"),
    "no sheets": (damaged(lambda d: d.pop("sheets")), "damaged at the top"),
    "a bad frame": (
        damaged(lambda d: d["sheets"][0]["pages"][0]["questions"][0].update(frame_mm=[1, 2])),
        "damaged at sheets/0/pages/0/questions/0/frame_mm",
    ),
}


@pytest.mark.parametrize(("text", "message"), BROKEN.values(), ids=BROKEN)
def test_a_damaged_file_is_refused_by_name(tmp_path: Path, text: str, message: str) -> None:
    path = tmp_path / "layout.json"
    path.write_text(text, "utf-8")
    with pytest.raises(SourceError, match=message) as caught:
        read_layout(path)
    assert "layout.json" in str(caught.value)


def test_a_missing_file_and_a_folder_are_said_so(tmp_path: Path) -> None:
    with pytest.raises(SourceError, match="there is no such file"):
        read_layout(tmp_path / "none.json")
    with pytest.raises(SourceError, match="folder"):
        read_layout(tmp_path)
