"""Write docs/commands.md from the commands themselves (`make docs`)."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from millimark.cli.commands import COMMANDS, millimark

HEAD = """# Commands

Written by `make docs` from the commands themselves; a test fails when it is out of date.

Results go to standard output, progress bars and messages to standard error.

| exit code | means |
|---|---|
| 0 | done |
| 1 | some pages could not be read; the rest are done and the report says which and why |
| 2 | the input was wrong; one message says what, by which rule, and what to do |
| 130 | stopped by Ctrl-C |
"""


def page() -> str:
    """The whole page as Markdown."""
    context = click.Context(millimark, info_name="millimark")
    parts = [HEAD]
    for name in COMMANDS:
        command = millimark.get_command(context, name)
        if command is None:
            raise SystemExit(f"no command {name}")
        parts.append(_section(name, command))
    return "\n".join(parts)


def _section(name: str, command: click.Command) -> str:
    context = click.Context(command, info_name=f"millimark {name}")
    usage = " ".join([f"millimark {name}", *command.collect_usage_pieces(context)])
    lines = [f"## millimark {name}", "", "```", usage, "```", "", _prose(command.help or ""), ""]
    options = [record for p in command.params if (record := p.get_help_record(context))]
    if options:
        lines += ["| option | meaning |", "|---|---|"]
        lines += [f"| `{option}` | {_cell(meaning)} |" for option, meaning in options]
        lines.append("")
    return "\n".join(lines)


def _prose(text: str) -> str:
    """Help text with its paragraphs kept and its line breaks within them removed."""
    return "\n\n".join(" ".join(part.split()) for part in text.replace("\b", "").split("\n\n"))


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(page(), encoding="utf-8")
