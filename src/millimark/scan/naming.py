"""A page that somebody named, because its code cannot be read: is its print that page's?

Whose sheet it is, only the person can say; but a page whose printed givens are not where they
should be is another page, and measuring it would find faults that nobody made.
"""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.scan import frames
from millimark.scan.locating import Located
from millimark.sheet.layout import PageMap

Grey = NDArray[np.uint8]

LEAST_PRINT = 0.6
"""Share of a frame's printed givens that has to be seen. On rehearsed flatbed scans and phone
photographs it is 1.00 for the right page and at most 0.31 for another page of the paper."""
_PER_MM = 6.0
_BLACK = 110
"""Grey value under which the known page counts as printed."""
_DARK = 0.8
"""Share of the paper's brightness around under which the picture counts as dark."""
_NEAR_PX = 5
"""Side of the square within which print is looked for: 0.8 mm."""
_PAPER_MM = 10.0


def wrongly_named(
    grey: Grey, located: Located, printed: Callable[[PageMap, float], Grey]
) -> str | None:
    """Why the page cannot be the one it was named as; None if it may be (a page whose frames
    hold no print may be any)."""
    page = located.page
    whole = (0.0, 0.0, page.width_mm, page.height_mm)
    picture = frames.straightened(grey, located.fit, whole, _PER_MM).picture
    known = printed(page, _PER_MM)
    dark = _dark(picture)
    for place in page.questions:
        x0, y0, x1, y1 = (round(v * _PER_MM) for v in place.frame_mm)
        here = dark[y0:y1, x0:x1]
        expected = known[y0 : y0 + here.shape[0], x0 : x0 + here.shape[1]] < _BLACK
        if expected.any() and here[expected].mean() < LEAST_PRINT:
            return (
                f"its print is not that of page {page.page} of sheet {located.sheet.sheet}, as "
                f"which it was named: what is given in question {place.question} is not there"
            )
    return None


def _dark(picture: Grey) -> NDArray[np.bool_]:
    """(H, W) bool: darker than the paper around, or within `_NEAR_PX` of what is."""
    rows, columns = picture.shape
    small = cv2.resize(picture, None, fx=0.25, fy=0.25, interpolation=cv2.INTER_AREA)
    side = round(_PAPER_MM * _PER_MM / 4)
    paper = cv2.morphologyEx(small, cv2.MORPH_CLOSE, np.ones((side, side), np.uint8))
    level = cv2.resize(paper, (columns, rows), interpolation=cv2.INTER_LINEAR)
    dark = (picture < _DARK * level).astype(np.uint8)
    return cv2.dilate(dark, np.ones((_NEAR_PX, _NEAR_PX), np.uint8)).astype(bool)
