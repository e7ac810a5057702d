"""The print scale of pages whose image cannot say it, from the rest of the print run.

First from other pages of the same sheet, scanned, or photographed with the sheet's edges in sight;
else from those of the whole batch if it was printed at one scale. Where neither is there, from the
class itself: pupils measure with real rulers,
so over many sheets the middle of (length asked / length drawn on the page) is the scale.
One pupil's wrong opening hardly moves a middle; a whole class that errs alike would, which
is why this source keeps a wide uncertainty and asks for many sheets.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from millimark.marking.page import MarkedPage, is_true_size
from millimark.scan.paper_edges import SIGMA as EDGES_SIGMA
from millimark.scan.reading import Unread

ONE_RUN = 0.006
"""Print scales of one print run differ by less than this (feed and grain of the paper)."""
SCANNED_SIGMA = 0.0012
"""Standard uncertainty of a scale taken from scanned pages of the same run."""
_EDGES_AGREE = 0.012
"""Scales that the edges of one run's sheets say, each to `EDGES_SIGMA`, differ by less."""
LEAST_SHEETS = 8
LEAST_SIGMA = 0.003
_PLAUSIBLE = 0.12


@dataclass(frozen=True)
class RunScale:
    """A print scale with its standard uncertainty."""

    scale: float
    sigma: float


def scale_for(page: MarkedPage, outcomes: Sequence[MarkedPage | Unread]) -> RunScale | None:
    """The scale of the run that ``page`` belongs to; None if the batch cannot tell."""
    read = [o for o in outcomes if isinstance(o, MarkedPage)]
    scanned = [
        (o.sheet, o.line.print_scale) for o in read if o.line.print_scale_source == "scanner"
    ]
    # A page whose own edges were seen is as well known as other edges can tell.
    own = page.line.scale_seen is not None
    seen = [] if own else [(o.sheet, o.line.scale_seen) for o in read]
    for of_sheet in (True, False):
        for told, agree, sigma in (
            (scanned, ONE_RUN, SCANNED_SIGMA),
            (seen, _EDGES_AGREE, EDGES_SIGMA),
        ):
            scales = [v for sheet, v in told if v and (sheet == page.sheet or not of_sheet)]
            if scales and max(scales) - min(scales) < agree:
                middle = median(scales)
                true = told is seen and is_true_size(middle)
                return RunScale(1.0 if true else round(middle, 5), sigma)
    return None if scanned or own else class_scale(read)


def class_scale(pages: Sequence[MarkedPage]) -> RunScale | None:
    """The middle of asked over drawn lengths, one value a sheet; None for too few sheets."""
    by_sheet: dict[str, list[float]] = {}
    for page in pages:
        if page.line.print_scale_source == "assumed":
            by_sheet.setdefault(page.sheet, []).extend(_ratios(page))
    values = [median(ratios) for ratios in by_sheet.values() if ratios]
    if len(values) < LEAST_SHEETS:
        return None
    middle = median(values)
    spread = 1.4826 * median(abs(v - middle) for v in values)
    sigma = max(LEAST_SIGMA, 1.25 * spread / math.sqrt(len(values)))
    return RunScale(round(middle, 5), round(sigma, 5))


def _ratios(page: MarkedPage) -> list[float]:
    """Asked over drawn for every circle or arc about a point, in page millimetres."""
    scale = page.line.print_scale or 1.0
    found = []
    for question in page.questions:
        for element in question.elements:
            if element.radius_asked_mm is None or not element.course:
                continue
            drawn = element.radius_asked_mm + float(element.course[0].u.mean())
            ratio = scale * element.radius_asked_mm / max(drawn, 1e-6)
            if abs(ratio - 1.0) < _PLAUSIBLE:
                found.append(ratio)
    return found
