"""Pages that could not be read: named by hand, taken anew, set aside; each step is kept."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from sqlalchemy import select

from millimark.errors import RecordsError, SourceError
from millimark.paper.raster import pdf_page
from millimark.records import backups, deleting, marks, mending, papers, printings, queue, uploads
from millimark.records.mend_tables import PageStep
from millimark.records.models import Page
from millimark.records.store import Store

from .conftest import MARKS, PAPER, World, rows

PER_MM = 4.0
THREE = PAPER + "".join(
    f"  - given: [{a} and {b} are {d} cm apart.]\n"
    f"    ask: [Draw the locus of points that are 2 cm from {a}.]\n    marks: 2\n"
    for a, b, d in (("C", "D", 5), ("E", "F", 8))
)


@dataclass(frozen=True)
class Unnamed:
    """A print run of two sheets of two pages; page ``page_id`` is S0001's first, its codes
    painted over."""

    store: Store
    run: int
    page_id: int

    def pages(self) -> Sequence[Page]:
        with self.store.reading() as session:
            return session.scalars(select(Page).order_by(Page.id)).all()

    def name(self, sheet: str, number: int, page_id: int | None = None) -> None:
        """Named by R., and read again."""
        with self.store.writing() as session:
            page = mending.page_to_mend(session, self.run, page_id or self.page_id)
            mending.name(session, page, sheet, number, "R. Teasel")
        queue.work(self.store, confined=False)


def codeless(store: Store, run: int, page: int, turned: int = 0) -> bytes:
    """A page of the question paper (of all sheets, from 1) as a PNG, its codes painted over."""
    with store.reading() as session:
        place = printings.files_of(store, session, run)["question-paper.pdf"]
        layout = printings.layout_of(session, run)
    codes = [p for s in layout.sheets for p in s.pages][page - 1].codes
    grey = pdf_page(place, page, PER_MM)
    for code in codes:
        x0, y0, x1, y1 = (round(v * PER_MM) for v in code.box)
        grey[y0:y1, x0:x1] = 255
    return png(np.rot90(grey, turned))


def png(grey: NDArray[np.uint8]) -> bytes:
    done, data = cv2.imencode(".png", np.ascontiguousarray(grey))
    assert done
    return bytes(data)


@pytest.fixture(scope="session")
def smudged_backup(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The records of `unnamed`, made once."""
    folder = tmp_path_factory.mktemp("smudged")
    store = Store.open(folder / "store")
    with store.writing() as session:
        version = papers.version_of(session, papers.make_paper(session, THREE, "R").id).id
    run = printings.print_for(store, version, sheets=2)
    uploads.accept(store, run, "smudged.png", [codeless(store, run, 1)])
    queue.work(store, confined=False)
    backups.back_up(store, folder / "smudged.zip")
    store.close()
    return folder / "smudged.zip"


@pytest.fixture
def unnamed(tmp_path: Path, url: str | None, smudged_backup: Path) -> Iterator[Unnamed]:
    store = backups.restore(smudged_backup, tmp_path / "unnamed", url)
    with store.reading() as session:
        (page,) = uploads.unread_pages(session, 1)
    assert page.reason is not None
    assert "page code cannot be read" in page.reason
    yield Unnamed(store, 1, page.id)
    store.close()


def test_an_unread_page_has_a_picture_to_look_at(unnamed: Unnamed) -> None:
    with unnamed.store.reading() as session:
        page = mending.page_to_mend(session, unnamed.run, unnamed.page_id)
        assert page.picture is not None
        shown = cv2.imdecode(np.frombuffer(page.picture, np.uint8), cv2.IMREAD_GRAYSCALE)
    assert shown is not None
    assert max(shown.shape) <= 1400


def test_a_page_named_by_hand_is_marked(unnamed: Unnamed) -> None:
    unnamed.name("S0001", 1)
    (page,) = unnamed.pages()
    assert (page.state, page.sheet, page.page) == ("read", "S0001", 1)
    assert rows(unnamed.store, "marks") == MARKS
    with unnamed.store.reading() as session:
        (step,) = mending.steps_of(session, page.upload_id, 1)
    assert (step.act, step.who, step.sheet, step.page) == ("named", "R. Teasel", "S0001", 1)
    assert step.told is not None
    assert "page code cannot be read" in step.told


@pytest.mark.parametrize("turned", [1, 2, 3])
def test_a_page_is_read_whichever_way_it_lies(unnamed: Unnamed, turned: int) -> None:
    store, run = unnamed.store, unnamed.run
    uploads.accept(store, run, "turned.png", [codeless(store, run, 4, turned)])
    queue.work(store, confined=False)
    unnamed.name("S0002", 2, unnamed.pages()[-1].id)
    assert [p.state for p in unnamed.pages()] == ["unread", "read"]


