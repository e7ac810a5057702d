"""One marked page into the records: the page and all its marks in one transaction, once.

Unique constraints stand behind every "once": a page of an upload, a page of a script that
counts, an answer of a script, a mark of an answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from sqlalchemy import func, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session, undefer

from millimark.errors import RecordsError
from millimark.marking.findings import Course
from millimark.marking.findings import Script as MarkedScript
from millimark.marking.page import MarkedPage
from millimark.marking.results import as_json
from millimark.records.mark_tables import Mark, MarkChange, SecondOpinion
from millimark.records.models import Answer, Page, Script, Upload
from millimark.records.store import Store
from millimark.scan.reading import Unread

_TRIES = 5
PAGES_APART = 1_000
"""An answer's position: its page times this, plus its place on the page."""


def save_page(store: Store, upload_id: int, source_page: int, outcome: MarkedPage | Unread) -> bool:
    """Keep what was made of one page; False if it was kept already, or its upload is gone."""
    for last in range(_TRIES):
        try:
            with store.writing() as session:
                upload = session.get(Upload, upload_id)
                if upload is None or _kept(session, upload_id, source_page):
                    return False
                _insert(session, upload, source_page, outcome)
            return True
        except IntegrityError:
            # Another worker kept this page, or the same page of a script, at this moment.
            if last == _TRIES - 1:
                raise
    return False


def _kept(session: Session, upload_id: int, source_page: int) -> bool:
    found = select(Page.id).where(Page.upload_id == upload_id, Page.source_page == source_page)
    return session.scalar(found) is not None


def _insert(
    session: Session, upload: Upload, source_page: int, outcome: MarkedPage | Unread
) -> None:
    page = Page(upload_id=upload.id, source_page=source_page, state="unread", questions=[])
    if isinstance(outcome, Unread):
        page.reason = readable(outcome.reason, upload)
        page.picture = outcome.picture or None
        session.add(page)
        return
    script = _script(session, upload.printing_id, outcome.sheet)
    if script is None:
        page.reason = (
            f"sheet {outcome.sheet} is not among the records of this print run; it may have "
            "been deleted"
        )
        session.add(page)
        return
    _fill(page, script, outcome)
    rival = _counting(session, script.id, outcome.page)
    if rival is None:
        page.state = "read"
    elif _finer(page, rival) and untouched(session, script.id, rival.id):
        page.state = "read"
        rival.state, rival.reason = "twice", _twice(page, upload)
        session.flush()
    else:
        page.state = "twice"
        page.reason = _twice(rival, rival.upload)
    session.add(page)
    session.flush()
    if page.state == "read":
        install(session, script, page)


def refresh_page(store: Store, page_id: int, outcome: MarkedPage) -> bool:
    """Put a better measurement of the same page in place (its print scale became known);
    False if people have changed its marks by now, which then stand."""
    with store.writing() as session:
        page = session.get(Page, page_id)
        if page is None or page.script is None or page.state == "unread":
            return False
        if page.sheet != outcome.sheet or page.page != outcome.page:
            return False
        if page.state == "read" and not untouched(session, page.script.id, page.id):
            return False
        _fill(page, page.script, outcome)
        session.flush()
        if page.state == "read":
            install(session, page.script, page)
        return True


def count_instead(session: Session, page_id: int, who: str) -> Page:
    """Let a page that was scanned twice count in place of the other; marks that come out
    differently are changed in ``who``'s name, with their history kept."""
    page = session.get(Page, page_id, options=[undefer(Page.questions)])
    if page is None or page.script is None or page.state != "twice" or page.page is None:
        raise RecordsError(
            f"Page {page_id} is not another scan of a page that counts.", "Choose one that is."
        )
    rival = _counting(session, page.script.id, page.page)
    if rival is not None:
        rival.state, rival.reason = "twice", _twice(page, page.upload)
        session.flush()
    page.state, page.reason = "read", None
    session.flush()
    install(session, page.script, page, who)
    return page


def install(session: Session, script: Script, page: Page, who: str | None = None) -> None:
    """Make the page's questions the script's answers. Marks that are there already take the
    page's decisions: silently (nobody had touched them), or as changes by ``who``."""
    for place, question in enumerate(page.questions):
        answer = session.scalar(
            select(Answer).where(
                Answer.script_id == script.id, Answer.question == question["question"]
            )
        )
        if answer is None:
            position = (page.page or 0) * PAGES_APART + place
            answer = Answer(script_id=script.id, question=question["question"], position=position)
        answer.page_id = page.id
        session.add(answer)
        session.flush()
        present = {mark.position: mark for mark in answer.marks}
        for position, found in enumerate(question["marks"]):
            _install_mark(session, answer, present.get(position), position, found, who)
    session.flush()


