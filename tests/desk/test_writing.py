"""Papers are written, kept and taken back; what is wrong is pointed at."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from millimark.bank.shelf import bank
from millimark.records import papers
from millimark.records.store import Store

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


def begun(client: TestClient, text: str = "") -> str:
    """The path of a new paper's first question."""
    return str(client.post("/papers", data={"text": text}).url.path)


def typed(given: str, ask: str, **more: str) -> dict[str, str]:
    return {"given": given, "ask": ask, **more}


def live(client: TestClient, path: str, given: str, ask: str, **more: str) -> str:
    answered = client.post(f"{path}/live", data=typed(given, ask, **more))
    assert answered.status_code == 200
    return answered.text


def keep(client: TestClient, path: str, given: str, ask: str, seen: int, **more: str) -> str:
    answered = client.post(f"{path}/keep", data=typed(given, ask, seen=str(seen), **more))
    assert answered.status_code == 200
    return answered.text


def text_of(store: Store) -> str:
    with store.reading() as session:
        return papers.version_of(session, 1).text


def test_a_new_paper_shows_a_question_that_works(client: TestClient) -> None:
    shown = client.get(begun(client)).text
    assert "careful hands" in shown
    assert "<svg " in shown
    assert "perpendicular bisector of AB" in shown


@pytest.mark.parametrize("text", ["title: T\nquestions: []\n", "title: T\n", "- a\n", "a: [\n"])
def test_a_file_that_is_no_paper_is_not_taken_in(client: TestClient, text: str) -> None:
    told = client.post("/papers", data={"text": text})
    assert told.status_code == 400
    assert 'class="fault"' in told.text


def test_a_sentence_can_be_typed_character_by_character(client: TestClient) -> None:
    """Whatever stands there meanwhile is shown or its fault is told, never an error of the desk."""
    path = begun(client)
    for end in range(1, len(ASK) + 1):
        live(client, path, GIVEN, ASK[:end])


def test_what_is_typed_is_shown_before_it_is_kept(client: TestClient, store: Store) -> None:
    path = begun(client)
    answered = live(client, path, GIVEN, ASK)
    assert answered.count("<li><b>B1</b>") == 3  # two boundary lines and the region
    with store.reading() as session:
        assert papers.version_of(session, 1).number == 1


def test_what_is_typed_is_kept_and_comes_back_on_reload(client: TestClient, store: Store) -> None:
    path = begun(client)
    answered = keep(client, path, GIVEN, ASK, 1, title="Otters & co", story="A <b>pond</b>.")
    assert 'name="seen" value="2"' in answered
    again = client.get(path).text
    assert ASK in again
    assert "Otters &amp; co" in again
    assert "&lt;b&gt;pond" in again
    assert 'value="2"' in keep(client, path, GIVEN, ASK, 2)  # nothing new: no version
    with store.reading() as session:
        assert papers.version_of(session, 1).number == 2


def test_a_wrong_word_is_pointed_at_and_a_mended_sentence_offered(client: TestClient) -> None:
    answered = live(client, begun(client), GIVEN, ASK.replace("from", "form"))
    assert "<mark>form</mark>" in answered
    assert f'data-fix="{ASK}"' in answered


def test_a_fault_leaves_what_was_right_last_in_sight(client: TestClient) -> None:
    path = begun(client)
    wrong = client.post(f"{path}/live", data=typed(GIVEN, "Draw the"))
    assert wrong.headers["hx-reswap"] == "none"
    right = client.post(f"{path}/live", data=typed(GIVEN, ASK))
    assert "hx-reswap" not in right.headers
    assert '<div id="fault" hx-swap-oob="innerHTML"></div>' in right.text


def test_impossible_givens_are_said_not_drawn(client: TestClient) -> None:
    answered = live(client, begun(client), "Triangle PQR has PQ = 2 cm, QR = 3 cm and PR = 9 cm.",
                    "Draw the locus of points that are 2 cm from P.")  # fmt: skip
    assert 'class="fault"' in answered
    assert "<svg" not in answered


