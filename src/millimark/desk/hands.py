"""The worker beside the desk: one process that marks what waits, started when something does.

The desk itself never opens a scan. The worker confines every page to a process of limited
memory and time (`records.queue`); if it dies, what waits is taken up by the next one.
"""

from __future__ import annotations

import multiprocessing
import signal
import threading
import time
from multiprocessing.context import SpawnProcess
from pathlib import Path

from millimark.records.queue import busy, work
from millimark.records.store import Store

_LOOK_SECONDS = 0.5
_LINGER_SECONDS = 60.0
"""How long a worker stays for what comes next: photographs come one by one, and a fresh worker
takes seconds to start."""
_END_SECONDS = 15.0
"""How long a worker that is told to stop may take to finish its page."""


class Hands:
    """Watches the queue; at most one worker process at a time."""

    def __init__(self, store: Store, url: str | None = None) -> None:
        self._store, self._url = store, url
        self._worker: SpawnProcess | None = None
        self._closing = threading.Event()
        self._called = threading.Event()
        self._watch: threading.Thread | None = None

    def start(self) -> None:
        """Begin watching; what an earlier run left waiting is taken up."""
        self._watch = threading.Thread(target=self._watching, name="desk-hands", daemon=True)
        self._watch.start()
        self.call()

    def call(self) -> None:
        """Say that something waits."""
        self._called.set()

    def stop(self) -> None:
        """End the watch and the worker; what it has not done waits for the next start."""
        self._closing.set()
        self._called.set()
        if self._watch is not None:
            self._watch.join(10)
        if self._worker is not None and self._worker.is_alive():
            self._worker.terminate()
            self._worker.join(_END_SECONDS)
            if self._worker.is_alive():
                self._worker.kill()

    def _watching(self) -> None:
        while not self._closing.is_set():
            self._called.wait()
            if self._closing.is_set():
                return
            if self._worker is None or not self._worker.is_alive():
                self._called.clear()  # before looking: what comes meanwhile calls again
                if not waits(self._store):
                    continue
                self._called.set()
                self._worker = multiprocessing.get_context("spawn").Process(
                    target=mark_until_stopped, args=(self._store.folder, self._url)
                )
                self._worker.start()
            self._closing.wait(_LOOK_SECONDS)


def mark_until_stopped(folder: Path, url: str | None, linger: float = _LINGER_SECONDS) -> None:
    """The worker process: mark what waits, and what comes within ``linger`` seconds after; told
    to stop, or left alone by a desk that was killed, end between two pages."""
    told, desk = threading.Event(), multiprocessing.parent_process()
    for name in (signal.SIGTERM, signal.SIGINT):
        signal.signal(name, lambda *_: told.set())

    def stop() -> bool:
        return told.is_set() or (desk is not None and not desk.is_alive())

    store = Store.open(folder, url)
    try:
        last = time.monotonic()
        while not stop() and time.monotonic() - last < linger:
            if waits(store):
                work(store, stop=stop)
                last = time.monotonic()
            told.wait(_LOOK_SECONDS)
    finally:
        store.close()


def waits(store: Store) -> bool:
    """Whether anything is to be marked."""
    with store.reading() as session:
        return busy(session) > 0
