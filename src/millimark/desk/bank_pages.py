"""The bank beside a paper: questions to look through, to see drawn, and to drop in."""

from __future__ import annotations

from functools import lru_cache

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from millimark.bank.shelf import LEVELS, BankQuestion, bank, by_id, chosen
from millimark.desk.paper_text import data_of, with_question
from millimark.desk.preview import Preview, preview
from millimark.desk.rendering import Form, goto, page
from millimark.desk.setting import desk_of
from millimark.desk.writing import changed
from millimark.records import papers

CURRICULA = {
    "G2": "England, G2: constructions and loci",
    "G15": "England, G15: maps, scale drawings, bearings",
    "R2": "England, R2: scale factors, diagrams and maps",
    "G-CO.D.12": "US, G-CO.D.12: formal constructions",
    "G-C.A.3": "US, G-C.A.3: circles of a triangle",
    "G-C.A.4": "US, G-C.A.4: tangents",
}
"""What the codes stand for: England, GCSE content (DfE 2013); US, Common Core (2010); both in
short words of our own, from memory."""
LEVEL_WORDS = {1: "first practice", 2: "usual", 3: "longer", 4: "hard", 5: "stretch"}


def look_through(request: Request) -> Response:
    """The questions that meet what is asked for, beside the paper they may go into."""
    paper_id = request.path_params["paper"]
    with desk_of(request).store.reading() as session:
        version = papers.version_of(session, paper_id)
        title, text = version.paper.title, version.text
    asked = {key: request.query_params.get(key, "") for key in ("topic", "level", "code", "words")}
    return page(
        request,
        "bank.html",
        paper_id=paper_id,
        title=title,
        count=len(data_of(text)["questions"]),
        found=_found(asked),
        whole=len(bank()),
        asked=asked,
        topics=sorted({q.topic for q in bank()}),
        levels={level: LEVEL_WORDS[level] for level in LEVELS},
        codes={code: CURRICULA.get(code, code) for q in bank() for code in q.codes},
    )


def _found(asked: dict[str, str]) -> list[BankQuestion]:
    level = asked["level"]
    found = chosen(
        topic=asked["topic"] or None,
        level=int(level) if level.isascii() and level.isdigit() else None,
        code=asked["code"] or None,
    )
    words = asked["words"].lower().split()
    return [q for q in found if all(word in _all_words(q) for word in words)]


def _all_words(question: BankQuestion) -> str:
    content = question.content
    said = [content.get("story", ""), *content["given"], *content["ask"]]
    return " ".join([*said, question.topic, question.setting]).lower()


def drop_in(request: Request, form: Form) -> Response:
    """Put a question of the bank at the end of the paper."""
    paper_id = request.path_params["paper"]
    (question,) = by_id([form.get("id", "")])
    count = changed(request, paper_id, lambda text: with_question(text, dict(question.content)))
    if form.get("stay"):
        said = f"Question {count} is now: {question.asks}"
        return goto(request, f"/papers/{paper_id}/bank", said)
    return goto(request, f"/papers/{paper_id}/questions/{count}")


def figure(request: Request) -> Response:
    """A question of the bank with its model answer, as a fragment of a page."""
    found = _figure(request.path_params["name"])
    if found is None:
        return PlainTextResponse("The bank has no such question.", 404)
    return page(request, "bank_figure.html", shown=found)


@lru_cache(maxsize=256)
def _figure(name: str) -> Preview | None:
    (question,) = by_id([name])
    found = preview({"title": "The bank", "questions": [dict(question.content)]}, 1)
    return found if isinstance(found, Preview) else None
