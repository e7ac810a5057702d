"""What ``millimark check`` finds out about each question, as values and as plain data."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from millimark.paper.placing import Placed
    from millimark.paper.question import Paper, Question
    from millimark.paper.question_reading import QuestionSource
    from millimark.working.budget import Fairness

MOST_VARIANTS = 30
"""Sets of values that a check tries: a sheet of its own for each pupil of a class."""


@dataclass(frozen=True)
class Checked:
    """One question: sentences in canonical words, notes, its place on the page, the odds.

    ``variants`` counts the sets of values that work, up to ``MOST_VARIANTS``; None where
    the question has nothing that varies.
    """

    question: Question
    given: tuple[str, ...]
    ask: tuple[str, ...]
    notes: tuple[str, ...]
    placed: Placed
    fairness: Fairness
    variants: int | None

    @property
    def frame_mm(self) -> tuple[float, float]:
        """Width and height of the answer frame."""
        x0, y0, x1, y1 = self.placed.frame_mm
        return x1 - x0, y1 - y0


def check_paper(paper: Paper) -> Iterator[Checked]:
    """Each question in turn. FitError or PlanError where one cannot be drawn on the page."""
    from millimark.paper.fields import Field
    from millimark.paper.placing import place
    from millimark.paper.question_pages import text_heights
    from millimark.paper.reading import PaperSource
    from millimark.words.reading import understand
    from millimark.working.budget import fairness

    sources = {q.number: q for q in PaperSource(Field(paper.data, "the paper")).questions}
    for placed in place(paper, text_heights(paper)):
        question = placed.question
        understood = understand(question.given, question.ask)
        odds = fairness(
            question.figure,
            question.answers,
            placed.working,
            question.tolerance.length_mm,
            angles=question.angle_limits,
        )
        yield Checked(
            question,
            understood.canonical_given,
            understood.canonical_ask,
            (*understood.notes, *placed.working.notes),
            placed,
            odds,
            _variants(sources[question.number]),
        )


def _variants(source: QuestionSource) -> int | None:
    from millimark.paper.editions import variants

    return len(variants(source, MOST_VARIANTS)) if source.varies else None


def as_data(paper: Paper, checked: list[Checked]) -> dict[str, Any]:
    """The object that ``schemas/check.json`` describes."""
    return {
        "format": "millimark-check",
        "version": 1,
        "title": paper.title,
        "page": paper.page,
        "profile": "arcs required" if paper.arcs_required else "any method",
        "questions": [_question(one) for one in checked],
    }


def _question(one: Checked) -> dict[str, Any]:
    from millimark.loci.portable import as_json

    question, odds = one.question, one.fairness
    return {
        "question": question.number,
        "given": list(one.given),
        "ask": list(one.ask),
        "notes": list(one.notes),
        "answers": [as_json(answer) for answer in question.answers],
        "variants": one.variants,
        "fits": True,
        "page": one.placed.page,
        "frame_mm": list(one.placed.frame_mm),
        "fairness": {
            "hand": odds.hand,
            "tolerance_mm": odds.tolerance_mm,
            "chance": odds.chance,
            "fair": odds.fair,
            "advice": list(odds.advice),
            "not_judged": list(odds.not_judged),
        },
        "marks": [{"code": c.code, "criterion": c.text} for c in question.scheme],
    }
