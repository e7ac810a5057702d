"""Pages that could not be read, and what people did about them: each step is kept.

A page is mended by naming it (its code cannot be read), by a new photograph, or not at all: then
it is set aside with a reason. Its file and every earlier reason stay.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from sqlalchemy import select
from sqlalchemy.orm import Session

from millimark.errors import RecordsError
from millimark.records import uploads
from millimark.records.mend_tables import Act, PageStep
from millimark.records.models import Page, Upload
from millimark.records.printings import layout_of
from millimark.records.saving import untouched
from millimark.records.store import Store
from millimark.sheet.code import PageCode

TURNS = (90, 180, 270)
MOST_WHY = 2000
WHOLE_FILE = 0
"""The page number of a step that concerns a file of which no page could be opened."""


@dataclass(frozen=True)
class Mended:
    """How far a page is mended: how it is turned, the name it was given, the upload that takes
    its place, and whether it was set aside, with the reason."""

    turn: int = 0
    named: tuple[str, int] | None = None
    retake_id: int | None = None
    aside: bool = False
    why: str = ""

    def after(self, step: PageStep) -> Mended:
        """The same once a further step was taken."""
        if step.act == "turned":
            return replace(self, turn=(self.turn + step.turn) % 360)
        if step.act == "named" and step.sheet is not None and step.page is not None:
            return replace(self, named=(step.sheet, step.page), aside=False)
        if step.act == "retaken":
            return replace(self, retake_id=step.retake_id, aside=True, why=step.why)
        return replace(self, aside=step.act == "aside", why=step.why)


def mended(session: Session, printing_id: int) -> dict[tuple[int, int], Mended]:
    """(upload, page of it) -> what was done about it, for pages where anything was."""
    steps = session.scalars(
        select(PageStep)
        .join(Upload, PageStep.upload_id == Upload.id)
        .where(Upload.printing_id == printing_id)
        .order_by(PageStep.id)
    )
    return _folded(steps)


def _folded(steps: Iterable[PageStep]) -> dict[tuple[int, int], Mended]:
    found: dict[tuple[int, int], Mended] = {}
    for step in steps:
        place = step.upload_id, step.source_page
        found[place] = found.get(place, Mended()).after(step)
    return found


def steps_of(session: Session, upload_id: int, source_page: int) -> Sequence[PageStep]:
    """Everything that was done about a page, the first step first."""
    return session.scalars(
        select(PageStep)
        .where(PageStep.upload_id == upload_id, PageStep.source_page == source_page)
        .order_by(PageStep.id)
    ).all()


def codes_of(session: Session, upload_id: int) -> dict[int, PageCode]:
    """The codes that people gave to pages of an upload, by its page numbers."""
    upload = session.get(Upload, upload_id)
    if upload is None:
        return {}
    paper_code = upload.printing.paper_code
    return {
        place: PageCode(paper_code, *each.named)
        for (_, place), each in _folded(upload.steps).items()
        if each.named is not None
    }


def page_to_mend(session: Session, printing_id: int, page_id: int) -> Page:
    """A page of the print run that does not count, or counts as somebody named it; RecordsError
    if it is none."""
    page = session.get(Page, page_id)
    if (
        page is None
        or page.upload.printing_id != printing_id
        or (page.state == "read" and not named_by_hand(session, page))
    ):
        raise RecordsError(
            f"There is no page {page_id} to mend in this print run.",
            "It may have been read, or deleted, in the meantime: look at the list again.",
        )
    return page


def named_by_hand(session: Session, page: Page) -> bool:
    """Whether the page is what it is because somebody said so."""
    steps = steps_of(session, page.upload_id, page.source_page)
    return any(step.act == "named" for step in steps)


def turn(session: Session, page: Page, degrees: int, who: str) -> None:
    """Turn the page's picture clockwise, to be looked at. Reading needs no turn: the
    registration marks are found whichever way a page lies."""
    if degrees not in TURNS:
        raise RecordsError(f"A page cannot be turned by {degrees} degrees.", "Use 90, 180 or 270.")
    _step(session, page, "turned", who, turn=degrees)


def name(session: Session, page: Page, sheet: str, number: int, who: str) -> None:
    """Say which page of which sheet it is, and let it be read again as that.

    RecordsError for a sheet or page that the print run does not have, for a page whose code was
    read, for one whose marks people have changed, and while its file is gone or being marked.
    """
    _not_at_work(page)
    if page.state != "unread" and not named_by_hand(session, page):
        raise RecordsError(
            f"The page is known: it is page {page.page} of sheet {page.sheet}.",
            "Only a page whose code could not be read is named by hand.",
        )
    if page.script_id is not None and not untouched(session, page.script_id, page.id):
        raise RecordsError(
            f"Marks of page {page.page} of sheet {page.sheet} were changed by a person since.",
            "They would be lost: change the marks by hand instead.",
        )
    layout = layout_of(session, page.upload.printing_id)
    pages = {p.page for s in layout.sheets if s.sheet == sheet for p in s.pages}
    if number not in pages:
        told = (
            f"Sheet {sheet[:12]} has no page {number}" if pages else f"No sheet is {sheet[:12]!r}"
        )
        raise RecordsError(f"{told} in this print run.", "Take both from the sheet's foot.")
    _step(session, page, "named", who, sheet=sheet, number=number)
    upload = page.upload
    session.delete(page)
    upload.state, upload.reason, upload.done_at = "waiting", None, None
    session.flush()


def set_aside(session: Session, page: Page, why: str, who: str) -> None:
    """Say that the page will not be read, and why. RecordsError without a reason."""
    _step(session, page, "aside", who, why=_reason(why))


def take_back(session: Session, page: Page, who: str) -> None:
    """Put a page that was set aside back among those that are to be mended."""
    _step(session, page, "back", who)


def retake(session: Session, page: Page, retake_id: int, who: str) -> None:
    """Say that another upload shows the page anew: this one is set aside for it."""
    taken = uploads.upload_of(session, retake_id)
    if taken.printing_id != page.upload.printing_id or taken.id == page.upload_id:
        raise RecordsError(
            "The new photograph is the one that could not be read.", "Take the page anew."
        )
    _step(session, page, "retaken", who, retake_id=retake_id, why="Photographed again.")


def set_file_aside(session: Session, upload: Upload, why: str, who: str) -> None:
    """The same for a file of which no page could be opened."""
    if upload.state != "failed":
        raise RecordsError(f"{upload.name} was opened.", "Set its pages aside one by one.")
    session.add(
        PageStep(
            upload_id=upload.id, source_page=WHOLE_FILE, act="aside", told=upload.reason,
            who=_by(who), why=_reason(why),
        )
    )  # fmt: skip
    session.flush()


def take_anew(
    store: Store, page_id: int, printing_id: int, name: str, chunks: Iterable[bytes], who: str
) -> int:
    """Accept a new photograph of a page and set the old one aside for it; the upload's id."""
    with store.reading() as session:
        page_to_mend(session, printing_id, page_id)
    taken = uploads.accept(store, printing_id, name, chunks)
    with store.writing() as session:
        retake(session, page_to_mend(session, printing_id, page_id), taken.upload_id, who)
    return taken.upload_id


def _not_at_work(page: Page) -> None:
    upload = page.upload
    if not upload.stored:
        raise RecordsError(
            f"The file of this page ({upload.name}) was deleted.", "Scan the page again."
        )
    if upload.state in ("waiting", "working"):
        raise RecordsError(f"{upload.name} is being marked.", "Wait until that is done.")


def _reason(why: str) -> str:
    told = " ".join(why.split())[:MOST_WHY]
    if not told:
        raise RecordsError("A page is set aside with a reason.", "Say in a few words why.")
    return told


def _by(who: str) -> str:
    return who.strip()[:120] or "teacher"


def _step(
    session: Session,
    page: Page,
    act: Act,
    who: str,
    why: str = "",
    turn: int = 0,
    sheet: str | None = None,
    number: int | None = None,
    retake_id: int | None = None,
) -> None:
    session.add(
        PageStep(
            upload_id=page.upload_id, source_page=page.source_page, act=act, told=page.reason,
            turn=turn, sheet=sheet, page=number, retake_id=retake_id, who=_by(who), why=why,
        )
    )  # fmt: skip
    session.flush()
