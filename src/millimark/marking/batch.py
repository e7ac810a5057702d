"""A whole batch of scans: pages read and marked on all cores, scripts put together, files written.

Every page of every file ends in one line of ``pages``: read, or unread with its reason.
One bad page never stops the others.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from millimark.errors import SourceError
from millimark.marking import results
from millimark.marking.findings import PageLine, Script
from millimark.marking.journal import Journal
from millimark.marking.page import MarkedPage, Marker, mark_page
from millimark.marking.print_run import scale_for
from millimark.marking.scripts import scripts_of, settle_pages
from millimark.marking.workers import Lost, NoWorkersError, run_all
from millimark.paper.reading import paper_from_data
from millimark.scan.reading import Unread
from millimark.scan.sources import PageRef, list_pages
from millimark.sheet.layout import read_layout

Progress = Callable[[int, int, str], None]

_WORTH_A_POOL = 5
"""Fewer pages than this are marked here: starting workers takes about a second."""


@dataclass(frozen=True, eq=False)
class Report:
    """What a batch gave. ``exit_status``: 0 all pages read, 1 some were not."""

    pages: tuple[PageLine, ...]
    scripts: tuple[Script, ...]

    @property
    def exit_status(self) -> int:
        """0 if every page was read, else 1."""
        return int(any(p.status == "unread" for p in self.pages))


def mark_batch(
    paths: Sequence[Path],
    layout_path: Path,
    out: Path,
    print_scale: float | None = None,
    progress: Progress | None = None,
    jobs: int | None = None,
) -> Report:
    """Mark all pages of ``paths``; write marks.json, marks.csv, marks.xlsx, annotated.pdf,
    feedback.pdf and class-sheet.pdf into ``out``, and names.pdf if sheets carry no name.

    A run that was stopped leaves what it had marked in ``out``; the next run goes on from there.

    ``print_scale`` is a stated one; ``jobs`` the number of processes (None: all cores).
    """
    from millimark.marking.annotate import write_annotated
    from millimark.marking.class_sheet import write_class_sheet
    from millimark.marking.feedback import write_feedback
    from millimark.marking.names import write_names
    from millimark.marking.workbook import write_workbook

    report = progress or _silent
    layout_path, out = Path(layout_path), Path(out)
    layout = read_layout(layout_path)
    paper = paper_from_data(layout.paper)
    refs = list(list_pages(paths))
    marker = Marker(layout_path, print_scale)
    _folder(out)
    journal = Journal.beside(out)
    outcomes = _marked(refs, marker, report, jobs, journal)
    outcomes = _with_batch_scale(refs, outcomes, marker, jobs)
    pages, kept = settle_pages(outcomes)
    scripts = scripts_of(layout, paper, kept)
    scales = {key: page.line.print_scale or 1.0 for key, page in kept.items()}
    results.write_json(results.as_json(pages, scripts, scales), out / "marks.json")
    results.write_csv(scripts, [q.number for q in paper.questions], out / "marks.csv")
    report(len(refs), len(refs), "annotated scripts")
    write_annotated(paper, scripts, kept, layout, out / "annotated.pdf")
    write_feedback(paper, scripts, kept, layout, out / "feedback.pdf")
    write_class_sheet(paper, scripts, kept, layout, out / "class-sheet.pdf")
    write_workbook(paper.title, scripts, out / "marks.xlsx")
    write_names(paper, scripts, kept, layout, out / "names.pdf")
    journal.close()
    return Report(tuple(pages), tuple(scripts))


def _folder(out: Path) -> None:
    """Make the folder for the results, or say why it cannot be made."""
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise SourceError(
            f"The folder {out} cannot be made: {error.strerror}.", "Choose another --out."
        ) from error


Outcome = MarkedPage | Unread


def _marked(
    refs: Sequence[PageRef | Unread],
    marker: Marker,
    report: Progress,
    jobs: int | None,
    journal: Journal,
) -> list[Outcome]:
    """Every page marked or unread, in the order of ``refs``; what is done is kept at once."""
    found: dict[int, Outcome] = {}
    todo: list[int] = []
    for k, ref in enumerate(refs):
        known = ref if isinstance(ref, Unread) else journal.find(marker, ref)
        if known is None:
            todo.append(k)
        else:
            found[k] = known
    report(len(found), len(refs), "pages")
    tasks = [(k, ref) for k in todo if isinstance(ref := refs[k], PageRef)]
    for place, outcome in _each([(marker, ref) for _, ref in tasks], jobs):
        k, ref = tasks[place]
        found[k] = outcome if not isinstance(outcome, Lost) else _lost(ref, outcome)
        if not isinstance(outcome, Lost):  # a page that was lost is tried again next time
            journal.keep(marker, ref, outcome)
        report(len(found), len(refs), f"{ref.source.name}, page {ref.page}")
    return [found[k] for k in range(len(refs))]


Task = tuple[Marker, PageRef]


def _each(tasks: Sequence[Task], jobs: int | None) -> Iterator[tuple[int, Outcome | Lost]]:
    """(index, outcome) of pages as they are done: here if they are few, else in workers."""
    workers = min(jobs or os.cpu_count() or 1, len(tasks))
    if workers <= 1 or len(tasks) < _WORTH_A_POOL:
        for k, (marker, ref) in enumerate(tasks):
            yield k, mark_page(marker, ref)
        return
    done: set[int] = set()
    try:
        for k, outcome in run_all(mark_task, tasks, workers):
            done.add(k)
            yield k, outcome
    except NoWorkersError:
        for k, (marker, ref) in enumerate(tasks):
            if k not in done:
                yield k, mark_page(marker, ref)


def mark_task(task: Task) -> Outcome:
    """A worker's work: mark one page."""
    return mark_page(*task)


def _lost(ref: PageRef, lost: Lost) -> Unread:
    return Unread(ref.source, lost.reason)


def _with_batch_scale(
    refs: Sequence[PageRef | Unread],
    outcomes: list[Outcome],
    marker: Marker,
    jobs: int | None,
) -> list[Outcome]:
    """Pages whose image could not say their print scale, marked again with the print run's."""
    if marker.print_scale is not None:
        return outcomes
    places: list[int] = []
    again: list[Task] = []
    for k, (ref, outcome) in enumerate(zip(refs, outcomes, strict=True)):
        if isinstance(outcome, Unread) or not isinstance(ref, PageRef):
            continue
        if outcome.line.print_scale_source != "assumed":
            continue
        run = scale_for(outcome, outcomes)
        if run is not None:
            places.append(k)
            again.append((replace(marker, run=(run.scale, run.sigma)), ref))
    for k, fresh in _each(again, jobs):
        if not isinstance(fresh, Lost):  # else the first reading stands
            outcomes[places[k]] = fresh
    return outcomes


def _silent(done: int, total: int, what: str) -> None:
    """No progress is shown."""
