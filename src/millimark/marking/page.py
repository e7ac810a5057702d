"""One page in a worker process: opened, read, every answer on it marked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.drawing.svg import SvgCanvas
from millimark.marking.either_side import examine_either
from millimark.marking.findings import PageLine, QuestionMarks
from millimark.marking.overlay import draw_answer
from millimark.marking.room import Room
from millimark.paper.question import Paper
from millimark.paper.raster import printed_page
from millimark.paper.reading import paper_for_sheet, paper_from_data
from millimark.plane.point import Point
from millimark.scan.page import read_page
from millimark.scan.reading import PageReading, Unread
from millimark.scan.sources import PageRef, open_page
from millimark.sheet.code import PageCode
from millimark.sheet.layout import Layout, PageMap, read_layout

TOTAL_MM = (44.0, 8.0)
"""Room for the sheet's total: width and height, mm."""
_PICTURE_QUALITY = 72
_LOOK_SIDE = 1400
"""Longest side, px, of the picture of a page that could not be read."""
_TRUE_SIZE = 0.004
"""A print scale read from the sheet's edges this near to 1 is that of a page printed at true
size: as near as a sheet's size and its edges can say (a standard uncertainty of 0.3 %)."""


@dataclass(frozen=True)
class Marker:
    """What every worker needs to mark a page; small enough to be sent along with it.

    ``run`` is the print run's scale and its standard uncertainty, for images that have none;
    ``named`` the code that a person gave a page whose own cannot be read.
    """

    layout_path: Path
    print_scale: float | None = None
    run: tuple[float, float] | None = None
    named: PageCode | None = None


@dataclass(frozen=True, eq=False)
class MarkedPage:
    """A page that was read and marked.

    ``picture`` is the straightened page as a JPEG, ``overlay`` the drawing of the findings
    over it as SVG, ``notes`` the marks with their reasons, ``spot`` where there is room
    above the answers for the total, page mm.
    """

    line: PageLine
    sheet: str
    page: int
    questions: tuple[QuestionMarks, ...]
    picture: bytes
    overlay: str
    notes: str
    spot: Point


def mark_page(marker: Marker, ref: PageRef) -> MarkedPage | Unread:
    """Open, read and mark one page; `Unread` with a reason where that cannot be done."""
    try:
        return _mark_page(marker, ref)
    except (ArithmeticError, LookupError, ValueError, cv2.error) as error:
        # A picture that breaks the measuring must not stop the pages after it.
        told = f"{type(error).__name__}: {str(error)[:120]}"
        return Unread(ref.source, f"the page could not be measured ({told}); mark it by hand")


def _mark_page(marker: Marker, ref: PageRef) -> MarkedPage | Unread:
    image = open_page(ref)
    if isinstance(image, Unread):
        return image
    layout, paper = _paper(marker.layout_path)

    def printed(page: PageMap, px_per_mm: float) -> NDArray[np.uint8]:
        return printed_page(marker.layout_path, layout, page, px_per_mm)

    reading = read_page(image, layout, printed, marker.print_scale, marker.named)
    if isinstance(reading, Unread):
        return replace(reading, picture=_to_look_at(image.grey))
    seen = reading.print_scale if reading.print_scale_source == "paper" else None
    reading = at_run_scale(at_true_size(reading), marker.run)
    return marked(reading, paper_for_sheet(paper, reading.sheet), seen)


def _to_look_at(grey: NDArray[np.uint8]) -> bytes:
    """A page that could not be read, small enough for a screen, as a JPEG."""
    shrink = min(1.0, _LOOK_SIDE / max(grey.shape))
    size = (max(1, round(grey.shape[1] * shrink)), max(1, round(grey.shape[0] * shrink)))
    small = cv2.resize(grey, size, interpolation=cv2.INTER_AREA)
    return _jpeg(np.asarray(small, dtype=np.uint8))


def marked(reading: PageReading, paper: Paper, scale_seen: float | None = None) -> MarkedPage:
    """Mark every answer on a page that was read. ``scale_seen``: what the sheet's edges say."""
    questions = {q.number: q for q in paper.questions}
    places = {p.question: p for p in reading.page.questions}
    box = (0.0, 0.0, reading.page.width_mm, reading.page.height_mm)
    canvas, notes = SvgCanvas(box), SvgCanvas(box)
    answers = []
    for frame in reading.frames:
        question, place = questions[frame.question], places[frame.question]
        answer, expect = examine_either(question, place, frame, reading)
        draw_answer(canvas, notes, place, frame, expect, answer, reading.print_scale)
        answers.append(answer)
    line = PageLine(
        reading.source,
        "read",
        None,
        reading.sheet.sheet,
        reading.page.page,
        reading.print_scale,
        reading.print_scale_source,
        reading.registration_mm,
        scale_seen,
    )
    return MarkedPage(
        line,
        reading.sheet.sheet,
        reading.page.page,
        tuple(answers),
        _jpeg(reading.picture),
        canvas.svg(),
        notes.svg(),
        _room_for_total(reading),
    )


def _room_for_total(reading: PageReading) -> Point:
    """Where the sheet's total covers nothing printed: top-left corner, page mm."""
    width, height = TOTAL_MM
    top = min((q.frame_mm[1] for q in reading.page.questions), default=40.0)
    left = min((q.frame_mm[0] for q in reading.page.questions), default=20.0)
    right = max((q.frame_mm[2] for q in reading.page.questions), default=190.0)
    if reading.picture is None:
        return Point(right - width, top - height - 2.0)
    k = reading.picture.shape[1] / reading.page.width_mm
    strip = reading.picture[: round(top * k), round(left * k) : round(right * k)]
    return Room((left, 0.0, right, top), strip < 200).emptiest(width, height)[0]


def _jpeg(picture: NDArray[np.uint8] | None) -> bytes:
    """The page's picture as a JPEG file; empty where there is none."""
    if picture is None:
        return b""
    quality = [cv2.IMWRITE_JPEG_QUALITY, _PICTURE_QUALITY]
    done, buffer = cv2.imencode(".jpg", picture, quality)
    return bytes(buffer) if done else b""


def is_true_size(scale: float) -> bool:
    """Whether a print scale that a sheet's edges say is that of a page printed at true size."""
    return abs(scale - 1.0) <= _TRUE_SIZE


def at_true_size(reading: PageReading) -> PageReading:
    """A page whose edges agree with a print at true size is taken as such: "assumed", with the
    small uncertainty of its edges."""
    if reading.print_scale_source != "paper" or not is_true_size(reading.print_scale):
        return reading
    return replace(reading, print_scale=1.0, print_scale_source="assumed")


def at_run_scale(reading: PageReading, run: tuple[float, float] | None) -> PageReading:
    """A page whose print scale is assumed at that of its run, if the run knows it better."""
    if run is None or reading.print_scale_source != "assumed" or run[1] >= reading.scale_sigma:
        return reading
    scale, sigma = run
    return replace(reading, print_scale=scale, print_scale_source="batch", scale_sigma=sigma)


@lru_cache(maxsize=4)
def _paper(layout_path: Path) -> tuple[Layout, Paper]:
    """The layout and its paper, once for each worker."""
    layout = read_layout(layout_path)
    return layout, paper_from_data(layout.paper)
