"""A keystroke at the desk: the form is posted as the browser posts it, and the answer read.

A region of three conditions is typed, one character more at each round, and a length changed
each time it is whole, so that nothing is answered from what was worked out before. Baseline:
the same desk hands out its style sheet, which is what the way there and back costs.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count
from typing import Any

import httpx2
import pytest

from millimark.desk.hands import Hands
from millimark.desk.running import running
from millimark.desk.setting import Desk
from millimark.records.store import Store

GROUP = "desk"
GIVEN = "Triangle PQR has PQ = 7.{} cm, QR = 6 cm and PR = 5 cm."
ASK = "Shade the region that is nearer to PQ than to PR, less than 4 cm from Q and more than 2 cm from PR."  # noqa: E501


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[httpx2.Client]:
    """A desk that runs, and a connection to it that stays open, as a browser's does."""
    store = Store.open(tmp_path_factory.mktemp("desk") / "records")
    with (
        running(Desk(store, Hands(store))) as place,
        httpx2.Client(base_url=place, headers={"origin": place}, follow_redirects=True) as found,
    ):
        found.post("/papers")
        yield found
    store.close()


def live(browser: httpx2.Client, given: str, ask: str) -> str:
    form = {"given": given, "ask": ask, "seen": "1", "view": "answer"}
    answer = browser.post("/papers/1/questions/1/live", data=form)
    assert answer.status_code == 200
    return answer.text


@pytest.mark.benchmark(group=GROUP)
def test_a_keystroke_in_a_whole_question(benchmark: Any, browser: httpx2.Client) -> None:
    benchmark.extra_info["what"] = "answering a keystroke, a region of three conditions"
    numbers = count(10)
    live(browser, GIVEN.format(1), ASK)

    def keystroke() -> str:
        return live(browser, GIVEN.format(next(numbers)), ASK)

    assert "careful hands" in benchmark.pedantic(keystroke, rounds=80)


@pytest.mark.benchmark(group=GROUP)
def test_a_keystroke_in_a_sentence_that_is_not_whole_yet(
    benchmark: Any, browser: httpx2.Client
) -> None:
    benchmark.extra_info["what"] = "answering a keystroke, the sentence half typed"
    lengths = count(len("Shade the "))
    live(browser, GIVEN.format(1), ASK)

    def keystroke() -> str:
        return live(browser, GIVEN.format(1), ASK[: next(lengths)])

    assert "fault" in benchmark.pedantic(keystroke, rounds=len(ASK) - len("Shade the ") - 2)


@pytest.mark.benchmark(group=GROUP)
def test_the_way_there_and_back(benchmark: Any, browser: httpx2.Client) -> None:
    benchmark.extra_info["baseline"] = "fetching the desk's style sheet"
    assert benchmark(browser.get, "/static/desk.css").status_code == 200
