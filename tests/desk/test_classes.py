"""Classes come in typed, as CSV and from a OneRoster zip; results go back to the roster.

File and column names: OneRoster 1.1 CSV binding (1EdTech), quoted from memory."""

from __future__ import annotations

import csv
import io
import zipfile

from starlette.testclient import TestClient
from tests.desk.conftest import print_at

from millimark.records import classes
from millimark.records.store import Store

ROSTER = {
    "manifest.csv": "propertyName,value\noneroster.version,1.1\n",
    "classes.csv": "sourcedId,status,title\nc1,,9 Green\n",
    "users.csv": "sourcedId,status,role,givenName,familyName,identifier\n"
    "u1,,student,Ines,Harrow,17\nu2,,teacher,Otto,Brand,1\n",
    "enrollments.csv": "sourcedId,status,classSourcedId,userSourcedId,role\n"
    "e1,,c1,u1,student\ne2,,c1,u2,teacher\n",
}


def roster() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, text in ROSTER.items():
            archive.writestr(name, text)
    return out.getvalue()


def pupils(store: Store) -> list[str]:
    with store.reading() as session:
        return [p.label for c in classes.all_classes(session) for p in c.pupils]


def test_a_csv_list_is_taken_in_with_and_without_names(client: TestClient, store: Store) -> None:
    sent = {"list": ("8blue.csv", b"number,name\n1,Quilla Marrowby\n2,\n", "text/csv")}
    said = client.post("/classes/lists", data={"name": "8 Blue"}, files=sent).text
    assert "2 pupils taken in" in said
    assert "no name kept" in said
    assert pupils(store) == ["Quilla Marrowby", "2"]


def test_a_roster_comes_in_and_its_results_go_back(client: TestClient, store: Store) -> None:
    sent = {"list": ("roster.zip", roster(), "application/zip")}
    assert "Taken in from the roster: 9 Green" in client.post("/classes/lists", files=sent).text
    assert pupils(store) == ["Ines Harrow"]  # the teacher is no pupil
    client.post("/papers")
    run = print_at(client, 1, **{"class": "1", "sheets": "0"})
    assert run.url.path == "/printings/1"
    back = client.get("/printings/1/exports/oneroster.zip", params={"period": " term-2 "})
    assert back.status_code == 200
    with zipfile.ZipFile(io.BytesIO(back.content)) as archive:
        names = set(archive.namelist())
        rows = {n: list(csv.DictReader(io.StringIO(archive.read(n).decode()))) for n in names}
    (item,) = rows["lineItems.csv"]
    assert (item["classSourcedId"], item["gradingPeriodSourcedId"]) == ("c1", "term-2")
    # what is handed back says of each file of the roster whether it is there
    said = {r["propertyName"]: r["value"] for r in rows["manifest.csv"]}
    assert said["oneroster.version"] == "1.1"
    listed = {n for n in ROSTER if n != "manifest.csv"} | {"lineItems.csv", "results.csv"}
    for name in listed:
        told = said[f"file.{name.removesuffix('.csv')}"]
        assert told == ("bulk" if name in names else "absent")
    assert rows["results.csv"] == []  # nothing was scanned yet


def test_an_empty_class_and_a_broken_roster_are_refused(client: TestClient, store: Store) -> None:
    assert client.post("/classes/lists", data={"name": "9 Red"}).status_code == 400
    broken = {"list": ("roster.zip", roster()[:80], "application/zip")}
    assert client.post("/classes/lists", files=broken).status_code == 400
    assert pupils(store) == []
