"""One page read: located, straightened, its print taken away, its pencil found."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.scan import frames
from millimark.scan.light import Light, page_light
from millimark.scan.locating import Located, locate, print_scale, scanner_scale
from millimark.scan.naming import wrongly_named
from millimark.scan.reading import FrameReading, PageReading, Unread
from millimark.scan.scanner_light import scanner_light
from millimark.scan.sources import PageImage
from millimark.scan.strokes import strokes_in
from millimark.sheet.code import PageCode
from millimark.sheet.layout import Layout, PageMap, QuestionPlace

Printed = Callable[[PageMap, float], NDArray[np.uint8]]

PICTURE_PER_MM = 6.0
"""Resolution of the whole page's picture, px per mm."""
MOST_RESIDUAL_MM = 0.8
"""Above this rms the map explains nothing: the page is crumpled or wrongly matched."""

MOST_SPREAD_MM = 0.6
"""A map that is known no better than this over an answer frame, mm, judges nothing there."""

_EMPTY = "the page is empty: perhaps the back of a sheet"
_LOOK_SIDE = 600  # px: fine enough for a line of pencil
_FAINT = 14.0  # grey levels
_STRAY = 2e-4  # share of the sheet that specks of dust may cover
_PAPER_GREY = 90  # grey level: paper in deep shadow is lighter
_SMALLEST_SHEET_PX = 200
_LEAST_GREY = 0.35
"""Middling pixels for each dark one under which a scan is black and white."""
MOST_CUT_MM = 1.0
"""How far an answer frame may reach beyond the picture."""


def read_page(
    image: PageImage,
    layout: Layout,
    printed: Printed,
    stated_scale: float | None = None,
    named: PageCode | None = None,
) -> PageReading | Unread:
    """The page with the pencil in each of its answer frames, or why it cannot be read.

    ``printed(page, px_per_mm)`` gives the known page: its point (x, y) mm lies at pixel
    (x * px_per_mm - 1/2, y * px_per_mm - 1/2). ``stated_scale`` is a print scale that
    somebody measured (paper mm per page mm). ``named`` is the code that a person gives a page
    whose own cannot be read; it is refused where the page's print is another's.
    """
    located = locate(image.grey, layout, named)
    if isinstance(located, str):
        return Unread(image.source, _EMPTY if is_empty(image.grey) else located)
    if located.fit.rms_mm > MOST_RESIDUAL_MM:
        return Unread(
            image.source,
            f"the page is too crumpled to measure: its marks lie {located.fit.rms_mm:.1f} mm from "
            f"where they should, more than {MOST_RESIDUAL_MM} mm",
        )
    spread = max((_spread(located, place) for place in located.page.questions), default=0.0)
    if spread > MOST_SPREAD_MM:
        return Unread(
            image.source,
            f"the page is too curled to measure: places on it are known to {spread:.1f} mm only; "
            "lay it flat and take the picture again, or scan it",
        )
    cut = _cut_off(image, located)
    if cut is not None:
        return Unread(image.source, cut)
    wrong = None if named is None else wrongly_named(image.grey, located, printed)
    if wrong is not None:
        return Unread(image.source, wrong)
    return _read(image, located, printed, stated_scale)


def _cut_off(image: PageImage, located: Located) -> str | None:
    """Why a frame that the picture does not wholly show cannot be judged; None if all do."""
    rows, columns = image.grey.shape
    for place in located.page.questions:
        x0, y0, x1, y1 = place.frame_mm
        t = np.linspace(0.0, 1.0, 9)
        across, down = x0 + t * (x1 - x0), y0 + t * (y1 - y0)
        ends = [np.column_stack((across, np.full(9, y))) for y in (y0, y1)]
        sides = [np.column_stack((np.full(9, x), down)) for x in (x0, x1)]
        px = located.fit.px(np.vstack((*ends, *sides)))
        beyond = max(float(-px.min()), float((px - [columns - 1, rows - 1]).max()))
        if beyond > MOST_CUT_MM * located.fit.px_per_mm:
            return (
                f"the picture cuts off part of the answer frame of question {place.question}: "
                "scan the whole page"
            )
    return None


