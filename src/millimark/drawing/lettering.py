"""How much room lettering takes: advance widths of the embedded typeface, Andika.

Widths are in thousandths of the type size and come from the font file itself;
tests/drawing checks them against an independent reader of the same file.
"""

from __future__ import annotations

from functools import lru_cache

from millimark.drawing.canvas import Lettering
from millimark.plane.point import Point

TYPEFACE = "Andika"
CAP_HEIGHT = 0.713  # of the type size
DESCENT = 0.24  # of the type size: p, q, y
_OVERSHOOT = 0.013  # round letters reach a little past cap height and baseline

_WIDTHS = {
    **dict(zip("ABCDEFGHIJKLM", (681, 627, 661, 700, 566, 561, 693, 720, 476, 471, 639, 527, 876),
               strict=True)),
    **dict(zip("NOPQRSTUVWXYZ", (732, 712, 583, 720, 637, 573, 617, 703, 666, 1015, 646, 644, 600),
               strict=True)),
    **dict(zip("abcdefghijklm", (561, 563, 498, 581, 534, 366, 549, 573, 275, 290, 505, 275, 822),
               strict=True)),
    **dict(zip("nopqrstuvwxyz", (578, 556, 571, 551, 434, 471, 407, 578, 522, 756, 529, 517, 507),
               strict=True)),
    **dict.fromkeys("0123456789", 585),
    **dict(zip(" ,.:;-'()%°–…′", (268, 317, 312, 312, 317, 419, 295, 388, 388, 745, 312, 515, 841,
                                  234), strict=True)),
}  # fmt: skip
_WIDEST = 1015


def type_size(cap_height: float) -> float:
    """The type size in mm whose capitals are ``cap_height`` mm tall."""
    return cap_height / CAP_HEIGHT


def text_width(text: str, cap_height: float) -> float:
    """Width of ``text`` in mm, kerning aside; unknown characters count as the widest one."""
    return _thousandths(text) / 1000 * type_size(cap_height)


@lru_cache(maxsize=8192)
def _thousandths(text: str) -> int:
    """Width in thousandths of the type size: the same words are set again and again."""
    return sum(_WIDTHS.get(c, _WIDEST) for c in text)


def text_box(text: str, at: Point, lettering: Lettering) -> tuple[float, float, float, float]:
    """The box (x0, y0, x1, y1) in page mm that holds the ink of ``text`` written at ``at``."""
    size = type_size(lettering.height)
    width = text_width(text, lettering.height)
    left = at.x - {"start": 0.0, "middle": width / 2, "end": width}[lettering.anchor]
    drop = DESCENT if any(c in "gjpqyQ,;()" for c in text) else _OVERSHOOT
    return (
        left,
        at.y - lettering.height - _OVERSHOOT * size,
        left + width,
        at.y + drop * size,
    )
