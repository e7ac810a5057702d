"""Worker processes that can be ended: a page that hangs, or eats the memory, costs only itself.

Results come as they finish. A task whose worker dies, or that takes longer than its time, gives
a `Lost` with the reason, and a fresh worker takes its place.
"""

from __future__ import annotations

import contextlib
import math
import os
import signal
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from multiprocessing import get_context
from multiprocessing.connection import Connection, wait
from typing import Any, Generic, TypeVar

Task = TypeVar("Task")
Result = TypeVar("Result")

MEMORY_BYTES = 2_500_000_000
"""Address space of a worker, code and libraries included: about 1 GB of it before any page."""
SECONDS = 90.0
"""Longest time for one task: of computing, and `_PATIENCE` times as long by the clock, so that a
busy machine loses no page."""
_PATIENCE = 4.0
_START_SECONDS = 120.0
_READY = "ready"
_OUT_OF_TIME = -int(getattr(signal, "SIGXCPU", 0))
"""How a process ends that has used up its time."""
_PRELOADED = ["millimark.marking.page"]

_ENDED = "the page ended the process that read it (out of memory or damaged)"
_TOO_LARGE = "the page needs more memory than a page may have"
_NONE_LEFT = "the process that should read it could not be started; mark the page again"


class NoWorkersError(RuntimeError):
    """Worker processes cannot be started from here; the caller does the work itself."""


@dataclass(frozen=True)
class Lost:
    """A task that gave no result, and why."""

    reason: str


@dataclass
class Peak:
    """The most memory that any worker had resident, bytes; 0 where the system does not say."""

    size: int = 0


@dataclass
class _Worker(Generic[Task]):
    """One process with its pipe, and what it is busy with since when."""

    process: Any
    pipe: Connection
    task: int | None = None
    since: float = 0.0


@dataclass
class _Team(Generic[Task, Result]):
    """Workers that do one kind of work, within limits of time and memory for each task."""

    work: Callable[[Task], Result]
    seconds: float
    memory: int
    peak: Peak
    workers: list[_Worker[Task]] = field(default_factory=list)


def run_all(
    work: Callable[[Task], Result],
    tasks: Sequence[Task],
    workers: int,
    seconds: float = SECONDS,
    memory: int = MEMORY_BYTES,
    peak: Peak | None = None,
) -> Iterator[tuple[int, Result | Lost]]:
    """(index, result) of every task as they finish. ``work`` must be importable by name.

    `NoWorkersError` before the first result if no process can be started (a script without
    a main guard, a system that forbids it). ``peak`` takes the workers' memory.
    """
    team: _Team[Task, Result] = _Team(work, seconds, memory, peak or Peak())
    waiting = list(range(len(tasks)))[::-1]
    left = len(tasks)
    try:
        _hire(team, min(workers, len(tasks)))
        while left:
            for worker in team.workers:
                if worker.task is None and waiting:
                    _give(worker, waiting.pop(), tasks)
            for index, result in _finished(team):
                left -= 1
                yield index, result
            _replace_lost(team, min(workers, left))
            if left and not team.workers:
                yield from ((index, Lost(_NONE_LEFT)) for index in waiting[::-1])
                return
    finally:
        for worker in team.workers:
            _dismiss(worker)


def _give(worker: _Worker[Task], index: int, tasks: Sequence[Task]) -> None:
    """Send a task; if the worker has died meanwhile, that is seen when its answer is awaited."""
    worker.task, worker.since = index, time.monotonic()
    with contextlib.suppress(OSError):
        worker.pipe.send(tasks[index])


def _hire(team: _Team[Task, Result], count: int) -> None:
    """Start workers and wait until each has said that it lives."""
    fresh: list[_Worker[Task]] = []
    try:
        fresh += [_started(team) for _ in range(count)]
        ready = all(_is_ready(worker) for worker in fresh)
    except (OSError, RuntimeError, EOFError):
        ready = False
    if not ready:
        for worker in fresh:
            _dismiss(worker)
        raise NoWorkersError("worker processes do not start here")
    team.workers += fresh


def _started(team: _Team[Task, Result]) -> _Worker[Task]:
    context = _context()
    ours, theirs = context.Pipe()
    args = (theirs, team.work, team.seconds, team.memory)
    process = context.Process(target=_serve, args=args, daemon=True)
    process.start()
    theirs.close()
    return _Worker(process, ours)


