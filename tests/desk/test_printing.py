"""Print runs: for whom, how they are set, what is printed; the press, and pages to look at."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.desk.conftest import PAPER, Marked, print_at

from millimark.desk.press import Job, Press, Report
from millimark.errors import PaperError
from millimark.records import printings
from millimark.records.store import Store

ALL = {
    "question-paper.pdf",
    "model-answers.pdf",
    "overlays.pdf",
    "mark-scheme.pdf",
    "step-booklet.pdf",
    "register.pdf",
}


def files(store: Store, run: int) -> set[str]:
    with store.reading() as session:
        return set(printings.files_of(store, session, run))


def test_what_is_ticked_is_printed_as_it_is_to_be_set(client: TestClient, store: Store) -> None:
    client.post("/papers", data={"text": PAPER})
    wanted = {"with-overlays": "yes", "with-register": "yes"}
    seen = print_at(client, 1, sheets="2", text="24 pt", ground="cream", hand="left", **wanted)
    assert seen.url.path == "/printings/1"
    assert files(store, 1) == {"question-paper.pdf", "overlays.pdf", "register.pdf"}
    with store.reading() as session:
        layout = printings.layout_of(session, 1)
    assert layout.paper["access"] == {"text": "24 pt", "ground": "cream", "hand": "left"}
    assert len(layout.sheets) == 2
    for name in ALL - files(store, 1):
        assert client.get(f"/printings/1/files/{name}").status_code == 404
        assert name not in seen.text


def test_pupils_get_the_sheets_that_they_need_and_get_them_again(marked: Marked) -> None:
    client = marked.client
    listed = client.get("/papers/1/print/pupils", params={"class": "1"}).text
    assert listed.count('<tr><th scope="row">') == 3
    assert " selected" not in listed
    form = {"class": "1", "ground": "blue", "text-2": "24 pt", "hand-3": "left"}
    assert print_at(client, 1, **form).url.path == "/printings/2"
    with marked.store.reading() as session:
        layout = printings.layout_of(session, 2)
        looks = printings.looks_of_class(session, 1)
    assert layout.paper["access"] == {"text": "usual", "ground": "blue", "hand": "right"}
    assert looks == {
        2: {"text": "24 pt", "ground": "blue", "hand": "right"},
        3: {"text": "usual", "ground": "blue", "hand": "left"},
    }
    again = client.get("/papers/1/print/pupils", params={"class": "1"}).text
    assert again.count(" selected") == 6
    assert client.get("/papers/1/print/pupils", params={"class": "9"}).status_code == 404
    assert client.get("/papers/1/print/pupils", params={"class": "x"}).text.strip() == ""


def test_every_page_can_be_looked_at_and_taken(marked: Marked) -> None:
    client = marked.client
    assert files(marked.store, 1) == ALL
    shown = client.get("/printings/1/files/question-paper.pdf/look").text
    assert shown.count("<img ") == 3
    pages = "/printings/1/files/question-paper.pdf/pages"
    pictures = [client.get(f"{pages}/{page}").content for page in (1, 2, 3)]
    assert all(picture.startswith(b"\x89PNG") for picture in pictures)
    assert len(set(pictures)) == 3
    assert client.get(f"{pages}/4").status_code == 404
    assert client.get("/printings/1/files/layout.json/look").status_code == 404
    taken = client.get("/printings/1/files/mark-scheme.pdf?save=yes")
    assert "attachment" in taken.headers["content-disposition"]


def test_a_paper_that_is_not_right_is_not_printed(client: TestClient) -> None:
    client.post("/papers", data={"text": PAPER.replace("6 cm apart", "6 cm part")})
    asked = client.get("/papers/1/print").text
    assert '<a href="/papers/1/questions/2">Question 2</a> is not right yet' in asked
    told = print_at(client, 1, sheets="1").text
    assert "was not expected here" in told
    assert client.get("/printings/1").status_code == 404


def test_a_job_that_the_desk_does_not_know_is_said(client: TestClient) -> None:
    assert client.get("/jobs/none").status_code == 404
    assert "Ask for it once more" in client.get("/jobs/none/progress").text


# --- the press ------------------------------------------------------------------------------------
def counted(report: Report, to: int) -> int:
    for k in range(to):
        report(k, to, f"number {k}")
    return to


def refused(report: Report) -> None:
    raise PaperError("The paper is blank.", "Write a question.")


def killed(report: Report) -> None:
    import os
    import signal

    os.kill(os.getpid(), signal.SIGKILL)


def slow(report: Report) -> None:
    time.sleep(60)


@pytest.fixture(scope="module")
def press() -> Iterator[Press]:
    made = Press()
    yield made
    made.stop()


def ended(press: Press, work: Callable[..., Any], *words: Any) -> Job:
    job = press.order("A job", "/", work, *words, arrive=lambda result: f"/made/{result}")
    for _ in range(600):
        if not job.busy:
            return job
        time.sleep(0.05)
    raise TimeoutError


def test_the_press_tells_how_far_it_is_and_where_to_go(press: Press) -> None:
    job = ended(press, counted, 5)
    assert (job.state, job.result) == ("done", "/made/5")
    assert (job.done, job.total, job.step) == (4, 5, "number 4")
    assert press.job(job.id) is job


def test_a_refusal_is_told_with_what_to_do(press: Press) -> None:
    job = ended(press, refused)
    assert (job.state, job.message, job.hint) == (
        "failed", "The paper is blank.", "Write a question.",
    )  # fmt: skip


def test_a_press_that_dies_is_replaced(press: Press) -> None:
    assert ended(press, killed).state == "failed"
    assert ended(press, counted, 2).state == "done"


def test_what_takes_too_long_is_ended(tmp_path: Path) -> None:
    hurried = Press(seconds=0.5)
    job = ended(hurried, slow)
    hurried.stop()
    assert job.state == "failed"
    assert "longer than" in job.message
