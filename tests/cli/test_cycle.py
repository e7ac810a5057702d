"""The cycle through the real commands, and the published schemas of what it writes."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from millimark import schemas
from millimark.cli.keeping import PRINTED

from .conftest import Command, marks_of

BISECTOR = [
    "A and B are 8 cm apart.",
    "Draw the locus of points that are the same distance from A as from B.",
]


def valid(name: str, data: object) -> bool:
    """Whether data satisfies the schema as `millimark schema` publishes it."""
    Draft202012Validator.check_schema(schemas.schema(name))
    Draft202012Validator(schemas.schema(name)).validate(data)
    return True


@pytest.mark.parametrize("name", schemas.names())
def test_schemas_are_printed_as_json(name: str, command: Command) -> None:
    ran = command("schema", name)
    assert ran.code == 0
    assert json.loads(ran.out) == schemas.schema(name)


def test_the_three_files_have_published_schemas() -> None:
    assert {"layout", "marks", "answer"} <= set(schemas.names())


def test_an_unknown_schema_lists_the_known_ones(command: Command) -> None:
    ran = command("schema", "mrks")
    assert ran.code == 2
    assert "marks" in ran.err


def test_print_gives_each_pupil_a_sheet(paper_file: Path, tmp_path: Path, command: Command) -> None:
    names = tmp_path / "class.csv"
    names.write_text("name\nAda Holt\nBen Okoro\n", encoding="utf-8")
    ran = command("print", paper_file, "--out", tmp_path / "out", "--class", names)
    assert ran.code == 0
    assert [Path(line).name for line in ran.out.split()] == [
        "question-paper.pdf",
        "model-answers.pdf",
        "overlays.pdf",
        "mark-scheme.pdf",
        "step-booklet.pdf",
        "register.pdf",
        "layout.json",
    ]
    assert sorted(p.name for p in (tmp_path / "out").iterdir()) == sorted(PRINTED)
    layout = json.loads((tmp_path / "out" / "layout.json").read_text(encoding="utf-8"))
    assert valid("layout", layout)
    assert [sheet["pupil"] for sheet in layout["sheets"]] == ["Ada Holt", "Ben Okoro"]
    import pikepdf

    with pikepdf.open(tmp_path / "out" / "question-paper.pdf") as pdf:
        assert len(pdf.pages) == sum(len(sheet["pages"]) for sheet in layout["sheets"])


def test_sheets_without_names(paper_file: Path, tmp_path: Path, command: Command) -> None:
    assert command("print", paper_file, "--out", tmp_path, "--sheets", "3").code == 0
    layout = json.loads((tmp_path / "layout.json").read_text(encoding="utf-8"))
    assert [sheet["pupil"] for sheet in layout["sheets"]] == [None, None, None]


def test_mark_writes_valid_marks_for_every_script(
    rehearsed: Path, tmp_path: Path, command: Command
) -> None:
    layout = rehearsed / "layout.json"
    ran = command("mark", rehearsed / "scans", "--layout", layout, "--out", tmp_path)
    assert ran.code == 0
    marks = marks_of(tmp_path)
    assert valid("marks", marks)
    assert len(marks["scripts"]) == 2
    for script in marks["scripts"]:
        assert script["sheet"] in ran.out
        assert f"{script['total']}/{script['out_of']}" in ran.out
    rows = list(csv.reader(io.StringIO((tmp_path / "marks.csv").read_text(encoding="utf-8"))))
    assert len(rows) >= 3
    assert (tmp_path / "annotated.pdf").read_bytes().startswith(b"%PDF-")


def test_solve_as_json_is_one_valid_object(command: Command) -> None:
    ran = command("solve", *BISECTOR, "--json")
    assert ran.code == 0
    assert ran.err == ""
    answer = json.loads(ran.out)
    assert valid("answer", answer)
    assert answer["region"] is None
    assert len(answer["curves"]) == 1


def test_solve_in_words_names_the_element(command: Command) -> None:
    ran = command("solve", " ".join(BISECTOR))
    assert ran.code == 0
    assert "perpendicular bisector of AB" in ran.out


def test_check_says_what_was_understood(paper_file: Path, command: Command) -> None:
    ran = command("check", paper_file)
    assert ran.code == 0
    for part in ("S and T are 7 cm apart.", "perpendicular bisector of ST", "Fair", "Marks"):
        assert part in ran.out


def test_check_as_json_is_valid(paper_file: Path, command: Command) -> None:
    ran = command("check", paper_file, "--json")
    assert ran.code == 0
    checked = json.loads(ran.out)
    assert valid("check", checked)
    assert [q["question"] for q in checked["questions"]] == ["1", "2"]
    assert all(q["fits"] for q in checked["questions"])


TRIANGLE = "Triangle ABC has AB = 8 cm, BC = 6 cm and AC = 10 cm."
MAP = "1 cm represents 2 km."


@pytest.mark.parametrize(
    ("sentences", "says"),
    [
        # The 3-4-5 triangle, doubled: right-angled at B, area half of 8 x 6.
        ([TRIANGLE, "Find the area of triangle ABC."], ["24 cm²"]),
        ([TRIANGLE, "Find the size of angle ABC."], ["90°"]),
        ([TRIANGLE, "Mark the points that are 10 cm from A and 6 cm from B."], ["Points: (8, 6)"]),
        ([MAP, "A and B are 8 km apart.", "Find the distance between A and B."], ["4 cm", "8 km"]),
        ([TRIANGLE, "Shade the region that is less than 4 cm from A and less than 3 cm from B."],
         ["No point satisfies this."]),
    ],
)  # fmt: skip
def test_solve_says_points_and_measures(
    sentences: list[str], says: list[str], command: Command
) -> None:
    ran = command("solve", *sentences)
    assert ran.code == 0
    for part in says:
        assert part in ran.out
