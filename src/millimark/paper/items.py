"""Items that a template places on a page, as plain data in page millimetres."""

from __future__ import annotations

from typing import Any

from millimark.drawing.lettering import type_size
from millimark.paper.formats import Box


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
    """One line of text: baseline at y, capitals ``height`` mm tall; a heading if ``level``."""
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


def picture(kind: str, file: str, box: Box) -> dict[str, Any]:
    """A picture file that fills a box: an "artifact", or a "figure" (add its "alt")."""
    x0, y0, x1, y1 = box
    return {"kind": kind, "file": file, "x": x0, "y": y0, "width": x1 - x0, "height": y1 - y0}
