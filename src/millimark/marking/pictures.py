"""Pieces of a straightened page as pictures: what is cut away is not in the file.

Boxes are (x0, y0, x1, y1) in page mm, origin top left. A page without a picture gives an
empty one of the same size.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Iterable, Mapping

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.marking.findings import Script
from millimark.marking.page import MarkedPage
from millimark.marking.room import Room
from millimark.sheet.layout import Layout, PageMap, QuestionPlace

Box = tuple[float, float, float, float]

_QUALITY = 80
_MARGIN_MM = 5.0
"""Paper left round what was drawn, mm."""
_LEAST_MM = 46.0
"""No picture of an answer is narrower or lower than this."""
_DARKER = 6.0
"""Grey levels by which a square millimetre with pencil lies below the paper about it."""
_SPECK_CELLS = 5
"""Square millimetres that pencil covers at least in one piece: the pale dots cover fewer."""
_LINE_MM = 1.0
"""The frame's printed line and what registration leaves of doubt about it, mm."""
_STEP_MM = 0.5
_EDGE_MM = 2.0


def page_of(layout: Layout, sheet: str, page: int) -> PageMap | None:
    """The page in the layout; None if it is not there."""
    pages = (p for s in layout.sheets if s.sheet == sheet for p in s.pages)
    return next((p for p in pages if p.page == page), None)


def place_of(page: PageMap, question: str) -> QuestionPlace | None:
    """Where a question stands on the page; None if it does not."""
    return next((q for q in page.questions if q.question == question), None)


def answer_picture(marked: MarkedPage, page: PageMap, place: QuestionPlace) -> tuple[str, Box]:
    """What was drawn for one question with what was measured over it, as SVG, and its box."""
    box = drawn_box(marked, page, place)
    return framed(marked, page, box), box


def waiting_boxes(
    scripts: Iterable[Script], kept: Mapping[tuple[str, int], MarkedPage], layout: Layout
) -> dict[tuple[str, str], Box]:
    """By (sheet, question): what to look at where a mark waits for the teacher."""
    found = {}
    for script in scripts:
        for answer in (q for q in script.questions if q.for_teacher):
            marked = kept.get((script.sheet, answer.page or 0))
            page = page_of(layout, script.sheet, answer.page or 0)
            place = None if page is None else place_of(page, answer.question)
            if marked is not None and page is not None and place is not None:
                found[script.sheet, answer.question] = drawn_box(marked, page, place)
    return found


def fitted(box: Box, most: tuple[float, float], largest: float = 1.0) -> tuple[float, float]:
    """Width and height, mm, at which ``box`` is shown within ``most``, at most ``largest`` times
    its true size."""
    width, height = box[2] - box[0], box[3] - box[1]
    shown = min(largest, most[0] / width, most[1] / height)
    return shown * width, shown * height


def framed(marked: MarkedPage, page: PageMap, box: Box, measured: bool = True) -> str:
    """``box`` of the page as SVG of its true size; ``measured``: with the overlay."""
    whole = _decoded(marked.picture)
    inside = "" if whole is None else _cut(whole, page, box)
    if measured and marked.overlay:
        inside += inner(marked.overlay)
    x0, y0, x1, y1 = box
    size = f'width="{x1 - x0:.2f}mm" height="{y1 - y0:.2f}mm"'
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f'{size} viewBox="{x0:.2f} {y0:.2f} {x1 - x0:.2f} {y1 - y0:.2f}">{inside}</svg>'
    )


def inner(svg: str) -> str:
    """What stands inside an SVG's root element."""
    return svg[svg.index(">") + 1 : svg.rindex("</svg>")]


def drawn_box(marked: MarkedPage, page: PageMap, place: QuestionPlace) -> Box:
    """The part of the answer frame that holds the figure, the pencil and what was measured."""
    frame = place.frame_mm
    x0, y0, x1, y1 = (frame[0] + _LINE_MM, frame[1] + _LINE_MM,
                      frame[2] - _LINE_MM, frame[3] - _LINE_MM)  # fmt: skip
    labelled = np.array([*place.points.values()], dtype=np.float64).reshape(-1, 2)
    xy = [labelled, *(path for path, _ in _overlaid(marked.overlay))]
    whole = _decoded(marked.picture)
    if whole is not None:
        xy.append(_pencilled(whole, page, place.frame_mm))
    points = np.vstack(xy)
    inside = (points >= [x0, y0]).all(axis=1) & (points <= [x1, y1]).all(axis=1)
    points = points[inside]
    if not len(points):
        return frame
    low, high = points.min(axis=0) - _MARGIN_MM, points.max(axis=0) + _MARGIN_MM
    grow = np.maximum(_LEAST_MM - (high - low), 0.0) / 2
    low, high = np.maximum(low - grow, [x0, y0]), np.minimum(high + grow, [x1, y1])
    return (float(low[0]), float(low[1]), float(high[0]), float(high[1]))


