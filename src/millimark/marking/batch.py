"""A whole batch of scans: pages read and marked on all cores, scripts put together, files written.

Every page of every file ends in one line of ``pages``: read, or unread with its reason.
One bad page never stops the others: files of unknown origin are opened in workers only.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TypeVar

from millimark.errors import SourceError
from millimark.marking import results
from millimark.marking.findings import PageLine, Script
from millimark.marking.journal import Journal
from millimark.marking.page import MarkedPage, Marker, mark_page
from millimark.marking.print_run import scale_for
from millimark.marking.scripts import scripts_of, settle_pages
from millimark.marking.workers import SECONDS, Lost, NoWorkersError, Peak, run_all
from millimark.paper.question import Paper
from millimark.paper.reading import paper_from_data
from millimark.scan.reading import Source, Unread
from millimark.scan.sources import PageRef, files_of, pages_in
from millimark.sheet.layout import Layout, read_layout

Progress = Callable[[int, int, str], None]
Outcome = MarkedPage | Unread
Task = tuple[Marker, PageRef]
Given = TypeVar("Given")
Found = TypeVar("Found")

LISTING_SECONDS = 30.0
"""Longest time for counting a file's pages."""


@dataclass(frozen=True, eq=False)
class Report:
    """What a batch gave. ``exit_status``: 0 all pages read, 1 some were not. ``peak_bytes``: the
    most memory that a worker had resident; 0 where the system does not say."""

    pages: tuple[PageLine, ...]
    scripts: tuple[Script, ...]
    peak_bytes: int = 0

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
    confined: bool = True,
    leave: Sequence[Path] = (),
) -> Report:
    """Mark all pages of ``paths`` and write what `write_all` does into ``out``.

    A run that was stopped leaves what it had marked in ``out``; the next run goes on from there.
    ``print_scale`` is a stated one; ``jobs`` the number of processes (None: all cores);
    ``confined``: every file opened in a process of limited memory and time, else here;
    ``leave``: files that are no scans, left out where they lie in a folder of scans.
    """
    report = progress or _silent
    layout_path, out = Path(layout_path), Path(out)
    layout = read_layout(layout_path)
    paper = paper_from_data(layout.paper)
    hands = _Hands(jobs or os.cpu_count() or 1, confined)
    refs = hands.listed(list(files_of(paths, leave)))
    _folder(out)
    journal = Journal.beside(out)
    marker = Marker(layout_path, print_scale)
    outcomes = _marked([(marker, ref) for ref in refs], report, hands, journal)
    outcomes = _with_batch_scale(refs, outcomes, marker, report, hands, journal)
    report(len(refs), len(refs), "writing the results")
    pages, kept = settle_pages(outcomes)
    scripts = scripts_of(layout, paper, kept)
    write_all(paper, layout, pages, scripts, kept, out)
    journal.close()
    return Report(tuple(pages), tuple(scripts), hands.peak.size)


def write_all(
    paper: Paper,
    layout: Layout,
    pages: Sequence[PageLine],
    scripts: Sequence[Script],
    kept: dict[tuple[str, int], MarkedPage],
    out: Path,
) -> None:
    """marks.json, marks.csv, marks.xlsx, annotated.pdf, feedback.pdf and class-sheet.pdf;
    for-teacher.pdf if marks wait, names.pdf if sheets carry no name."""
    from millimark.marking.annotate import write_annotated
    from millimark.marking.class_sheet import write_class_sheet
    from millimark.marking.feedback import write_feedback
    from millimark.marking.for_teacher import write_for_teacher
    from millimark.marking.names import write_names
    from millimark.marking.pictures import waiting_boxes
    from millimark.marking.workbook import write_workbook

    scales = {key: page.line.print_scale or 1.0 for key, page in kept.items()}
    boxes = waiting_boxes(scripts, kept, layout)
    results.write_json(results.as_json(pages, scripts, scales, boxes), out / "marks.json")
    results.write_csv(scripts, [q.number for q in paper.questions], out / "marks.csv")
    write_workbook(paper.title, scripts, out / "marks.xlsx")
    write_annotated(paper, scripts, kept, layout, out / "annotated.pdf")
    write_feedback(paper, scripts, kept, layout, out / "feedback.pdf")
    write_class_sheet(paper, scripts, kept, layout, out / "class-sheet.pdf")
    write_for_teacher(paper, scripts, kept, layout, out / "for-teacher.pdf")
    write_names(paper, scripts, kept, layout, out / "names.pdf")


