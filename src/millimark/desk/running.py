"""A desk that runs in a thread of this process: for tests, benchmarks and pictures of it."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import uvicorn

from millimark.desk.application import make_app
from millimark.desk.setting import Desk

_LEAVE_S = 20.0
"""How long, seconds, is waited for what is still being answered when the desk is to end."""


@contextmanager
def running(desk: Desk) -> Iterator[str]:
    """The desk's address, on this machine alone and at a free port, while it runs."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    config = uvicorn.Config(make_app(desk), host="127.0.0.1", port=port, log_level="error")
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.02)
    try:
        yield f"http://127.0.0.1:{port}"
    finally:
        server.should_exit = True
        thread.join(_LEAVE_S)
