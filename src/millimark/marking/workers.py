"""Worker processes that can be ended: a page that hangs, or eats the memory, costs only itself.

Results come in the order of the tasks. A task whose worker dies, or that takes longer than
its time, gives a `Lost` with the reason, and a fresh worker takes its place.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from multiprocessing import get_context
from multiprocessing.connection import Connection, wait
from typing import Any, Generic, TypeVar

Task = TypeVar("Task")
Result = TypeVar("Result")

MEMORY_BYTES = 3_000_000_000
"""Address space of a worker, code and libraries included."""
SECONDS = 90.0
"""Longest time for one task."""
_START_SECONDS = 120.0
_READY = "ready"


class NoWorkersError(RuntimeError):
    """Worker processes cannot be started from here; the caller does the work itself."""


@dataclass(frozen=True)
class Lost:
    """A task that gave no result, and why."""

    reason: str


@dataclass
class _Worker(Generic[Task]):
    """One process with its pipe, and what it is busy with since when."""

    process: Any
    pipe: Connection
    task: int | None = None
    since: float = 0.0


def run_all(
    work: Callable[[Task], Result],
    tasks: Sequence[Task],
    workers: int,
    seconds: float = SECONDS,
    memory: int = MEMORY_BYTES,
) -> Iterator[tuple[int, Result | Lost]]:
    """(index, result) of every task as they finish. ``work`` must be importable by name.

    `NoWorkersError` before the first result if no process can be started (a script without
    a main guard, a system that forbids it).
    """
    team: list[_Worker[Task]] = [_hired(work, memory) for _ in range(min(workers, len(tasks)))]
    _all_ready(team)
    waiting = list(range(len(tasks)))[::-1]
    left = len(tasks)
    try:
        while left:
            for worker in team:
                if worker.task is None and waiting:
                    worker.task, worker.since = waiting.pop(), time.monotonic()
                    worker.pipe.send(tasks[worker.task])
            for index, result in _finished(team, work, seconds, memory):
                left -= 1
                yield index, result
    finally:
        for worker in team:
            _dismissed(worker)


def _all_ready(team: list[_Worker[Task]]) -> None:
    """Wait until every worker has said that it lives."""
    for worker in team:
        try:
            ready = worker.pipe.poll(_START_SECONDS) and worker.pipe.recv() == _READY
        except (EOFError, OSError):
            ready = False
        if not ready:
            for each in team:
                _dismissed(each)
            raise NoWorkersError("worker processes do not start here")


def _hired(work: Callable[[Task], Result], memory: int) -> _Worker[Task]:
    context = get_context("spawn")
    ours, theirs = context.Pipe()
    process = context.Process(target=_serve, args=(theirs, work, memory), daemon=True)
    process.start()
    theirs.close()
    return _Worker(process, ours)


def _dismissed(worker: _Worker[Task]) -> None:
    worker.pipe.close()
    if worker.process.is_alive():
        worker.process.terminate()
    worker.process.join(2.0)
    if worker.process.is_alive():
        worker.process.kill()
        worker.process.join()


def _finished(
    team: list[_Worker[Task]], work: Callable[[Task], Result], seconds: float, memory: int
) -> Iterator[tuple[int, Result | Lost]]:
    """What comes back within a fifth of a second; lost workers are replaced in ``team``."""
    busy = [w for w in team if w.task is not None]
    ready = wait([w.pipe for w in busy], timeout=0.2)
    for worker in busy:
        task = worker.task
        if task is None:
            continue
        if worker.pipe in ready:
            try:
                result: Result | Lost = worker.pipe.recv()
            except (EOFError, OSError):
                result = Lost("the page ended the process that read it (out of memory or damaged)")
                _replace(team, worker, work, memory)
        elif time.monotonic() - worker.since > seconds:
            result = Lost(f"reading took longer than {seconds:.0f} seconds and was stopped")
            _replace(team, worker, work, memory)
        else:
            continue
        worker.task = None
        yield task, result


def _replace(
    team: list[_Worker[Task]],
    worker: _Worker[Task],
    work: Callable[[Task], Result],
    memory: int,
) -> None:
    _dismissed(worker)
    fresh = _hired(work, memory)
    _all_ready([fresh])
    team[team.index(worker)] = fresh


def _serve(pipe: Connection, work: Callable[[Task], Result], memory: int) -> None:
    """A worker's life: take a task, do it, send the result; end when the pipe closes."""
    _confine(memory)
    pipe.send(_READY)
    while True:
        try:
            task = pipe.recv()
        except EOFError:
            return
        try:
            result: Result | Lost = work(task)
        except MemoryError:
            result = Lost("the page needs more memory than a page may have")
        pipe.send(result)


def _confine(memory: int) -> None:
    """Limit the address space where the system can; keep interrupts for the parent."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        import resource
    except ImportError:  # not on this system
        return
    resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