def _folder(out: Path) -> None:
    """Make the folder for the results, or say why it cannot be made."""
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise SourceError(
            f"The folder {out} cannot be made: {error.strerror}.", "Choose another --out."
        ) from error


@dataclass(frozen=True)
class _Hands:
    """How files are worked on: in ``jobs`` processes that can be ended, or here."""

    jobs: int
    confined: bool
    peak: Peak = field(default_factory=Peak)

    def listed(self, files: Sequence[Path]) -> list[PageRef | Unread]:
        """The pages of all files in order."""
        found: list[Sequence[PageRef | Unread]] = [[] for _ in files]
        for k, pages in self.each(pages_in, files, LISTING_SECONDS):
            if isinstance(pages, Lost):
                found[k] = [Unread(Source(files[k].name, 1), pages.reason)]
            else:
                found[k] = pages
        return [ref for pages in found for ref in pages]

    def each(
        self, act: Callable[[Given], Found], tasks: Sequence[Given], seconds: float = SECONDS
    ) -> Iterator[tuple[int, Found | Lost]]:
        """(index, result) of every task as they are done."""
        done: set[int] = set()
        if self.confined and tasks:
            try:
                for k, result in run_all(act, tasks, self.jobs, seconds, peak=self.peak):
                    done.add(k)
                    yield k, result
            except NoWorkersError:  # before any of them was begun
                pass
        yield from ((k, act(task)) for k, task in enumerate(tasks) if k not in done)


def mark_task(task: Task) -> Outcome:
    """A worker's work: mark one page."""
    return mark_page(*task)


def _marked(
    tasks: Sequence[tuple[Marker, PageRef | Unread]],
    report: Progress,
    hands: _Hands,
    journal: Journal,
) -> list[Outcome]:
    """Every page marked or unread, in the order given; what is done is kept at once."""
    found: dict[int, Outcome] = {}
    todo: list[int] = []
    work: list[Task] = []
    for k, (marker, ref) in enumerate(tasks):
        known = ref if isinstance(ref, Unread) else journal.find(marker, ref)
        if known is not None:
            found[k] = known
        elif isinstance(ref, PageRef):
            todo.append(k)
            work.append((marker, ref))
    report(len(found), len(tasks), "pages")
    for place, outcome in hands.each(mark_task, work):
        marker, ref = work[place]
        if isinstance(outcome, Lost):  # it is tried again next time
            found[todo[place]] = Unread(ref.source, outcome.reason)
        else:
            found[todo[place]] = outcome
            journal.keep(marker, ref, outcome)
        report(len(found), len(tasks), f"{ref.source.name}, page {ref.page}")
    return [found[k] for k in range(len(tasks))]


def _with_batch_scale(
    refs: Sequence[PageRef | Unread],
    outcomes: list[Outcome],
    marker: Marker,
    report: Progress,
    hands: _Hands,
    journal: Journal,
) -> list[Outcome]:
    """Pages whose image could not say their print scale, marked again with the print run's."""
    if marker.print_scale is not None:
        return outcomes
    places: list[int] = []
    again: list[tuple[Marker, PageRef | Unread]] = []
    for k, (ref, outcome) in enumerate(zip(refs, outcomes, strict=True)):
        if isinstance(outcome, Unread) or not isinstance(ref, PageRef):
            continue
        if outcome.line.print_scale_source != "assumed":
            continue
        run = scale_for(outcome, outcomes)
        if run is not None:
            places.append(k)
            again.append((replace(marker, run=(run.scale, run.sigma)), ref))
    if not again:
        return outcomes
    settled, whole = list(outcomes), len(refs)

    def told(done: int, total: int, what: str) -> None:
        report(whole, whole, f"again at the print run's scale, {done} of {total}")

    for k, fresh in zip(places, _marked(again, told, hands, journal), strict=True):
        if isinstance(fresh, MarkedPage):  # else the first reading stands
            settled[k] = fresh
    return settled


def _silent(done: int, total: int, what: str) -> None:
    """No progress is shown."""
