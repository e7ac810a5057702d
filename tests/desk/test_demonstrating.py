"""Demonstrations at the desk: questions and constructions, either hand, and their files."""

from __future__ import annotations

import re
import time
from importlib.util import find_spec

import pytest
from starlette.testclient import TestClient
from tests.desk.conftest import PAPER

from millimark.desk import demonstrating
from millimark.working.catalogue import CATALOGUE

QUESTION = "/papers/1/questions/1/show"
INCIRCLE = "/constructions/incircle/show"


def begun(client: TestClient) -> None:
    client.post("/papers", data={"text": PAPER})


def test_a_question_and_a_construction_are_shown_by_script_of_the_desks_own(
    client: TestClient,
) -> None:
    begun(client)
    for path in (QUESTION, INCIRCLE):
        shown = client.get(path).text
        assert 'id="tool-compasses"' in shown
        scripts = re.findall(r"<script([^>]*)>", shown)
        assert all("src=" in tag or 'type="application/json"' in tag for tag in scripts)
        assert "<style" not in shown
        assert " style=" not in shown


def test_the_other_hand_holds_the_pencil_the_other_way(client: TestClient) -> None:
    begun(client)
    for path in (QUESTION, INCIRCLE):
        right, left = (client.get(path, params={"hand": hand}).text for hand in ("right", "left"))
        assert "rotate(35)" in right
        assert "rotate(-35)" in left
        assert client.get(path).text == right


def test_its_files_can_be_taken(client: TestClient) -> None:
    begun(client)
    starts = {
        "demonstration.html": b"<!doctype html>",
        "captions.vtt": b"WEBVTT",
        "transcript.txt": b"Two beacons: question 1",
        "step-sheets.pdf": b"%PDF-",
    }
    assert set(starts) == set(demonstrating.FILES)
    for name, start in starts.items():
        taken = client.get(f"{QUESTION}/{name}")
        assert taken.content.startswith(start)
        assert name in taken.headers["content-disposition"]
    assert client.get(f"{INCIRCLE}/captions.vtt").content.startswith(b"WEBVTT")
    assert client.get(f"{INCIRCLE}/layout.json").status_code == 404
    assert client.get("/films/none.mp4").status_code == 404


def test_every_construction_of_the_catalogue_is_offered(client: TestClient) -> None:
    listed = client.get("/constructions").text
    links = re.findall(r'href="(/constructions/[^"]+/show)"', listed)
    assert len(links) == len(CATALOGUE)
    assert "angle%20of%2060%C2%B0" in listed
    assert client.get("/constructions/angle%20of%2060%C2%B0/figure").text.count("data-act") > 2
    assert client.get("/constructions/squaring the circle/show").status_code == 404


def test_what_cannot_be_drawn_is_said(client: TestClient) -> None:
    client.post("/papers", data={"text": PAPER.replace("7 cm apart", "7 cm part")})
    told = client.get(QUESTION)
    assert told.status_code == 400
    assert "was not expected here" in told.text


def test_a_film_is_ordered_from_the_studio_or_it_is_said_what_to_install(
    client: TestClient,
) -> None:
    """A whole film is made in the tests of the film: here it need only get under way."""
    seen = client.post("/constructions/midpoint/show/film")
    assert "Filming Midpoint" in seen.text
    for _ in range(300):
        if "pip install" in seen.text or re.search(r"Now: film", seen.text):
            break
        time.sleep(0.1)
        seen = client.get(seen.url.path)
    installed = find_spec("imageio_ffmpeg") is not None
    assert ("Now: film" in seen.text) == installed


@pytest.mark.parametrize("name", ["desk.css", "player.css", "player.js", "writing.js"])
def test_static_files_of_the_pages_are_served(client: TestClient, name: str) -> None:
    assert client.get(f"/static/{name}").status_code == 200
