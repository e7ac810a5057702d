"""The press: a process beside the desk for what takes a while (typesetting, filming), with its
progress told. It is started at the first job and kept; jobs are done one after the other.

A job that is cut off by the end of the desk leaves nothing behind and is asked for again.
"""

from __future__ import annotations

import multiprocessing
import queue
import secrets
import signal
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess
from typing import Any, Literal

from millimark.errors import MillimarkError

Report = Callable[[int, int, str], None]
Work = Callable[..., Any]
"""``work(report, *words)``: importable by name; what comes back can be pickled."""

MEMORY_BYTES = 3_000_000_000
"""Address space of the press, code and libraries included."""
SECONDS = 1800.0
"""Longest time for one job."""
_MOST_KEPT = 200


@dataclass
class Job:
    """One job. ``title`` names it; ``back`` is the page that asked for it; ``done`` of
    ``total`` steps, ``step`` what is being done. ``result`` is what ``arrive`` made of the
    work's: the path of the page to see, once the state is 'done'."""

    id: str
    title: str
    back: str
    state: Literal["waiting", "working", "done", "failed"] = "waiting"
    done: int = 0
    total: int = 0
    step: str = ""
    result: str = ""
    message: str = ""
    hint: str = ""

    @property
    def busy(self) -> bool:
        """Whether it is still to be waited for."""
        return self.state in ("waiting", "working")


@dataclass(frozen=True)
class _Order:
    job: Job
    work: Work
    words: tuple[Any, ...]
    arrive: Callable[[Any], str]


class Press:
    """Does jobs one by one, each in the press's process."""

    def __init__(self, seconds: float = SECONDS) -> None:
        self._seconds = seconds
        self._orders: queue.SimpleQueue[_Order | None] = queue.SimpleQueue()
        self._jobs: dict[str, Job] = {}
        self._lock = threading.Lock()
        self._thread: threading.Thread | None = None
        self._process: SpawnProcess | None = None
        self._pipe: Connection | None = None

    def order(
        self, title: str, back: str, work: Work, *words: Any, arrive: Callable[[Any], str]
    ) -> Job:
        """Take on a job; it comes back at once. ``arrive`` turns the result into a path."""
        job = Job(secrets.token_urlsafe(12), title, back)
        with self._lock:
            for old in [j.id for j in self._jobs.values() if not j.busy][:-_MOST_KEPT]:
                del self._jobs[old]
            self._jobs[job.id] = job
            if self._thread is None:
                self._thread = threading.Thread(target=self._working, name="press", daemon=True)
                self._thread.start()
        self._orders.put(_Order(job, work, words, arrive))
        return job

    def job(self, job_id: str) -> Job | None:
        """The job of this id; None if the desk knows none (any more)."""
        return self._jobs.get(job_id)

    def stop(self) -> None:
        """End the process; what it was doing is not finished."""
        self._orders.put(None)
        self._end()
        if self._thread is not None:
            self._thread.join(10)

    # --- the press's thread --------------------------------------------------------------------
    def _working(self) -> None:
        while (order := self._orders.get()) is not None:
            order.job.state = "working"
            try:
                self._send(order)
                self._follow(order)
            except (EOFError, OSError):
                self._end()
                _fail(order.job, "The process that worked on it ended.", "Try it once more.")

    def _send(self, order: _Order) -> None:
        if self._process is None or self._pipe is None or not self._process.is_alive():
            context = multiprocessing.get_context("spawn")
            self._pipe, theirs = context.Pipe()
            self._process = context.Process(
                target=_serve, args=(theirs, MEMORY_BYTES), daemon=True, name="press"
            )
            self._process.start()
            theirs.close()
        self._pipe.send((order.work, order.words))

    def _follow(self, order: _Order) -> None:
        """Listen to the process until the job is done."""
        job, pipe = order.job, self._pipe
        until = time.monotonic() + self._seconds
        while pipe is not None:
            if not pipe.poll(max(until - time.monotonic(), 0.0)):
                self._end()
                _fail(job, f"It took longer than {self._seconds:.0f} seconds.", "Ask for less.")
                return
            kind, *said = pipe.recv()
            if kind == "at":
                job.done, job.total, job.step = said
            elif kind == "done":
                job.result = order.arrive(said[0])
                job.state = "done"
                return
            else:
                _fail(job, *said)
                return

    def _end(self) -> None:
        process, pipe = self._process, self._pipe
        self._process = self._pipe = None
        if process is not None and process.is_alive():
            process.terminate()
            process.join(2.0)
            if process.is_alive():
                process.kill()
        if pipe is not None and process is not None:
            process.join(5.0)


def _fail(job: Job, message: str, hint: str) -> None:
    job.message, job.hint = message, hint
    job.state = "failed"


def _serve(pipe: Connection, memory: int) -> None:
    """The process's life: take a job, tell how it goes, send what comes of it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _confine(memory)
    while True:
        try:
            work, words = pipe.recv()
        except EOFError:
            return
        try:
            result = work(lambda *at: pipe.send(("at", *at)), *words)
        except MillimarkError as error:
            pipe.send(("failed", error.message, error.hint))
        except MemoryError:
            pipe.send(("failed", "It needs more memory than a job may have.", "Ask for less."))
        else:
            pipe.send(("done", result))


def _confine(memory: int) -> None:
    """Limit the address space where the system can."""
    try:
        import resource
    except ImportError:  # not on this system
        return
    resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
