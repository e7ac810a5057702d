"""Marks changed by people: history, races, the borderline queue, blind marking."""

from __future__ import annotations

import re
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from sqlalchemy import select

from millimark.errors import RecordsError
from millimark.records import blind, exports, marks, rounds, saving, scripts
from millimark.records.mark_tables import Mark
from millimark.records.marks import Changed, Conflict
from millimark.records.models import Page

from .conftest import MARKS, World, rows


def _first(world: World) -> Mark:
    with world.store.reading() as session:
        found = marks.review_queue(session, world.printing_id)[0]
        return marks.mark_of(session, found.id)


def _change(world: World, mark: Mark, to: str, who: str, seen: int) -> Changed | Conflict:
    with world.store.writing() as session:
        return marks.change(session, mark.id, to, who, "looked again", seen)  # type: ignore[arg-type]


def test_a_change_is_kept_with_who_when_and_why(world: World) -> None:
    mark = _first(world)
    assert mark.machine == "awarded"
    assert _change(world, mark, "withheld", "R", 1) == Changed(mark.id, 2, "withheld")
    assert _change(world, mark, "teacher", "S", 2) == Changed(mark.id, 3, "teacher")
    with world.store.reading() as session:
        told = marks.history(session, mark.id)
        assert [(c.version, c.before, c.after, c.who) for c in told] == [
            (2, "awarded", "withheld", "R"), (3, "withheld", "teacher", "S")
        ]  # fmt: skip
        assert all(c.why == "looked again" and c.at.tzinfo is not None for c in told)
        assert marks.mark_of(session, mark.id).machine == "awarded"
        assert [m.id for m in marks.borderline(session, world.printing_id)] == [mark.id]
        queue = marks.review_queue(session, world.printing_id)
        assert queue[0].id == mark.id
        assert len(queue) == 3 * MARKS
        assert marks.waiting(session, world.printing_id) == 1


def test_who_saw_an_old_version_is_told_what_stands_now(world: World) -> None:
    mark = _first(world)
    _change(world, mark, "withheld", "R", 1)
    told = _change(world, mark, "teacher", "S", 1)
    assert isinstance(told, Conflict)
    assert (told.version, told.decision, told.who, told.why) == (
        2, "withheld", "R", "looked again"
    )  # fmt: skip
    assert rows(world.store, "mark_changes") == 1


def test_of_two_at_once_one_wins_and_the_other_is_told(world: World) -> None:
    mark, start = _first(world), Barrier(8)

    def press(who: int) -> Changed | Conflict:
        start.wait()
        return _change(world, mark, "withheld" if who % 2 else "teacher", f"T{who}", 1)

    with ThreadPoolExecutor(8) as pool:
        told = list(pool.map(press, range(8)))
    (won,) = [t for t in told if isinstance(t, Changed)]
    lost = [t for t in told if isinstance(t, Conflict)]
    assert len(lost) == 7
    assert {(t.version, t.decision) for t in lost} == {(2, won.decision)}
    assert rows(world.store, "mark_changes") == 1


def test_wrong_changes_are_said(world: World) -> None:
    mark = _first(world)
    with world.store.writing() as session:
        for to, who, why, said in (
            ("maybe", "R", "x", "no decision"),
            ("withheld", " ", "x", "who marks"),
            ("withheld", "R", " ", "needs a reason"),
            ("withheld", "R", "x" * 2001, "characters"),
        ):
            with pytest.raises(RecordsError, match=said):
                marks.change(session, mark.id, to, who, why, 1)  # type: ignore[arg-type]
        with pytest.raises(RecordsError, match="no mark"):
            marks.change(session, 10_000, "awarded", "R", "x", 1)


def test_a_comment_needs_no_new_decision(world: World) -> None:
    mark = _first(world)
    assert _change(world, mark, "awarded", "R", 1) == Changed(mark.id, 2, "awarded")
    with world.store.reading() as session:
        (kept,) = marks.history(session, mark.id)
    assert kept.before == kept.after == "awarded"


