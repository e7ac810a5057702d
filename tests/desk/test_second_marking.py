"""Second marking: blind means blind, and differences are settled with a reason."""

from __future__ import annotations

import html
import re

from tests.desk.conftest import BOTH, PUPILS, Marked

from millimark.records import blind, marks, scripts

SECOND = "/printings/1/second"


def begin(marked: Marked, **form: str) -> str:
    return marked.client.post(SECOND, data={"which": "all", **form}).text


def decide(marked: Marked, mark: int, to: str, who: str = "B. Wren", why: str = "") -> str:
    form = {"mark": str(mark), "to": to, "who": who, "why": why}
    return marked.client.post(f"{SECOND}/1/mark", data=form).text


def ids(marked: Marked, who: str = "nobody") -> list[int]:
    with marked.store.reading() as session:
        return [m.mark_id for m in blind.to_decide(session, 1, who)]


@BOTH
def test_a_blind_marker_sees_the_drawing_and_nothing_that_was_decided(marked: Marked) -> None:
    assert "A round of 3 sheets is open." in begin(marked)
    with marked.store.reading() as session:
        told = scripts.marked(session, 1, pictures=False)
        history = [c.why for m in ids(marked) for c in marks.history(session, m)]
    reasons = {m.reason for s in told.scripts for q in s.questions for m in q.marks}
    faults = {f.text for s in told.scripts for q in s.questions for f in q.faults}
    for mark in ids(marked):
        text = html.unescape(marked.client.get(f"{SECOND}/1/mark?mark={mark}").text)
        seen = re.sub(r"<(button|kbd).*?</\1>", "", text)  # what can be chosen is not a decision
        for word in ("Awarded", "Withheld", "For you to decide", " mm off", "within 0.", *PUPILS):
            assert word not in seen, word
        for said in (*reasons, *faults, *history):
            assert said not in seen, said
        assert 'class="measured"' not in seen
        assert '<image href="/pages/' in seen


def test_the_overlay_can_be_laid_on_where_the_page_has_its_true_size(marked: Marked) -> None:
    begin(marked)
    mark = ids(marked)[0]
    assert '<g class="transparency off"><path' in marked.client.get(f"{SECOND}/1/mark").text
    with marked.store.writing() as session:
        page = marks.mark_of(session, mark).answer.page
        page.print_scale = 0.97
    text = marked.client.get(f"{SECOND}/1/mark?mark={mark}").text
    assert "transparency" not in text
    assert "not printed at true size" in text


@BOTH
def test_two_are_compared_and_each_difference_is_settled_with_a_reason(marked: Marked) -> None:
    begin(marked)
    odd, *rest = ids(marked)
    decide(marked, odd, "withheld", why="No arcs.")
    for mark in rest[:-1]:
        assert "Kept." in decide(marked, mark, "awarded")
    assert "has decided every mark of this round" in decide(marked, rest[-1], "awarded")
    for mark in (odd, *rest):
        decide(marked, mark, "awarded", who="C. Lark")
    text = marked.client.get(f"{SECOND}/1/compare", params={"pair": "B. Wren|C. Lark"}).text
    count = len(rest) + 1
    assert f"agree: {count - 1} of {count} marks" in text
    assert f"{100 * (count - 1) / count:.0f} %" in text
    assert "96 % of marks in mathematics" in text
    assert "No arcs." in text
    with marked.store.reading() as session:
        before = marks.mark_of(session, odd)
    form = {
        "mark": str(odd), "seen": str(before.version), "to": "withheld", "who": "B and C",
        "pair": "B. Wren|C. Lark", "why": "",
    }  # fmt: skip
    assert marked.client.post(f"{SECOND}/1/settle", data=form).status_code == 400
    text = marked.client.post(f"{SECOND}/1/settle", data={**form, "why": "Seen together."}).text
    assert "B and C: Seen together." in text
    assert "0</strong> of 1 difference still to settle" in text
    with marked.store.reading() as session:
        last = marks.history(session, odd)[-1]
        assert (last.who, last.why, last.after) == ("B and C", "Seen together.", "withheld")


def test_a_round_of_some_and_marks_that_are_not_in_it(marked: Marked) -> None:
    assert "A round of 1 sheet is open." in begin(marked, which="some", sheets="1")
    inside = set(ids(marked))
    with marked.store.reading() as session:
        outside = next(m.id for m in marks.review_queue(session, 1) if m.id not in inside)
    assert "There is no mark" in decide(marked, outside, "awarded")
    assert "no decision of a blind marker" in decide(marked, min(inside), "teacher")
    assert marked.client.get(f"{SECOND}/7/mark").status_code == 404
    assert marked.client.get(f"{SECOND}/1/compare").status_code == 400  # nobody has marked yet
    assert "cannot be marked again" in begin(marked, which="some", sheets="0")
