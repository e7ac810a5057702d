"""A typeface as WOFF, to be carried inside a page: every table compressed by itself.

W3C, WOFF File Format 1.0 (Recommendation, 2012), sections 3 to 5. The typeface is the same, table
by table; nothing is left out of it.
"""

from __future__ import annotations

import base64
import struct
import zlib
from functools import cache
from importlib import resources

_HEADER = ">4s4sLHHLHHLLLLL"
_ENTRY = ">4sLLLL"


def woff(font: bytes) -> bytes:
    """The WOFF of a TrueType font (sfnt). ValueError where it is none."""
    if font[:4] not in (b"\0\1\0\0", b"true", b"OTTO"):
        raise ValueError("this is no TrueType or OpenType font")
    (count,) = struct.unpack(">H", font[4:6])
    tables = sorted(
        struct.unpack(">4sLLL", font[12 + 16 * i : 28 + 16 * i]) for i in range(count)
    )  # by tag: (tag, checksum, offset, length)
    at = struct.calcsize(_HEADER) + count * struct.calcsize(_ENTRY)
    directory, content = b"", b""
    size = 12 + 16 * count
    for tag, checksum, offset, length in tables:
        plain = font[offset : offset + length]
        packed = min(plain, zlib.compress(plain, 9), key=len)  # packed only where shorter
        directory += struct.pack(_ENTRY, tag, at + len(content), len(packed), length, checksum)
        content += packed + b"\0" * (-len(packed) % 4)
        size += length + -length % 4
    header = struct.pack(
        _HEADER, b"wOFF", font[:4], at + len(content), count, 0, size, 1, 0, 0, 0, 0, 0, 0
    )
    return header + directory + content


@cache
def typeface_css() -> str:
    """The project's typeface, regular and bold, as CSS that carries it along."""
    fonts = resources.files("millimark") / "fonts"
    rules = []
    for name, weight in (("Regular", 400), ("Bold", 700)):
        packed = base64.b64encode(woff((fonts / f"Andika-{name}.ttf").read_bytes())).decode()
        rules.append(
            f"@font-face {{ font-family: Andika; font-weight: {weight}; "
            f'src: url("data:font/woff;base64,{packed}") format("woff"); }}'
        )
    return "\n".join(rules)
