"""The fields of the writing forms: how each shows what a paper file says, and says it back.

A field is written to the file only where its text differs from what the file shows in it, so
that a file keeps its own way of saying the same.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, MutableMapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Any

from millimark.paper.access import GROUNDS, HANDS, TEXTS
from millimark.paper.formats import PAGE_NAMES
from millimark.paper.reading import PROFILES

Show = Callable[[Any], str]
Read = Callable[[str], Any]
Changes = list[tuple[tuple[str, ...], Any]]
"""Where in the file, and the new value; None: nothing stands there any more."""


@dataclass(frozen=True)
class FormField:
    """One field: its ``name`` in the form, where it stands in the file, and how it is shown and
    read. ``options`` are what may be chosen, the usual first; empty: free text."""

    name: str
    path: tuple[str, ...]
    show: Show
    read: Read
    options: tuple[str, ...] = ()


def shown_in(fields: Sequence[FormField], data: Mapping[str, Any]) -> dict[str, str]:
    """What each field shows of the data, by the field's name; "" where it says nothing."""
    return {field.name: _shown(field, data) for field in fields}


def changes_in(
    fields: Sequence[FormField], data: Mapping[str, Any], form: Mapping[str, str]
) -> Changes:
    """What a form changes; fields that it does not have change nothing."""
    return [
        (field.path, field.read(form[field.name]))
        for field in fields
        if field.name in form and _tidy(form[field.name]) != _tidy(_shown(field, data))
    ]


def apply(data: Any, changes: Changes) -> Any:
    """Make the changes in ``data`` (plain, or as ruamel.yaml loaded it); it comes back."""
    for path, value in changes:
        _put(data, path, value)
    return data


def _shown(field: FormField, data: Mapping[str, Any]) -> str:
    found: Any = data
    for key in field.path:
        found = found.get(key) if isinstance(found, Mapping) else None
    return "" if found is None else field.show(found)


def _put(data: MutableMapping[str, Any], path: tuple[str, ...], value: Any) -> None:
    key, *rest = path
    if rest:
        inner = data.get(key)
        if not isinstance(inner, MutableMapping):
            if value is None:
                return
            inner = data[key] = {}
        _put(inner, tuple(rest), value)
        if not inner:
            del data[key]
    elif value is None:
        data.pop(key, None)
    elif isinstance(value, list) and isinstance(data.get(key), list):
        _replace(data[key], value)
    else:
        data[key] = value


def _replace(old: list[Any], new: list[Any]) -> None:
    """Make a list another one by the fewest changes, so that comments stay by their lines."""
    steps = SequenceMatcher(None, [str(o) for o in old], [str(n) for n in new], autojunk=False)
    for what, i, j, k, m in reversed(steps.get_opcodes()):
        if what == "equal":
            continue
        for at in range(min(j - i, m - k)):
            old[i + at] = new[k + at]
        for at in range(j - 1, i + (m - k) - 1, -1):
            old.pop(at)
        for at in range(k + (j - i), m):
            old.insert(i + at - k, new[at])


# --- how values are shown and read -----------------------------------------------------------
def _tidy(text: str) -> str:
    return "\n".join(" ".join(line.split()) for line in text.strip().splitlines())


def _line(value: Any) -> str:
    return "" if isinstance(value, Mapping | list) else _word(value)


def _word(value: Any) -> str:
    return str(value).lower() if isinstance(value, bool) else " ".join(str(value).split())


def _text(text: str) -> Any:
    return " ".join(text.split()) or None


def _number(text: str) -> Any:
    tidy = text.strip()
    return (int(tidy) if re.fullmatch(r"[0-9]{1,9}", tidy) else tidy) if tidy else None


def _truth(text: str) -> Any:
    """true and false as such; anything else as text (a turn may be '30 deg')."""
    tidy = _text(text)
    return {"true": True, "false": False}.get(str(tidy), tidy)


def _lines(value: Any) -> str:
    several = value if isinstance(value, list) else [value]
    return "\n".join(_word(one) for one in several if not isinstance(one, Mapping | list))


def _sentences(text: str) -> Any:
    return [" ".join(line.split()) for line in text.splitlines() if line.strip()]


def _several(text: str) -> Any:
    return _sentences(text) or None


def _values(value: Any) -> str:
    """'choose' as a name and its values to a line."""
    if not isinstance(value, Mapping):
        return _line(value)
    return "\n".join(
        f"{name}: {', '.join(_word(v) for v in said) if isinstance(said, list) else _word(said)}"
        for name, said in value.items()
    )


def _choices(text: str) -> Any:
    found: dict[str, Any] = {}
    for line in _sentences(text):
        name, _, said = line.partition(":")
        listed = [part.strip() for part in said.split(",") if part.strip()]
        found[name.strip()] = listed if len(listed) > 1 else said.strip()
    return found or None


def _plain_field(name: str, *path: str, options: tuple[str, ...] = ()) -> FormField:
    return FormField(name, path or (name,), _line, _text, options)


PAPER_FIELDS = (
    FormField("title", ("title",), _line, lambda text: " ".join(text.split())),
    _plain_field("page", options=tuple(PAGE_NAMES)),
    _plain_field("profile", options=tuple(PROFILES)),
    _plain_field("ruler", "instruments", "ruler"),
    _plain_field("compasses", "instruments", "compasses"),
    FormField(
        "protractor", ("instruments", "protractor"), _line, _truth, options=("true", "false")
    ),
    _plain_field("length", "tolerance", "length"),
    _plain_field("angle", "tolerance", "angle"),
    _plain_field("text", "access", "text", options=TEXTS),
    _plain_field("ground", "access", "ground", options=tuple(GROUNDS)),
    _plain_field("hand", "access", "hand", options=HANDS),
    FormField("seed", ("seed",), _line, _number),
)
QUESTION_FIELDS = (
    FormField("given", ("given",), _lines, _sentences),
    FormField("ask", ("ask",), _lines, _sentences),
    _plain_field("story"),
    FormField("marks", ("marks",), _line, _number),
    _plain_field("scale"),
    FormField("scheme", ("scheme",), _lines, _several),
    _plain_field("own-length", "tolerance", "length"),
    _plain_field("own-angle", "tolerance", "angle"),
    FormField("choose", ("choose",), _values, _choices),
    FormField("turn", ("turn",), _line, _truth),
    FormField("mirror", ("mirror",), _line, _truth, options=("false", "true", "free")),
    FormField("aid", ("aid",), _lines, _several),
)
