"""Which values each sheet gets, and one plan for all sheets that share them.

Values are drawn by the paper's seed: the same seed gives the same sheets. A variant counts
only if it reads, solves, can be constructed and is fair to a careful hand.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence

from millimark.errors import MillimarkError, PaperError
from millimark.paper.fields import Field
from millimark.paper.question import Paper, Question
from millimark.paper.question_pages import PaperPlan, plan_paper, word_heights
from millimark.paper.question_reading import QuestionSource
from millimark.paper.reading import ACCESS, Choices, PaperSource
from millimark.sheet.code import paper_id_of
from millimark.sheet.layout import SheetMap
from millimark.working.budget import FAIR, fairness

HANDS = 1000  # sampled hands to judge a variant's fairness by


Looks = Sequence[Mapping[str, str] | None]
"""For each sheet how it is set ('text', 'ground', 'hand'); None: as the paper says."""


def plans_for(paper: Paper, count: int, looks: Looks = ()) -> list[PaperPlan]:
    """A plan for each of ``count`` sheets; sheets with the same values and look share one."""
    paper_id = paper_id_of(paper.data)
    source = PaperSource(Field(paper.data, "the paper"))
    if not any(looks) and not any(q.varies for q in source.questions):
        return [plan_paper(paper, paper_id)] * count
    chosen = choices_for(source, count)
    for i, look in enumerate(looks):
        if look:
            chosen[i] = {**chosen[i], ACCESS: dict(look)}
    return _planned(source, paper_id, chosen)


def plans_of_sheets(data: object, paper_id: str, sheets: Sequence[SheetMap]) -> list[PaperPlan]:
    """The plans that sheets already printed had, from the paper's data and their values."""
    source = PaperSource(Field(data, "the paper"))
    return _planned(source, paper_id, [s.choices for s in sheets])


def _planned(source: PaperSource, paper_id: str, chosen: Sequence[Choices]) -> list[PaperPlan]:
    keys = [json.dumps(choices, sort_keys=True) for choices in chosen]
    different = dict(zip(keys, chosen, strict=True))
    papers = {key: source.paper(choices) for key, choices in different.items()}
    heights = {
        key: height
        for access in dict.fromkeys(paper.access for paper in papers.values())
        for key, height in word_heights(
            *(paper for paper in papers.values() if paper.access == access)
        ).items()
    }
    plans = {
        key: plan_paper(paper, paper_id, different[key], number, heights)
        for number, (key, paper) in enumerate(papers.items(), start=1)
    }
    return [plans[key] for key in keys]


def choices_for(source: PaperSource, count: int) -> list[Choices]:
    """The values of each sheet: every variant is used before one is used again."""
    by_question = {q.number: variants(q, count) for q in source.questions if q.varies}
    return [
        {number: values[i % len(values)] for number, values in by_question.items()}
        for i in range(count)
    ]


def variants(source: QuestionSource, count: int) -> list[dict[str, str]]:
    """Up to ``count`` sets of values that work, in seeded order. PaperError if none does. Where
    the values are the file's own and sheets differ only in how the figure lies, they are taken as
    they are: 'check' warns of an unfair question."""
    own = len(source.variation.combinations) == 1
    good: list[dict[str, str]] = []
    trouble: MillimarkError | None = None
    for values in source.all_values():
        if len(good) == count:
            break
        try:
            question = source.question(values)
        except MillimarkError as error:
            trouble = trouble or error
            continue
        if own or is_fair(question):
            good.append(values)
    if good:
        return good
    raise trouble or PaperError(
        f"No variant of question {source.number} is fair to a careful hand.",
        "Use longer lengths, or a wider tolerance.",
    )


def is_fair(question: Question) -> bool:
    """Whether a careful hand lands inside the tolerance at least 95 times in 100."""
    if question.working is None:
        return True
    found = fairness(
        question.figure,
        question.answers,
        question.working,
        question.tolerance.length_mm,
        hands=HANDS,
        angles=question.angle_limits,
    )
    return found.chance >= FAIR
