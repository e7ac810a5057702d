"""The page code: paper, sheet and page in 20 characters that a scanner and an eye can read.

    7K2QXW-S0001-01-8C
    paper  sheet page check

Only characters of the QR alphanumeric set are used. The two check characters are those of
ISO/IEC 7064 MOD 1271-36 over the letters and digits before them: every single wrong
character and every swap of neighbours is caught.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

_ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_CLEAR = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"  # without I, L, O and U, which read badly
_MODULUS, _RADIX = 1271, 36  # ISO/IEC 7064, system MOD 1271-36
_SHAPE = re.compile(r"([0-9A-Z]{6})-(S[0-9]{4})-([0-9]{2})-([0-9A-Z]{2})")

PAPER_ID_LENGTH = 6
LAST_SHEET = 9999
LAST_PAGE = 99


@dataclass(frozen=True)
class PageCode:
    """What a page's code says: the paper, the sheet ("S0001") and the page from 1."""

    paper_id: str
    sheet: str
    page: int


def encode(paper_id: str, sheet: str, page: int) -> str:
    """The code's text; ValueError for a name that does not fit its place."""
    body = f"{paper_id}-{sheet}-{page:02d}"
    text = f"{body}-{check_characters(body)}"
    if not _SHAPE.fullmatch(text):
        raise ValueError(f"{paper_id!r}, {sheet!r}, page {page} do not make a page code")
    return text


def decode(text: str) -> PageCode | None:
    """What ``text`` says, or None if it is no page code or its check characters are wrong."""
    found = _SHAPE.fullmatch(text.strip().upper())
    if found is None:
        return None
    paper_id, sheet, page, check = found.groups()
    if check_characters(f"{paper_id}-{sheet}-{page}") != check:
        return None
    return PageCode(paper_id, sheet, int(page))


def sheet_code(number: int) -> str:
    """ "S0001" for 1; ValueError beyond 9999."""
    if not 1 <= number <= LAST_SHEET:
        raise ValueError(f"sheet {number} is outside 1 to {LAST_SHEET}")
    return f"S{number:04d}"


def paper_id_of(data: Mapping[str, Any]) -> str:
    """Six clear characters that change when the paper's content does."""
    text = json.dumps(data, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    number = int.from_bytes(hashlib.sha256(text.encode()).digest()[:8], "big")
    digits = []
    for _ in range(PAPER_ID_LENGTH):
        number, digit = divmod(number, len(_CLEAR))
        digits.append(_CLEAR[digit])
    return "".join(digits)


def check_characters(text: str) -> str:
    """The two check characters of ISO/IEC 7064 MOD 1271-36; other characters are skipped."""
    total = 0
    for character in text:
        if character in _ALPHABET:
            total = (total + _ALPHABET.index(character)) * _RADIX % _MODULUS
    high, low = divmod((1 - total * _RADIX) % _MODULUS, _RADIX)
    return _ALPHABET[high] + _ALPHABET[low]
