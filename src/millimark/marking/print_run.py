"""The print scale of a page whose image does not say it, from others of the same print run."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median

ONE_RUN = 0.006
"""Print scales of one print run differ by less than this (feed and grain of the paper)."""


def agreed_scale(known: Sequence[tuple[str, float]], sheet: str) -> float | None:
    """What scanned pages of the same sheet, else of all sheets, agree on; None if they do not
    or there are none. ``known``: (sheet, print scale) of pages whose scanner said it."""
    same = [scale for name, scale in known if name == sheet]
    for scales in (same, [scale for _, scale in known]):
        if scales and max(scales) - min(scales) < ONE_RUN:
            return round(median(scales), 5)
    return None
