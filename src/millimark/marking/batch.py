"""A whole batch of scans: pages read and marked on all cores, scripts put together, files written.

Every page of every file ends in one line of ``pages``: read, or unread with its reason.
One bad page never stops the others.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from multiprocessing import get_context
from pathlib import Path
from statistics import median

from millimark.marking import results
from millimark.marking.findings import PageLine, Script
from millimark.marking.page import MarkedPage, Marker, mark_page
from millimark.marking.scripts import scripts_of, settle_pages
from millimark.paper.reading import paper_from_data
from millimark.scan.reading import Unread
from millimark.scan.sources import PageRef, list_pages
from millimark.sheet.layout import read_layout

Progress = Callable[[int, int, str], None]

_ONE_RUN = 0.006
"""Print scales of one print run differ by less than this (feed and grain of the paper)."""
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
    """Mark all pages of ``paths``; write marks.json, marks.csv and annotated.pdf into ``out``.

    ``print_scale`` is a stated one; ``jobs`` the number of processes (None: all cores).
    """
    from millimark.marking.annotate import write_annotated

    report = progress or _silent
    layout_path = Path(layout_path)
    layout = read_layout(layout_path)
    paper = paper_from_data(layout.paper)
    refs = list(list_pages(paths))
    marker = Marker(layout_path, print_scale)
    outcomes = _marked(refs, marker, report, jobs)
    outcomes = _with_batch_scale(refs, outcomes, marker, jobs)
    pages, kept = settle_pages(outcomes)
    scripts = scripts_of(layout, paper, kept)
    out = Path(out)
    out.mkdir(parents=True, exist_ok=True)
    scales = {key: page.line.print_scale or 1.0 for key, page in kept.items()}
    results.write_json(results.as_json(pages, scripts, scales), out / "marks.json")
    results.write_csv(scripts, [q.number for q in paper.questions], out / "marks.csv")
    report(len(refs), len(refs), "annotated scripts")
    write_annotated(paper, scripts, kept, layout, out / "annotated.pdf")
    return Report(tuple(pages), tuple(scripts))


Outcome = MarkedPage | Unread


def _marked(
    refs: Sequence[PageRef | Unread], marker: Marker, report: Progress, jobs: int | None
) -> list[Outcome]:
    """Every page marked or unread, in the order of ``refs``."""
    total = len(refs)
    report(0, total, "pages")
    found: list[Outcome] = []
    for done, outcome in enumerate(_each(refs, marker, jobs), start=1):
        found.append(outcome)
        source = outcome.source if isinstance(outcome, Unread) else outcome.line.source
        report(done, total, f"{source.name}, page {source.page}")
    return found


def _each(refs: Sequence[PageRef | Unread], marker: Marker, jobs: int | None) -> Iterator[Outcome]:
    pages = sum(isinstance(r, PageRef) for r in refs)
    workers = min(jobs or os.cpu_count() or 1, pages)
    if workers <= 1 or pages < _WORTH_A_POOL:
        for ref in refs:
            yield ref if isinstance(ref, Unread) else mark_page(marker, ref)
        return
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        waiting = [
            ref if isinstance(ref, Unread) else pool.submit(mark_page, marker, ref) for ref in refs
        ]
        for ref, task in zip(refs, waiting, strict=True):
            if isinstance(task, Unread):
                yield task
                continue
            try:
                yield task.result()
            except OSError as error:  # the worker itself was lost
                source = ref.source
                yield Unread(source, f"marking this page was cut off: {error}")


def _with_batch_scale(
    refs: Sequence[PageRef | Unread],
    outcomes: list[Outcome],
    marker: Marker,
    jobs: int | None,
) -> list[Outcome]:
    """Pages whose image could not say their print scale, marked again with that of the rest
    of their sheet, else of the batch if all of it was printed at one scale."""
    if marker.print_scale is not None:
        return outcomes
    by_scale: dict[float, list[int]] = {}
    for k, outcome in enumerate(outcomes):
        if isinstance(outcome, MarkedPage) and outcome.line.print_scale_source == "assumed":
            scale = _scale_of_others(outcome, outcomes)
            if scale is not None:
                by_scale.setdefault(scale, []).append(k)
    for scale, again in by_scale.items():
        scaled = replace(marker, batch_scale=scale)
        for k, outcome in zip(again, _each([refs[k] for k in again], scaled, jobs), strict=True):
            outcomes[k] = outcome
    return outcomes


def _scale_of_others(page: MarkedPage, outcomes: Sequence[Outcome]) -> float | None:
    """The print scale that scanned pages of the same sheet, else of the whole batch, agree on."""
    known = [
        (o.sheet, o.line.print_scale)
        for o in outcomes
        if isinstance(o, MarkedPage)
        and o.line.print_scale is not None
        and o.line.print_scale_source == "scanner"
    ]
    same = [scale for sheet, scale in known if sheet == page.sheet]
    every = [scale for _, scale in known]
    for scales in (same, every):
        if scales and max(scales) - min(scales) < _ONE_RUN:
            return round(median(scales), 5)
    return None


def _silent(done: int, total: int, what: str) -> None:
    """No progress is shown."""
