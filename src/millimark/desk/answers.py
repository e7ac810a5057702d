"""An answer as pages show it: the pupil's frame on the straightened page, and what was measured
over it. Page mm, origin top left."""

from __future__ import annotations

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
    # Marking wrote the overlay on its canvas, which escapes what it letters.
    drawn = Markup(inner(found.overlay)) if found.overlay else Markup()
    return Picture(found.id, width, height, box, drawn)


def picture(request: Request) -> Response:
    """A page's straightened picture."""
    with desk_of(request).store.reading() as session:
        found = scripts.page_of(session, request.path_params["page"]).picture
    if found is None:
        return PlainTextResponse("This page has no picture.", 404)
    return Response(found, media_type="image/jpeg")