def test_what_goes_out_says_the_decision_of_people(world: World) -> None:
    mark = _first(world)
    with world.store.reading() as session:
        before = scripts.grid(session, world.printing_id)
    _change(world, mark, "withheld", "R", 1)
    with world.store.reading() as session:
        after = scripts.grid(session, world.printing_id)
        found = scripts.marked(session, world.printing_id, pictures=False)
        csv = exports.as_csv(session, world.printing_id).decode("utf-8-sig")
    lost = [b.awarded - a.awarded for a, b in zip(after.rows, before.rows, strict=True)]
    assert sorted(lost) == [0, 0, 1]
    assert [s.total for s in found.scripts] == [r.awarded for r in after.rows]
    assert [int(line.split(",")[-3]) for line in csv.splitlines()[1:]] == [
        r.awarded for r in after.rows
    ]
    reasons = [m.told for s in found.scripts for q in s.questions for m in q.marks]
    assert sum("looked again (R; measured: " in r for r in reasons) == 1


def test_another_scan_can_count_instead(world: World) -> None:
    """The page is marked from its other scan, and every difference is a change with a name."""
    with world.store.writing() as session:
        page = session.scalars(select(Page)).first()
        assert page is not None
        full = scripts.page_of(session, page.id)
        questions = [dict(q) for q in full.questions]
        questions[0]["marks"] = [
            {**m, "decision": "withheld", "reason": "the other scan"} for m in questions[0]["marks"]
        ]
        other = Page(
            upload_id=full.upload_id, script_id=full.script_id, source_page=2, state="twice",
            reason="scanned twice", sheet=full.sheet, page=full.page, questions=questions,
        )  # fmt: skip
        session.add(other)
        session.flush()
        saving.count_instead(session, other.id, "R")
        assert (page.state, other.state) == ("twice", "read")
        answer = next(a for a in page.script.answers if a.position % 1000 == 0)  # type: ignore[union-attr]
        assert {m.decision for m in answer.marks} == {"withheld"}
        assert {c.who for m in answer.marks for c in m.changes} == {"R"}
        with pytest.raises(RecordsError):
            saving.count_instead(session, other.id, "R")


# --- blind ------------------------------------------------------------------------------
def test_two_markers_decide_alone_and_are_compared(world: World) -> None:
    with world.store.writing() as session:
        round_id = rounds.begin(session, world.printing_id, "A").id
        seen = blind.to_decide(session, round_id, "A")
        assert len(seen) == 3 * MARKS
        assert not {"decision", "machine", "reason"} & set(vars(seen[0]))
        for k, mark in enumerate(seen):
            blind.decide(session, mark.mark_id, "A", "awarded" if k % 3 else "withheld")
            blind.decide(session, mark.mark_id, "B", "awarded" if k % 4 else "withheld", "hm")
        blind.decide(session, seen[1].mark_id, "A", "awarded", "thought again")
        assert blind.markers(session, round_id) == {"A": 12, "B": 12}
        told = blind.compare(session, round_id, "A", "B")
        # k = 0 … 11: A withholds 0 3 6 9, B withholds 0 4 8
        assert (told.both, told.agreed) == (12, 7)
        assert len(told.differing) == 5
        assert told.kappa == pytest.approx((7 / 12 - (4 * 3 + 8 * 9) / 144) / (1 - 84 / 144))
        assert rows_unchanged(session)
        odd = told.differing[0]
        done = blind.settle(session, odd.mark.id, "withheld", "A and B", "agreed", odd.mark.version)
        assert isinstance(done, Changed)
        again = blind.compare(session, round_id, "A", "B").differing
        assert [d.settled for d in again] == [True, False, False, False, False]
        assert blind.to_decide(session, round_id, "C")[0].mine is None