def test_undo_and_redo_walk_the_versions(client: TestClient) -> None:
    path = begun(client)
    keep(client, path, GIVEN, ASK, 1)
    assert GIVEN not in client.post(f"{path}/step", data={"step": "undo"}).text
    assert GIVEN in client.post(f"{path}/step", data={"step": "redo"}).text
    assert "nothing to redo" in client.post(f"{path}/step", data={"step": "redo"}).text


def test_of_two_writers_the_second_is_told_and_nothing_overwritten(client: TestClient) -> None:
    path = begun(client)
    keep(client, path, GIVEN, ASK, 1)
    answered = keep(client, path, "A and B are 5 cm apart.", "Draw the locus.", 1)
    assert "saved another version" in answered
    assert GIVEN in client.get(path).text


def test_sending_the_same_once_more_is_no_conflict(client: TestClient) -> None:
    """A browser that leaves a page may send what it sent already."""
    path = begun(client)
    keep(client, path, GIVEN, ASK, 1)
    assert "saved another version" not in keep(client, path, GIVEN, ASK, 1)


def test_questions_are_added_and_taken_out(client: TestClient) -> None:
    path = begun(client)
    added = client.post("/papers/1/questions")
    assert added.url.path == "/papers/1/questions/2"
    assert client.post("/papers/1/questions/2/remove").url.path == path
    assert client.post(f"{path}/remove").status_code == 400
    assert client.get("/papers/1/questions/2").status_code == 404


def test_keys_that_the_form_does_not_send_stay(client: TestClient, store: Store) -> None:
    path = begun(client, OWN)
    keep(client, path, "A and B are 7 cm apart.", CIRCLE, 1)
    kept = text_of(store)
    assert "profile: any method" in kept
    assert re.search(r"length: 3 mm", kept)
    assert "A and B are 7 cm apart." in kept


FIELDS = [
    ("page", "A3", "page: A3"),
    ("profile", "England", "profile: England"),
    ("ruler", "15 cm", "ruler: 15 cm"),
    ("compasses", "10 cm", "compasses: 10 cm"),
    ("protractor", "false", "protractor: false"),
    ("length", "3 mm", "length: 3 mm"),
    ("angle", "3 deg", "angle: 3 deg"),
    ("text", "24 pt", "text: 24 pt"),
    ("ground", "cream", "ground: cream"),
    ("hand", "left", "hand: left"),
    ("seed", "9", "seed: 9"),
    ("marks", "2", "marks: 2"),
    ("own-length", "1 mm", "length: 1 mm"),
    ("mirror", "true", "mirror: true"),
    ("turn", "30 deg", "turn: 30 deg"),
    ("turn", "false", "turn: false"),
    ("aid", "grid", "- grid"),
    ("scheme", "M1 all of the circle, centre A, radius 3 cm", "- M1 all of the circle"),
]


@pytest.mark.parametrize(("name", "said", "written"), FIELDS)
def test_every_field_is_written_read_shown_and_emptied(
    client: TestClient, store: Store, name: str, said: str, written: str
) -> None:
    path = begun(client)
    given = "A and B are 8 cm apart."
    answered = live(client, path, given, CIRCLE, **{name: said})
    if name != "marks":  # two marks cannot be given for a circle: that is said
        assert 'class="fault"' not in answered
    keep(client, path, given, CIRCLE, 1, **{name: said})
    assert written in text_of(store)
    page = client.get(path).text
    assert said in page
    keep(client, path, given, CIRCLE, 2, **{name: ""})
    assert written not in text_of(store)
    assert "{}" not in text_of(store)


