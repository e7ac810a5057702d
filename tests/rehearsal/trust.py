"""How far the marks can be trusted: a long run over the whole bank, every capture and fault.

Not a test: ``python -m tests.rehearsal.trust FOLDER [--seed 1] [--pupils 7]`` prints papers made
of all the bank's questions, lets pupils draw them, scans them in each of the ways of ``SETS``,
marks the scans and compares. About 74 answers a pupil and set; the report is FOLDER/trust.json,
a table and each wrong decision. A run that was stopped goes on where it was.
"""

from __future__ import annotations

import argparse
import json
import math
import random
import shutil
import sys
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.rehearsal.agreement import Agreement, compare_files

from millimark.bank.shelf import bank, paper_file
from millimark.marking.batch import mark_batch
from millimark.paper.question import Paper
from millimark.paper.reading import read_paper
from millimark.rehearsal.rehearse import rehearse

SETS: dict[str, dict[str, Any]] = {
    "flatbed 300 dpi": {"capture": "flatbed", "print_scale": [0.94, 0.97, 1.0]},
    "flatbed 200 dpi": {"capture": "flatbed", "dpi": 200, "print_scale": [0.96, 1.02]},
    "feeder, worn sheets": {"capture": "feeder", "tone": "colour", "wear": 0.2},
    "phone": {"capture": "phone", "wear": 0.1},
}
PER_PAPER = 8


@dataclass(frozen=True)
class Run:
    """One paper in one set."""

    kind: str
    name: str
    ids: tuple[str, ...]
    seed: int

    def folder(self, root: Path) -> Path:
        return root / f"{self.kind.replace(',', '').replace(' ', '-')}-{self.name}"


def runs(seed: int) -> Iterator[Run]:
    """Every question once in each set, in papers of eight, shuffled by the seed."""
    for k, kind in enumerate(SETS):
        questions = [q.id for q in bank()]
        random.Random(f"{seed} {kind}").shuffle(questions)
        for i in range(0, len(questions), PER_PAPER):
            ids = tuple(questions[i : i + PER_PAPER])
            yield Run(kind, f"{seed}-{i // PER_PAPER:02d}", ids, 1000 * seed + 100 * k + i)


def carry_out(run: Run, root: Path, pupils: int) -> dict[str, Any]:
    """Print, draw, scan, mark, compare; the comparison as plain data, kept beside the scans."""
    folder = run.folder(root)
    kept = folder / "agreement.json"
    if not kept.exists():
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir(parents=True)
        by_id = {q.id: q for q in bank()}
        text = paper_file(f"Trust run {run.name}", [by_id[i] for i in run.ids])
        (folder / "paper.yaml").write_text(text, encoding="utf-8")
        paper = read_paper(folder / "paper.yaml")
        rehearse(paper, pupils, run.seed, folder, **SETS[run.kind])
        mark_batch([folder / "scans"], folder / "layout.json", folder / "marked")
        found = compare_files(folder / "marked" / "marks.json", folder / "truth.json")
        kept.write_text(json.dumps(plain(found, run, paper)), encoding="utf-8")
        shutil.rmtree(folder / "scans")
    result: dict[str, Any] = json.loads(kept.read_text(encoding="utf-8"))
    return result


