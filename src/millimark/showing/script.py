"""The player's script and style sheet: plain, self-contained, no network.

The script moves shapes that are in the page already; without it the finished drawing and the
transcript can still be read.
"""

from __future__ import annotations

from functools import cache
from importlib import resources

from millimark.drawing import look
from millimark.drawing.screen import stylesheet


@cache
def style() -> str:
    """The style sheet, without the typeface."""
    return stylesheet(f":root {{ --bench: {look.STRAW}; }}\n{_file('player.css')}")


@cache
def script() -> str:
    """The script."""
    return _file("player.js")


def _file(name: str) -> str:
    return (resources.files("millimark.showing") / "static" / name).read_text("utf-8")
