"""Demonstrate: a question of a paper, or a standard construction, act by act for the wall; and
the same as files to take away."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from urllib.parse import quote

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from millimark.desk.paper_text import data_of
from millimark.desk.press import Report
from millimark.desk.preview import paper_of
from millimark.desk.rendering import Form, goto, page, templates
from millimark.desk.setting import desk_of
from millimark.errors import RecordsError
from millimark.paper.question_pages import plan_paper
from millimark.records import papers
from millimark.showing import player
from millimark.showing.captions import transcript, webvtt
from millimark.showing.demonstrate import stage_for_name
from millimark.showing.director import direct
from millimark.showing.film import film
from millimark.showing.score import Score
from millimark.showing.sheets import step_sheets
from millimark.showing.stage import Stage, stage_of
from millimark.showing.steps import stepped_figure
from millimark.working.catalogue import CATALOGUE
from millimark.working.instruments import Instruments

FILES = {
    "demonstration.html": "The demonstration, one page that needs no network",
    "step-sheets.pdf": "Step sheets",
    "captions.vtt": "Captions",
    "transcript.txt": "What is said, as text",
}
_KINDS = {
    "html": "text/html; charset=utf-8",
    "pdf": "application/pdf",
    "vtt": "text/vtt; charset=utf-8",
    "txt": "text/plain; charset=utf-8",
}
HANDS = ("right", "left")


@dataclass(frozen=True)
class Shown:
    """What is demonstrated: ``key`` says how to make its stage again in the press; ``path`` is
    its page, ``back`` where one comes from."""

    key: tuple[str, ...]
    path: str
    back: str


def of_question(request: Request) -> Response:
    """A question of a paper, on the whole screen."""
    return _show(request, _question(request))


def of_construction(request: Request) -> Response:
    """A standard construction, on the whole screen."""
    return _show(request, _construction(request))


def file_of_question(request: Request) -> Response:
    """A question's demonstration as one of its files."""
    return _file(request, _question(request))


def file_of_construction(request: Request) -> Response:
    """A construction's demonstration as one of its files."""
    return _file(request, _construction(request))


def film_of_question(request: Request, form: Form) -> Response:
    """Order a film of a question."""
    return _film(request, _question(request))


def film_of_construction(request: Request, form: Form) -> Response:
    """Order a film of a construction."""
    return _film(request, _construction(request))


def constructions(request: Request) -> Response:
    """All standard constructions, in the order in which a course meets them."""
    return page(
        request,
        "constructions.html",
        entries=[(entry, quote(entry.name, safe="")) for entry in CATALOGUE.values()],
    )


def figure(request: Request) -> Response:
    """A construction's finished drawing, as a fragment of a page."""
    stage, score = staged(_construction(request).key)
    return page(request, "construction_figure.html", picture=Markup(stepped_figure(stage, score)))


def made_film(request: Request) -> Response:
    """A film that was made, looked up among those that there are."""
    wanted = request.path_params["name"]
    found = {place.name: place for place in Path(desk_of(request).films.name).glob("*.mp4")}
    if wanted not in found:
        return PlainTextResponse("There is no such film: the desk was started anew since.", 404)
    headers = {"content-disposition": 'attachment; filename="demonstration.mp4"'}
    return Response(found[wanted].read_bytes(), media_type="video/mp4", headers=headers)


# --- what is shown --------------------------------------------------------------------------
def _question(request: Request) -> Shown:
    paper_id, place = request.path_params["paper"], request.path_params["place"]
    with desk_of(request).store.reading() as session:
        text = papers.version_of(session, paper_id).text
    path = f"/papers/{paper_id}/questions/{place}"
    return Shown((_hand(request), str(place), text), f"{path}/show", path)


def _construction(request: Request) -> Shown:
    name = request.path_params["name"]
    if name not in CATALOGUE:
        raise RecordsError(f"There is no construction called '{name[:60]}'.", "Choose another.")
    path = f"/constructions/{quote(name, safe='')}"
    return Shown((_hand(request), name), f"{path}/show", "/constructions")


def _hand(request: Request) -> str:
    """The hand that is asked for; "" for the paper's own."""
    asked = request.query_params.get("hand", "")
    return asked if asked in HANDS else ""


@lru_cache(maxsize=32)
def staged(key: tuple[str, ...]) -> tuple[Stage, Score]:
    """The stage and the score of what a key names. MillimarkError where it cannot be drawn."""
    hand, name, *text = key
    if not text:
        stage = stage_for_name(name, Instruments(left_handed=hand == "left"))
        return stage, direct(stage)
    data = data_of(text[0])
    if hand:
        access = data.get("access")
        data = {**data, "access": {**(access if isinstance(access, dict) else {}), "hand": hand}}
    paper = paper_of(data, [int(name)])
    (drawn,) = plan_paper(paper, "").drawn
    stage = stage_of(drawn, paper.title, paper.instruments)
    return stage, direct(stage)


def _show(request: Request, shown: Shown) -> Response:
    stage, score = staged(shown.key)
    hand = "left" if stage.instruments.left_handed else "right"
    values: dict[str, Any] = {
        "shown": shown,
        "hand": hand,
        "other": "right" if hand == "left" else "left",
        "files": FILES,
        "filmed": find_spec("imageio_ffmpeg") is not None,
    }
    besides = templates().get_template("show_besides.html").render(**values)
    inside = Markup(player.inside(stage, score, besides))  # the player escapes what it letters
    return page(request, "show.html", heading=stage.heading, inside=inside)


def _file(request: Request, shown: Shown) -> Response:
    name = request.path_params["file"]
    if name not in FILES:
        return PlainTextResponse("There is no such file of a demonstration.", 404)
    stage, score = staged(shown.key)
    content = _content(name, stage, score)
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    kind = _KINDS[name.rpartition(".")[2]]
    return Response(content, media_type=kind, headers=headers)


def _content(name: str, stage: Stage, score: Score) -> bytes:
    if name == "demonstration.html":
        return player.page(stage, score).encode()
    if name == "step-sheets.pdf":
        return step_sheets(stage, score)
    text = webvtt(score) if name == "captions.vtt" else transcript(stage, score)
    return text.encode()


def _film(request: Request, shown: Shown) -> Response:
    desk = desk_of(request)
    stage, _ = staged(shown.key)
    name = f"{secrets.token_hex(8)}.mp4"
    job = desk.studio.order(
        f"Filming {stage.heading}",
        shown.path,
        shoot,
        shown.key,
        Path(desk.films.name) / name,
        arrive=lambda made: f"/films/{made}",
    )
    return goto(request, f"/jobs/{job.id}")


def shoot(report: Report, key: tuple[str, ...], place: Path) -> str:
    """The studio's work: make the film; its file's name comes back."""
    stage, score = staged(key)
    return film(stage, score, place, progress=report).name
