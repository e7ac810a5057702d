"""The list of commands. A command's module is imported only when it is asked for."""

from __future__ import annotations

from importlib import import_module

import click

COMMANDS = {
    "check": "what is understood of a paper's sentences, whether it fits, how fair it is",
    "print": "the paper, model answers, overlays and mark scheme as true-to-scale PDFs",
    "mark": "marks with reasons from scans or photographs of pupils' pages",
    "solve": "the exact answer to sentences given on the command line",
    "rehearse": "scans by invented pupils, to try a paper out",
    "bank": "a bank of invented questions: list, filter, build a paper from it",
    "demonstrate": "how one question is done, act by act, with moving instruments",
    "desk": "the web application: write, print, mark and review in a browser",
    "schema": "the published JSON Schemas of the files that other programs read",
    "demo": "the whole cycle on an invented class",
}


class Commands(click.Group):
    """A group that knows its commands by name and loads one when it is needed."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        command = import_module(f"millimark.cli.{cmd_name}_command").command
        if not isinstance(command, click.Command):
            raise TypeError(f"millimark.cli.{cmd_name}_command.command is not a command")
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        name = args[0]
        if name not in COMMANDS and not name.startswith("-"):
            from difflib import get_close_matches

            near = get_close_matches(name, COMMANDS, n=1)
            offer = f" Did you mean '{near[0]}'?" if near else ""
            known = ", ".join(COMMANDS)
            ctx.fail(f"There is no command '{name}'.{offer} The commands are: {known}.")
        return super().resolve_command(ctx, args)


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="millimark", message="millimark %(version)s")
def millimark() -> None:
    """Sets, prints and marks ruler-and-compasses work on paper, to the millimetre.

    Results go to standard output, messages to standard error. Exit code 0: done;
    1: some pages could not be read; 2: the input was wrong.
    """
