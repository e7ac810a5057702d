"""How well marks.json agrees with a rehearsal's truth.json.

A decision is *wrong* if it is not the deserved one and was not handed to the teacher. It
counts against the marker (``wrong``) only where the truth is clear of its limits
(more than 0.25 mm, 0.05 share or 0.25 degrees from the decision's border); the others are
``borderline``.
"""

from __future__ import annotations

import json
import math
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from millimark.rehearsal.faults import HABITS, NEAR_LIMIT

Json = dict[str, Any]


@dataclass(frozen=True)
class Disagreement:
    """One decision that is not the deserved one, with enough to look at it."""

    sheet: str
    question: str
    criterion: str
    deserved: str
    decided: str
    clear: bool
    margins: str
    reason: str
    faults: str

    def __str__(self) -> str:
        return (
            f"{self.sheet} q{self.question}: {self.decided}, deserved {self.deserved}"
            f"{'' if self.clear else ' (borderline)'} [{self.criterion}] margins {self.margins}; "
            f"faults {self.faults or 'none'}; reason: {self.reason}"
        )


@dataclass
class Agreement:
    """Counts and errors over a batch. Errors are measured minus true."""

    decisions: int = 0
    answers: int = 0
    handed: int = 0
    answers_handed: int = 0
    missing: list[str] = field(default_factory=list)
    wrong: list[Disagreement] = field(default_factory=list)
    borderline_wrong: list[Disagreement] = field(default_factory=list)
    handed_over: list[Disagreement] = field(default_factory=list)
    errors: dict[str, list[float]] = field(default_factory=dict)
    intervals: list[tuple[float, float]] = field(default_factory=list)
    faults_planted: Counter[str] = field(default_factory=Counter)
    faults_named: Counter[str] = field(default_factory=Counter)
    faults_invented: Counter[str] = field(default_factory=Counter)
    answers_without_fault: int = 0
    confusions: Counter[tuple[str, str]] = field(default_factory=Counter)

    @property
    def handed_share(self) -> float:
        """Share of the decisions that went to the teacher."""
        return self.handed / max(1, self.decisions)

    @property
    def answers_handed_share(self) -> float:
        """Share of the answers with at least one decision for the teacher."""
        return self.answers_handed / max(1, self.answers)

    @property
    def wrong_share(self) -> float:
        """Wrong decisions outside the borderline, over all decisions."""
        return len(self.wrong) / max(1, self.decisions)

    def rms(self, what: str) -> float:
        """Root mean square error of a measure; NaN if it was never measured."""
        values = self.errors.get(what, [])
        return math.sqrt(sum(v * v for v in values) / len(values)) if values else math.nan

    def covered(self, factor: float = 1.96) -> float:
        """Share of errors of ``worst_mm`` within ``factor`` stated uncertainties."""
        if not self.intervals:
            return math.nan
        return sum(abs(e) <= factor * u for e, u in self.intervals) / len(self.intervals)

    @property
    def faults_found_share(self) -> float:
        """Share of planted faults that were named by a right name; NaN if none was planted."""
        planted = sum(self.faults_planted.values())
        return sum(self.faults_named.values()) / planted if planted else math.nan

    @property
    def invented_share(self) -> float:
        """Share of answers without a planted fault for which one was named."""
        return sum(self.faults_invented.values()) / max(1, self.answers_without_fault)

    def summary(self) -> str:
        """A few lines for a log."""
        lines = [
            f"{self.decisions} decisions on {self.answers} answers: {len(self.wrong)} wrong, "
            f"{len(self.borderline_wrong)} borderline wrong, {self.handed} handed over "
            f"({self.handed_share:.1%}; answers {self.answers_handed_share:.1%}), "
            f"{len(self.missing)} answers missing",
            "rms: "
            + ", ".join(
                f"{k} {self.rms(k):.3f} (n {len(v)})" for k, v in sorted(self.errors.items())
            ),
            f"95 % intervals cover {self.covered():.1%} of {len(self.intervals)}",
            f"faults named {self.faults_found_share:.1%}, invented {self.invented_share:.1%}",
        ]
        lines += [f"WRONG {d}" for d in self.wrong]
        return "\n".join(lines)


# What marking may call a planted fault. Several names can be right.
ACCEPTED: dict[str, frozenset[str]] = {
    kind: frozenset(names.split())
    for kind, names in {
        "length-wrong": "arc-radius distance ruler-end",
        "ruler-end": "arc-radius distance ruler-end",
        "parallax": "parallax arc-radius distance",
        "polygonal": "polygonal freehand",
        "short": "incomplete short-arc",
        "slipped": "compasses-slipped",
        "freehand": "freehand",
        "dot": "dot incomplete",
        "squared-ends": "squared-ends",
        "half-missing": "one-side half-missing",
        "one-parallel": "one-side one-parallel",
        "ends-missing": "ends-missing",
        "unequal-arcs": "unequal-arcs",
        "small-arcs": "arcs-too-small no-crossing",
        "no-arcs": "no-arcs",
        "line-shifted": "line-shifted misses-point",
        "point-off": "point-off",
        "point-missing": "point-missing blank",
        "line-turned": "line-turned",
        "short-line": "incomplete short-line",
        "wrong-side": "wrong-side",
        "not-shaded": "not-shaded",
    }.items()
}


