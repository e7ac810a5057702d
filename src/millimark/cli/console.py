"""Tables on standard output, progress bars and messages on standard error."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from millimark.cli.trouble import printable

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

Progress = Callable[[int, int, str], None]
PLAIN_WIDTH = 110
"""Columns of a table where the output is a file or a pipe, which has no width."""


def results() -> Console:
    """A console for results. Markup is off: sentences and names may hold brackets."""
    from rich.console import Console

    width = None if sys.stdout.isatty() else PLAIN_WIDTH
    return Console(file=sys.stdout, markup=False, highlight=False, emoji=False, width=width)


def new_table(*headings: str, right: tuple[int, ...] = ()) -> Table:
    """An empty table in the project's look; columns whose index is in ``right`` are numbers."""
    from rich import box
    from rich.table import Table

    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, header_style="bold")
    for i, heading in enumerate(headings):
        table.add_column(heading, justify="right" if i in right else "left")
    return table


def tell(message: str) -> None:
    """A message for the person at the keyboard."""
    print(message, file=sys.stderr)


@contextmanager
def progress_bar(what: str) -> Iterator[Progress]:
    """A bar for long work; where standard error is no terminal, one line at the end."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, TextColumn, TimeElapsedColumn
    from rich.progress import Progress as Bar

    console = Console(file=sys.stderr, markup=False, highlight=False)
    columns = (
        TextColumn("{task.description}", markup=False),
        BarColumn(bar_width=30),
        MofNCompleteColumn(),
        TimeElapsedColumn(),
    )
    with Bar(*columns, console=console) as bar:
        task = bar.add_task(what, total=None)

        def move(done: int, total: int, detail: str) -> None:
            bar.update(
                task, completed=done, total=total, description=f"{what}: {printable(detail)}"
            )

        yield move
        bar.update(task, description=what)