def test_a_page_named_as_another_page_is_refused_by_its_print(unnamed: Unnamed) -> None:
    unnamed.name("S0001", 2)
    (page,) = unnamed.pages()
    assert page.state == "unread"
    assert page.reason is not None
    assert "its print is not that of page 2 of sheet S0001" in page.reason
    unnamed.name("S0001", 1, page.id)
    (page,) = unnamed.pages()
    assert page.state == "read"
    with unnamed.store.reading() as session:
        steps = mending.steps_of(session, page.upload_id, 1)
    assert [(s.act, s.page) for s in steps] == [("named", 2), ("named", 1)]


def test_a_code_that_can_be_read_outweighs_a_name(unnamed: Unnamed) -> None:
    store, run = unnamed.store, unnamed.run
    with store.reading() as session:
        place = printings.files_of(store, session, run)["question-paper.pdf"]
    broken = pdf_page(place, 3, PER_MM)
    broken[: round(70 * PER_MM)] = 255  # too few marks, the codes at the foot are whole
    uploads.accept(store, run, "half.png", [png(broken)])
    queue.work(store, confined=False)
    page = unnamed.pages()[-1]
    if page.state == "unread":
        unnamed.name("S0001", 1, page.id)
        page = unnamed.pages()[-1]
    assert (page.sheet, page.page) != ("S0001", 1)


def test_a_wrong_sheet_can_be_named_anew_until_somebody_changed_its_marks(
    unnamed: Unnamed,
) -> None:
    unnamed.name("S0002", 1)  # the sheets are alike: only a person can know
    (page,) = unnamed.pages()
    assert page.sheet == "S0002"
    unnamed.name("S0001", 1, page.id)
    (page,) = unnamed.pages()
    assert (page.state, page.sheet) == ("read", "S0001")
    assert rows(unnamed.store, "marks") == MARKS
    with unnamed.store.writing() as session:
        mark = marks.review_queue(session, unnamed.run)[0]
        marks.change(session, mark.id, "awarded", "R. Teasel", "Seen.", mark.version)
    with pytest.raises(RecordsError, match="changed by a person"):
        unnamed.name("S0002", 1, page.id)


def test_a_page_whose_code_was_read_is_not_named(unnamed: Unnamed) -> None:
    store, run = unnamed.store, unnamed.run
    with store.reading() as session:
        place = printings.files_of(store, session, run)["question-paper.pdf"]
    for k in range(2):
        grey = pdf_page(place, 1, PER_MM + k)
        uploads.accept(store, run, f"{k}.png", [png(grey)])
    queue.work(store, confined=False)
    twice = next(p for p in unnamed.pages() if p.state == "twice")
    read = next(p for p in unnamed.pages() if p.state == "read")
    with pytest.raises(RecordsError, match="page is known"):
        unnamed.name("S0002", 1, twice.id)
    with pytest.raises(RecordsError, match="no page"):
        unnamed.name("S0002", 1, read.id)


@pytest.mark.parametrize(
    ("sheet", "number", "told"),
    [("S0009", 1, "No sheet is 'S0009'"), ("S0001", 3, "has no page 3"), ("", 1, "No sheet")],
)
def test_names_that_no_page_has_are_refused(
    unnamed: Unnamed, sheet: str, number: int, told: str
) -> None:
    with pytest.raises(RecordsError, match=told):
        unnamed.name(sheet, number)
    assert [p.id for p in unnamed.pages()] == [unnamed.page_id]
    assert rows(unnamed.store, "page_steps") == 0


def test_while_its_file_is_being_marked_a_page_waits(unnamed: Unnamed) -> None:
    with unnamed.store.writing() as session:
        page = mending.page_to_mend(session, unnamed.run, unnamed.page_id)
        page.upload.state = "working"
        with pytest.raises(RecordsError, match="is being marked"):
            mending.name(session, page, "S0001", 1, "R")
        page.upload.state, page.upload.stored = "done", False
        with pytest.raises(RecordsError, match="was deleted"):
            mending.name(session, page, "S0001", 1, "R")


