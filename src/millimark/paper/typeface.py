"""Which characters the embedded typeface can print."""

from __future__ import annotations

import struct
from collections.abc import Iterable
from functools import cache
from importlib import resources


def unprintable(text: str) -> str | None:
    """The first character of ``text`` that Andika has no shape for, or None."""
    shapes = _covered()
    for character in text:
        if ord(character) not in shapes:
            return character
    return None


def unshown(names: Iterable[str | None]) -> dict[str, str]:
    """Names with a character that cannot be printed, and the first such character of each."""
    found: dict[str, str] = {}
    for name in names:
        stranger = unprintable(name or "")
        if name and stranger is not None:
            found[name] = stranger
    return found


@cache
def _covered() -> frozenset[int]:
    """Code points that the regular font maps to a glyph (OpenType 'cmap', format 12 or 4)."""
    font = (resources.files("millimark") / "fonts" / "Andika-Regular.ttf").read_bytes()
    start = _table(font, b"cmap")
    tables = struct.unpack_from(">HH", font, start)[1]
    formats = {}
    for i in range(tables):
        offset = start + struct.unpack_from(">I", font, start + 8 + 8 * i)[0]
        formats[struct.unpack_from(">H", font, offset)[0]] = offset
    if 12 in formats:
        return _format_12(font, formats[12])
    return _format_4(font, formats[4])


def _table(font: bytes, tag: bytes) -> int:
    """Where a table of the font file begins."""
    count = struct.unpack_from(">H", font, 4)[0]
    for i in range(count):
        name, _, offset, _ = struct.unpack_from(">4sIII", font, 12 + 16 * i)
        if name == tag:
            return int(offset)
    raise ValueError(f"the font file has no {tag.decode()} table")


def _format_12(font: bytes, at: int) -> frozenset[int]:
    groups = struct.unpack_from(">I", font, at + 12)[0]
    covered: set[int] = set()
    for i in range(groups):
        first, last, _ = struct.unpack_from(">III", font, at + 16 + 12 * i)
        covered.update(range(first, last + 1))
    return frozenset(covered)


def _format_4(font: bytes, at: int) -> frozenset[int]:
    n = struct.unpack_from(">H", font, at + 6)[0] // 2
    ends = struct.unpack_from(f">{n}H", font, at + 14)
    starts = struct.unpack_from(f">{n}H", font, at + 16 + 2 * n)
    return frozenset(c for a, b in zip(starts, ends, strict=True) for c in range(a, b + 1))
