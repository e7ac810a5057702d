"""Values that vary from sheet to sheet: ``choose: {AB: 6 cm to 9 cm in steps of 0.5 cm}``.

A sentence names a value in braces: "A and B are {AB} apart." What is printed is the
sentence with the value in it, and that is what is read.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import product

from millimark.paper.fields import Field

MOST_OPTIONS = 60  # values of one name
MOST_COMBINATIONS = 400  # of all names of a question
_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
_UNIT = r"(?:mm|cm|m|km|°|deg|degrees)?"
_RANGE = re.compile(
    rf"\s*({_NUMBER})\s*({_UNIT})\s+to\s+({_NUMBER})\s*({_UNIT})"
    rf"\s+in\s+steps\s+of\s+({_NUMBER})\s*({_UNIT})\s*"
)
_NAME = re.compile(r"\{\s*([^{}]*?)\s*\}")

Combination = tuple[tuple[str, str], ...]
"""One value for each name, in the order of the file."""


def combinations_of(field: Field | None) -> tuple[Combination, ...]:
    """Every combination of the values in a ``choose`` field; one empty one without it."""
    if field is None:
        return ((),)
    if not isinstance(field.value, Mapping) or not field.value:
        raise field.wrong(
            "'choose' should give each name its values.",
            "For example: choose: {AB: 6 cm to 9 cm in steps of 0.5 cm}.",
        )
    fields = field.fields([str(k) for k in field.value])
    names = list(fields)
    options = [_options(fields[name]) for name in names]
    count = 1
    for values in options:
        count *= len(values)
    if count > MOST_COMBINATIONS:
        raise field.wrong(
            f"There are {count} combinations of values; at most {MOST_COMBINATIONS} are tried.",
            "Use larger steps.",
        )
    return tuple(tuple(zip(names, values, strict=True)) for values in product(*options))


def _options(field: Field) -> list[str]:
    if isinstance(field.value, list | tuple):
        values = [entry.text() for entry in field.items()]
    else:
        text = field.text()
        found = _RANGE.fullmatch(text)
        values = _range(field, found) if found else [v.strip() for v in text.split(" or ")]
    if len(values) < 2 or len(set(values)) < len(values) or len(values) > MOST_OPTIONS:
        raise field.wrong(
            f"{field.name} gives {len(values)} value{'s' * (len(values) != 1)}.",
            f"Give 2 to {MOST_OPTIONS} different ones: '6 cm to 9 cm in steps of 0.5 cm' or "
            "'4 cm or 5 cm or 6 cm'.",
        )
    return values


def _range(field: Field, found: re.Match[str]) -> list[str]:
    """'6 cm', '6.5 cm', … from a range; figures as the first is written (070° keeps its 0)."""
    first, last, step = (float(found[i]) for i in (1, 3, 5))
    units = {found[i] for i in (2, 4, 6)} - {""}
    if len(units) > 1 or step <= 0 or last <= first:
        raise field.wrong(
            f"{field.value!r} is not a range that can be stepped through.",
            "It runs upwards in one unit: '6 cm to 9 cm in steps of 0.5 cm'.",
        )
    unit = units.pop() if units else ""
    digits = len(found[1].split(".")[0]) if found[1].startswith("0") else 0
    n = int((last - first) / step + 1e-9) + 1
    gap = "" if unit in ("", "°") else " "
    return [f"{_figure(first + k * step, digits)}{gap}{unit}" for k in range(min(n, 1000))]


def _figure(value: float, digits: int) -> str:
    text = f"{round(value, 6):g}"
    return text.zfill(digits) if "." not in text else text


def filled(text: str, values: Combination, field: Field) -> str:
    """The text with its names in braces replaced. An unknown name is an error."""
    known = dict(values)

    def value(found: re.Match[str]) -> str:
        if found[1] not in known:
            hint = f"'choose' names: {', '.join(known)}." if known else "There is no 'choose'."
            raise field.wrong(
                f"{{{found[1]}}} is not a name that 'choose' gives values.", hint, found.start()
            )
        return known[found[1]]

    return _NAME.sub(value, text)


def unused(names: Sequence[str], texts: Sequence[str]) -> list[str]:
    """The names that no text has in braces."""
    used = {found for text in texts for found in _NAME.findall(text)}
    return [name for name in names if name not in used]
