"""Pages to scripts: one page each once, sheets in the layout's order, nothing lost."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from millimark.marking.examine import not_there
from millimark.marking.findings import PageLine, QuestionMarks, Script
from millimark.marking.misreading import with_misreading
from millimark.marking.page import MarkedPage
from millimark.paper.question import Paper
from millimark.scan.reading import Unread
from millimark.sheet.layout import Layout

Key = tuple[str, int]

NOT_SCANNED = "was not among the scans"
"""How the reason ends where a page is missing."""


def settle_pages(
    outcomes: Iterable[MarkedPage | Unread],
) -> tuple[list[PageLine], dict[Key, MarkedPage]]:
    """A line for every page, and the page that counts for each (sheet, page).

    Of a page that was scanned twice the better registered one counts; the other is listed
    as unread with the reason.
    """
    lines: list[PageLine] = []
    kept: dict[Key, MarkedPage] = {}
    where: dict[Key, int] = {}
    for outcome in outcomes:
        if isinstance(outcome, Unread):
            lines.append(PageLine(outcome.source, "unread", outcome.reason))
            continue
        key = (outcome.sheet, outcome.page)
        lines.append(outcome.line)
        if key not in kept:
            kept[key], where[key] = outcome, len(lines) - 1
            continue
        first, second = kept[key], outcome
        better = _finer(second, first)
        loser, winner = (where[key], len(lines) - 1) if better else (len(lines) - 1, where[key])
        lines[loser] = _twice(lines[loser], lines[winner])
        if better:
            kept[key], where[key] = second, winner
    return lines, kept


def _finer(page: MarkedPage, than: MarkedPage) -> bool:
    return (page.line.registration_mm or 9.0) < (than.line.registration_mm or 9.0)


def _twice(line: PageLine, other: PageLine) -> PageLine:
    reason = (
        f"page {line.page} of sheet {line.sheet} was scanned twice; "
        f"{other.source.name}, page {other.source.page} was marked instead"
    )
    return replace(line, status="unread", reason=reason)


def scripts_of(layout: Layout, paper: Paper, kept: Mapping[Key, MarkedPage]) -> list[Script]:
    """A script for every sheet of which at least one page was read, in the layout's order."""
    scripts = []
    for sheet in layout.sheets:
        pages = [p for p in sheet.pages if (sheet.sheet, p.page) in kept]
        if not pages:
            continue
        found: dict[str, QuestionMarks] = {}
        for page in sheet.pages:
            marked = kept.get((sheet.sheet, page.page))
            if marked is not None:
                found.update({q.question: q for q in marked.questions})
        missing = {
            q.question: f"page {p.page} of sheet {sheet.sheet} {NOT_SCANNED}"
            for p in sheet.pages
            for q in p.questions
            if (sheet.sheet, p.page) not in kept
        }
        questions = [
            found[q.number]
            if q.number in found
            else not_there(q, missing.get(q.number, "this question is not on the sheet"))
            for q in paper.questions
        ]
        scripts.append(Script(sheet.sheet, sheet.pupil, tuple(with_misreading(questions))))
    return scripts
