"""What each part of marking is there for: leave it out and count what goes wrong.

Not a test: run ``python -m tests.marking.ablations FOLDER...`` on rehearsed folders (scans,
layout.json, truth.json). Pages are read once; every variant marks the same pencil.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from unittest.mock import patch

from tests.rehearsal.agreement import compare

from millimark.marking import (
    candidates,
    cells,
    coverage,
    examine,
    extremes,
    matching,
    measure,
    primitives,
    results,
    shading,
)
from millimark.marking.findings import PageLine
from millimark.marking.page import MarkedPage, Marker, _paper
from millimark.marking.scripts import scripts_of
from millimark.paper.raster import printed_page
from millimark.paper.reading import paper_for_sheet
from millimark.plane.point import Point
from millimark.scan.page import read_page
from millimark.scan.reading import PageReading
from millimark.scan.sources import PageRef, list_pages, open_page


def readings(folder: Path) -> Iterator[PageReading]:
    """Every page of a rehearsal that can be read."""
    layout, _ = _paper(folder / "layout.json")
    for ref in list_pages([folder / "scans"]):
        if isinstance(ref, PageRef):
            image = open_page(ref)
            page = read_page(
                image, layout, lambda p, k: printed_page(folder / "layout.json", layout, p, k)
            )
            if isinstance(page, PageReading):
                yield page


def marked(folder: Path, pages: list[PageReading]) -> dict[str, object]:
    """marks.json's object for pages that were read before."""
    layout, paper = _paper(Marker(folder / "layout.json").layout_path)
    kept = {}
    for page in pages:
        own = {q.number: q for q in paper_for_sheet(paper, page.sheet).questions}
        places = {p.question: p for p in page.page.questions}
        answers = tuple(
            examine.examine(
                own[f.question],
                examine_expected(own[f.question], places[f.question], page.print_scale),
                f,
                page,
            )
            for f in page.frames
        )
        line = PageLine(
            page.source,
            "read",
            None,
            page.sheet.sheet,
            page.page.page,
            page.print_scale,
            "scanner",
            0.01,
        )
        key = (page.sheet.sheet, page.page.page)
        kept[key] = MarkedPage(line, *key, answers, b"", "", "", Point(0.0, 0.0))
    scripts = scripts_of(layout, paper, kept)
    return results.as_json([m.line for m in kept.values()], scripts, {})


def examine_expected(*given: object) -> object:
    from millimark.marking.expected import expected

    return expected(*given)  # type: ignore[arg-type]


@contextmanager
def without(*patches: tuple[object, str, object]) -> Iterator[None]:
    with ExitStack() as stack:
        for where, name, value in patches:
            stack.enter_context(patch.object(where, name, value))
        yield


VARIANTS: dict[str, Callable[[], object]] = {
    "as it is": lambda: without(),
    "no companions or continuations": lambda: without((matching, "companions", lambda *a: [])),
    "no hand followed round its bends": lambda: without(
        (candidates, "followed", lambda ink, view, line, aside: line),
        (matching, "followed", lambda ink, view, line, aside: line),
    ),
    "hatching left on outlines": lambda: without((measure, "_outline", lambda *a: a[-1])),
    "no carrying over what disturbs a line": lambda: without(
        (measure, "_undisturbed", lambda off, *a: off)
    ),
    "lines drawn twice measured as two": lambda: without(
        (examine, "centred", lambda ink, *a: (ink, {}))
    ),
    "no carrying on through shading": lambda: without(
        (coverage, "_bridged", lambda near, *a, **k: near)
    ),
    "hatching not told from lines": lambda: without(
        (primitives, "_with_hatching", lambda ink, found: found)
    ),
    "crossings-out not known": lambda: without(
        (primitives, "_with_crossings_out", lambda ink, found: found)
    ),
    "construction arcs not set apart": lambda: without((candidates, "_EVIDENCE", 1.0)),
    "no second answer looked for": lambda: without((matching, "_rival", lambda *a: None)),
    "region judged on the true lines": lambda: without((shading, "walls", _true_walls)),
    "extreme of single points, unsmoothed": lambda: without(
        (measure, "_smoothed", lambda v: v), (extremes, "HOLD", 1)
    ),
    "no uncertainty in decisions": lambda: without((measure, "_deviation_sigma", lambda *a: 0.0)),
}


def _true_walls(expect, ink, matching, elements):  # type: ignore[no-untyped-def]
    from millimark.marking.expected import samples

    curves = [c for w in expect.wanted for c in w.curves] + cells.printed(expect)
    return [samples(c, expect.frame, 0.5) for c in curves]


def main(folders: list[str]) -> None:
    pages = {f: list(readings(Path(f))) for f in folders}
    truths = {f: json.loads((Path(f) / "truth.json").read_text(encoding="utf-8")) for f in folders}
    print("| left out | decisions | wrong | for the teacher | worst_mm rms |")
    print("|---|---|---|---|---|")
    for name, variant in VARIANTS.items():
        total = wrong = handed = 0
        squares: list[float] = []
        with variant():  # type: ignore[attr-defined]
            for folder in folders:
                found = compare(marked(Path(folder), pages[folder]), truths[folder])
                total += found.decisions
                wrong += len(found.wrong)
                handed += found.handed
                squares += [e * e for e in found.errors.get("worst_mm", [])]
        rms = (sum(squares) / max(len(squares), 1)) ** 0.5
        print(f"| {name} | {total} | {wrong} | {handed} | {rms:.3f} |", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
