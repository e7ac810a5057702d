"""The command line. Results go to standard output, bars and messages to standard error.

Exit 0: done. 1: some pages could not be read (the rest are done and the report says which
and why). 2: the input was wrong. Each command stands in the module of its name.
"""

from __future__ import annotations


def main() -> None:
    """The console script: run the command that the arguments name, leave with its code."""
    from millimark.cli.door import run

    raise SystemExit(run())
