"""``millimark desk``: the whole cycle in a browser on this machine."""

from __future__ import annotations

import ipaddress
from pathlib import Path
from typing import TYPE_CHECKING

import click

from millimark.errors import MillimarkError

if TYPE_CHECKING:
    from millimark.records.store import Store

DATA = Path("millimark-data")


@click.command("desk")
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen at.")
@click.option(
    "--port", default=8017, show_default=True, type=click.IntRange(1, 65535), help="Its port."
)
@click.option(
    "--data",
    type=click.Path(path_type=Path),
    default=DATA,
    show_default=True,
    metavar="DIR",
    help="Folder of the records; made where it is missing.",
)
@click.option(
    "--name",
    "names",
    multiple=True,
    metavar="HOST",
    help="A name under which browsers reach the desk, besides its addresses and this machine's "
    "own name. May be repeated.",
)
@click.option("--database", metavar="URL", help="A PostgreSQL database instead of the file in DIR.")
@click.option(
    "--set-password", is_flag=True, help="Ask for the desk's password, and keep its hash."
)
def command(
    host: str,
    port: int,
    data: Path,
    names: tuple[str, ...],
    database: str | None,
    set_password: bool,
) -> None:
    """Serve the desk until it is stopped with Ctrl-C.

    It answers this machine alone. At another --host it needs a password; the way to it is
    then as safe as the network it runs in. DIR holds pupils' data: it needs the care that
    your school's rules ask for.
    """
    from millimark.cli.console import tell
    from millimark.desk.password import door_of, keep_password
    from millimark.records.store import Store

    store = Store.open(data, database)
    try:
        if set_password:
            keep_password(data, click.prompt("Password", hide_input=True, confirmation_prompt=True))
        door = door_of(data)
        local = is_loopback(host)
        if not local and door is None:
            raise MillimarkError(
                f"--host {host} can be reached from other machines, and the desk has no password.",
                "Give it one with --set-password, or leave --host out.",
            )
        place = f"[{host}]" if ":" in host else host
        tell(f"The desk is at http://{place}:{port}/ (Ctrl-C ends it).")
        _serve(store, database, host, port, None if local else names)
    finally:
        store.close()


def is_loopback(host: str) -> bool:
    """Whether an address can be reached from this machine alone. Names but localhost: no."""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _serve(
    store: Store, url: str | None, host: str, port: int, beyond: tuple[str, ...] | None
) -> None:
    """``beyond``: more names of a desk that listens beyond this machine; None: it does not."""
    import uvicorn

    from millimark.desk.application import make_app
    from millimark.desk.hands import Hands
    from millimark.desk.password import door_of
    from millimark.desk.setting import LOCAL_NAMES, Desk, names_beyond

    hosts = LOCAL_NAMES if beyond is None else names_beyond(beyond)
    desk = Desk(store, Hands(store, url), door_of(store.folder), hosts, beyond=beyond is not None)
    uvicorn.run(
        make_app(desk),
        host=host,
        port=port,
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=False,
    )
