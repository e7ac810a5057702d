"""Items that a template places on a page, as plain data in page millimetres."""

from __future__ import annotations

import re
from typing import Any

from millimark.drawing.lettering import text_width, type_size
from millimark.drawing.look import SMALL
from millimark.paper.formats import Box

_MEASURE = re.compile(r"([0-9]) (mm|cm|m|km|degrees)\b")
_BOLD = 1.08  # Andika Bold's capitals and small letters against the regular ones, at most


def text_line(
    text: str,
    x: float,
    y: float,
    width: float,
    height: float,
    fill: str,
    weight: str = "regular",
    align: str = "left",
    level: int = 0,
) -> dict[str, Any]:
    """One line of text: baseline at y, capitals ``height`` mm tall; a heading if ``level``.

    Text wider than ``width`` is set smaller, and cut with an ellipsis where it would fall
    below the smallest lettering.
    """
    text, height = fitted(text, width, height)
    return {
        "kind": "text",
        "text": text,
        "x": x,
        "y": y,
        "width": width,
        "size": round(type_size(height), 4),
        "fill": fill,
        "weight": weight,
        "align": align,
        "level": level,
    }


def fitted(text: str, width: float, height: float) -> tuple[str, float]:
    """The text and cap height (mm) that fit ``width`` mm on one line."""
    roomy = width / _BOLD  # bold letters are wider
    taken = text_width(text, height)
    if taken <= roomy:
        return text, height
    smaller = max(height * roomy / taken, min(SMALL, height))
    while len(text) > 1 and text_width(text, smaller) > roomy:
        text = text.rstrip("…")[:-1].rstrip() + "…"
    return text, smaller


def unbroken(text: str) -> str:
    """The text with no line break between a number and its unit."""
    return _MEASURE.sub("\\1\u00a0\\2", text.replace(" = ", "\u00a0=\u00a0"))


def picture(kind: str, file: str, box: Box) -> dict[str, Any]:
    """A picture file that fills a box: an "artifact", or a "figure" (add its "alt")."""
    x0, y0, x1, y1 = box
    return {"kind": kind, "file": file, "x": x0, "y": y0, "width": x1 - x0, "height": y1 - y0}
