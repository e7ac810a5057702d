"""Write: papers, their questions, and what each comes to while it is typed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from millimark.desk.paper_fields import PAPER_FIELDS, QUESTION_FIELDS, shown_in
from millimark.desk.paper_text import (
    FIRST,
    Data,
    data_of,
    data_with_form,
    question_at,
    text_of,
    with_form,
    with_question,
    without_question,
)
from millimark.desk.preview import VIEWS, front_page, preview
from millimark.desk.rendering import Form, goto, number, page
from millimark.desk.setting import desk_of, who_is
from millimark.errors import MillimarkError, RecordsError
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
    given = form.get("text", "").replace("\r\n", "\n")  # browsers send text with both
    text = given if given.strip() else text_of(FIRST)
    data_of(text)
    with desk_of(request).store.writing() as session:
        paper_id = papers.make_paper(session, text, who_is(request)).id
    return goto(request, f"/papers/{paper_id}/questions/1")


def delete(request: Request, form: Form) -> Response:
    """Delete a paper that was never printed, if the form says so twice."""
    if form.get("sure") != "yes":
        place = f"/papers/{request.path_params['paper']}/questions/1"
        return goto(request, place, "Nothing was deleted: tick the box first.")
    with desk_of(request).store.writing() as session:
        papers.delete_paper(session, request.path_params["paper"])
    return goto(request, "/", "The paper is deleted.")


BLANK = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 210 297"/>'


def front(request: Request) -> Response:
    """The paper's first page as a picture; a blank one while it is not right."""
    with desk_of(request).store.reading() as session:
        text = papers.version_of(session, request.path_params["paper"]).text
    try:
        picture = front_page(text)
    except MillimarkError:
        picture = None
    if picture is None:
        return Response(BLANK, media_type="image/svg+xml")
    return Response(picture, media_type="image/png")


def file(request: Request) -> Response:
    """The paper as its file, with the comments that stand in it."""
    paper_id = request.path_params["paper"]
    with desk_of(request).store.reading() as session:
        text = papers.version_of(session, paper_id).text
    name = f"paper-{paper_id}.yaml"
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(text.encode(), media_type="application/yaml", headers=headers)


def question(request: Request) -> Response:
    """The form of one question, and what it comes to."""
    paper_id, place = request.path_params["paper"], request.path_params["place"]
    with desk_of(request).store.reading() as session:
        version = papers.version_of(session, paper_id)
        text, at = version.text, version.number
    data = data_of(text)
    return page(
        request,
        "question.html",
        paper_id=paper_id,
        at=at,
        count=len(data["questions"]),
        of_paper=shown_in(PAPER_FIELDS, data),
        of_question=shown_in(QUESTION_FIELDS, question_at(data, place)),
        paper_fields={field.name: field for field in PAPER_FIELDS},
        question_fields={field.name: field for field in QUESTION_FIELDS},
        views=VIEWS,
        **_live(request, data, place, str(request.session.get("view", "answer"))),
    )


def live(request: Request, form: Form) -> Response:
    """What the question comes to as it is typed; nothing is kept by this."""
    paper_id, place = request.path_params["paper"], request.path_params["place"]
    view = form.get("view", "")
    with desk_of(request).store.reading() as session:
        text = papers.version_of(session, paper_id).text
    if view in VIEWS and view != request.session.get("view", "answer"):
        request.session["view"] = view
    data = data_with_form(data_of(text), place, form)
    shown = _live(request, data, place, view)
    answer = page(request, "live.html", paper_id=paper_id, **shown)
    if shown["fault"] is not None:
        answer.headers["hx-reswap"] = "none"  # what was right last stays in sight
    return answer


def _live(request: Request, data: Data, place: int, view: str) -> dict[str, Any]:
    chosen = view if view in VIEWS else "answer"
    found = preview(data, place, chosen, desk_of(request).shelf)
    wrong = hasattr(found, "message")
    return {
        "place": place,
        "view": chosen,
        "fault": found if wrong else None,
        "shown": None if wrong else found,
    }


def proof(request: Request) -> Response:
    """The picture of a page as it will print, by the name that a preview gave it."""
    found = desk_of(request).shelf.get(request.path_params["name"])
    if found is None:
        return PlainTextResponse("This picture was put away. Load the page again.", 404)
    return Response(found, media_type="image/png", headers={"cache-control": "max-age=3600"})


def keep(request: Request, form: Form) -> Response:
    """Keep what was typed as a version."""
    paper_id, place = request.path_params["paper"], request.path_params["place"]
    stale, at = None, number(form, "seen")
    with desk_of(request).store.writing() as session:
        present = papers.version_of(session, paper_id)
        text = with_form(present.text, place, form)
        if text == present.text:
            at = present.number
        else:
            kept = papers.save(session, paper_id, text, who_is(request), at)
            if isinstance(kept, papers.Stale):
                stale = kept
            else:
                at = kept.number
    return page(request, "kept.html", paper_id=paper_id, place=place, at=at, stale=stale)


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
    paper_id = request.path_params["paper"]
    count = changed(request, paper_id, with_question)
    return goto(request, f"/papers/{paper_id}/questions/{count}")


def remove(request: Request, form: Form) -> Response:
    """Take a question out; undo brings it back."""
    paper_id, place = request.path_params["paper"], request.path_params["place"]
    count = changed(request, paper_id, lambda text: without_question(text, place))
    said = "The question is taken out. Undo brings it back."
    return goto(request, f"/papers/{paper_id}/questions/{min(place, count)}", said)


def changed(request: Request, paper_id: int, change: Callable[[str], str]) -> int:
    """Keep a change of the paper's text; the number of its questions comes back."""
    with desk_of(request).store.writing() as session:
        present = papers.version_of(session, paper_id)
        text = change(present.text)
        kept = papers.save(session, paper_id, text, who_is(request), present.number)
        if isinstance(kept, papers.Stale):
            raise RecordsError("Somebody changed the paper at this moment.", "Try once more.")
    return len(data_of(text)["questions"])
