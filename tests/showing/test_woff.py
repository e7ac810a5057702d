"""The typeface that a demonstration carries: WOFF 1.0, the same tables, read by a browser."""

from __future__ import annotations

import base64
import re
import struct
import zlib
from importlib import resources

import pytest
from tests.showing.conftest import Open, Shown

from millimark.showing.player import page
from millimark.showing.woff import typeface_css, woff

FONT = (resources.files("millimark") / "fonts" / "Andika-Regular.ttf").read_bytes()


def tables_of(font: bytes) -> dict[bytes, bytes]:
    """The tables of a TrueType file by tag (OpenType 1.9, 'Organization of an OpenType Font')."""
    (count,) = struct.unpack(">H", font[4:6])
    entries = [struct.unpack(">4sLLL", font[12 + 16 * i : 28 + 16 * i]) for i in range(count)]
    return {tag: font[offset : offset + length] for tag, _, offset, length in entries}


def unpacked(made: bytes) -> dict[bytes, bytes]:
    """The tables of a WOFF file as W3C's WOFF 1.0, section 5, says to read them."""
    (count,) = struct.unpack(">H", made[12:14])
    found = {}
    for i in range(count):
        tag, at, packed, length, _ = struct.unpack(">4sLLLL", made[44 + 20 * i : 64 + 20 * i])
        content = made[at : at + packed]
        found[tag] = zlib.decompress(content) if packed < length else content
        assert len(found[tag]) == length
        assert at % 4 == 0
    return found


def test_it_holds_the_same_tables() -> None:
    made = woff(FONT)
    assert made[:4] == b"wOFF"
    signature, length, size = struct.unpack(">4xLLxxxxL", made[:20])
    assert signature == 0x00010000
    assert length == len(made) < 0.6 * len(FONT)
    assert size == 12 + sum(16 + len(t) + -len(t) % 4 for t in tables_of(FONT).values())
    assert unpacked(made) == tables_of(FONT)


def test_what_is_no_font_is_refused() -> None:
    with pytest.raises(ValueError, match="no TrueType"):
        woff(b"%PDF-1.7")


def test_the_page_carries_regular_and_bold() -> None:
    packed = re.findall(r"base64,([A-Za-z0-9+/=]+)", typeface_css())
    assert [base64.b64decode(p)[:4] for p in packed] == [b"wOFF", b"wOFF"]


@pytest.mark.chromium
def test_a_browser_reads_it(shown: dict[str, Shown], open_page: Open) -> None:
    _, stage, score = shown["1"]
    seen = open_page(page(stage, score))
    seen.clock.resume()
    loaded = seen.evaluate(
        "document.fonts.ready.then(() => [...document.fonts].map(f => [f.family, f.status]))"
    )
    assert loaded == [["Andika", "loaded"]] * 2