def test_values_that_vary_are_written_a_name_to_a_line(client: TestClient, store: Store) -> None:
    path = begun(client)
    values = "AB: 6 cm to 9 cm in steps of 0.5 cm\nr: 2 cm, 3 cm"
    ask = "Draw the locus of points that are {r} from A."
    answered = live(client, path, "A and B are {AB} apart.", ask, choose=values)
    assert 'class="fault"' not in answered
    keep(client, path, "A and B are {AB} apart.", ask, 1, choose=values)
    assert "AB: 6 cm to 9 cm in steps of 0.5 cm" in text_of(store)
    assert values in client.get(path).text


def test_the_working_is_told_act_by_act(client: TestClient) -> None:
    answered = live(client, begun(client), GIVEN, ASK, view="steps")
    told = {int(n) for n in re.findall(r'data-told="([0-9]+)"', answered)}
    drawn = {int(n) for n in re.findall(r'data-act="([0-9]+)"', answered)}
    assert told == set(range(1, max(told) + 1))
    assert drawn <= told
    assert max(told) in drawn  # the last act is the shading
    assert "Why it works:" in answered


def test_the_whole_page_is_shown_as_it_will_print(client: TestClient) -> None:
    path = begun(client)
    answered = live(client, path, GIVEN, ASK, view="page")
    found = re.search(r'src="(/proofs/[0-9a-f]{32})"', answered)
    assert found
    picture = client.get(found[1])
    assert picture.content.startswith(b"\x89PNG")
    other = re.search(r"/proofs/[0-9a-f]{32}", live(client, path, GIVEN, CIRCLE.replace("A", "P")))
    assert other is None or other[0] != found[1]  # the view is the browser's, chosen with it
    assert client.get("/proofs/none").status_code == 404
    assert "/proofs/" in client.get(path).text  # the view that was chosen comes back


def test_the_page_says_which_other_question_is_wrong(client: TestClient) -> None:
    path = begun(client)
    client.post("/papers/1/questions")
    answered = live(client, path, GIVEN, ASK, view="page")
    assert '<a href="/papers/1/questions/2">Question 2</a> is not right yet' in answered


def test_questions_of_the_bank_are_sifted_seen_and_dropped_in(
    client: TestClient, store: Store
) -> None:
    begun(client)
    code = next(q for q in bank() if "G-C.A.3" in q.codes)
    shown = client.get("/papers/1/bank", params={"code": "G-C.A.3"}).text
    assert f"q-{code.id}" in shown
    assert f"{len([q for q in bank() if 'G-C.A.3' in q.codes])} of {len(bank())}" in shown
    goat = client.get("/papers/1/bank", params={"words": "goat nettle", "level": "4"}).text
    assert "1 of" in goat
    assert "goat-at-shed" in goat
    assert "<svg " in client.get("/bank/goat-at-shed").text
    assert client.get("/bank/goat").status_code == 400
    added = client.post("/papers/1/bank", data={"id": "goat-at-shed"})
    assert added.url.path == "/papers/1/questions/2"
    assert "tied to A outside ABCD" in text_of(store)
    assert client.post("/papers/1/bank", data={"id": "two-nests", "stay": "yes"}).url.path == (
        "/papers/1/bank"
    )
    assert client.post("/papers/1/bank", data={"id": "../x"}).status_code == 400


def test_the_paper_file_can_be_taken(client: TestClient) -> None:
    begun(client, OWN)
    taken = client.get("/papers/1/file")
    assert taken.text == OWN
    assert "attachment" in taken.headers["content-disposition"]


def test_a_paper_shows_its_first_page_or_a_blank_one(client: TestClient) -> None:
    begun(client)
    assert client.get("/papers/1/front").content.startswith(b"\x89PNG")
    keep(client, "/papers/1/questions/1", GIVEN, "Draw.", 1)
    assert client.get("/papers/1/front").text.startswith("<svg")


def test_a_paper_is_deleted_where_that_is_said_twice(client: TestClient, store: Store) -> None:
    begun(client)
    assert "tick the box" in client.post("/papers/1/delete").text
    assert client.post("/papers/1/delete", data={"sure": "yes"}).url.path == "/"
    with store.reading() as session:
        assert papers.all_papers(session) == []
