"""A mixed batch, a tenth of it hostile: every page is read, or listed with its reason.

Scanner, feeder and telephone; 150 to 600 dpi; grey, colour and bilevel; upside down, folded,
several to a file, in any order, with the empty backs of sheets between them. The small batch runs
always; ``MILLIMARK_BATCH=100`` (sheets of three pages) makes a large one of it.
"""

from __future__ import annotations

import json
import os
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from tests.marking.test_batch import PAPER

from millimark import demo
from millimark.marking.batch import Report, mark_batch
from millimark.paper.reading import read_paper
from millimark.rehearsal.hostile import PAGE_TWICE, kinds
from millimark.rehearsal.rehearse import rehearse

SHEETS = int(os.environ.get("MILLIMARK_BATCH", "0"))
MEMORY_BYTES = 600_000_000
"""What a worker may have resident (issue: memory under 600 MB a worker)."""
UNREADABLE = 0.03
"""Good pages that may be handed back: bilevel at 150 dpi, marks torn off."""


@dataclass(frozen=True)
class Batch:
    truth: dict[str, Any]
    marks: dict[str, Any]
    report: Report
    names: list[str]

    def lines(self) -> dict[tuple[str, int], dict[str, Any]]:
        return {(p["source"], p["source_page"]): p for p in self.marks["pages"]}


@pytest.fixture(scope="module")
def batch(tmp_path_factory: pytest.TempPathFactory) -> Batch:
    folder = Path(os.environ.get("MILLIMARK_BATCH_FOLDER", tmp_path_factory.mktemp("mixed")))
    text = demo.text("paper.yaml") if SHEETS else PAPER
    (folder / "paper.yaml").write_text(text, encoding="utf-8")
    paper = read_paper(folder / "paper.yaml")
    hostile = round(0.37 * SHEETS) if SHEETS else 0
    made = rehearse(
        paper, SHEETS or 6, 71, folder, capture="mixed", tone="mixed", form="bundles",
        dpi=[150, 300, 200, 600, 400] if SHEETS else [150, 200, 300], upside_down=0.2, wear=0.25,
        hostile=hostile, jobs=1,
    )  # fmt: skip
    scans = folder / "scans"
    truth = made.truth
    if not SHEETS:  # one of each quick kind: what runs into the limits of time is for the large
        from numpy.random import default_rng

        from millimark.rehearsal.hostile import add_hostile_files

        quick = [k for k in (*kinds(), PAGE_TWICE) if k not in ("contents-bomb", "stream-bomb")]
        truth["hostile"] = add_hostile_files(scans, default_rng(72), quick)
    names = sorted(p.name.encode("utf-8", "replace").decode() for p in scans.iterdir())
    report = mark_batch([scans], made.layout_path, folder / "marked", jobs=1)
    marks = json.loads((folder / "marked" / "marks.json").read_text(encoding="utf-8"))
    return Batch(truth, marks, report, names)


def test_no_file_is_passed_over(batch: Batch) -> None:
    assert {p["source"] for p in batch.marks["pages"]} == set(batch.names)


def test_every_page_has_one_line_and_every_line_a_status_or_a_reason(batch: Batch) -> None:
    pages = batch.marks["pages"]
    assert max(Counter((p["source"], p["source_page"]) for p in pages).values()) == 1
    for page in pages:
        assert page["status"] in ("read", "unread")
        assert (page["reason"] is None) == (page["status"] == "read")
        assert page["reason"] is None or len(page["reason"]) > 15
    wanted = [*batch.truth["scans"], *batch.truth["backs"]]
    assert {(w["file"], w["source_page"]) for w in wanted} <= set(batch.lines())


def test_good_pages_are_read_as_what_they_are(batch: Batch) -> None:
    lines, lost = batch.lines(), []
    for scan in batch.truth["scans"]:
        line = lines[scan["file"], scan["source_page"]]
        if line["status"] == "read":
            assert (line["sheet"], line["page"]) == (scan["sheet"], scan["page"])
        elif "scanned twice" not in line["reason"]:
            lost.append((scan["capture"], scan["tone"], scan["dpi"], scan["worn"], line["reason"]))
    print(f"{len(batch.truth['scans'])} good pages, {len(lost)} not read: {lost}")
    assert len(lost) <= max(1, UNREADABLE * len(batch.truth["scans"]))


def test_nothing_hostile_is_read_for_a_page(batch: Batch) -> None:
    kind_of = {line["file"]: line["kind"] for line in batch.truth["hostile"]}
    read = {p["source"] for p in batch.marks["pages"] if p["status"] == "read"}
    assert {kind_of[name] for name in read & set(kind_of)} <= {PAGE_TWICE}
    empty = {(b["file"], b["source_page"]) for b in batch.truth["backs"]}
    assert all(batch.lines()[back]["status"] == "unread" for back in empty)


def test_every_page_of_every_sheet_is_accounted_for(batch: Batch) -> None:
    """A sheet's page is marked, or its questions wait for the teacher with the reason."""
    read = {(p["sheet"], p["page"]) for p in batch.marks["pages"] if p["status"] == "read"}
    scripts = {s["sheet"]: s for s in batch.marks["scripts"]}
    assert set(scripts) == {sheet for sheet, _ in read}
    for scan in batch.truth["scans"]:
        if (scan["sheet"], scan["page"]) not in read and scan["sheet"] in scripts:
            reasons = [m["reason"] for q in scripts[scan["sheet"]]["questions"] for m in q["marks"]]
            assert any("not among the scans" in reason for reason in reasons)


def test_no_worker_took_more_memory_than_it_may(batch: Batch) -> None:
    peak = batch.report.peak_bytes
    print(f"{len(batch.marks['pages'])} pages; largest worker {peak / 1e6:.0f} MB")
    assert 0 < peak < MEMORY_BYTES
