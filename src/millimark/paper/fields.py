"""A paper file as a tree of fields that know where they stand.

``Field`` walks mappings, sequences and single values, and turns everything that is not as
it should be into a PaperError with file, line and column.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from ruamel.yaml import YAML
from ruamel.yaml.comments import CommentedMap, CommentedSeq
from ruamel.yaml.error import MarkedYAMLError, YAMLError

from millimark.errors import PaperError
from millimark.paper.typeface import unprintable

T = TypeVar("T")


@dataclass(frozen=True)
class Field:
    """One value of the file: what it is called, where it stands (from 1), or None."""

    value: Any
    name: str
    file: str | None = None
    line: int | None = None
    column: int | None = None
    lines: tuple[str, ...] = ()

    def wrong(self, message: str, hint: str = "", along: int = 0) -> PaperError:
        """An error that points ``along`` characters into this field's text.

        Text that the file folds over several lines is pointed at where it starts.
        """
        line, column = self.line, self.column
        if along and line is not None and column is not None and line <= len(self.lines):
            row = self.lines[line - 1]
            quote = row[column - 1 : column] in ("'", '"')
            there = column + along + (1 if quote else 0)
            if there <= len(row):
                column = there
        return PaperError(message, hint, file=self.file, line=line, column=column)

    def fields(self, known: Iterable[str]) -> dict[str, Field]:
        """The fields of a mapping by key. Unknown keys and other kinds of value are errors."""
        if not isinstance(self.value, Mapping):
            raise self.wrong(
                f"{self.name} should be a list of 'key: value' lines, but is {_kind(self.value)}.",
                f"Its keys are: {', '.join(known)}.",
            )
        keys = list(known)
        found = {}
        for key in self.value:
            if key not in keys:
                raise self._key(key).wrong(*_unknown(key, keys, self.name))
            found[key] = self._child(key)
        return found

    def items(self) -> Iterator[Field]:
        """The entries of a list; a single value counts as a list of one."""
        if not isinstance(self.value, list | tuple):
            yield self
            return
        for i in range(len(self.value)):
            yield self._entry(i)

    def text(self) -> str:
        """A sentence or a name. Anything else is an error."""
        if isinstance(self.value, str) and self.value.strip():
            return self._printable(" ".join(self.value.split()))
        hint = ""
        if isinstance(self.value, Mapping):
            hint = "A sentence with ': ' in it must stand in quotes."
        raise self.wrong(f"{self.name} should be text, but is {_kind(self.value)}.", hint)

    def _printable(self, text: str) -> str:
        stranger = unprintable(text)
        if stranger is not None:
            raise self.wrong(
                f"{self.name}: the character {stranger!r} (U+{ord(stranger):04X}) cannot be "
                "printed with the typeface Andika.",
                "Write it in Latin or Cyrillic letters.",
                along=text.index(stranger),
            )
        return text

    def number(self, least: int, most: int) -> int:
        """A whole number from ``least`` to ``most``."""
        value = self.value
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            raise self.wrong(
                f"{self.name} should be a whole number from {least} to {most}, "
                f"but is {_kind(value)}."
            )
        return value

    def truth(self) -> bool:
        """true or false."""
        if not isinstance(self.value, bool):
            raise self.wrong(f"{self.name} should be true or false, but is {_kind(self.value)}.")
        return self.value

    def one_of(self, choices: Iterable[str]) -> str:
        """One of a few words, whatever the case."""
        options = list(choices)
        for option in options:
            if isinstance(self.value, str) and self.value.strip().lower() == option.lower():
                return option
        raise self.wrong(
            f"{self.name} should be one of {', '.join(options)}, but is {_kind(self.value)}.",
            _nearest(str(self.value), options),
        )

    def quantity(self, read: Callable[[object], T]) -> T:
        """A value with a unit, read by one of ``units``' functions."""
        try:
            return read(self.value)
        except ValueError as error:
            raise self.wrong(f"{self.name}: {error}.") from error

    def _child(self, key: str) -> Field:
        line, column = _place(self.value, key, of_value=True)
        return Field(self.value[key], f"'{key}'", self.file, line, column, self.lines)

    def _key(self, key: object) -> Field:
        line, column = _place(self.value, key, of_value=False)
        return Field(key, f"'{key}'", self.file, line, column, self.lines)

    def _entry(self, i: int) -> Field:
        line, column = _place(self.value, i, of_value=True)
        return Field(
            self.value[i], f"entry {i + 1} of {self.name}", self.file, line, column, self.lines
        )


def load(text: str, file: str | None) -> Field:
    """The whole file as a field. PaperError where it is not YAML, or is empty."""
    try:
        data = YAML(typ="rt").load(text)
    except MarkedYAMLError as error:
        mark = error.problem_mark
        raise PaperError(
            f"This is not readable as YAML: {error.problem or error.context}.",
            "Check the indents, the colons and the quotes here.",
            file=file,
            line=None if mark is None else mark.line + 1,
            column=None if mark is None else mark.column + 1,
        ) from error
    except YAMLError as error:
        raise PaperError(f"This is not readable as YAML: {error}.", file=file) from error
    if data is None:
        raise PaperError(
            "The paper file is empty.", "It needs at least 'title' and 'questions'.", file=file
        )
    return Field(data, "the paper", file, 1, 1, tuple(text.splitlines()))


def plain(value: Any) -> Any:
    """The same content as plain dicts, lists, strings, numbers and booleans."""
    if isinstance(value, Mapping):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [plain(v) for v in value]
    if isinstance(value, bool) or value is None:
        return value
    if isinstance(value, int):
        return int(value)
    if isinstance(value, float):
        return float(value)
    return str(value)


def _place(holder: Any, key: Any, of_value: bool) -> tuple[int | None, int | None]:
    """Line and column (from 1) of a key or its value in what ruamel.yaml loaded."""
    if isinstance(holder, CommentedMap):
        line, column = holder.lc.value(key) if of_value else holder.lc.key(key)
    elif isinstance(holder, CommentedSeq):
        line, column = holder.lc.item(key)
    else:
        return None, None
    return line + 1, column + 1


def _unknown(key: object, known: list[str], name: str) -> tuple[str, str]:
    message = f"{key!r} is not a key of {name}."
    return message, _nearest(str(key), known) or f"Its keys are: {', '.join(known)}."


def _nearest(word: str, options: list[str]) -> str:
    near = difflib.get_close_matches(word.lower(), [o.lower() for o in options], n=1, cutoff=0.5)
    for option in options:
        if near and option.lower() == near[0]:
            return f"Did you mean {option!r}?"
    return ""


def _kind(value: object) -> str:
    """What a value is, in words for a message."""
    if value is None:
        return "empty"
    if isinstance(value, Mapping):
        return "a list of 'key: value' lines"
    if isinstance(value, list | tuple):
        return "a list"
    return repr(value) if isinstance(value, str) else str(value)
