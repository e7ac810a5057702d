"""Who may ask for what: other sites, other names, paths, sizes, passwords, names with HTML."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.desk.conftest import Marked, desk

from millimark.desk.guards import POLICY
from millimark.desk.password import keep_password
from millimark.errors import RecordsError
from millimark.records import papers
from millimark.records.store import Store

PASSWORD = "seven quiet herons"


def count(store: Store) -> int:
    with store.reading() as session:
        return len(papers.all_papers(session))


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "https://elsewhere.example"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:9999"},
        {"origin": ""},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_a_post_from_another_site_changes_nothing(
    client: TestClient, store: Store, headers: dict[str, str]
) -> None:
    assert client.post("/papers", headers=headers).status_code == 403
    assert count(store) == 0
    assert client.post("/papers").status_code == 200
    assert count(store) == 1


def test_another_name_for_this_machine_is_not_answered(client: TestClient) -> None:
    assert client.get("/", headers={"host": "rebound.example"}).status_code == 421
    assert client.get("/", headers={"host": "localhost:8017"}).status_code == 200


def test_every_answer_carries_the_policy_and_no_page_runs_inline_script(marked: Marked) -> None:
    pages = ["/", "/printings", "/printings/1", "/printings/1/review", "/printings/1/grid",
             "/classes", "/classes/1", "/pupils/1", "/papers/1/questions/1", "/papers/1/print",
             "/papers/77/print", "/static/desk.css", "/nothing", "/printings/1/phone",
             "/phone/page", "/phone/in/nothing", "/api/printings", "/records"]  # fmt: skip
    for path in pages:
        answered = marked.client.get(path)
        assert answered.headers["content-security-policy"] == POLICY, path
        assert answered.headers["x-content-type-options"] == "nosniff"
        assert answered.text.count("<script") == answered.text.count('<script src="/static/')
        assert " style=" not in answered.text, path
        assert " onclick=" not in answered.text, path
    assert "unsafe" not in POLICY


@pytest.mark.parametrize(
    "path",
    [
        "/static/../desk.py",
        "/static/..%2f..%2fpassword.py",
        "/static/%2e%2e/application.py",
        "/printings/1/files/..%2f..%2f..%2fmillimark.sqlite",
        "/printings/1/files/layout.json",
        "/printings/1/files/%2fetc%2fpasswd",
        "/printings/1/files/..%2f..%2fmillimark/pages/1",
        "/printings/1/exports/..%2fmarks.csv",
    ],
)
def test_no_path_leads_out_of_what_is_served(marked: Marked, path: str) -> None:
    answered = marked.client.get(path)
    assert answered.status_code == 404
    assert b"SQLite" not in answered.content
    assert b"root:" not in answered.content


def test_what_is_too_large_is_refused_whether_it_says_so_or_not(
    client: TestClient, store: Store
) -> None:
    large = "x" * 1_000_001
    assert client.post("/papers", data={"text": large}).status_code == 413

    def unsaid() -> Iterator[bytes]:
        yield b"text="
        for _ in range(20):
            yield b"x" * 100_000

    kind = {"content-type": "application/x-www-form-urlencoded"}
    assert client.post("/papers", content=unsaid(), headers=kind).status_code == 413
    assert count(store) == 0


def test_names_with_markup_are_shown_as_written(marked: Marked) -> None:
    reviews = [f"/printings/1/review?mark={i}" for i in range(1, 13)]
    theirs = 0
    for path in ("/printings/1/grid", "/classes/1", "/pupils/2", *reviews):
        text = marked.client.get(path).text
        assert "<b>Tam</b>" not in text
        theirs += "&lt;b&gt;Tam&lt;/b&gt; Oakes" in text
    assert theirs == 3 + 4  # four of the twelve marks are theirs


def test_a_file_name_is_text_and_a_file_that_is_no_scan_is_told(marked: Marked) -> None:
    name = "../../<script>alert(1)</script>.pdf"
    sent = {"scans": (name, b"not a scan", "application/pdf")}
    assert "1 file taken in" in marked.client.post("/printings/1/scans", files=sent).text
    for _ in range(300):
        text = marked.client.get("/printings/1/progress").text
        if "not read" in text:
            break
        time.sleep(0.1)
    assert "not read" in text
    assert "<script>alert" not in text
    outside = [p for p in marked.store.folder.parent.rglob("*") if "alert" in p.name]
    assert outside == []


def test_a_desk_with_a_password_shows_nothing_before_it_is_given(store: Store) -> None:
    keep_password(store.folder, PASSWORD)
    with desk(store, beyond=True) as client:
        for path in ("/", "/classes", "/printings/1/grid", "/pages/1/picture"):
            assert client.get(path, follow_redirects=False).headers["location"] == "/sign-in"
        assert client.post("/papers", follow_redirects=False).status_code == 303
        assert count(store) == 0
        client.get("/sign-in")
        wrong = client.post("/sign-in", data={"name": "R. T.", "password": "wrong"})
        assert wrong.status_code == 403
        right = client.post("/sign-in", data={"name": "R. T.", "password": PASSWORD})
        assert right.url.path == "/"
        assert "Sign out" in right.text
        client.post("/sign-out")
        assert client.get("/", follow_redirects=False).status_code == 303


def test_a_session_from_before_or_under_another_password_lets_nobody_in(store: Store) -> None:
    keep_password(store.folder, PASSWORD)
    with desk(store) as client:
        client.post("/sign-in", data={"name": "R. T.", "password": PASSWORD})
        cookie = client.cookies["millimark"]
    keep_password(store.folder, PASSWORD + " again")
    with desk(store) as client:
        for value in (cookie, cookie[:-2] + "xx", "e30=.x.y"):
            sent = {"cookie": f"millimark={value}"}
            assert client.get("/", headers=sent, follow_redirects=False).status_code == 303


def test_passwords_are_kept_hashed_and_short_ones_refused(store: Store) -> None:
    with pytest.raises(RecordsError):
        keep_password(store.folder, "short")
    keep_password(store.folder, PASSWORD)
    kept = (store.folder / "desk-password").read_text()
    assert kept.startswith("$argon2id$")
    assert PASSWORD not in kept
    assert (store.folder / "desk-password").stat().st_mode & 0o077 == 0


def test_off_loopback_without_a_password_it_does_not_start(tmp_path: Path) -> None:
    words = [sys.executable, "-c", "from millimark.cli import main; main()", "desk"]
    ran = subprocess.run(
        [*words, "--host", "0.0.0.0", "--port", "8099", "--data", str(tmp_path / "d")],
        capture_output=True, text=True, timeout=60, check=False, env=dict(os.environ),
    )  # fmt: skip
    assert ran.returncode == 2
    assert "has no password" in ran.stderr
    assert "--set-password" in ran.stderr


@pytest.mark.parametrize(
    "path",
    ["/printings/{}", "/printings/{}/grid", "/pages/{}/picture", "/classes/{}", "/pupils/{}",
     "/papers/{}/questions/1", "/papers/1/questions/{}", "/printings/1/review?mark={}"],
)  # fmt: skip
@pytest.mark.parametrize("number", ["0", "999", "9" * 9, "9" * 25, "%00", "x"])
def test_numbers_that_no_record_has_are_no_server_error(
    marked: Marked, path: str, number: str
) -> None:
    assert marked.client.get(path.format(number)).status_code < 500
