"""Guessing is slowed for everyone who guesses, and for nobody else."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import pytest
from tests.desk.conftest import desk

from millimark.desk.password import door_of, keep_password
from millimark.desk.waiting import (
    FREE_TRIES,
    LONGEST_WAIT,
    STRANGERS_AT_ONCE,
    STRANGERS_EVERY,
    Caller,
    Waits,
    caller_at,
)
from millimark.records.store import Store

PASSWORD = "seven quiet herons"


@dataclass
class Clock:
    """A clock that a test moves."""

    now: float = 1000.0

    def __call__(self) -> float:
        return self.now


def wrong(waits: Waits, caller: Caller, times: int) -> int:
    """How many of so many tries at one moment were let through."""
    return sum(waits.begin(caller) for _ in range(times))


def test_a_caller_waits_longer_after_each_wrong_one_and_no_longer_than_the_longest() -> None:
    clock = Clock()
    waits = Waits(clock)
    guesser = caller_at("192.0.2.7")
    assert wrong(waits, guesser, 50) == FREE_TRIES
    pauses = []
    for _ in range(12):
        pauses.append(waits.seconds(guesser))
        clock.now += pauses[-1]
        assert wrong(waits, guesser, 50) == 1
    assert pauses[:4] == [2.0, 4.0, 8.0, 16.0]
    assert pauses[-1] == LONGEST_WAIT


def test_one_guesser_locks_nobody_else_out() -> None:
    clock = Clock()
    waits = Waits(clock)
    for _ in range(2000):  # half an hour of guessing from one address
        waits.begin(caller_at("192.0.2.7"))
        clock.now += 1.0
    assert waits.seconds(caller_at("192.0.2.7")) > 0
    assert waits.seconds(caller_at("192.0.2.8")) == 0


def test_many_addresses_together_guess_no_faster_than_the_pace() -> None:
    clock = Clock()
    waits = Waits(clock)
    tried = 0
    for second in range(3600):
        for k in range(10):  # ten fresh addresses a second
            tried += waits.begin(caller_at(f"10.{second // 250}.{second % 250}.{k}"))
        clock.now += 1.0
    assert tried == pytest.approx(STRANGERS_AT_ONCE + 3600 / STRANGERS_EVERY, abs=1.0)
    teacher = Caller("browser abc", known=True)
    assert waits.seconds(caller_at("192.0.2.9")) > 0
    assert waits.seconds(teacher) == 0
    assert waits.begin(teacher)
    assert waits.begin(caller_at("127.0.0.1"))


def test_the_right_password_clears_what_was_held_against_its_caller_alone() -> None:
    waits = Waits(Clock())
    one, other = Caller("browser one", True), Caller("browser other", True)
    wrong(waits, one, 9)
    wrong(waits, other, 2)
    waits.succeed(other)
    assert waits.seconds(one) > 0
    assert wrong(waits, other, 9) == FREE_TRIES


@pytest.mark.parametrize(
    ("address", "name", "known"),
    [
        ("192.0.2.7", "192.0.2.7", False),
        ("::ffff:192.0.2.7", "192.0.2.7", False),
        ("2001:db8:1:2:aaaa::1", "2001:db8:1:2::", False),
        ("2001:db8:1:2:bbbb::9", "2001:db8:1:2::", False),
        ("fe80::1%eth0", "fe80::", False),
        ("127.0.0.1", "127.0.0.1", True),
        ("::1", "::1", True),
        ("testclient", "unknown", False),
        (None, "unknown", False),
    ],
)
def test_callers_by_address(address: str | None, name: str, known: bool) -> None:
    assert caller_at(address) == Caller(name, known)


def test_tries_at_the_same_moment_are_no_way_round(store: Store) -> None:
    keep_password(store.folder, PASSWORD)
    door = door_of(store.folder)
    assert door is not None
    guesser = caller_at("192.0.2.7")
    with ThreadPoolExecutor(16) as pool:
        guesses = [f"guess {k}" for k in range(40)] + [PASSWORD]
        assert not any(pool.map(lambda g: door.opens(g, guesser), guesses))
    assert not door.opens(PASSWORD, guesser)
    assert door.opens(PASSWORD, caller_at("192.0.2.8"))


def test_a_browser_that_signed_in_before_waits_apart_from_its_address(store: Store) -> None:
    keep_password(store.folder, PASSWORD)
    with desk(store, beyond=True) as client:
        right = {"name": "R. T.", "password": PASSWORD}
        client.post("/sign-in", data=right)
        client.post("/sign-out")
        known = client.cookies["millimark-known"]
        client.cookies.clear()
        for _ in range(FREE_TRIES):
            client.post("/sign-in", data={"name": "X", "password": "a wrong guess"})
        told = client.post("/sign-in", data=right)
        assert told.status_code == 429
        assert "try again in" in told.text
        forged = {"cookie": f"millimark-known={known[:-3]}abc"}
        assert client.post("/sign-in", data=right, headers=forged).status_code == 429
        kept = {"cookie": f"millimark-known={known}"}
        let_in = client.post("/sign-in", data=right, headers=kept, follow_redirects=False)
        assert (let_in.status_code, let_in.headers["location"]) == (303, "/")
