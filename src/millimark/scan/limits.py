"""What a file of scans may be, and how large: checked before a pixel is decoded."""

from __future__ import annotations

from typing import Literal

from millimark.errors import SourceError

Kind = Literal["pdf", "png", "jpeg", "tiff"]

MAX_BYTES = 400_000_000
"""Largest file taken: about a 300-page feeder scan in colour at 300 dpi."""
MAX_PIXELS = 100_000_000
"""Largest page taken; A3 at 600 dpi has 70 million pixels. In colour it needs 300 MB."""
MAX_PAGES = 5_000


def check_pixels(name: str, width: int, height: int) -> None:
    """SourceError for an image without pixels or with more than `MAX_PIXELS`."""
    if width < 1 or height < 1:
        raise SourceError(f"{name} holds an image of {width} x {height} pixels: nothing to read.")
    if width * height > MAX_PIXELS:
        raise SourceError(
            f"{name} would open to {width} x {height} pixels, more than the "
            f"{MAX_PIXELS // 1_000_000} million that a scanned page may have.",
            "Scan it at 300 dpi.",
        )
