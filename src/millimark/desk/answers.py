"""An answer as pages show it: the pupil's frame on the straightened page, and what was measured
over it. Page mm, origin top left."""

from __future__ import annotations

import re
from dataclasses import dataclass

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from millimark.desk.setting import desk_of
from millimark.records import scripts
from millimark.records.models import Page
from millimark.sheet.layout import Layout
from millimark.showing.stage import inner

Box = tuple[float, float, float, float]
_DRAWN = re.compile(r"</?(?:path|text|g|rect|defs|pattern)(?:\s[^<>]*)?>")
_ACTIVE = re.compile(r"""\s(?:on\w+|href|xlink:href|style)\s*=|\sid\s*=(?!"h\d+")""", re.IGNORECASE)
"""What no drawing of marking's has; the only ids are those of its hatchings."""
_MARGIN = 1.5  # mm of page that are seen round the answer frame


@dataclass(frozen=True)
class Picture:
    """The page's picture below the SVG that was drawn over it. ``frame`` is x, y, width and height
    of what is seen."""

    page_id: int
    width: float
    height: float
    frame: Box
    overlay: Markup


def answer_picture(layout: Layout, found: Page, question: str) -> Picture:
    """The frame of one question on a page of the records; the whole page where the sheet map does
    not have it."""
    width, height, frame = 210.0, 297.0, (0.0, 0.0, 210.0, 297.0)
    for each in (p for s in layout.sheets if s.sheet == found.sheet for p in s.pages):
        if each.page == found.page:
            width, height = each.width_mm, each.height_mm
            frame = next(
                (q.frame_mm for q in each.questions if q.question == question),
                (0.0, 0.0, width, height),
            )
    x0, y0, x1, y1 = frame
    box = (x0 - _MARGIN, y0 - _MARGIN, x1 - x0 + 2 * _MARGIN, y1 - y0 + 2 * _MARGIN)
    return Picture(found.id, width, height, box, drawing(found.overlay or ""))


def drawing(svg: str) -> Markup:
    """What stands inside a kept drawing, to be put into a page; empty unless it holds nothing but
    lines, areas and letters, as marking draws them (a restored backup may hold anything)."""
    if not svg or "</svg>" not in svg:
        return Markup()
    inside = inner(svg)
    tags = _DRAWN.findall(inside)
    left = _DRAWN.sub("", inside)
    if "<" in left or any(_ACTIVE.search(tag) for tag in tags):
        return Markup()
    return Markup(inside)


def picture(request: Request) -> Response:
    """A page's straightened picture."""
    with desk_of(request).store.reading() as session:
        found = scripts.page_of(session, request.path_params["page"]).picture
    if found is None:
        return PlainTextResponse("This page has no picture.", 404)
    return Response(found, media_type="image/jpeg")
