"""Printing a paper: its PDFs and the sheet map."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from millimark.errors import PaperError, SourceError
from millimark.paper.answer_pages import (
    typeset_mark_scheme,
    typeset_model_answers,
    typeset_overlays,
)
from millimark.paper.booklet import typeset_booklet
from millimark.paper.editions import Looks, plans_for, plans_of_sheets
from millimark.paper.question import Paper
from millimark.paper.question_pages import question_sheets, typeset_sheets
from millimark.paper.register import typeset_register
from millimark.sheet.code import LAST_SHEET
from millimark.sheet.layout import Layout, PageMap, write_layout

Progress = Callable[[int, int, str], None] | None
QUESTION_PAPER = "question-paper.pdf"
FOR_THE_TEACHER = {
    "model-answers": typeset_model_answers,
    "overlays": typeset_overlays,
    "mark-scheme": typeset_mark_scheme,
    "step-booklet": typeset_booklet,
    "register": typeset_register,
}
"""What is printed besides the question paper, by the name of its file."""


def print_paper(
    paper: Paper,
    out: Path,
    pupils: Sequence[str | None],
    progress: Progress = None,
    wanted: Iterable[str] = tuple(FOR_THE_TEACHER),
    looks: Looks = (),
) -> Layout:
    """Write the PDFs and layout.json into ``out``; the layout comes back.

    One sheet per entry of ``pupils`` (a name, or None for a blank name), in order. ``wanted``
    names what is printed besides the question paper; ``looks`` how each sheet is set, where
    that is not as the paper says.
    """
    if not 1 <= len(pupils) <= LAST_SHEET:
        raise PaperError(
            f"{len(pupils)} sheets cannot be printed.", f"Ask for 1 to {LAST_SHEET} sheets."
        )
    report = progress or _silent
    besides = [name for name in FOR_THE_TEACHER if name in set(wanted)]
    steps = 2 + len(besides)
    report(0, steps, "placing the questions")
    plans = plans_for(paper, len(pupils), looks)
    sheets = question_sheets(plans, pupils)
    report(1, steps, "question paper")
    pdf = typeset_sheets(plans, sheets)
    layout = Layout(
        paper=paper.data,
        paper_id=plans[0].paper_id,
        sheets=sheets,
        pdf_sha256=hashlib.sha256(pdf).hexdigest(),
    )
    _folder(out)
    (out / QUESTION_PAPER).write_bytes(pdf)
    write_layout(layout, out / "layout.json")
    for i, name in enumerate(besides, start=2):
        report(i, steps, name.replace("-", " "))
        (out / f"{name}.pdf").write_bytes(FOR_THE_TEACHER[name](plans, sheets))
    report(steps, steps, "done")
    return layout


def page_again(layout: Layout, page: PageMap) -> bytes:
    """The PDF of one page of the layout alone, typeset again from the layout's own paper."""
    for sheet in layout.sheets:
        if page in sheet.pages:
            one = replace(sheet, pages=(page,))
            return typeset_sheets(plans_of_sheets(layout.paper, layout.paper_id, [one]), [one])
    raise SourceError(
        "The page is not one of this layout's.", "Use the layout it was printed with."
    )


def _folder(out: Path) -> None:
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise SourceError(
            f"The folder {out} cannot be made: {error.strerror}.", "Choose another --out."
        ) from error


def _silent(done: int, total: int, what: str) -> None:
    """No report."""
