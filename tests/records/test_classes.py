"""Class lists, OneRoster rosters, pupils with and without names."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Mapping

import pytest
from hypothesis import given
from hypothesis import strategies as st

from millimark.errors import RecordsError, SourceError
from millimark.records import classes
from millimark.records.class_lists import Listed, read_class_list
from millimark.records.oneroster import Scored, read_roster, results_zip
from millimark.records.store import Store

from .strategies import class_lists


@given(class_lists)
def test_a_list_written_by_the_csv_library_is_read_back(pupils: list[Listed]) -> None:
    # the csv module is the independent writer here (RFC 4180 dialect)
    buffer = io.StringIO(newline="")
    writer = csv.writer(buffer)
    writer.writerow(["Name", "Number"])
    writer.writerows([p.name or "", p.number] for p in pupils)
    assert read_class_list(buffer.getvalue().encode("utf-8-sig")) == pupils


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (b"", "no headings"),
        (b"form,age\n1,2\n", "no column 'number' or 'name'"),
        (b"name\n", "no pupil"),
        (b"name,number\nAnn,1\nBo,\n", "row 3.*the number is missing"),
        (b"name\nAnn\nAnn\n", "twice"),
        (b"name\n" + b"x" * 61 + b"\n", "61 characters"),
        (b"name\n\xff\n", "not UTF-8"),
        (b"name\na\x00b\n", "not a text file"),
        ("name\na\u202eb\n".encode(), "cannot be printed"),
    ],
)
def test_a_wrong_list_is_said(text: bytes, said: str) -> None:
    with pytest.raises(SourceError, match=said):
        read_class_list(text)


def test_numbers_alone_make_a_class(empty: Store) -> None:
    with empty.writing() as session:
        made = classes.make_class(session, "7 Oak", read_class_list(b"number\n12\n13\n"))
        assert [(p.number, p.name, p.label) for p in made.pupils] == [
            ("12", None, "12"), ("13", None, "13")
        ]  # fmt: skip


def test_taking_a_list_again_renames_and_adds_and_removes_nobody(empty: Store) -> None:
    with empty.writing() as session:
        made = classes.make_class(session, "7 Oak", read_class_list(b"number,name\n1,Ann\n2,Bo\n"))
        taken = classes.take_list(session, made.id, read_class_list(b"number,name\n2,Bob\n3,Cy\n"))
        assert (taken.added, taken.renamed, taken.missing) == (1, 1, 1)
        assert [p.label for p in made.pupils] == ["Ann", "Bob", "Cy"]


def test_wrong_names_of_classes_and_pupils_are_said(empty: Store) -> None:
    with empty.writing() as session:
        made = classes.make_class(session, "7 Oak")
        pupil = classes.add_pupil(session, made.id, "1")
        for wrong in ("", "  ", "7 Oak", "x" * 121, "a\nb\0"):
            with pytest.raises(RecordsError):
                classes.make_class(session, wrong)
        with pytest.raises(RecordsError, match="taken"):
            classes.add_pupil(session, made.id, "1")
        with pytest.raises(RecordsError, match="no class 99"):
            classes.class_of(session, 99)
        assert classes.rename_pupil(session, pupil.id, " Ann  Ox ").name == "Ann Ox"
        assert classes.rename_pupil(session, pupil.id, "").label == "1"


# --- OneRoster --------------------------------------------------------------------------
# File and column names: 1EdTech OneRoster 1.1, CSV tables [V2: from projects that read and
# write them; the tables themselves were not at hand].
ROSTER = {
    "manifest": "propertyName,value\nmanifest.version,1.0\noneroster.version,1.1\n"
    "file.classes,bulk\nfile.users,bulk\nfile.enrollments,bulk\n",
    "classes": "sourcedId,status,dateLastModified,title,courseSourcedId,classCode\n"
    "c1,,,8 Blue,k,8B\nc2,,,7 Oak,k,7O\nc3,tobedeleted,2026-01-01T00:00:00Z,Old,k,O\n",
    "users": "sourcedId,status,dateLastModified,enabledUser,orgSourcedIds,role,username,"
    "userIds,givenName,familyName,middleName,identifier,email,sms,phone,agentSourcedIds,"
    "grades,password\n"
    "u1,,,true,o,student,tam,,Tam,Wicke,,P7,,,,,8,\n"
    "u2,,,true,o,student,ada,,Ada,Brook,,,,,,,8,\n"
    "u3,,,true,o,teacher,tea,,Rho,Teasel,,,,,,,,\n"
    "u4,tobedeleted,,true,o,student,gone,,Gone,Away,,,,,,,8,\n"
    'u5,,,true,o,student,tam2,,Tam,Wicke,,P9,,,,,"8,9",\n',
    "enrollments": "sourcedId,status,dateLastModified,classSourcedId,schoolSourcedId,"
    "userSourcedId,role,primary,beginDate,endDate\n"
    "e1,,,c1,s,u1,student,,,\ne2,,,c1,s,u2,student,,,\ne3,,,c1,s,u3,teacher,true,,\n"
    "e4,,,c1,s,u4,student,,,\ne5,,,c1,s,u5,student,,,\n",
}


def zipped(files: Mapping[str, str]) -> io.BytesIO:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, content in files.items():
            archive.writestr(f"{name}.csv", content)
    out.seek(0)
    return out


def test_a_roster_gives_its_classes_with_active_pupils() -> None:
    oak, blue = read_roster(zipped(ROSTER))
    assert (oak.title, oak.pupils) == ("7 Oak", ())
    assert blue.sourced_id == "c1"
    assert [(p.number, p.name, p.sourced_id) for p in blue.pupils] == [
        ("ada", "Ada Brook", "u2"),
        ("P7", "Tam Wicke", "u1"),
        ("P9", "Tam Wicke (P9)", "u5"),
    ]


def test_a_roster_can_be_taken_without_names() -> None:
    blue = read_roster(zipped(ROSTER), names=False)[1]
    assert [(p.number, p.name) for p in blue.pupils] == [
        ("ada", None), ("P7", None), ("P9", None)
    ]  # fmt: skip


def _changed(name: str, old: str, new: str) -> io.BytesIO:
    return zipped({**ROSTER, name: ROSTER[name].replace(old, new)})


@pytest.mark.parametrize(
    ("roster", "said"),
    [
        (io.BytesIO(b"not a zip"), "zip file"),
        (zipped({"manifest": ROSTER["manifest"]}), "holds no classes.csv"),
        (_changed("manifest", "oneroster.version,1.1", "oneroster.version,1.0"), "version '1.0'"),
        (_changed("users", "familyName", "surname"), "no column familyName"),
    ],
)
def test_a_wrong_roster_is_said(roster: io.BytesIO, said: str) -> None:
    with pytest.raises(SourceError, match=said):
        read_roster(roster)


def test_a_roster_that_unpacks_without_end_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("millimark.records.oneroster.MOST_BYTES", 10_000)
    bomb = zipped({**ROSTER, "users": ROSTER["users"] + "x" * 20_000})
    with pytest.raises(SourceError, match="unpacks to over"):
        read_roster(bomb)


@pytest.mark.parametrize(
    ("users", "said"),
    [("1,\n" * 6_000, "over 5000 lines"), ("\n" * 6_000, "over 5000 lines"),
     ("x" * 300_000, "cannot be read"), ('"' + "y" * 300_000, "cannot be read")],
)  # fmt: skip
def test_a_roster_of_endless_rows_is_refused_before_it_fills_the_memory(
    users: str, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("millimark.records.oneroster.MOST_ROWS", 5_000)
    with pytest.raises(SourceError, match=said):
        read_roster(zipped({**ROSTER, "users": ROSTER["users"] + users}))


def test_a_roster_whose_packing_is_broken_is_told() -> None:
    data = bytearray(zipped(ROSTER).getvalue())
    place = data.index(b"users.csv") + len(b"users.csv")
    data[place : place + 12] = b"\xff" * 12
    with pytest.raises(SourceError, match="cannot be"):
        read_roster(io.BytesIO(bytes(data)))


def test_results_go_out_under_the_roster_identifiers() -> None:
    from datetime import date

    made = results_zip(
        "li-1", "=Beacons", "c1", 4, [Scored("u1", 3, 0), Scored("u2", 1, 2)], date(2026, 3, 2)
    )
    with zipfile.ZipFile(io.BytesIO(made)) as archive:
        tables = {
            name: list(csv.DictReader(io.StringIO(archive.read(name).decode())))
            for name in archive.namelist()
        }
    said = {row["propertyName"]: row["value"] for row in tables["manifest.csv"]}
    assert said["oneroster.version"] == "1.1"
    files = {k.removeprefix("file."): v for k, v in said.items() if k.startswith("file.")}
    assert {f"{k}.csv" for k, v in files.items() if v == "bulk"} == set(tables) - {"manifest.csv"}
    assert len(files) == 13
    (item,) = tables["lineItems.csv"]
    assert item["title"] == "'=Beacons"
    assert (item["classSourcedId"], item["resultValueMax"]) == ("c1", "4.0")
    assert item["categorySourcedId"] == tables["categories.csv"][0]["sourcedId"]
    assert [
        (r["studentSourcedId"], r["lineItemSourcedId"], r["score"], r["scoreStatus"])
        for r in tables["results.csv"]
    ] == [("u1", "li-1", "3.0", "fully graded"), ("u2", "li-1", "1.0", "partially graded")]


@given(st.text(max_size=80))
def test_no_text_leaves_as_a_formula(text: str) -> None:
    # What a spreadsheet runs begins with one of these (OWASP, CSV injection [M]).
    from millimark.marking.results import safe_cell

    assert not safe_cell(text).startswith(("=", "+", "-", "@", "\t", "\r"))
    assert safe_cell(text).removeprefix("'") == text.removeprefix("'")
