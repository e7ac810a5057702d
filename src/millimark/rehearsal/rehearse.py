"""A rehearsal: print a paper, let invented pupils draw, scan their sheets, keep the truth."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass
from multiprocessing import get_context
from os import cpu_count
from pathlib import Path
from typing import Any

import numpy as np

from millimark.errors import MillimarkError
from millimark.paper.printing import print_paper
from millimark.paper.question import Paper
from millimark.rehearsal.bundles import bundle
from millimark.rehearsal.capture import CAPTURES, TONES
from millimark.rehearsal.faults import Fault
from millimark.rehearsal.files import FORMS, join_pages
from millimark.rehearsal.hands import Pupil, invent
from millimark.rehearsal.hostile import add_hostile_files
from millimark.rehearsal.sheet_job import Conditions, Shared, SheetJob, run
from millimark.rehearsal.truth import FORMAT, VERSION
from millimark.sheet.layout import Layout

Progress = Callable[[int, int, str], None]
Planned = Mapping[tuple[int, str], Sequence[Fault]]
Done = tuple[dict[str, Any], list[dict[str, Any]]]


@dataclass(frozen=True)
class Rehearsal:
    """Where everything lies, and the truth as written to truth.json."""

    folder: Path
    layout: Layout
    scans: tuple[Path, ...]
    truth: dict[str, Any]

    @property
    def layout_path(self) -> Path:
        """The sheet map of the printed paper."""
        return self.folder / "layout.json"


def rehearse(
    paper: Paper,
    pupils: int,
    seed: int,
    out: Path,
    print_scale: float | Sequence[float] = 1.0,
    capture: str = "flatbed",
    dpi: float | Sequence[float] = 300,
    upside_down: bool | float = 0.05,
    progress: Progress | None = None,
    *,
    form: str = "jpeg",
    fault_rate: float = 0.35,
    planned: Planned | None = None,
    names: Sequence[str] | None = None,
    jobs: int | None = None,
    tone: str = "grey",
    wear: float = 0.0,
    hostile: int = 0,
) -> Rehearsal:
    """Print ``paper`` into ``out``, draw ``pupils`` sheets and scan them into ``out/scans``.

    The same arguments give the same files. ``print_scale`` may be several scales that the
    sheets take in turn, and so may ``dpi``. ``upside_down`` is the share of pages that lie the
    wrong way round. ``form`` is jpeg, png, tiff, pdf, mixed, batch-pdf (all pages in one file), or
    bundles (some alone, others several to a file in any order, scanned on both sides).
    ``planned`` gives the faults of (sheet from 0, question) instead of chance; ``names``
    those of the pupils. ``capture`` is flatbed, feeder, phone or mixed; ``tone`` grey,
    colour, bilevel or mixed; ``wear`` the share of sheets that were folded, smudged,
    punched, stained or creased; ``hostile`` how many files that are no scans lie among them.
    """
    _check(pupils, print_scale, dpi)
    _check_names(capture=capture, form=form, tone=tone)
    cast = [invent(i, seed) for i in range(pupils)]
    called = list(names) if names else [p.name for p in cast]
    out.mkdir(parents=True, exist_ok=True)
    scans = out / "scans"
    scans.mkdir(exist_ok=True)
    for old in scans.iterdir():
        old.unlink()
    layout = print_paper(paper, out, [called[i % len(called)] for i in range(pupils)])
    conditions = Conditions(seed, capture, form, float(upside_down), fault_rate, tone, wear)
    shared = Shared(paper, out / "question-paper.pdf", scans, conditions)
    work = _jobs(layout, cast, print_scale, dpi, planned or {}, seed)
    done = _run_all(shared, work, jobs, progress)
    truth = _truth(done, conditions, dpi, layout)
    if form == "batch-pdf":
        _bind(truth, scans)
    truth["backs"] = []
    if form == "bundles":
        truth["backs"] = bundle(truth["scans"], scans, np.random.default_rng([seed, 5]))
        truth["scans"].sort(key=lambda s: (s["file"], s["source_page"]))
    rng = np.random.default_rng([seed, 4])
    truth["hostile"] = add_hostile_files(scans, rng, count=hostile) if hostile else []
    (out / "truth.json").write_text(json.dumps(truth, indent=1) + "\n", encoding="utf-8")
    files = tuple(sorted({scans / s["file"] for s in truth["scans"]}))
    return Rehearsal(out, layout, files, truth)


def _check(pupils: int, print_scale: float | Sequence[float], dpi: float | Sequence[float]) -> None:
    if pupils < 1:
        raise MillimarkError(
            f"A rehearsal needs pupils: {pupils} were asked for.", "Give 1 or more."
        )
    for scale in _several(print_scale):
        if not 0.5 <= scale <= 1.5:
            raise MillimarkError(
                f"A print scale of {scale:g} is not one: it is paper over page millimetres.",
                "Give 0.97 for a sheet printed at 97 %.",
            )
    for each in _several(dpi):
        if not 75 <= each <= 1200:
            raise MillimarkError(f"{each:g} dpi is out of a scanner's range.", "Give 75 to 1200.")


def _check_names(**chosen: str) -> None:
    known = {"capture": CAPTURES, "form": FORMS, "tone": TONES}
    for what, name in chosen.items():
        if name not in known[what]:
            raise MillimarkError(f"There is no {what} {name!r}.", f"Give {', '.join(known[what])}.")


def _several(values: float | Sequence[float]) -> list[float]:
    return list(values) if isinstance(values, Sequence) else [values]


def _jobs(
    layout: Layout,
    cast: Sequence[Pupil],
    print_scale: float | Sequence[float],
    dpi: float | Sequence[float],
    planned: Planned,
    seed: int,
) -> list[SheetJob]:
    """One job a sheet; the scans' names say nothing and run in a shuffled order."""
    pages = sum(len(sheet.pages) for sheet in layout.sheets)
    order = iter(np.random.default_rng([seed, 3]).permutation(pages) + 1)
    scales, resolutions = _several(print_scale), _several(dpi)
    return [
        SheetJob(
            i,
            sheet,
            cast[i],
            scales[i % len(scales)],
            {q: tuple(faults) for (n, q), faults in planned.items() if n == i},
            [f"scan-{int(next(order)):04d}" for _ in sheet.pages],
            resolutions[i % len(resolutions)],
        )
        for i, sheet in enumerate(layout.sheets)
    ]


