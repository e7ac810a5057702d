"""Papers: every version kept, undo and redo against a plain model, two writers at once."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from millimark.errors import PaperError, RecordsError
from millimark.paper.access import LARGE
from millimark.records import papers, printings
from millimark.records.papers import Stale
from millimark.records.store import Store

from .conftest import PAPER, World


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    store = Store.open(tmp_path_factory.mktemp("papers") / "s")
    yield store
    store.close()


steps = st.lists(st.sampled_from(["undo", "redo"]) | st.text(max_size=8), max_size=25)


@given(steps)
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_undo_and_redo_follow_a_tree_of_versions(desk: Store, taken: list[str]) -> None:
    parent: dict[int, int | None] = {1: None}
    texts, at = {1: "start"}, 1
    with desk.writing() as session:
        paper = papers.make_paper(session, "start", "R").id
        for step in taken:
            if step == "undo":
                found = papers.undo(session, paper)
                back = parent[at]
                assert (found is None) == (back is None)
                at = back or at
            elif step == "redo":
                ahead = max((n for n, p in parent.items() if p == at), default=None)
                found = papers.redo(session, paper)
                assert (found is None) == (ahead is None)
                at = ahead or at
            elif step != texts[at]:
                made = papers.save(session, paper, step, "R", seen=at)
                assert not isinstance(made, Stale)
                number = len(texts) + 1
                parent[number], texts[number], at = at, step, number
            assert papers.version_of(session, paper).text == texts[at]
        kept = {v.number: v.text for v in papers.paper_of(session, paper).versions}
    assert kept == texts  # nothing that was ever saved is lost


def test_a_save_on_an_old_version_is_told(empty: Store) -> None:
    with empty.writing() as session:
        paper = papers.make_paper(session, "title: A\n", "R").id
        assert not isinstance(papers.save(session, paper, "title: B\n", "R", 1), Stale)
    with empty.writing() as session:
        told = papers.save(session, paper, "title: C\n", "S", 1)
    assert told == Stale(2, "title: B\n", "R")
    with empty.reading() as session:
        assert papers.paper_of(session, paper).title == "B"


@pytest.mark.parametrize("text", ["", "[", "title: [1]", "a: &a [*a]", "title: !!python/x 1"])
def test_a_text_that_is_not_right_yet_is_kept_without_title(desk: Store, text: str) -> None:
    with desk.writing() as session:
        made = papers.make_paper(session, text, "R")
        assert made.title == ""
        assert papers.version_of(session, made.id).text == text


def test_a_text_without_end_is_refused(desk: Store) -> None:
    with pytest.raises(RecordsError, match="characters"), desk.writing() as session:
        papers.make_paper(session, "x" * (papers.MOST_CHARACTERS + 1), "R")


def test_a_printed_paper_is_not_deleted(world: World) -> None:
    with pytest.raises(RecordsError, match="printed"), world.store.writing() as session:
        papers.delete_paper(session, world.paper_id)


def test_a_paper_that_cannot_be_printed_leaves_nothing(desk: Store) -> None:
    with desk.writing() as session:
        paper = papers.make_paper(session, PAPER.replace("7 cm", "7000 cm"), "R")
        version = papers.version_of(session, paper.id).id
    before = sorted(p.name for p in (desk.folder / "printings").iterdir())
    with pytest.raises(Exception, match="cm"):
        printings.print_for(desk, version, sheets=1)
    assert sorted(p.name for p in (desk.folder / "printings").iterdir()) == before
    with pytest.raises(RecordsError, match="sheets"):
        printings.print_for(desk, version, sheets=501)


def test_large_print_takes_the_place_of_the_papers_own(desk: Store) -> None:
    with desk.writing() as session:
        version = papers.version_of(session, papers.make_paper(session, PAPER, "R").id).id
    run = printings.print_for(desk, version, sheets=1, access={"text": LARGE})
    with desk.reading() as session:
        assert printings.layout_of(session, run).paper["access"] == {"text": LARGE}
        files = printings.files_of(desk, session, run)
    assert {"question-paper.pdf", "mark-scheme.pdf"} <= set(files)
    with pytest.raises(PaperError):
        printings.print_for(desk, version, sheets=1, access={"colour": "plaid"})


def test_a_sheet_can_be_given_to_one_pupil_only(world: World, tmp_path: Path) -> None:
    with world.store.writing() as session:
        one, two = printings.printing_of(session, world.printing_id).scripts[:2]
        with pytest.raises(RecordsError, match="has sheet"):
            printings.assign(world.store, session, two.id, one.pupil_id)
        printings.assign(world.store, session, one.id, None)
        printings.assign(world.store, session, two.id, world.pupils[0])
        layout = printings.layout_of(session, world.printing_id)
        assert [s.pupil for s in layout.sheets] == [None, None, "3"]
        assert two.pupil is not None
        assert two.pupil.name == "Quilla Marrowby"
        # marking goes on with the map that the records hold
        assert (
            "Quilla"
            not in printings.layout_file(world.store, session, world.printing_id).read_text()
        )
