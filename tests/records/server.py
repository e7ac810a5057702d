"""Debian's PostgreSQL on the loopback address for the length of a test session."""

from __future__ import annotations

import getpass
import os
import pwd
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import create_engine, text

NOT_INSTALLED = "PostgreSQL's server is not installed (Debian: apt-get install postgresql)"


@dataclass(frozen=True)
class Server:
    """A running server: nothing outside this machine reaches it."""

    port: int
    user: str

    def url(self, name: str) -> str:
        return f"postgresql://{self.user}@127.0.0.1:{self.port}/{name}"

    def database(self, name: str) -> str:
        """Make an empty database: its URL."""
        return self._made(f'CREATE DATABASE "{name}"', name)

    def copy(self, template: str, name: str) -> str:
        """Make a copy of a database that nobody is connected to: its URL."""
        return self._made(f'CREATE DATABASE "{name}" TEMPLATE "{template}"', name)

    def drop(self, name: str) -> None:
        """Take a database away, whoever is still connected: a thousand files less at the end."""
        self._made(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)', name)

    def _made(self, statement: str, name: str) -> str:
        url = self.url("postgres").replace("postgresql:", "postgresql+psycopg:")
        engine = create_engine(url, isolation_level="AUTOCOMMIT")
        with engine.connect() as connection:
            connection.execute(text(statement))
        engine.dispose()
        return self.url(name)


def programs() -> Path | None:
    """The folder of the newest server's programs; None if there is none."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda p: p.parts[-3])
    return found[-1].parent if found else None


@contextmanager
def servers() -> Iterator[Server | str]:
    """A server in a folder of its own, or the reason why not; it ends with the block."""
    bin_ = programs()
    if bin_ is None:
        yield NOT_INSTALLED
        return
    user = getpass.getuser()
    prefix: list[str] = []
    if os.geteuid() == 0:  # the server refuses to run as root
        try:
            pwd.getpwnam("postgres")
        except KeyError:
            yield NOT_INSTALLED
            return
        user, prefix = "postgres", ["runuser", "-u", "postgres", "--"]
    place = Path(tempfile.mkdtemp(prefix="millimark-pg-"))
    if prefix:
        shutil.chown(place, "postgres")
    port = _free_port()
    data = str(place / "data")
    try:
        _run([*prefix, str(bin_ / "initdb"), "-D", data, "-A", "trust", "-E", "UTF8",
              "--locale=C", "--no-sync", "-U", user], place)  # fmt: skip
        options = f"-h 127.0.0.1 -p {port} -k {place} -c fsync=off -c max_connections=60"
        start = ["-D", data, "-w", "-t", "90", "-l", str(place / "log"), "-o", options, "start"]
        _run([*prefix, str(bin_ / "pg_ctl"), *start], place)
        try:
            yield Server(port, user)
        finally:
            _run([*prefix, str(bin_ / "pg_ctl"), "-D", data, "-m", "immediate", "stop"], place)
    finally:
        shutil.rmtree(place, ignore_errors=True)


def _run(command: Sequence[str], place: Path) -> None:
    done = subprocess.run(
        command, cwd=place, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, timeout=180
    )
    if done.returncode:
        raise RuntimeError(f"{command}: {done.stderr.decode(errors='replace')}")


def _free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])
