"""Which of the lines that fix a point a pupil draws, where any two of three do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from millimark.errors import MillimarkError
from millimark.loci.answer import Answer
from millimark.rehearsal.setting import IN_FRAME, Setting, planned

ALL_THREE = 0.1
"""Share of pupils who draw every line, so as to be sure."""

Order = tuple[int, ...]
"""The lines that are drawn, in order, as numbers of the model answer's two and the third."""


def preferences(setting: Setting, rng: np.random.Generator) -> tuple[Order, ...]:
    """For each answer the lines that a pupil draws: any two in any order, or all three; () for an
    answer whose lines are all needed."""
    return tuple(_order(answer, rng) for answer in setting.answers)


def _order(answer: Answer, rng: np.random.Generator) -> Order:
    lines = len(answer.elements) + len(answer.instead)
    if not answer.instead:
        return ()
    number = lines if rng.random() < ALL_THREE else len(answer.elements)
    return tuple(int(k) for k in rng.permutation(lines)[:number])


def preferred(setting: Setting, orders: Sequence[Order]) -> Setting:
    """The question as a pupil sets about it who draws these lines; as the model answer does where
    the frame has no room for them."""
    if not any(orders):
        return setting
    answers = tuple(_drawing(a, order) for a, order in zip(setting.answers, orders, strict=True))
    try:
        return replace(setting, answers=answers, working=planned(setting, answers, IN_FRAME))
    except MillimarkError:
        return setting


def _drawing(answer: Answer, order: Order) -> Answer:
    lines = (*answer.elements, *answer.instead)
    if not order:
        return answer
    rest = tuple(line for k, line in enumerate(lines) if k not in order)
    return replace(answer, elements=tuple(lines[k] for k in order), instead=rest)
