"""feedback.pdf: for each pupil a sheet of their own, with their drawing, their marks, and what to
practise next.

What is told follows the marks as they stand: where a person decided otherwise than measuring
did, the measured reason and its likely cause are left out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from millimark.drawing import look
from millimark.drawing.canvas import Pen
from millimark.drawing.lettering import type_size
from millimark.drawing.svg import SvgCanvas
from millimark.marking import feedback_words as words
from millimark.marking.findings import Decision, QuestionMarks, Script
from millimark.marking.overlay import DRAWN_PEN, RIGHT_PEN, symbol
from millimark.marking.page import MarkedPage
from millimark.marking.pictures import answer_picture, fitted, page_of, place_of
from millimark.paper.access import Access
from millimark.paper.question import Paper, Question
from millimark.paper.reading import paper_for_sheet
from millimark.paper.typesetting import typeset
from millimark.plane.curves import Segment
from millimark.plane.point import Point
from millimark.sheet.layout import Layout

_COLOURS = {
    "ink": look.INK, "plum": look.PLUM, "slate": look.SLATE, "rule": look.RULE,
    "moss": look.MOSS, "rust": look.RUST, "steel": look.STEEL, "straw": look.STRAW,
}  # fmt: skip
_LETTERS = 2.75
"""Cap height of the words, mm: 11 pt; large print keeps its own size."""
_BESIDE_MM, _ALONE_MM = (80.0, 78.0), (174.0, 120.0)
"""The largest picture (width, height) beside its words, and above them."""
_WIDE = 1.75
"""A picture this many times as wide as high stands above its words."""


def feedback_sheets(
    paper: Paper,
    scripts: Sequence[Script],
    kept: Mapping[tuple[str, int], MarkedPage],
    layout: Layout,
    teachers_words: bool = False,
) -> bytes:
    """The PDF: pupils in the scripts' order, each beginning on a sheet of paper of their own.

    ``scripts`` and ``kept`` as for ``write_annotated``, for a class or for one pupil alone; the
    marks of ``scripts`` count. ``teachers_words`` prints what people wrote when they decided;
    without it only that they did. Without scripts there is one page that says so.
    """
    files = _symbols()
    sheets = {s.sheet: s for s in layout.sheets}
    pupils = []
    for script in scripts:
        own = paper_for_sheet(paper, sheets[script.sheet])
        pupils.append(_pupil(script, _Work(own, kept, layout, files, teachers_words)))
    data = {
        "title": f"{paper.title}: feedback",
        "paper": paper.title,
        "colours": _COLOURS,
        "size": round(type_size(max(_LETTERS, paper.access.body)), 3),
        "ground": paper.access.ground_colour,
        "pupils": pupils,
    }
    return typeset("feedback", data, files, "millimark.marking")


def write_feedback(
    paper: Paper,
    scripts: Sequence[Script],
    kept: Mapping[tuple[str, int], MarkedPage],
    layout: Layout,
    path: Path,
) -> None:
    """Write ``feedback_sheets`` to a file."""
    path.write_bytes(feedback_sheets(paper, scripts, kept, layout))


@dataclass(frozen=True)
class _Work:
    """What a pupil's sheet is made from; ``files`` takes the pictures by name."""

    paper: Paper
    kept: Mapping[tuple[str, int], MarkedPage]
    layout: Layout
    files: dict[str, str]
    teachers_words: bool

    def question(self, number: str) -> Question | None:
        """The question of this number on this sheet."""
        return next((q for q in self.paper.questions if q.number == number), None)


def _pupil(script: Script, work: _Work) -> dict[str, Any]:
    """One pupil's sheet as the template takes it."""
    told: dict[str, str] = {}  # fault -> where its practice was told first
    waiting = script.for_teacher
    return {
        "name": script.pupil or f"Sheet {script.sheet}",
        "total": f"{script.total} of {script.out_of}{_so_far(waiting > 0)}",
        "waiting": _waiting(waiting) if waiting else "",
        "opening": words.opening(script.questions),
        "questions": [_question(script.sheet, q, work, told) for q in script.questions],
    }


def _so_far(waiting: bool) -> str:
    return " so far" if waiting else ""


def _waiting(marks: int) -> str:
    return f"{marks} {'mark waits' if marks == 1 else 'marks wait'} for your teacher"