def test_a_second_marker_is_compared_with_what_stood_unseen(world: World) -> None:
    """Settling a difference does not make the two agree after the event; a mark that waited for a
    person is no disagreement."""
    with world.store.writing() as session:
        round_id = rounds.begin(session, world.printing_id, "A").id
        seen = blind.to_decide(session, round_id, "S")
        first, second, third = (m.mark_id for m in seen[:3])
        marks.change(session, second, "teacher", "R", "blurred", 1)
        marks.change(session, third, "withheld", "R", "too short", 1)
        for mark, to in ((first, "withheld"), (second, "awarded"), (third, "withheld")):
            blind.decide(session, mark, "S", to)  # type: ignore[arg-type]
        told = blind.compare(session, round_id, None, "S")
        assert (told.both, told.agreed) == (2, 1)  # the waiting one is left out
        (odd,) = told.differing
        assert (odd.mark.id, odd.first, odd.second, odd.settled) == (
            first, "awarded", "withheld", False
        )  # fmt: skip
        blind.settle(session, first, "withheld", "R and S", "seen together", 1)
        told = blind.compare(session, round_id, None, "S")
        assert (told.both, told.agreed, told.differing[0].settled) == (2, 1, True)


def test_a_round_holds_all_marked_sheets_or_some_drawn_at_random(world: World) -> None:
    with world.store.writing() as session:
        drawn = set()
        for _ in range(40):
            some = rounds.begin(session, world.printing_id, "A", 2)
            assert len(some.sheets) == 2
            assert len(blind.to_decide(session, some.id, "S")) == 2 * MARKS
            drawn.add(tuple(s.script_id for s in some.sheets))
        assert len(drawn) == 3  # every pair of three comes up
        every = rounds.begin(session, world.printing_id, "A", 30)
        assert rounds.standing(session, every).marks == 3 * MARKS
        with pytest.raises(RecordsError, match="cannot be marked again"):
            rounds.begin(session, world.printing_id, "A", 0)
        with pytest.raises(RecordsError, match="no round"):
            rounds.round_of(session, world.printing_id + 1, every.id)
        assert len(rounds.rounds_of(session, world.printing_id)) == 41


def rows_unchanged(session: object) -> bool:
    """Deciding blind leaves every mark as it was."""
    from sqlalchemy.orm import Session

    assert isinstance(session, Session)
    return all(m.version == 1 for m in session.scalars(select(Mark)))


def test_kappa_of_a_worked_example() -> None:
    # 50 proposals, 20 yes-yes, 5 yes-no, 10 no-yes, 15 no-no: po 0.7, pe 0.5, kappa 0.4: the
    # usual textbook example [M]; formula: Cohen 1960.
    pairs = [("y", "y")] * 20 + [("y", "n")] * 5 + [("n", "y")] * 10 + [("n", "n")] * 15
    assert blind.kappa(pairs) == pytest.approx(0.4)
    assert blind.kappa([]) is None
    assert blind.kappa([("y", "y")] * 3) is None


def test_the_notes_on_the_page_say_the_decision_of_people(world: World) -> None:
    """The note stays where it stood, with the new decision; the other question's is unchanged."""
    mark = _first(world)
    with world.store.reading() as session:
        before = scripts.marked(session, world.printing_id)
        sheet = marks.mark_of(session, mark.id).answer.script.sheet
    _change(world, mark, "withheld", "A. Rook", 1)
    with world.store.reading() as session:
        after = scripts.marked(session, world.printing_id)
    old, new = before.kept[sheet, 1].notes, after.kept[sheet, 1].notes
    (question,) = [q for q in after.kept[sheet, 1].questions if q.page == 1 and q.marks[0].person]
    assert f"{question.awarded} of {question.out_of}<" in new
    words = " ".join(re.findall(r">([^<]*)</text>", new))
    assert f"{mark.code} withheld" in words
    assert "looked again (A. Rook; measured:" in words
    assert "withheld" not in " ".join(re.findall(r">([^<]*)</text>", old))
    corners = [re.findall(r'<path d="M([-0-9.]+ [-0-9.]+)', notes) for notes in (old, new)]
    assert corners[0][0] == corners[1][0]
    for key, page in after.kept.items():
        assert (page.notes == before.kept[key].notes) == (key != (sheet, 1))
