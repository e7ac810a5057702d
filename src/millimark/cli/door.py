"""Where every run begins and ends: exit codes, and no traceback for the user."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from io import TextIOWrapper

import click

from millimark.cli.commands import millimark
from millimark.cli.trouble import say_os_error, say_trouble, say_unexpected
from millimark.errors import MillimarkError

DONE, SOME_UNREAD, WRONG_INPUT, STOPPED = 0, 1, 2, 130


def run(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code. ``arguments`` are those of the process if None."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):  # file names and old terminals hold odd characters
            stream.reconfigure(errors="backslashreplace")
    try:
        code = millimark.main(
            args=None if arguments is None else list(arguments),
            prog_name="millimark",
            standalone_mode=False,
        )
        sys.stdout.flush()
    except click.ClickException as error:
        error.show()
        return WRONG_INPUT
    except (click.Abort, KeyboardInterrupt):
        print("Stopped.", file=sys.stderr)
        return STOPPED
    except MillimarkError as error:
        say_trouble(error)
        return WRONG_INPUT
    except BrokenPipeError:
        # Whoever read the results has gone (`| head`): what is left has no reader.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except OSError as error:
        say_os_error(error)
        return WRONG_INPUT
    except Exception as error:  # noqa: BLE001 - the last door: a fault of ours, kept in a file
        say_unexpected(error)
        return WRONG_INPUT
    return code if isinstance(code, int) else DONE
