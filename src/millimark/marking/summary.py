"""What a class's marks add up to: by question, the commonest faults, what to teach again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from millimark.marking.findings import Fault, QuestionMarks, Script
from millimark.marking.mistake_words import MISTAKES

ADVICE = {
    "arc-radius": (
        "The compasses were set to the wrong length",
        "Set the compasses against the ruler's zero, not its end, and check the opening again "
        "before striking.",
    ),
    "distance": (
        "A locus at the wrong distance",
        "Mark the distance off at right angles to the line at two places before ruling the "
        "parallel, measuring from the ruler's zero.",
    ),
    "compasses-slipped": (
        "Compasses that slipped",
        "Tighten the hinge, hold the compasses by the top, and strike the arc in one sweep.",
    ),
    "needle-off": (
        "The needle off its point",
        "Press the needle into the marked point, with a pad of paper below.",
    ),
    "freehand": (
        "Lines drawn without instruments",
        "Use compasses for arcs and a ruler for lines.",
    ),
    "incomplete": (
        "Only part of a locus drawn",
        "A locus is every point that satisfies the condition: carry it on until it closes or "
        "reaches the edge.",
    ),
    "one-side": (
        "One side of a locus missing",
        "Walk round the line with a finger: points at the distance lie on both sides of it.",
    ),
    "ends-missing": (
        "The round ends missing",
        "Beyond the end of a segment its nearest point is the end: the locus turns round it.",
    ),
    "squared-ends": (
        "Ends squared off",
        "A corner of the square is further away than the distance: measure it, then draw the arc.",
    ),
    "dot": ("A dot for a locus", "One point is not the whole locus: find three more, then a line."),
    "line-shifted": (
        "A line in the right direction but beside its place",
        "Rule through both crossings of the arcs, not by eye.",
    ),
    "line-turned": (
        "A line in the wrong direction",
        "Make the two crossings lie far apart: the ruler then fixes the direction.",
    ),
    "no-arcs": (
        "No construction arcs",
        "Leave the arcs on the paper: they show the method, which is marked.",
    ),
    "unequal-arcs": (
        "Arcs of different radii",
        "Keep one opening of the compasses for both arcs of a pair.",
    ),
    "arcs-too-small": (
        "Arcs too small to cross",
        "Open the compasses to more than half of the distance between the points.",
    ),
    "wrong-side": (
        "The wrong side shaded",
        "Take a point in the region and try it in each condition before shading.",
    ),
    "not-shaded": ("No region shaded", "Read the question to its end: the answer is the region."),
    "blank": ("Not begun", "Start with what is certain: mark one point that fits, then another."),
}
ADVICE |= {code: (words.title, words.advice) for code, words in MISTAKES.items()}
"""Fault -> (what it is called for the class, what to practise). Common practice, no source."""


@dataclass(frozen=True)
class OfQuestion:
    """One question over the class: marks awarded and possible, and marks for the teacher."""

    question: str
    awarded: int
    out_of: int
    for_teacher: int

    @property
    def share(self) -> float:
        """Marks awarded over marks possible; 0 where none are possible."""
        return self.awarded / self.out_of if self.out_of else 0.0


@dataclass(frozen=True)
class OfFault:
    """One fault over the class: how many answers show it, and the clearest example."""

    fault: str
    answers: int
    example: tuple[str, QuestionMarks, Fault]

    @property
    def title(self) -> str:
        """What the fault is called for the class."""
        return ADVICE.get(self.fault, (self.fault.replace("-", " ").capitalize(), ""))[0]

    @property
    def advice(self) -> str:
        """What to practise; empty where there is no advice."""
        return ADVICE.get(self.fault, ("", ""))[1]


def by_question(scripts: Sequence[Script]) -> list[OfQuestion]:
    """Every question in the scripts' order."""
    found: dict[str, list[QuestionMarks]] = {}
    for script in scripts:
        for q in script.questions:
            found.setdefault(q.question, []).append(q)
    return [
        OfQuestion(
            number,
            sum(q.awarded for q in answers),
            sum(q.out_of for q in answers),
            sum(m.decision == "teacher" for q in answers for m in q.marks),
        )
        for number, answers in found.items()
    ]


def by_fault(scripts: Sequence[Script]) -> list[OfFault]:
    """Faults that at least one answer shows, the commonest first, then by name. An answer that
    has all its marks, by measuring or by a person's decision, shows none."""
    counts: Counter[str] = Counter()
    examples: dict[str, tuple[str, QuestionMarks, Fault]] = {}
    for script in scripts:
        for q in (q for q in script.questions if q.awarded < q.out_of):
            for code in {f.fault for f in q.faults}:
                counts[code] += 1
            for f in q.faults:
                known = examples.get(f.fault)
                if known is None or (f.size_mm or 0.0) > (known[2].size_mm or 0.0):
                    examples[f.fault] = (script.sheet, q, f)
    ordered = sorted(counts, key=lambda code: (-counts[code], code))
    return [OfFault(code, counts[code], examples[code]) for code in ordered]


def to_teach_again(scripts: Sequence[Script], least: float = 0.6) -> list[OfQuestion]:
    """Questions on which the class earned less than ``least`` of the marks, weakest first."""
    weak = [q for q in by_question(scripts) if q.out_of and q.share < least]
    return sorted(weak, key=lambda q: q.share)