def _install_mark(
    session: Session,
    answer: Answer,
    mark: Mark | None,
    position: int,
    found: dict[str, Any],
    who: str | None,
) -> None:
    if mark is None:
        mark = Mark(answer_id=answer.id, position=position, version=1)
        session.add(mark)
    elif who is not None:
        mark.version += 1
        session.add(
            MarkChange(
                mark_id=mark.id,
                version=mark.version,
                before=mark.decision,
                after=found["decision"],
                who=who,
                why="another scan of the page counts now",
            )
        )
    mark.code, mark.criterion = found["code"], found["criterion"]
    mark.decision = mark.machine = found["decision"]
    mark.reason, mark.follow_through = found["reason"], found["follow_through"]


def untouched(session: Session, script_id: int, page_id: int) -> bool:
    """Whether nobody has changed, commented or blindly decided the marks of a page."""
    on_page = (
        select(func.count())
        .select_from(Mark)
        .join(Answer)
        .where(Answer.script_id == script_id, Answer.page_id == page_id)
    )
    changed = session.scalar(on_page.where(Mark.version > 1)) or 0
    opinions = session.scalar(on_page.join(SecondOpinion, SecondOpinion.mark_id == Mark.id)) or 0
    return changed + opinions == 0


def readable(reason: str, upload: Upload) -> str:
    """A reason with the file's own name where the stored name stands."""
    return reason.replace(upload.sha256, upload.name)


def _fill(page: Page, script: Script, outcome: MarkedPage) -> None:
    line = outcome.line
    page.script_id, page.sheet, page.page = script.id, outcome.sheet, outcome.page
    page.print_scale, page.print_scale_source = line.print_scale, line.print_scale_source
    page.registration_mm = line.registration_mm
    page.spot_x, page.spot_y = float(outcome.spot.x), float(outcome.spot.y)
    page.questions = questions_json(outcome)
    page.picture, page.overlay, page.notes = outcome.picture, outcome.overlay, outcome.notes


def questions_json(outcome: MarkedPage) -> list[dict[str, Any]]:
    """The page's questions as marks.json has them, and what the records need besides: arcs with
    two numbers from which a print run's scale is told (``asked_mm``, and ``course_mm``, the drawn
    line's mean offset), and every drawn element with ``profile_mm``, see `profile`."""
    whole = MarkedScript(outcome.sheet, None, outcome.questions)
    scales = {(outcome.sheet, outcome.page): outcome.line.print_scale or 1.0}
    found: list[dict[str, Any]] = as_json([], [whole], scales)["scripts"][0]["questions"]
    for question, kept in zip(outcome.questions, found, strict=True):
        for element, written in zip(question.elements, kept["elements"], strict=True):
            if element.radius_asked_mm is not None and element.course:
                written["asked_mm"] = round(float(element.radius_asked_mm), 4)
                written["course_mm"] = round(float(element.course[0].u.mean()), 4)
            if element.course:
                written["profile_mm"] = profile(element.course)
    return found


def profile(course: Sequence[Course]) -> list[dict[str, Any]]:
    """The deviation along a drawn line, a run for each support: ``off`` mm at every whole
    millimetre of paper from ``start`` on, the mean over that millimetre, None where there is no
    pencil; ``round``: along a circle, outwards positive."""
    runs = []
    for each in course:
        place = np.floor(each.t).astype(int)
        start, count = int(place.min()), int(np.ptp(place)) + 1
        weight = np.bincount(place - start, minlength=count)
        total = np.bincount(place - start, weights=each.u, minlength=count)
        off = [round(float(s / n), 2) if n else None for s, n in zip(total, weight, strict=True)]
        runs.append({"start": start, "off": off, "round": bool(each.turn)})
    return runs


def _script(session: Session, printing_id: int, sheet: str) -> Script | None:
    return session.scalar(
        select(Script).where(Script.printing_id == printing_id, Script.sheet == sheet)
    )


def _counting(session: Session, script_id: int, page: int) -> Page | None:
    return session.scalar(
        select(Page).where(Page.script_id == script_id, Page.page == page, Page.state == "read")
    )


def _finer(page: Page, than: Page) -> bool:
    return (page.registration_mm or 9.0) < (than.registration_mm or 9.0)


def _twice(winner: Page, upload: Upload) -> str:
    return (
        f"page {winner.page} of sheet {winner.sheet} was scanned twice; "
        f"{upload.name}, page {winner.source_page} was marked instead"
    )


def pages_kept(session: Session, upload_id: int) -> Sequence[int]:
    """Numbers of an upload's pages that are done with."""
    return session.scalars(select(Page.source_page).where(Page.upload_id == upload_id)).all()
