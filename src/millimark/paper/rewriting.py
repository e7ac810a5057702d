"""Changing a paper file by program and keeping its comments, order and quotes."""

from __future__ import annotations

from collections.abc import Sequence
from io import StringIO
from typing import Any

from ruamel.yaml import YAML

from millimark.errors import PaperError
from millimark.paper.fields import load
from millimark.paper.reading import PaperSource

Path = Sequence[str | int]
"""Keys and places (from 0) that lead to a value: ('questions', 1, 'marks')."""


def changed(text: str, path: Path, value: Any, file: str | None = None) -> str:
    """The paper file's text with one value set; comments stay. PaperError if the path leads
    nowhere, or if the paper would no longer be read."""
    load(text, file)  # says where the file is not YAML
    yaml = _yaml()
    data = yaml.load(text)
    holder = data
    for step in path[:-1]:
        holder = _step(holder, step, path, file)
    last = path[-1]
    if isinstance(holder, list):
        _step(holder, last, path, file)
    elif not hasattr(holder, "keys"):
        raise _nowhere(path, file)
    holder[last] = value
    out = StringIO()
    yaml.dump(data, out)
    new = out.getvalue()
    PaperSource(load(new, file)).paper()
    return new


def _yaml() -> YAML:
    yaml = YAML(typ="rt")
    yaml.preserve_quotes = True
    yaml.width = 10_000  # lines are not broken anew
    yaml.indent(mapping=2, sequence=4, offset=2)
    return yaml


def _step(holder: Any, step: str | int, path: Path, file: str | None) -> Any:
    try:
        return holder[step]
    except (KeyError, IndexError, TypeError) as error:
        raise _nowhere(path, file) from error


def _nowhere(path: Path, file: str | None) -> PaperError:
    where = " > ".join(str(step) for step in path)
    return PaperError(f"The paper has nothing at {where}.", "Check the keys.", file=file)
