"""Numbers, lengths, bearings and lists as they are printed."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from millimark.words.facts import Quantity


def figures(value: float) -> str:
    """A number with as many figures as it needs to be read back, and no exponent."""
    text = format(Decimal(repr(value)), "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return text if text not in ("-0", "") else "0"


def share(value: float) -> str:
    """A part of a way: "one third", "0.25"."""
    return {1 / 3: "one third", 2 / 3: "two thirds"}.get(value) or figures(value)


def quantity(q: Quantity) -> str:
    """A length with its unit: "3.5 cm", "1 mile", "2 miles"."""
    unit = "miles" if q.unit == "mile" and q.value != 1 else q.unit
    return f"{figures(q.value)} {unit}"


def bearing(degrees: float) -> str:
    """Three figures before the decimal point, as bearings are written: "070", "007.5"."""
    whole, _, part = figures(degrees).partition(".")
    return whole.zfill(3) + (f".{part}" if part else "")


def listed(parts: Sequence[str], joint: str = "and") -> str:
    """ "a, b and c"; one part is itself, none is empty."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {joint} {parts[-1]}"