def test_a_page_is_turned_set_aside_and_taken_back(unnamed: Unnamed) -> None:
    def stands() -> mending.Mended:
        with unnamed.store.reading() as session:
            (found,) = mending.mended(session, unnamed.run).values()
            return found

    with unnamed.store.writing() as session:
        page = mending.page_to_mend(session, unnamed.run, unnamed.page_id)
        mending.turn(session, page, 270, "R")
        mending.turn(session, page, 180, "R")
        with pytest.raises(RecordsError):
            mending.turn(session, page, 45, "R")
        with pytest.raises(RecordsError, match="with a reason"):
            mending.set_aside(session, page, "  ", "R")
        mending.set_aside(session, page, "A blank  page.", "R")
    assert stands() == mending.Mended(turn=90, aside=True, why="A blank page.")
    with unnamed.store.writing() as session:
        mending.take_back(session, mending.page_to_mend(session, unnamed.run, unnamed.page_id), "Q")
    assert not stands().aside
    with unnamed.store.reading() as session:
        steps = mending.steps_of(session, unnamed.pages()[0].upload_id, 1)
    assert [(s.act, s.who) for s in steps] == [
        ("turned", "R"), ("turned", "R"), ("aside", "R"), ("back", "Q")
    ]  # fmt: skip


def test_a_new_photograph_takes_the_place_of_the_old_page(unnamed: Unnamed) -> None:
    store, run = unnamed.store, unnamed.run
    with store.reading() as session:
        place = printings.files_of(store, session, run)["question-paper.pdf"]
    new = mending.take_anew(
        store, unnamed.page_id, run, "again.png", [png(pdf_page(place, 1, PER_MM))], "R"
    )
    queue.work(store, confined=False)
    assert [p.state for p in unnamed.pages()] == ["unread", "read"]
    with store.reading() as session:
        (stands,) = mending.mended(session, run).values()
        assert (stands.retake_id, stands.aside) == (new, True)
        old = uploads.upload_of(session, unnamed.pages()[0].upload_id)
        assert store.upload_file(old.sha256).is_file()
    with pytest.raises(RecordsError, match="the one that could not be read"):
        mending.take_anew(store, unnamed.page_id, run, "x.png", [codeless(store, run, 1)], "R")
    with pytest.raises(SourceError, match="empty"):
        mending.take_anew(store, unnamed.page_id, run, "x.png", [b""], "R")


def test_a_file_that_did_not_open_is_set_aside(world: World) -> None:
    with world.store.writing() as session:
        failed = next(
            s.upload
            for s in uploads.standings(session, world.printing_id)
            if s.upload.state == "failed"
        )
        mending.set_file_aside(session, failed, "A holiday picture.", "R")
        (place,) = mending.mended(session, world.printing_id)
        assert place == (failed.id, mending.WHOLE_FILE)
        other = uploads.standings(session, world.printing_id)[0].upload
        with pytest.raises(RecordsError, match="was opened"):
            mending.set_file_aside(session, other, "x", "R")


def test_what_was_written_about_a_page_goes_with_the_pupil(world: World) -> None:
    with world.store.writing() as session:
        page = session.scalars(select(Page).where(Page.state == "read")).first()
        assert page is not None
        assert page.script is not None
        pupil = page.script.pupil_id
        session.add(
            PageStep(upload_id=page.upload_id, source_page=2, act="aside", who="R", why="Quilla's")
        )
    assert pupil is not None
    deleting.delete_pupil(world.store, pupil)
    assert rows(world.store, "page_steps") == 0


def test_naming_costs_no_other_page_of_the_file(empty: Store, tmp_path: Path) -> None:
    """A file of two pages, one of them smudged: the other one's marks stay as they are."""
    with empty.writing() as session:
        version = papers.version_of(session, papers.make_paper(session, THREE, "R").id).id
    run = printings.print_for(empty, version, sheets=1)
    with empty.reading() as session:
        place = printings.files_of(empty, session, run)["question-paper.pdf"]
    smudged = cv2.imdecode(np.frombuffer(codeless(empty, run, 1), np.uint8), 0)
    assert smudged is not None
    file = tmp_path / "two.tiff"
    assert cv2.imwritemulti(str(file), [pdf_page(place, 2, PER_MM), np.asarray(smudged)])
    uploads.accept(empty, run, "two.tiff", [file.read_bytes()])
    assert queue.work(empty, confined=False) == 2
    with empty.writing() as session:
        mark = marks.review_queue(session, run)[0]
        marks.change(session, mark.id, "awarded", "R", "Seen.", mark.version)
        (page,) = uploads.unread_pages(session, run)
        mending.name(session, page, "S0001", 1, "R")
    assert queue.work(empty, confined=False) == 1
    with empty.reading() as session:
        assert {p.state for p in session.scalars(select(Page))} == {"read"}
        assert sum(m.version == 2 for m in marks.review_queue(session, run)) == 1