def _run_all(
    shared: Shared, work: Sequence[SheetJob], jobs: int | None, progress: Progress | None
) -> list[Done]:
    """Every job, in the order of the sheets, on ``jobs`` processes (None: all cores)."""
    count = min(jobs or cpu_count() or 1, len(work))
    done: dict[int, Done] = {}
    for number, result in _results(shared, work, count):
        done[number] = result
        if progress is not None:
            progress(len(done), len(work), f"sheet {result[0]['sheet']} drawn and scanned")
    return [done[job.number] for job in work]


def _results(shared: Shared, work: Sequence[SheetJob], count: int) -> Iterator[tuple[int, Done]]:
    if count <= 1:
        for job in work:
            yield job.number, run(shared, job)
        return
    with ProcessPoolExecutor(
        count, get_context("spawn"), initializer=_receive, initargs=(shared,)
    ) as pool:
        waiting = {pool.submit(_run_here, job): job.number for job in work}
        for future in as_completed(waiting):
            yield waiting[future], future.result()


_shared: list[Shared] = []


def _receive(shared: Shared) -> None:
    """A worker keeps what all its jobs share."""
    _shared[:] = [shared]


def _run_here(job: SheetJob) -> Done:
    return run(_shared[0], job)


def _truth(
    done: Sequence[Done],
    conditions: Conditions,
    dpi: float | Sequence[float],
    layout: Layout,
) -> dict[str, Any]:
    return {
        "format": FORMAT,
        "version": VERSION,
        "paper_id": layout.paper_id,
        "seed": conditions.seed,
        "capture": conditions.capture,
        "dpi": dpi,
        "tone": conditions.tone,
        "scans": sorted((s for _, scans in done for s in scans), key=lambda s: s["file"]),
        "sheets": [sheet for sheet, _ in done],
    }


def _bind(truth: dict[str, Any], scans: Path) -> None:
    """All pages that are JPEGs in one PDF, in the order of their names."""
    lines = [s for s in truth["scans"] if s["file"].endswith(".jpg")]
    join_pages(
        [scans / s["file"] for s in lines], [s["dpi"] or 72.0 for s in lines], scans / "batch.pdf"
    )
    for page, line in enumerate(lines, start=1):
        line["file"], line["source_page"] = "batch.pdf", page
