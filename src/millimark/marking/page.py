"""One page in a worker process: opened, read, every answer on it marked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.marking.examine import examine
from millimark.marking.findings import PageLine, QuestionMarks
from millimark.paper.question import Paper
from millimark.paper.raster import printed_page
from millimark.paper.reading import paper_from_data
from millimark.scan.page import read_page
from millimark.scan.reading import PageReading, Unread
from millimark.scan.sources import PageRef, open_page
from millimark.sheet.layout import Layout, PageMap, read_layout

BATCH_SCALE_SIGMA = 0.0012
"""Standard uncertainty of a print scale taken from other pages of the same print run."""
_PICTURE_QUALITY = 72


@dataclass(frozen=True)
class Marker:
    """What every worker needs to mark a page; small enough to be sent along with it."""

    layout_path: Path
    print_scale: float | None = None
    batch_scale: float | None = None


@dataclass(frozen=True, eq=False)
class MarkedPage:
    """A page that was read and marked. ``picture`` is the straightened page as a JPEG."""

    line: PageLine
    sheet: str
    page: int
    questions: tuple[QuestionMarks, ...]
    picture: bytes


def mark_page(marker: Marker, ref: PageRef) -> MarkedPage | Unread:
    """Open, read and mark one page; `Unread` with a reason where that cannot be done."""
    image = open_page(ref)
    if isinstance(image, Unread):
        return image
    layout, paper = _paper(marker.layout_path)

    def printed(page: PageMap, px_per_mm: float) -> NDArray[np.uint8]:
        return printed_page(marker.layout_path, layout, page, px_per_mm)

    reading = read_page(image, layout, printed, marker.print_scale)
    if isinstance(reading, Unread):
        return reading
    return marked(_at_batch_scale(reading, marker.batch_scale), paper)


def marked(reading: PageReading, paper: Paper) -> MarkedPage:
    """Mark every answer on a page that was read."""
    questions = {q.number: q for q in paper.questions}
    places = {p.question: p for p in reading.page.questions}
    answers = tuple(
        examine(questions[f.question], places[f.question], f, reading) for f in reading.frames
    )
    line = PageLine(
        reading.source,
        "read",
        None,
        reading.sheet.sheet,
        reading.page.page,
        reading.print_scale,
        reading.print_scale_source,
        reading.registration_mm,
    )
    return MarkedPage(line, reading.sheet.sheet, reading.page.page, answers, _jpeg(reading.picture))


def _jpeg(picture: NDArray[np.uint8] | None) -> bytes:
    """The page's picture as a JPEG file; empty where there is none."""
    if picture is None:
        return b""
    quality = [cv2.IMWRITE_JPEG_QUALITY, _PICTURE_QUALITY]
    done, buffer = cv2.imencode(".jpg", picture, quality)
    return bytes(buffer) if done else b""


def _at_batch_scale(reading: PageReading, scale: float | None) -> PageReading:
    if scale is None or reading.print_scale_source != "assumed":
        return reading
    return replace(
        reading, print_scale=scale, print_scale_source="batch", scale_sigma=BATCH_SCALE_SIGMA
    )


@lru_cache(maxsize=4)
def _paper(layout_path: Path) -> tuple[Layout, Paper]:
    """The layout and its paper, once for each worker."""
    layout = read_layout(layout_path)
    return layout, paper_from_data(layout.paper)