def _question(
    sheet: str, answer: QuestionMarks, work: _Work, told: dict[str, str]
) -> dict[str, Any]:
    asked = work.question(answer.question)
    row: dict[str, Any] = {
        "number": answer.question,
        "ask": " ".join(asked.ask) if asked else "",
        "marks": f"{answer.awarded} of {answer.out_of}{_so_far(answer.for_teacher)}",
        "picture": "",
        "rows": [],
        "causes": [],
    }
    marked = work.kept.get((sheet, answer.page or 0))
    page = None if marked is None else page_of(work.layout, sheet, marked.page)
    place = None if page is None else place_of(page, answer.question)
    if marked is None or page is None or place is None:
        row["missing"] = "This page was not among the scans: your teacher marks it on the paper."
        return row
    row["rows"] = [_mark(k, answer, asked, work.teachers_words) for k in range(len(answer.marks))]
    row["causes"] = [
        _cause(f.fault, f.text, words.practice(f), answer.question, told)
        for f in words.standing_faults(answer, asked)[:2]
    ] or [{"text": "", "practise": p} for p in words.without_cause(answer, asked)]
    picture, box = answer_picture(marked, page, place)
    name = f"{sheet}-{answer.question}.svg"
    work.files[name] = picture
    row |= {"picture": name, "alt": _alt(answer, row["rows"])} | _size(box, work.paper.access)
    return row


def _size(box: tuple[float, float, float, float], access: Access) -> dict[str, Any]:
    """Width and height, mm, at which a picture is shown, and whether words stand beside it. In
    large print it is enlarged as the words are, and has the page's width."""
    if access.large:
        width, height = fitted(box, _ALONE_MM, access.body / look.BODY)
        return {"width": width, "height": height, "beside": False}
    beside = box[2] - box[0] < _WIDE * (box[3] - box[1])
    width, height = fitted(box, _BESIDE_MM if beside else _ALONE_MM)
    return {"width": width, "height": height, "beside": beside}


def _mark(k: int, answer: QuestionMarks, asked: Question | None, say: bool) -> dict[str, str]:
    mark = answer.marks[k]
    criterion = asked.scheme[k] if asked is not None and k < len(asked.scheme) else None
    limit = asked.tolerance.length_mm if asked is not None else 2.0
    return {
        "decision": mark.decision,
        "heading": words.heading(mark),
        "subject": words.subject(mark),
        "why": words.sentence(mark, criterion, answer, limit),
        "said": mark.said if say else "",
    }


def _cause(
    code: str, text: str, practise: str, number: str, told: dict[str, str]
) -> dict[str, str]:
    """A likely cause with what to practise; a second time it points to the first."""
    first = told.setdefault(code, number)
    if first != number:
        practise = f"As for question {first}."
    return {"text": text, "practise": practise}


def _alt(answer: QuestionMarks, rows: Sequence[Mapping[str, str]]) -> str:
    """The picture in words: what was measured of the drawing."""
    measured = [
        f"{e.element}: up to {e.worst_mm:.1f} mm from the right place"
        for e in answer.elements
        if e.found and e.worst_mm is not None
    ]
    what = "; ".join(measured) or "no line of the answer was found"
    return (
        f"Your drawing for question {answer.question} as scanned, with the right place dashed "
        f"over it. Measured: {what}. {answer.awarded} of {answer.out_of} marks."
    )


# --- symbols and the key ------------------------------------------------------------------
def _symbols() -> dict[str, str]:
    """A tick, an arrow that points on, a question mark; and the lines of the key."""
    files = {}
    decisions: tuple[Decision, ...] = ("awarded", "withheld", "teacher")
    for decision in decisions:
        canvas = SvgCanvas((-2.2, -2.2, 2.2, 2.2))
        if decision == "withheld":
            _arrow(canvas)
        else:
            symbol(canvas, decision, Point(0.0, 0.0))
        files[f"{decision}.svg"] = canvas.svg()
    for name, pen in (("right", RIGHT_PEN), ("drawn", DRAWN_PEN)):
        canvas = SvgCanvas((0.0, -0.6, 11.0, 0.6))
        canvas.stroke([Segment(Point(0.0, 0.0), Point(11.0, 0.0))], pen)
        files[f"{name}.svg"] = canvas.svg()
    return files


def _arrow(canvas: SvgCanvas) -> None:
    """Not yet: an arrow to the right."""
    pen, tip = Pen(look.BOLD, look.RUST, round_ends=True), Point(1.7, 0.0)
    canvas.stroke([Segment(Point(-1.7, 0.0), tip)], pen)
    for side in (-1.2, 1.2):
        canvas.stroke([Segment(Point(0.4, side), tip)], pen)