def room_on(marked: MarkedPage, page: PageMap, place: QuestionPlace) -> Room:
    """Where in the answer frame neither the pencil nor what was measured stands."""
    x0, y0, x1, y1 = place.frame_mm
    room = Room(place.frame_mm, np.zeros((round(y1 - y0), round(x1 - x0)), dtype=np.bool_))
    whole = _decoded(marked.picture)
    if whole is not None:
        for x, y in _pencilled(whole, page, place.frame_mm):
            room.take((x - 0.5, y - 0.5, x + 0.5, y + 0.5), 1.0)
    for path, closed in _overlaid(marked.overlay):
        if closed:  # a label's ground
            room.take((*path.min(axis=0), *path.max(axis=0)), 2.0)
        else:
            for x, y in path:
                room.take((x, y, x, y), 0.7)
    return room


def _decoded(jpeg: bytes) -> NDArray[np.uint8] | None:
    """The page's picture (H, W); None where there is none."""
    if not jpeg:
        return None
    grey = cv2.imdecode(np.frombuffer(jpeg, np.uint8), cv2.IMREAD_GRAYSCALE)
    return None if grey is None else np.asarray(grey, dtype=np.uint8)


def _cut(whole: NDArray[np.uint8], page: PageMap, box: Box) -> str:
    """An image element for ``box`` alone, its pixels whole."""
    rows, columns = whole.shape
    kx, ky = columns / page.width_mm, rows / page.height_mm
    c0, c1 = max(0, int(box[0] * kx)), min(columns, int(np.ceil(box[2] * kx)))
    r0, r1 = max(0, int(box[1] * ky)), min(rows, int(np.ceil(box[3] * ky)))
    if c1 <= c0 or r1 <= r0:
        return ""
    done, data = cv2.imencode(".jpg", whole[r0:r1, c0:c1], [cv2.IMWRITE_JPEG_QUALITY, _QUALITY])
    if not done:
        return ""
    return (
        f'<image x="{c0 / kx:.3f}" y="{r0 / ky:.3f}" width="{(c1 - c0) / kx:.3f}" '
        f'height="{(r1 - r0) / ky:.3f}" preserveAspectRatio="none" '
        f'xlink:href="data:image/jpeg;base64,{base64.b64encode(data.tobytes()).decode("ascii")}"/>'
    )


def _pencilled(whole: NDArray[np.uint8], page: PageMap, frame: Box) -> NDArray[np.float64]:
    """(N, 2) page mm: middles of the square millimetres in the frame that hold marks."""
    kx, ky = whole.shape[1] / page.width_mm, whole.shape[0] / page.height_mm
    x0, y0 = frame[0] + _EDGE_MM, frame[1] + _EDGE_MM
    x1, y1 = frame[2] - _EDGE_MM, frame[3] - _EDGE_MM
    part = whole[round(y0 * ky) : round(y1 * ky), round(x0 * kx) : round(x1 * kx)]
    width, height = round(x1 - x0), round(y1 - y0)
    if part.size == 0 or width < 3 or height < 3:
        return np.zeros((0, 2))
    cells = cv2.resize(part, (width, height), interpolation=cv2.INTER_AREA).astype(np.float32)
    ground = cv2.medianBlur(cells, 5) if min(width, height) < 31 else cv2.blur(cells, (31, 31))
    busy = (cells < ground - _DARKER).astype(np.uint8)
    _, labels, stats, _ = cv2.connectedComponentsWithStats(busy, connectivity=8)
    large = stats[:, cv2.CC_STAT_AREA] >= _SPECK_CELLS
    large[0] = False
    rows, columns = np.nonzero(large[labels])
    return np.column_stack((x0 + columns + 0.5, y0 + rows + 0.5))


_PATH = re.compile(r' d="([^"]*)"')
_STEP = re.compile(r"([MLA])((?:-?[\d.]+[ ,]?)+)")


def _overlaid(svg: str) -> list[tuple[NDArray[np.float64], bool]]:
    """Every path that the overlay draws (see ``drawing.svg``): points (N, 2) page mm at most
    `_STEP_MM` apart along it, and whether it is closed."""
    found = []
    for data in _PATH.findall(svg):
        ends = [[float(v) for v in step[1].split()][-2:] for step in _STEP.findall(data)]
        if ends:
            found.append((_along(np.array(ends)), data.endswith("Z")))
    return found


def _along(corners: NDArray[np.float64]) -> NDArray[np.float64]:
    """Points (N, 2) at most `_STEP_MM` apart along a polyline, its ends among them."""
    at = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(corners, axis=0).T))))
    places = np.linspace(0.0, at[-1], int(np.ceil(at[-1] / _STEP_MM)) + 1)
    return np.column_stack([np.interp(places, at, corners[:, k]) for k in (0, 1)])
