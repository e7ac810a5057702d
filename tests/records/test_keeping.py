"""Handing over, backup and restore, files for the class."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from jsonschema import Draft202012Validator
from sqlalchemy import select, text
from tests.marking.pupil import Hand, on_paper
from tests.marking.test_lines import CIRCLE

from millimark.errors import RecordsError
from millimark.marking.findings import QuestionMarks, Script
from millimark.marking.results import as_json
from millimark.records import backups, blind, exports, handing_over, marks, scripts
from millimark.records.mark_tables import Mark
from millimark.records.models import TABLES, Page, TeachingClass
from millimark.records.store import Store

from .conftest import MARKS, Server, World


def _dump(store: Store) -> dict[str, list[str]]:
    """Every row of every table as text."""
    with store.engine.connect() as connection:
        return {
            table.name: [repr(tuple(row)) for row in connection.execute(
                select(table).order_by(*table.primary_key))]
            for table in TABLES
        }  # fmt: skip


def _lived_in(world: World) -> None:
    with world.store.writing() as session:
        mark = session.scalars(select(Mark)).first()
        assert mark is not None
        marks.change(session, mark.id, "teacher", "R", "smudged: ½ ü", 1)
        blind.decide(session, mark.id, "S", "withheld", "no arcs")


def test_a_backup_gives_everything_back(world: World, tmp_path: Path) -> None:
    _lived_in(world)
    told = backups.back_up(world.store, tmp_path / "b.zip")
    assert told.rows["marks"] == 3 * MARKS
    assert len([f for f in told.files if f.startswith("uploads/")]) == 4
    assert backups.check(tmp_path / "b.zip") == told
    back = backups.restore(tmp_path / "b.zip", tmp_path / "back")
    assert _dump(back) == _dump(world.store)
    for name in told.files:
        assert (back.folder / name).read_bytes() == (world.store.folder / name).read_bytes()
    with back.writing() as session:  # rows go on being numbered after those restored
        session.add(TeachingClass(name="new"))
    back.close()


def test_a_backup_moves_from_one_database_to_the_other(
    world: World, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    server = request.getfixturevalue("server")
    if not isinstance(server, Server) or world.url is not None:
        pytest.skip("from SQLite to PostgreSQL, where there is a server")
    backups.back_up(world.store, tmp_path / "b.zip")
    back = backups.restore(tmp_path / "b.zip", tmp_path / "back", server.database("moved"))
    assert _dump(back) == _dump(world.store)
    with back.writing() as session:
        session.add(TeachingClass(name="new"))
    back.close()


def test_a_backup_of_the_previous_release_is_restored(world: World, tmp_path: Path) -> None:
    if world.url is not None:
        pytest.skip("the backup is the same file on both")
    backups.back_up(world.store, tmp_path / "b.zip")
    with zipfile.ZipFile(tmp_path / "b.zip") as new, zipfile.ZipFile(tmp_path / "o.zip", "w") as o:
        head = json.loads(new.read("backup.json"))
        for later in ("second_opinions", "blind_rounds", "blind_sheets", "page_steps"):
            del head["rows"][later]
        for name in new.namelist():
            data = new.read(name)
            if name == "backup.json":
                data = json.dumps({**head, "revision": "0001"}).encode()
            if name == "tables/marks.jsonl":
                lines = [json.loads(line) for line in data.splitlines()]
                data = b"".join(
                    json.dumps({k: v for k, v in row.items() if k != "machine"}).encode() + b"\n"
                    for row in lines
                )
            o.writestr(name, data)
    back = backups.restore(tmp_path / "o.zip", tmp_path / "back")
    assert _dump(back) == _dump(world.store)
    back.close()


def test_a_damaged_backup_is_refused(world: World, tmp_path: Path) -> None:
    if world.url is not None:
        pytest.skip("the backup is the same file on both")
    good = tmp_path / "b.zip"
    told = backups.back_up(world.store, good)
    name = next(f for f in told.files if f.startswith("uploads/"))

    def rebuilt(change: str, data: bytes | None) -> Path:
        place = tmp_path / "bad.zip"
        with zipfile.ZipFile(good) as old, zipfile.ZipFile(place, "w") as new:
            for member in old.namelist():
                if member != change:
                    new.writestr(member, old.read(member))
                elif data is not None:
                    new.writestr(member, data)
        return place

    head = json.loads(zipfile.ZipFile(good).read("backup.json"))
    older = json.dumps({**head, "revision": "0002"}).encode()
    outside = json.dumps({**head, "files": {"uploads/../../x": "0"}}).encode()
    for place, said in (
        (lambda: rebuilt(name, b"other bytes"), "damaged at uploads"),
        (lambda: rebuilt(name, None), "has lost"),
        (lambda: rebuilt("tables/marks.jsonl", b"{}\n"), "holds 1 rows of marks"),
        (lambda: rebuilt("backup.json", outside), "none of its"),
        (lambda: rebuilt("backup.json", b"{}"), "not a backup"),
        (lambda: rebuilt("backup.json", older), "blind_rounds, which revision '0002' did not have"),
        (lambda: rebuilt("backup.json", json.dumps({**head, "revision": "9"}).encode()), "newer"),
    ):
        with pytest.raises(RecordsError, match=said):
            backups.restore(place(), tmp_path / "never")
    (tmp_path / "cut.zip").write_bytes(good.read_bytes()[:1000])
    with pytest.raises(RecordsError, match="cannot be opened"):
        backups.check(tmp_path / "cut.zip")
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "x").write_text("")
    with pytest.raises(RecordsError, match="not empty"):
        backups.restore(good, tmp_path / "full")
    with pytest.raises(RecordsError, match="cannot be written"):
        backups.back_up(world.store, tmp_path / "no" / "b.zip")


def test_a_pupil_gets_everything_of_theirs_and_nothing_of_others(
    world: World, tmp_path: Path
) -> None:
    _lived_in(world)
    handing_over.export_pupil(world.store, world.pupils[0], tmp_path / "p.zip")
    with zipfile.ZipFile(tmp_path / "p.zip") as archive:
        place = f"pupils/{world.pupils[0]}"
        data = json.loads(archive.read(f"{place}/pupil.json"))
        (page,) = data["scripts"][0]["pages"]
        assert archive.read(page["files"]["picture"])[:3] == b"\xff\xd8\xff"  # JPEG
        assert {n.split("/")[1] for n in archive.namelist() if "/" in n} == {str(world.pupils[0])}
        whole = b"".join(archive.read(n) for n in archive.namelist())
    assert (data["name"], data["number"], data["class"]) == ("Quilla Marrowby", "1", "8 Blue")
    assert sum(len(a["marks"]) for a in data["scripts"][0]["answers"]) == MARKS
    assert b"HYPERLINK" not in whole


def test_all_are_handed_over(world: World, tmp_path: Path) -> None:
    _lived_in(world)
    handing_over.export_all(world.store, tmp_path / "a.zip")
    with zipfile.ZipFile(tmp_path / "a.zip") as archive:
        names = archive.namelist()
        pupils = [json.loads(archive.read(n)) for n in names if n.endswith("pupil.json")]
        version = archive.read("papers/1/version-1.yaml").decode()
    assert [p["number"] for p in pupils] == ["1", "2", "3"]
    assert version.startswith("title: Two beacons")
    assert sum(n.endswith(".jpg") for n in names) == 3
    told = [c for p in pupils for s in p["scripts"] for a in s["answers"] for m in a["marks"]
            for c in m["changes"] + m["opinions"]]  # fmt: skip
    assert {c["why"] for c in told} == {"smudged: ½ ü", "no arcs"}


# --- files for the class ------------------------------------------------------------------
def test_names_leave_as_text_in_every_table(world: World) -> None:
    with world.store.reading() as session:
        table = list(csv.reader(io.StringIO(
            exports.as_csv(session, world.printing_id).decode("utf-8-sig"))))  # fmt: skip
        book = openpyxl.load_workbook(io.BytesIO(exports.as_workbook(session, world.printing_id)))
    assert [row[1] for row in table[1:]] == ["Quilla Marrowby", "'=HYPERLINK(1)", "3"]
    cells = [cell for sheet in book for row in sheet for cell in row]
    assert "'=HYPERLINK(1)" in [cell.value for cell in cells]
    assert all(cell.data_type != "f" for cell in cells)


def test_the_json_follows_its_published_schema(world: World) -> None:
    from importlib import resources

    schema = json.loads((resources.files("millimark") / "schemas" / "marks.json").read_text())
    with world.store.reading() as session:
        data = json.loads(exports.as_json(session, world.printing_id))
    Draft202012Validator(schema).validate(data)
    assert [s["pupil"] for s in data["scripts"]] == ["Quilla Marrowby", "=HYPERLINK(1)", "3"]


def test_the_class_gets_its_pdfs(world: World) -> None:
    import pikepdf

    with world.store.reading() as session:
        annotated = exports.as_annotated(session, world.printing_id)
        sheet = exports.as_class_sheet(session, world.printing_id)
        one = exports.script_of(scripts.marked(session, world.printing_id), "S0002")
    with pikepdf.open(io.BytesIO(annotated)) as pdf:
        assert len(pdf.pages) == 3
    assert sheet.startswith(b"%PDF-")
    assert [s.sheet for s in one.scripts] == ["S0002"]
    assert set(one.kept) == {("S0002", 1)}


def test_oneroster_results_carry_the_rosters_identifiers(world: World) -> None:
    with (
        pytest.raises(RecordsError, match="came from OneRoster"),
        world.store.reading() as session,
    ):
        exports.as_oneroster(session, world.printing_id)
    with world.store.engine.begin() as connection:
        connection.execute(text("UPDATE classes SET sourced_id = 'c9'"))
        connection.execute(text("UPDATE pupils SET sourced_id = 'u' || number WHERE id < 3"))
    with world.store.reading() as session:
        made = exports.as_oneroster(session, world.printing_id)
        totals = {r.pupil_id: r.awarded for r in scripts.grid(session, world.printing_id).rows}
    with zipfile.ZipFile(io.BytesIO(made)) as archive:
        results = list(csv.DictReader(io.StringIO(archive.read("results.csv").decode())))
    assert [r["studentSourcedId"] for r in results] == ["u1", "u2"]
    assert [float(r["score"]) for r in results] == [
        totals[world.pupils[0]], totals[world.pupils[1]]
    ]  # fmt: skip


@pytest.mark.parametrize("scale", [0.94, 1.0, 1.05])
def test_an_element_is_exported_as_it_was_measured_at_every_print_scale(scale: float) -> None:
    """Places are kept in page mm: read back as paper mm they moved with the print scale."""
    hand = Hand(scale=scale)
    centre = on_paper(CIRCLE, scale)["A"]
    hand.arc(centre, 40.0)
    hand.arc(centre, 40.6, 0.0, 90.0)
    marked = replace(hand.marked(CIRCLE), page=1)
    element = replace(marked.elements[0], needle=centre)
    marked = replace(marked, elements=(element,))

    def written(question: QuestionMarks) -> dict[str, Any]:
        data = as_json([], [Script("S0001", None, (question,))], {("S0001", 1): scale})
        found: dict[str, Any] = data["scripts"][0]["questions"][0]
        return found

    first = written(marked)
    again = written(scripts._question(first, Page(page=1, print_scale=scale), []))
    (was,), (now,) = first["elements"], again["elements"]
    assert was["drawn_twice_mm"] > 10.0
    assert was["needle_mm"] == pytest.approx([centre.x / scale, centre.y / scale], abs=1e-3)
    kept = set(was) - {"drawn_with"}  # told from what the records do not keep
    for name in kept:
        assert now[name] == pytest.approx(was[name], abs=2e-4), name