def _context() -> Any:
    """How processes are started: on Linux from a server that has the libraries loaded, which
    takes a hundredth of the time; elsewhere anew, as forking is not safe there."""
    if sys.platform != "linux":
        return get_context("spawn")
    context = get_context("forkserver")
    context.set_forkserver_preload(_PRELOADED)
    return context


def _is_ready(worker: _Worker[Task]) -> bool:
    try:
        return bool(worker.pipe.poll(_START_SECONDS) and worker.pipe.recv() == _READY)
    except (EOFError, OSError):
        return False


def _dismiss(worker: _Worker[Task]) -> None:
    worker.pipe.close()
    if worker.process.is_alive():
        worker.process.terminate()
    worker.process.join(2.0)
    if worker.process.is_alive():
        worker.process.kill()
        worker.process.join()


def _replace_lost(team: _Team[Task, Result], wanted: int) -> None:
    """Fill the team up; with fewer workers where no more can be started."""
    if len(team.workers) < wanted:
        with contextlib.suppress(NoWorkersError):
            _hire(team, wanted - len(team.workers))


def _finished(team: _Team[Task, Result]) -> Iterator[tuple[int, Result | Lost]]:
    """What comes back within a fifth of a second; lost workers leave the team."""
    busy = [w for w in team.workers if w.task is not None]
    ready = wait([w.pipe for w in busy], timeout=0.2)
    for worker in busy:
        task = worker.task
        if task is None:
            continue
        if worker.pipe in ready:
            result = _received(team, worker)
        elif time.monotonic() - worker.since > _PATIENCE * team.seconds:
            result = _too_long(team)
            _leave(team, worker)
        else:
            continue
        worker.task = None
        yield task, result


def _received(team: _Team[Task, Result], worker: _Worker[Task]) -> Result | Lost:
    try:
        result, peak = worker.pipe.recv()
    except (EOFError, OSError):
        _leave(team, worker)
        return _too_long(team) if worker.process.exitcode == _OUT_OF_TIME else Lost(_ENDED)
    team.peak.size = max(team.peak.size, peak)
    answer: Result | Lost = result
    return answer


def _too_long(team: _Team[Task, Result]) -> Lost:
    return Lost(f"reading took longer than {team.seconds:g} s and was stopped")


def _leave(team: _Team[Task, Result], worker: _Worker[Task]) -> None:
    _dismiss(worker)
    team.workers.remove(worker)


# --- in the worker -------------------------------------------------------------------------
def _serve(pipe: Connection, work: Callable[[Task], Result], seconds: float, memory: int) -> None:
    """A worker's life: take a task, do it, send the result; end when the pipe closes."""
    _confine(memory)
    # Whoever asked may be gone: then there is nobody left to work for.
    with contextlib.suppress(EOFError, OSError):
        pipe.send(_READY)
        while True:
            task = pipe.recv()
            _allow(seconds)
            pipe.send((_done(work, task), _peak_bytes()))


def _done(work: Callable[[Task], Result], task: Task) -> Result | Lost:
    """The result; a fault of the page's costs only the page."""
    try:
        return work(task)
    except MemoryError:
        return Lost(_TOO_LARGE)
    except Exception as error:  # noqa: BLE001 - whatever a hostile page raises is its reason
        return Lost(f"the page could not be read ({type(error).__name__}); mark it by hand")


def _confine(memory: int) -> None:
    """Limit the address space where the system can; one core; interrupts are the parent's, and
    what decoders complain of goes nowhere: the page's reason says it."""
    import cv2

    cv2.setNumThreads(1)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (1, 2):
        os.dup2(nowhere, stream)
    try:
        import resource
    except ImportError:  # not on this system
        return
    resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _allow(seconds: float) -> None:
    """Limit the computing for one task where the system can: at its end the system ends us."""
    try:
        import resource
    except ImportError:  # not on this system
        return
    used = math.ceil(time.process_time() + seconds)
    resource.setrlimit(resource.RLIMIT_CPU, (used, resource.RLIM_INFINITY))


def _peak_bytes() -> int:
    """The most memory that this process has had resident; 0 where the system does not say."""
    try:
        import resource
    except ImportError:  # not on this system
        return 0
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most if sys.platform == "darwin" else most * 1024