def compare_files(marks: Path, truth: Path) -> Agreement:
    """Compare two files."""
    return compare(
        json.loads(marks.read_text(encoding="utf-8")), json.loads(truth.read_text(encoding="utf-8"))
    )


def compare(marks: Json, truth: Json) -> Agreement:
    """Compare marks.json with truth.json as plain data."""
    result = Agreement()
    scripts = {s["sheet"]: s for s in marks["scripts"]}
    for sheet in truth["sheets"]:
        script = scripts.get(sheet["sheet"])
        marked = {} if script is None else {q["question"]: q for q in script["questions"]}
        for question in _questions(sheet):
            result.answers += 1
            found = marked.get(question["question"])
            if found is None:
                result.missing.append(f"{sheet['sheet']} q{question['question']}")
                continue
            _decisions(result, sheet["sheet"], question, found)
            _measures(result, question, found)
            _faults(result, question, found)
    return result


def _questions(sheet: Json) -> Iterator[Json]:
    for page in sheet["pages"]:
        yield from page["questions"]


def _decisions(result: Agreement, sheet: str, true: Json, found: Json) -> None:
    if len(true["deserved"]) != len(found["marks"]):
        raise AssertionError(
            f"{sheet} q{true['question']}: {len(found['marks'])} marks decided, "
            f"{len(true['deserved'])} deserved"
        )
    handed = False
    for deserved, mark in zip(true["deserved"], found["marks"], strict=True):
        result.decisions += 1
        if mark["decision"] == deserved["decision"]:
            continue
        case = Disagreement(
            sheet,
            true["question"],
            deserved["criterion"],
            deserved["decision"],
            mark["decision"],
            deserved["clear"],
            f"mm {deserved['margin_mm']}, share {deserved['margin_share']}, "
            f"deg {deserved['margin_deg']}",
            mark["reason"],
            ", ".join(f"{f['fault']} {f['size']}" for f in true["faults"]),
        )
        if mark["decision"] == "teacher":
            handed = True
            result.handed += 1
            result.handed_over.append(case)
        else:
            (result.wrong if deserved["clear"] else result.borderline_wrong).append(case)
    result.answers_handed += handed


DOT_MM = 3.0
"""A dot where a line should be was drawn in turns of the pencil: it has no radius to measure."""
MEASURES = ("worst_mm", "mean_mm", "radius_mm", "angle_deg", "coverage")


def _measures(result: Agreement, true: Json, found: Json) -> None:
    measured = {e["element"]: e for e in found["elements"]}
    for element in true["elements"]:
        mine = measured.get(element["element"])
        if mine is None or not mine["found"] or not element["found"]:
            continue
        for name in MEASURES:
            if name == "radius_mm" and not _well_curved(element):
                continue
            if mine.get(name) is not None and element[name] is not None:
                result.errors.setdefault(name, []).append(mine[name] - element[name])
        if mine.get("offset_mm") is not None and element["offset_mm"] is not None:
            error = abs(mine["offset_mm"]) - abs(element["offset_mm"])
            result.errors.setdefault("offset_mm", []).append(error)
        if mine.get("centre_mm") is not None and _well_curved(element):
            result.errors.setdefault("centre_mm", []).append(
                math.dist(mine["centre_mm"], element["centre_mm"])
            )
        if mine.get("uncertainty_mm") and element["worst_mm"] is not None:
            error = mine["worst_mm"] - element["worst_mm"]
            result.intervals.append((error, mine["uncertainty_mm"]))


def _well_curved(element: Json) -> bool:
    """Whether an arc runs over 2 radians and is no dot: a shorter one does not fix its circle."""
    radius = element["radius_mm"]
    return radius is not None and radius > DOT_MM and element["drawn_mm"] > 2 * radius


# Not mistakes to be named: they cost nothing, or there is nothing to explain.
UNNAMED = frozenset(HABITS) | {NEAR_LIMIT, "blank", "two-answers"}


def _faults(result: Agreement, true: Json, found: Json) -> None:
    harmless = true["awarded"] == true["out_of"]
    planted = [f["fault"] for f in true["faults"] if f["fault"] not in UNNAMED]
    named = [f["fault"] for f in found["faults"]]
    silent = any(f["fault"] in (NEAR_LIMIT, "blank", "two-answers") for f in true["faults"])
    if harmless and planted:
        return  # a mistake too small to matter may be named or not
    if not planted and not silent:
        result.answers_without_fault += 1
        result.faults_invented.update(named[:1])
    for fault in planted:
        result.faults_planted[fault] += 1
        if _named(fault, named):
            result.faults_named[fault] += 1
        else:
            result.confusions[fault, ", ".join(named) or "nothing"] += 1


def _named(fault: str, named: Iterable[str]) -> bool:
    return bool(ACCEPTED.get(fault, frozenset({fault})) & set(named))
