"""A command or option that docs/commands.md does not describe fails here."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import click
import pytest

from millimark.cli.commands import COMMANDS, millimark

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def generator() -> ModuleType:
    spec = importlib.util.spec_from_file_location("page", ROOT / "tools" / "commands_page.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_page_is_what_the_commands_say(generator: ModuleType) -> None:
    written = (ROOT / "docs" / "commands.md").read_text(encoding="utf-8")
    assert written == generator.page(), "docs/commands.md is out of date: run `make docs`"


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_and_option_says_what_it_does(name: str) -> None:
    command = millimark.get_command(click.Context(millimark), name)
    assert command is not None
    assert command.help
    for param in command.params:
        if isinstance(param, click.Option):
            assert param.help, f"{name} {param.opts[0]} has no help"
            assert param.help.endswith("."), f"{name} {param.opts[0]}: help is not a sentence"
