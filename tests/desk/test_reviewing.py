"""Marks are decided by people; two at once are told; nothing is lost. Exports, deleting."""

from __future__ import annotations

import csv
import io

from httpx2 import Response
from openpyxl import load_workbook
from tests.desk.conftest import Marked

from millimark.records import classes, marks

REVIEW = "/printings/1/review"


def decide(
    marked: Marked, to: str, why: str, seen: int, who: str = "A. Rook", mark: int | None = None
) -> Response:
    form = {"mark": str(mark or marked.waits), "seen": str(seen), "to": to, "why": why, "who": who}
    return marked.client.post(REVIEW, data=form)


def test_the_mark_that_waits_comes_first_with_picture_overlay_and_reason(marked: Marked) -> None:
    text = marked.client.get(REVIEW).text
    assert "For you to decide" in text
    assert "1 waits for you" in text
    assert '<image href="/pages/' in text
    assert "within 0." in text  # lettered by the overlay
    page = marked.client.get("/pages/1/picture")
    assert page.headers["content-type"] == "image/jpeg"
    assert page.content[:2] == b"\xff\xd8"


def test_a_decision_is_kept_with_who_why_and_version(marked: Marked) -> None:
    text = decide(marked, "withheld", "Arcs too faint.", 2).text
    assert "Nothing waits any more" in text
    with marked.store.reading() as session:
        mark = marks.mark_of(session, marked.waits)
        last = marks.history(session, marked.waits)[-1]
        assert (mark.decision, mark.version) == ("withheld", 3)
        assert (last.who, last.why, last.before) == ("A. Rook", "Arcs too faint.", "teacher")
    assert "Arcs too faint." in marked.client.get(f"{REVIEW}?mark={marked.waits}").text


def test_a_change_without_a_reason_is_refused(marked: Marked) -> None:
    assert "needs a reason" in decide(marked, "awarded", " ", 2).text
    assert decide(marked, "perfect", "x", 2).status_code == 400


def test_of_two_at_once_the_second_is_told_what_the_first_decided(marked: Marked) -> None:
    decide(marked, "awarded", "Clear enough.", 2)
    told = decide(marked, "withheld", "Not clear.", 2, who="B. Wren")
    assert told.status_code == 409
    assert "A. Rook decided this mark first" in told.text
    assert "Clear enough." in told.text
    assert "Not clear." in told.text  # what was typed is still there
    with marked.store.reading() as session:
        assert marks.mark_of(session, marked.waits).decision == "awarded"


def test_a_mark_of_another_print_run_cannot_be_reached(marked: Marked) -> None:
    assert marked.client.get(f"{REVIEW}?mark=999").status_code == 404
    assert decide(marked, "awarded", "x", 1, mark=999).status_code == 404


def test_grid_and_exports_say_what_was_decided(marked: Marked) -> None:
    assert "+1?" in marked.client.get("/printings/1/grid").text
    before = total_of(marked, "Quilla Marrowby")
    decide(marked, "awarded", "Clear enough.", 2)
    assert "+1?</span>" not in marked.client.get("/printings/1/grid").text
    assert total_of(marked, "Quilla Marrowby") == before + 1
    book = marked.client.get("/printings/1/exports/marks.xlsx").content
    cells = {str(c.value) for row in load_workbook(io.BytesIO(book)).worksheets[0] for c in row}
    assert "Quilla Marrowby" in cells


def total_of(marked: Marked, pupil: str) -> int:
    text = marked.client.get("/printings/1/exports/marks.csv").text.lstrip("\ufeff")
    (row,) = [r for r in csv.DictReader(io.StringIO(text)) if r["pupil"] == pupil]
    return int(row["total"])


def test_deleting_a_pupil_asks_first_and_then_leaves_nothing(marked: Marked) -> None:
    assert "tick the box first" in marked.client.post("/pupils/1/delete").text
    said = marked.client.post("/pupils/1/delete", data={"sure": "yes"}).text
    assert "The pupil is deleted, with 1 scripts" in said
    with marked.store.reading() as session:
        assert [p.label for p in classes.class_of(session, 1).pupils][-1] == "Pia Finch"
    for path in (
        "/printings/1/grid",
        "/classes/1",
        "/printings/1",
        "/printings/1/exports/marks.csv",
    ):
        assert "Quilla" not in marked.client.get(path).text
    assert marked.client.get("/pupils/1").status_code == 404


def test_one_roster_needs_a_class_from_a_roster(marked: Marked) -> None:
    told = marked.client.get("/printings/1/exports/oneroster.zip")
    assert told.status_code == 400
    assert "did not come" in told.text or "came from OneRoster" in told.text