def plain(found: Agreement, run: Run, paper: Paper) -> dict[str, Any]:
    """What of an agreement can be added up, and what must be looked at. Readings, which are always
    the teacher's, are not counted."""
    # a sheet may have other values than the paper: what is read stands before the colon
    criteria = [c for q in paper.questions for c in q.scheme]
    readings = {c.text.split(":")[0] for c in criteria if c.kind == "reading"}
    handed = [d for d in found.handed_over if d.criterion.split(":")[0] not in readings]
    always = len(found.handed_over) - len(handed)
    return {
        "kind": run.kind,
        "folder": run.name,
        "ids": run.ids,
        "answers": found.answers,
        "decisions": found.decisions - always,
        "handed": len(handed),
        "answers_handed": len({(d.sheet, d.question) for d in handed}),
        "missing": found.missing,
        "wrong": [f"{run.ids[int(d.question) - 1]}: {d}" for d in found.wrong],
        "borderline": [f"{run.ids[int(d.question) - 1]}: {d}" for d in found.borderline_wrong],
        "over": [f"{run.ids[int(d.question) - 1]}: {d}" for d in handed],
        "errors": found.errors,
        "intervals": found.intervals,
        "planted": found.faults_planted,
        "named": found.faults_named,
        "invented": found.faults_invented,
        "no_fault": found.answers_without_fault,
        "confusions": [[*pair, n] for pair, n in found.confusions.items()],
    }


def table(results: Iterable[dict[str, Any]]) -> str:
    """A row for each set, as docs/marking.md shows it."""
    rows = [
        "| set | answers | decisions | wrong | borderline wrong | for the teacher | "
        "worst rms, median | offset rms | radius rms | intervals cover | faults named | "
        "named where none was |",
        "|---|---|---|---|---|---|---|---|---|---|---|---|",
    ]
    by_kind: dict[str, list[dict[str, Any]]] = {}
    for r in results:
        by_kind.setdefault(r["kind"], []).append(r)
    everything = [r for group in by_kind.values() for r in group]
    return "\n".join(rows + [_row(k, g) for k, g in [*by_kind.items(), ("all", everything)]])


def _row(kind: str, group: list[dict[str, Any]]) -> str:
    def total(what: str) -> int:
        values = [r[what] for r in group]
        return sum(len(v) if isinstance(v, list) else v for v in values)

    decisions, answers = total("decisions"), total("answers")
    intervals = [pair for r in group for pair in r["intervals"]]
    covered = sum(abs(e) <= 1.96 * u for e, u in intervals) / max(1, len(intervals))
    planted = sum(sum(r["planted"].values()) for r in group)
    named = sum(sum(r["named"].values()) for r in group)
    invented = sum(sum(r["invented"].values()) for r in group)
    worst = sorted(abs(e) for r in group for e in r["errors"].get("worst_mm", ()))
    return (
        f"| {kind} | {answers} | {decisions} | {total('wrong')} | {total('borderline')} "
        f"| {total('handed') / max(1, decisions):.1%} "
        f"| {_rms(group, 'worst_mm')}, {worst[len(worst) // 2] if worst else math.nan:.3f} "
        f"| {_rms(group, 'offset_mm')} | {_rms(group, 'radius_mm')} | {covered:.1%} "
        f"| {named / max(1, planted):.0%} | {invented / max(1, total('no_fault')):.1%} |"
    )


def _rms(group: list[dict[str, Any]], what: str) -> str:
    values = [e for r in group for e in r["errors"].get(what, ())]
    return f"{math.sqrt(sum(v * v for v in values) / max(1, len(values))):.3f}"


def main() -> None:
    """Run what is not yet done, then tell."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("folder", type=Path)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--pupils", type=int, default=7)
    asked.add_argument("--only", default="", help="sets with this word")
    given = asked.parse_args()
    results = []
    for run in runs(given.seed):
        if given.only in run.kind:
            print(run.kind, run.name, file=sys.stderr, flush=True)
            results.append(carry_out(run, given.folder, given.pupils))
    (given.folder / "trust.json").write_text(json.dumps(results), encoding="utf-8")
    print(table(results))
    confused: Counter[str] = Counter()
    for r in results:
        for line in r["wrong"]:
            print("WRONG", r["kind"], r["folder"], line)
        for fault, said, n in r["confusions"]:
            confused[f"{fault} -> {said}"] += n
    print("faults missed:", dict(confused.most_common()))
    print("faults invented:", dict(sum((Counter(r["invented"]) for r in results), Counter())))


if __name__ == "__main__":
    main()
