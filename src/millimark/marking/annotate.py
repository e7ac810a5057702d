"""annotated.pdf: every pupil's pages at true size with what was measured drawn over them."""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from millimark.drawing import look
from millimark.drawing.canvas import Lettering, Paint, Pen
from millimark.drawing.svg import SvgCanvas
from millimark.marking.findings import Script
from millimark.marking.overlay import write_notes
from millimark.marking.page import TOTAL_MM, MarkedPage
from millimark.marking.pictures import place_of, room_on
from millimark.paper.question import Paper
from millimark.paper.typesetting import typeset
from millimark.plane.curves import Segment
from millimark.plane.point import Point
from millimark.sheet.layout import Layout, PageMap

_WORDS = {"awarded": "awarded", "withheld": "withheld", "teacher": "for the teacher"}


def write_annotated(
    paper: Paper,
    scripts: Sequence[Script],
    kept: Mapping[tuple[str, int], MarkedPage],
    layout: Layout,
    path: Path,
) -> None:
    """Write the annotated scripts in the scripts' order; without any, one page that says so."""
    pages: list[dict[str, Any]] = []
    files: dict[str, str] = {}
    sheets = {s.sheet: s for s in layout.sheets}
    for script in scripts:
        first = True
        for page in sheets[script.sheet].pages:
            marked = kept.get((script.sheet, page.page))
            if marked is None:
                continue
            name = f"{script.sheet}-{page.page}"
            box = (0.0, 0.0, page.width_mm, page.height_mm)
            files[f"{name}-page.svg"] = photograph(marked.picture, box)
            files[f"{name}.svg"] = marked.overlay
            files[f"{name}-notes.svg"] = _notes(script, marked, page)
            top = _total(script, marked, box) if first else ""
            first = False
            if top:
                files[f"{name}-total.svg"] = top
            pages.append(
                {
                    "width": page.width_mm,
                    "height": page.height_mm,
                    "picture": f"{name}-page.svg",
                    "overlay": f"{name}.svg",
                    "notes": f"{name}-notes.svg",
                    "total": f"{name}-total.svg" if top else "",
                    "heading": f"{script.pupil or script.sheet}, page {page.page}",
                    "alt": _told(script, marked),
                }
            )
    title = f"{paper.title}: annotated scripts"
    pdf = typeset("annotated", {"title": title, "pages": pages}, files, "millimark.marking")
    path.write_bytes(pdf)


def _notes(script: Script, marked: MarkedPage, page: PageMap) -> str:
    """The marks with their reasons: as measured, or anew where a person looked at one."""
    answers = [q for q in script.questions if q.page == page.page]
    if not any(m.person for q in answers for m in q.marks):
        return marked.notes
    canvas = SvgCanvas((0.0, 0.0, page.width_mm, page.height_mm))
    for answer in answers:
        place = place_of(page, answer.question)
        if place is not None:
            write_notes(canvas, room_on(marked, page, place), answer)
    return canvas.svg()


def photograph(jpeg: bytes, box: tuple[float, float, float, float]) -> str:
    """The page's picture as an SVG of the page's size; an empty page where there is none."""
    width, height = box[2] - box[0], box[3] - box[1]
    inside = ""
    if jpeg:
        data = base64.b64encode(jpeg).decode("ascii")
        inside = (
            f'<image width="{width}" height="{height}" preserveAspectRatio="none" '
            f'xlink:href="data:image/jpeg;base64,{data}"/>'
        )
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f'width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}">{inside}</svg>'
    )


def _told(script: Script, marked: MarkedPage) -> str:
    """The page's marks in words, for those who cannot see the drawing."""
    parts = [f"Marked page {marked.page} of {script.pupil or script.sheet}."]
    for q in (q for q in script.questions if q.page == marked.page):
        parts.append(f"Question {q.question}: {q.awarded} of {q.out_of}.")
        parts += [f"{m.code} {_WORDS[m.decision]}: {m.told}" for m in q.marks]
    return " ".join(parts)


def _total(script: Script, marked: MarkedPage, box: tuple[float, float, float, float]) -> str:
    """The sheet's total, where there is room for it on its first page."""
    canvas = SvgCanvas(box)
    width, height = TOTAL_MM
    x, y = marked.spot
    ring = [Point(x, y), Point(x + width, y), Point(x + width, y + height), Point(x, y + height)]
    sides = [Segment(a, b) for a, b in zip(ring, ring[1:] + ring[:1], strict=True)]
    canvas.fill([sides], Paint(look.PAPER, opacity=0.92))
    canvas.stroke([sides[3]], Pen(look.HEAVY, look.PLUM))
    canvas.write(
        f"Total {script.total} of {script.out_of}",
        Point(x + 2.0, y + 4.2 if script.for_teacher else y + 5.4),
        Lettering(look.BODY, look.PLUM, bold=True),
    )
    if script.for_teacher:
        marks = "mark" if script.for_teacher == 1 else "marks"
        canvas.write(
            f"{script.for_teacher} {marks} for the teacher",
            Point(x + 2.0, y + 7.4),
            Lettering(look.SMALL, look.STEEL, bold=True),
        )
    return canvas.svg()
