"""`millimark desk` as a process of its own, as a teacher starts it; it can be killed."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
import zlib
from pathlib import Path
from uuid import uuid4

HOST = "127.0.0.1"
START_SECONDS = 60.0


class DeskProcess:
    """A running desk on a free port. ``log`` keeps what it says; ``more`` are further options."""

    def __init__(self, folder: Path, log: Path, *more: str) -> None:
        with socket.socket() as free:
            free.bind((HOST, 0))
            self.port = int(free.getsockname()[1])
        self.place = f"http://{HOST}:{self.port}"
        words = [sys.executable, "-c", "from millimark.cli import main; main()", "desk"]
        with log.open("a") as out:
            self.running = subprocess.Popen(
                [*words, "--port", str(self.port), "--data", str(folder), *more],
                stdout=out, stderr=out, start_new_session=True,
            )  # fmt: skip

    def wait_until_it_answers(self) -> None:
        end = time.monotonic() + START_SECONDS
        while time.monotonic() < end:
            assert self.running.poll() is None, "the desk ended by itself"
            try:
                urllib.request.urlopen(f"{self.place}/static/icon.svg", timeout=5).close()
            except OSError:
                time.sleep(0.05)
            else:
                return
        raise TimeoutError("the desk does not answer")

    def kill(self, workers_too: bool) -> None:
        """SIGKILL: for the desk alone, or for everything that it started."""
        if workers_too:
            os.killpg(self.running.pid, signal.SIGKILL)
        else:
            self.running.kill()
        self.running.wait(20)

    def end(self) -> None:
        """As Ctrl-C ends it."""
        self.running.send_signal(signal.SIGINT)
        try:
            self.running.wait(30)
        finally:
            if self.running.poll() is None:
                self.kill(workers_too=True)

    def most_memory(self) -> int:
        """The most bytes that the desk's own process ever had in memory (VmHWM)."""
        told = Path(f"/proc/{self.running.pid}/status").read_text()
        line = next(x for x in told.splitlines() if x.startswith("VmHWM"))
        return 1024 * int(line.split()[1])

    def send(self, path: str, name: str, content: bytes, timeout: float = 120.0) -> str:
        """Post one file of scans as a browser does; what the page says that comes back."""
        boundary = uuid4().hex
        head = (
            f'--{boundary}\r\nContent-Disposition: form-data; name="scans"; filename="{name}"\r\n'
            "Content-Type: application/octet-stream\r\n\r\n"
        ).encode()
        asked = urllib.request.Request(
            self.place + path,
            data=head + content + f"\r\n--{boundary}--\r\n".encode(),
            headers={
                "Origin": self.place,
                "Content-Type": f"multipart/form-data; boundary={boundary}",
            },
        )
        opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
        with opener.open(asked, timeout=timeout) as answered:
            return str(answered.read().decode("utf-8"))


def padded(png: bytes, size: int) -> bytes:
    """The same picture in a PNG file of at least ``size`` bytes: a chunk that nobody reads."""
    filler = os.urandom(max(0, size - len(png)))
    chunk = b"miLl" + filler
    check = zlib.crc32(chunk).to_bytes(4, "big")
    end = png.rindex(b"IEND") - 4
    return png[:end] + len(filler).to_bytes(4, "big") + chunk + check + png[end:]
