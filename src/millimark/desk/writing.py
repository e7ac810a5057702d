"""Write: papers, their questions, and what each comes to while it is typed."""

from __future__ import annotations

from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from millimark.desk.paper_text import (
    FIRST,
    Data,
    data_of,
    lines_of,
    question_at,
    text_of,
    with_form,
    with_question,
    without_question,
)
from millimark.desk.preview import preview
from millimark.desk.rendering import Form, goto, number, page
from millimark.desk.setting import desk_of, who_is
from millimark.errors import RecordsError
from millimark.records import papers


def home(request: Request) -> Response:
    """The papers, the newest work first."""
    from millimark.records import printings

    with desk_of(request).store.reading() as session:
        return page(
            request,
            "papers.html",
            papers=papers.all_papers(session),
            printings=printings.all_printings(session)[:6],
        )


def begin(request: Request, form: Form) -> Response:
    """A new paper: the usual first question, or a paper's text that is given."""
    text = form.get("text", "").strip()
    if text:
        data_of(text)
    with desk_of(request).store.writing() as session:
        paper_id = papers.make_paper(session, text or text_of(FIRST), who_is(request)).id
    return goto(request, f"/papers/{paper_id}/questions/1")


def delete(request: Request, form: Form) -> Response:
    """Delete a paper that was never printed."""
    with desk_of(request).store.writing() as session:
        papers.delete_paper(session, request.path_params["paper"])
    return goto(request, "/", "The paper is deleted.")


def question(request: Request) -> Response:
    """The form of one question, and what it comes to."""
    paper_id, place = request.path_params["paper"], request.path_params["place"]
    with desk_of(request).store.reading() as session:
        version = papers.version_of(session, paper_id)
        text, at = version.text, version.number
    data = data_of(text)
    entry = question_at(data, place)
    return page(
        request,
        "question.html",
        paper_id=paper_id,
        place=place,
        at=at,
        title=str(data.get("title", "")),
        count=len(data["questions"]),
        given=lines_of(entry.get("given")),
        ask=lines_of(entry.get("ask")),
        story=str(entry.get("story", "")),
        worth=str(entry.get("marks", "")),
        stale=None,
        **_live(data, place),
    )


def live(request: Request, form: Form) -> Response:
    """Keep what was typed as a version and say what it comes to."""
    paper_id, place = request.path_params["paper"], request.path_params["place"]
    stale = None
    with desk_of(request).store.writing() as session:
        present = papers.version_of(session, paper_id)
        data = with_form(data_of(present.text), place, form)
        kept = papers.save(session, paper_id, text_of(data), who_is(request), number(form, "seen"))
        if isinstance(kept, papers.Stale):
            stale, at = kept, number(form, "seen")
        else:
            at = kept.number
    return page(
        request, "live.html", paper_id=paper_id, place=place, at=at, stale=stale,
        **_live(data, place),
    )  # fmt: skip


def _live(data: Data, place: int) -> dict[str, Any]:
    return {"shown": preview(data, place)}


def step(request: Request, form: Form) -> Response:
    """Undo or redo: another version comes into force."""
    paper_id, place = request.path_params["paper"], request.path_params["place"]
    move = {"undo": papers.undo, "redo": papers.redo}.get(form.get("step", ""))
    if move is None:
        raise RecordsError("Nothing is done.", "Choose undo or redo.")
    with desk_of(request).store.writing() as session:
        moved = move(session, paper_id)
        count = len(data_of(papers.version_of(session, paper_id).text)["questions"])
    said = "" if moved else f"There is nothing to {form['step']}."
    return goto(request, f"/papers/{paper_id}/questions/{min(place, count)}", said)


def add(request: Request, form: Form) -> Response:
    """One more question."""
    data = _save(request, form, lambda data: with_question(data))
    place = len(data["questions"])
    return goto(request, f"/papers/{request.path_params['paper']}/questions/{place}")


def remove(request: Request, form: Form) -> Response:
    """Take a question out; undo brings it back."""
    place = request.path_params["place"]
    data = _save(request, form, lambda data: without_question(data, place))
    place = min(place, len(data["questions"]))
    said = "The question is taken out. Undo brings it back."
    return goto(request, f"/papers/{request.path_params['paper']}/questions/{place}", said)


def _save(request: Request, form: Form, change: Any) -> Data:
    paper_id = request.path_params["paper"]
    with desk_of(request).store.writing() as session:
        present = papers.version_of(session, paper_id)
        data: Data = change(data_of(present.text))
        kept = papers.save(session, paper_id, text_of(data), who_is(request), present.number)
        if isinstance(kept, papers.Stale):
            raise RecordsError("Somebody changed the paper at this moment.", "Try once more.")
    return data
