"""Pages that were scanned twice: both scans side by side, and which of them counts."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from millimark.desk.rendering import Form, goto, page
from millimark.desk.reviewing import WORDS
from millimark.desk.setting import desk_of, who_is
from millimark.records import marks, saving, scripts
from millimark.records.models import Page, Upload
from millimark.records.printings import printing_of


@dataclass(frozen=True)
class Pair:
    """A page that counts (None: it was deleted) and another scan of it that could; ``differing``
    says mark by mark what stands now and what would."""

    counts: Page | None
    other: Page
    differing: tuple[tuple[str, str, str], ...]


def pairs(request: Request) -> Response:
    """Every page of a print run that was scanned twice."""
    run_id = request.path_params["run"]
    with desk_of(request).store.reading() as session:
        others = session.scalars(
            select(Page)
            .join(Upload)
            .where(Upload.printing_id == run_id, Page.state == "twice")
            .order_by(Page.sheet, Page.page, Page.id)
        ).all()
        return page(
            request,
            "twice.html",
            run=printing_of(session, run_id),
            pairs=[_pair(session, scripts.page_of(session, other.id)) for other in others],
            words=WORDS,
        )


def _pair(session: Session, other: Page) -> Pair:
    counts = session.scalar(
        select(Page).where(
            Page.script_id == other.script_id, Page.page == other.page, Page.state == "read"
        )
    )
    stands = {}
    for answer in other.script.answers if other.script else []:
        if counts is not None and answer.page_id == counts.id:
            for mark in answer.marks:
                stands[answer.question, mark.position] = mark.decision
    differing = [
        (f"Question {q['question']}, {m['code']}", WORDS[now], WORDS[m["decision"]])
        for q in other.questions
        for position, m in enumerate(q["marks"])
        if (now := stands.get((q["question"], position))) and now != m["decision"]
    ]
    return Pair(counts, other, tuple(differing))


def count(request: Request, form: Form) -> Response:
    """Let the other scan count; marks that come out differently are changes by the chooser."""
    request.session["who"] = marks.check_marker(form.get("who", "") or who_is(request))
    with desk_of(request).store.writing() as session:
        chosen = saving.count_instead(session, request.path_params["page"], who_is(request))
        run_id = chosen.upload.printing_id
        said = f"{chosen.upload.name}, page {chosen.source_page}, counts now."
    return goto(request, f"/printings/{run_id}/twice", said)
