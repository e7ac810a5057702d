"""The command line. Results go to standard output, bars and messages to standard error.

Exit 0: done. 1: some pages could not be read (the rest are done and the report says which
and why). 2: the input was wrong. Each command stands in the module of its name.
"""

from __future__ import annotations

import os

ONE_THREAD = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")
"""Batches run one process to a core; threads of their own in each of them (for small
matrices, too) made marking six times slower on two cores."""


def main() -> None:
    """The console script: run the command that the arguments name, leave with its code."""
    for name in ONE_THREAD:
        os.environ.setdefault(name, "1")
    from millimark.cli.door import run

    raise SystemExit(run())
