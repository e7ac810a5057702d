"""Two teachers at two desks' browsers change the same mark at the same moment: one wins, the others
are told what stands now. On SQLite and on PostgreSQL."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

from httpx2 import Response
from starlette.testclient import TestClient
from tests.desk.conftest import BOTH, HERE, Marked

from millimark.records import marks

AT_ONCE = 6


@BOTH
def test_of_many_at_once_one_wins_and_the_others_are_told(marked: Marked) -> None:
    start = Barrier(AT_ONCE)

    def press(k: int) -> Response:
        mine = TestClient(marked.client.app, base_url=HERE, headers={"origin": HERE})
        form = {
            "mark": str(marked.waits), "seen": "2", "who": f"T{k}", "why": f"seen by T{k}",
            "to": "awarded" if k % 2 else "withheld",
        }  # fmt: skip
        start.wait()
        return mine.post("/printings/1/review", data=form)

    with ThreadPoolExecutor(AT_ONCE) as pool:
        answers = list(pool.map(press, range(AT_ONCE)))
    with marked.store.reading() as session:
        mark = marks.mark_of(session, marked.waits)
        (last,) = [c for c in marks.history(session, marked.waits) if c.version == 3]
    assert mark.version == 3
    assert sorted(a.status_code for a in answers) == [200] + [409] * (AT_ONCE - 1)
    for k, answer in enumerate(answers):
        if answer.status_code == 409:
            assert f"{last.who} decided this mark first" in answer.text
            assert f"seen by T{k}" in answer.text  # nothing typed is lost
        else:
            assert last.who == f"T{k}"


@BOTH
def test_a_difference_that_somebody_settled_first_is_told(marked: Marked) -> None:
    client = marked.client
    client.post("/printings/1/second", data={"which": "all"})
    blind = {"mark": str(marked.waits), "who": "B. Wren", "to": "withheld"}
    client.post("/printings/1/second/1/mark", data=blind)
    with marked.store.writing() as session:
        marks.change(session, marked.waits, "awarded", "A. Rook", "seen whole", 2)
    settled = {
        "mark": str(marked.waits), "seen": "2", "pair": "|B. Wren", "to": "withheld",
        "why": "agreed", "who": "A. Rook and B. Wren",
    }  # fmt: skip
    told = client.post("/printings/1/second/1/settle", data=settled)
    assert told.status_code == 409
    assert "A. Rook decided this mark first" in told.text
    with marked.store.reading() as session:
        assert marks.mark_of(session, marked.waits).decision == "awarded"
