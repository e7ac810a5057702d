"""A kept drawing is put into pages only if it is nothing but lines, areas and letters."""

from __future__ import annotations

from itertools import pairwise

import pytest
from tests.desk.conftest import Marked

from millimark.desk.answers import drawing
from millimark.drawing import look
from millimark.drawing.canvas import Paint
from millimark.drawing.svg import SvgCanvas
from millimark.plane.curves import Curve, Segment
from millimark.plane.point import Point
from millimark.records import scripts

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 210 297">'


def test_what_marking_drew_is_shown_whole(marked: Marked) -> None:
    with marked.store.reading() as session:
        overlays = [scripts.page_of(session, k).overlay or "" for k in (1, 2, 3)]
    assert all(overlays)
    for overlay in overlays:
        shown = drawing(overlay)
        assert overlay.endswith(f"{shown}</svg>")
        assert "<path" in shown


@pytest.mark.parametrize(
    "inside",
    [
        "<script>alert(1)</script>",
        '<path d="M0 0" onclick="x()"/>',
        '<a href="//elsewhere"><text>here</text></a>',
        '<form action="/pupils/1/delete" method="post"><g>x</g></form>',
        '<text style="position:fixed">x</text>',
        "<foreignObject><p>x</p></foreignObject>",
        "<path d='M0 0'/><",
        '<g ONLOAD="x"></g>',
        '<g id="why"></g>',
    ],
)
def test_anything_else_is_not_shown(inside: str) -> None:
    assert drawing(f'{HEAD}<path d="M0 0L1 1"/>{inside}</svg>') == ""


def test_hatching_is_shown() -> None:
    canvas = SvgCanvas((0.0, 0.0, 10.0, 10.0))
    ring = [Point(0, 0), Point(5, 0), Point(5, 5), Point(0, 0)]
    sides: list[Curve] = [Segment(a, b) for a, b in pairwise(ring)]
    canvas.fill([sides], Paint(look.PLUM, hatch_mm=1.0))
    assert "<pattern id=" in drawing(canvas.svg())


def test_no_drawing_is_an_empty_one() -> None:
    assert drawing("") == drawing(HEAD) == drawing(f"{HEAD}</svg>") == ""


def test_a_page_of_a_restored_backup_cannot_bring_a_form(marked: Marked) -> None:
    with marked.store.writing() as session:
        for k in (1, 2, 3):
            page = scripts.page_of(session, k)
            page.overlay = f'{HEAD}<form id="planted" action="/pupils/1/delete"></form></svg>'
    for path in ("review", "feedback"):
        assert "planted" not in marked.client.get(f"/printings/1/{path}").text