def _read(
    image: PageImage, located: Located, printed: Printed, stated_scale: float | None
) -> PageReading:
    fit = located.fit
    scale, source, scale_sigma = print_scale(image.grey, fit, image.dpi, stated_scale)
    per_mm = frames.PX_PER_MM
    even = scanner_scale(fit, image.dpi) is not None
    known = printed(located.page, per_mm)
    spread = [_spread(located, place) for place in located.page.questions]
    whole = (0.0, 0.0, located.page.width_mm, located.page.height_mm)
    picture = frames.straightened(image.grey, fit, whole, PICTURE_PER_MM).picture
    boxes = [place.frame_mm for place in located.page.questions]
    light = (scanner_light if even else page_light)(picture, known, boxes, whole)
    windows = [frames.straightened(image.grey, fit, box, per_mm) for box in boxes]
    hidden = [frames.hidden_by_print(known, *seen) for seen in zip(windows, spread, strict=True)]
    del known  # its memory is wanted
    readings = tuple(
        _frame(place, window, unseen, light)
        for place, window, unseen in zip(located.page.questions, windows, hidden, strict=True)
    )
    return PageReading(
        image.source,
        located.sheet,
        located.page,
        scale,
        source,
        scale_sigma,
        fit.rms_mm,
        max(spread, default=0.0),
        readings,
        picture,
        is_two_tone(image.grey),
    )


def is_empty(grey: NDArray[np.uint8]) -> bool:
    """Whether nothing is on the sheet, its outermost edge aside: no spot stands out from the paper
    about it. Soft shadows and what shines through from the other side count for nothing; what is
    too small or too dark to be paper is no empty sheet."""
    if min(grey.shape) < _SMALLEST_SHEET_PX:
        return False
    shrink = min(1.0, _LOOK_SIDE / max(grey.shape))
    size = (max(1, round(grey.shape[1] * shrink)), max(1, round(grey.shape[0] * shrink)))
    small = cv2.resize(grey, size, interpolation=cv2.INTER_AREA)
    stands_out = cv2.absdiff(small, cv2.medianBlur(small, 41)) > _FAINT
    rows, columns = (max(1, round(0.05 * n)) for n in small.shape)
    inside = (slice(rows, -rows), slice(columns, -columns))
    lit = float((small[inside] > _PAPER_GREY).mean())
    return bool(stands_out[inside].mean() < _STRAY and lit > 0.9)


def is_two_tone(grey: NDArray[np.uint8]) -> bool:
    """Whether the scan is black and white: hardly a pixel between for each dark one.

    Black and white saved as JPEG has under 0.1, at half its size 0.2; clean print with soft
    edges 0.6, paper under a scanner's lamp over 1. So an empty page is not taken for one.
    """
    some = np.ascontiguousarray(grey[::7, ::5])
    count = np.asarray(cv2.calcHist([some], [0], None, [256], [0.0, 256.0]))
    return bool(count[32:224].sum() < _LEAST_GREY * count[:32].sum())


def _spread(located: Located, place: QuestionPlace) -> float:
    """The map's rms standard uncertainty over the frame, mm."""
    x0, y0, x1, y1 = place.frame_mm
    gx, gy = np.meshgrid(np.linspace(x0, x1, 7), np.linspace(y0, y1, 7))
    sigma = located.fit.spread_mm(np.column_stack((gx.ravel(), gy.ravel())))
    return float(np.sqrt((sigma**2).mean()))


def _frame(
    place: QuestionPlace, window: frames.Window, unseen: frames.Mask, light: Light
) -> FrameReading:
    per_mm = window.px_per_mm
    paper, toned = light.over(window.box, per_mm, window.picture.shape)
    pencil = frames.pencil_darkness(window, unseen, paper)
    strokes = strokes_in(window, pencil, unseen)
    return FrameReading(place.question, strokes, window.picture, pencil, unseen, per_mm, toned)
