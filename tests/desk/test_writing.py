"""Papers are written, kept and taken back; what is wrong is pointed at."""

from __future__ import annotations

import re

from starlette.testclient import TestClient

from millimark.records import papers
from millimark.records.store import Store


def begun(client: TestClient) -> str:
    """The path of a new paper's first question."""
    return str(client.post("/papers").url.path)


def live(client: TestClient, path: str, given: str, ask: str, seen: int, **more: str) -> str:
    form = {"given": given, "ask": ask, "seen": str(seen), **more}
    answered = client.post(f"{path}/live", data=form)
    assert answered.status_code == 200
    return answered.text


GIVEN = "Triangle PQR has PQ = 7 cm, QR = 6 cm and PR = 5 cm."
ASK = "Shade the region that is nearer to PQ than to PR and less than 4 cm from Q."

CIRCLE = "Draw the locus of points that are 3 cm from A."
OWN = """\
title: T
profile: any method
questions:
  - given: [A and B are 8 cm apart.]
    ask: [Draw the locus of points that are 3 cm from A.]
    tolerance: {length: 3 mm}
"""


def test_a_new_paper_shows_a_question_that_works(client: TestClient) -> None:
    shown = client.get(begun(client)).text
    assert "careful hands" in shown
    assert "<svg " in shown
    assert "perpendicular bisector of AB" in shown


def test_what_is_typed_is_kept_and_comes_back_on_reload(client: TestClient, store: Store) -> None:
    path = begun(client)
    answered = live(client, path, GIVEN, ASK, 1, title="Otters & co", story="A <b>pond</b>.")
    assert 'name="seen" value="2"' in answered
    assert answered.count("<li><b>B1</b>") == 3  # two boundary lines and the region
    again = client.get(path).text
    assert ASK in again
    assert "Otters &amp; co" in again
    assert "&lt;b&gt;pond" in again
    with store.reading() as session:
        assert papers.version_of(session, 1).number == 2


def test_a_wrong_word_is_pointed_at_and_a_mended_sentence_offered(client: TestClient) -> None:
    path = begun(client)
    answered = live(client, path, GIVEN, ASK.replace("from", "form"), 1)
    assert "<mark>form</mark>" in answered
    assert f'data-fix="{ASK}"' in answered


def test_impossible_givens_are_said_not_drawn(client: TestClient) -> None:
    answered = live(client, begun(client), "Triangle PQR has PQ = 2 cm, QR = 3 cm and PR = 9 cm.",
                    "Draw the locus of points that are 2 cm from P.", 1)  # fmt: skip
    assert 'class="fault"' in answered
    assert "<svg" not in answered


def test_undo_and_redo_walk_the_versions(client: TestClient) -> None:
    path = begun(client)
    live(client, path, GIVEN, ASK, 1)
    assert GIVEN not in client.post(f"{path}/step", data={"step": "undo"}).text
    assert GIVEN in client.post(f"{path}/step", data={"step": "redo"}).text
    assert "nothing to redo" in client.post(f"{path}/step", data={"step": "redo"}).text


def test_of_two_writers_the_second_is_told_and_nothing_overwritten(client: TestClient) -> None:
    path = begun(client)
    live(client, path, GIVEN, ASK, 1)
    answered = live(client, path, "A and B are 5 cm apart.", "Draw the locus.", 1)
    assert "saved another version" in answered
    assert GIVEN in client.get(path).text


def test_questions_are_added_and_taken_out(client: TestClient) -> None:
    path = begun(client)
    added = client.post("/papers/1/questions")
    assert added.url.path == "/papers/1/questions/2"
    assert client.post("/papers/1/questions/2/remove").url.path == path
    assert client.post(f"{path}/remove").status_code == 400
    assert client.get("/papers/1/questions/2").status_code == 404


def test_keys_that_the_form_does_not_show_stay(client: TestClient, store: Store) -> None:
    path = client.post("/papers", data={"text": OWN}).url.path
    live(client, path, "A and B are 7 cm apart.", CIRCLE, 1)
    with store.reading() as session:
        kept = papers.version_of(session, 1).text
    assert "profile: any method" in kept
    assert re.search(r"length: 3 mm", kept)
    assert "A and B are 7 cm apart." in kept
