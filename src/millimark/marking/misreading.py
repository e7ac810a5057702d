"""Lengths that are all wrong by one amount: a ruler read from its end, or at a slant.

One answer cannot tell a wrong length from a misread ruler; a whole script can. A shared amount
is compared, by likelihood, with lengths that are right or wrong each for itself.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from millimark.loci.conditions import AtDistance
from millimark.marking.expected import Wanted
from millimark.marking.findings import ElementFinding, Fault, QuestionMarks
from millimark.marking.ink import Array
from millimark.marking.mistake_words import MISTAKES

_HAND_MM = 0.5
"""How well a hand sets a length that it has read, mm (standard deviation)."""
_ANY_MM = 20.0
"""Over what a single wrong length, or a shared amount, is taken to lie anywhere."""
_WRONG, _SHARED = 0.1, 0.05
"""How often, beforehand, one length is wrong for itself; and a pupil misreads every one."""
_CONFIDENT = 0.9
_END_MM, _SLANT_MM = 2.0, 0.7
"""A shared amount from which it is the ruler's end; and under which it is nothing."""
_ROUND_MM = 8.0
_OF_A_LENGTH = ("arc-radius", "distance", "needle-off")


@dataclass(frozen=True)
class Misreading:
    """The amount, mm (too long positive), that all lengths share, and how sure that is."""

    by_mm: float
    confidence: float


def drawn_lengths(
    wanted: Sequence[Wanted], elements: Sequence[ElementFinding]
) -> tuple[float, ...]:
    """By how much each length that was asked is drawn too long, mm; none for what was not drawn,
    and for loci on which no circle or round end tells longer from shorter."""
    found = []
    for w, e in zip(wanted, elements, strict=True):
        if not isinstance(w.element.locus, AtDistance) or not e.found:
            continue
        rounds = [c for c in e.course if c.turn and float(np.ptp(c.t)) > _ROUND_MM]
        if rounds:
            found.append(float(np.median(np.concatenate([c.u for c in rounds]))))
    return tuple(found)


def shared_misreading(lengths: Sequence[float]) -> Misreading | None:
    """The amount that these lengths (how much too long, mm) share; None unless it stands out."""
    n = len(lengths)
    if n < 2:
        return None
    off = np.array(lengths)
    by = float(np.median(off))
    if abs(by) < _SLANT_MM or by < -_END_MM:
        return None
    alone = np.maximum((1 - _WRONG) * _normal(off), _WRONG / _ANY_MM)
    spread = _HAND_MM * math.sqrt(2.0 * math.pi / n) / _ANY_MM
    together = np.maximum((1 - _WRONG) * _normal(off - by), _WRONG / _ANY_MM)
    shared = _SHARED * spread * float(together.prod())
    confidence = shared / (shared + float(alone.prod()))
    return Misreading(by, confidence) if confidence > _CONFIDENT else None


def _normal(off: Array) -> Array:
    density: Array = np.exp(-0.5 * (off / _HAND_MM) ** 2) / (_HAND_MM * math.sqrt(2.0 * math.pi))
    return density


def with_misreading(questions: Sequence[QuestionMarks]) -> list[QuestionMarks]:
    """The answers of one script; where they share a misreading, it is told instead of the wrong
    lengths that it explains."""
    found = shared_misreading([v for q in questions for v in q.lengths])
    if found is None:
        return list(questions)
    code = "ruler-end" if found.by_mm > _END_MM else "parallax"
    size = abs(found.by_mm)
    way = "long" if found.by_mm > 0 else "short"
    text = f"{MISTAKES[code].text} They are about {size:.1f} mm too {way}."
    fault = Fault(code, text, size, found.confidence)
    return [_told(q, fault) if _shows(q, found.by_mm) else q for q in questions]


def _shows(question: QuestionMarks, by: float) -> bool:
    return any(abs(v - by) < 3.0 * _HAND_MM for v in question.lengths)


def _told(question: QuestionMarks, fault: Fault) -> QuestionMarks:
    rest = tuple(f for f in question.faults if f.fault not in _OF_A_LENGTH)
    elements = [f.element for f in question.faults if f.fault in _OF_A_LENGTH]
    mine = replace(fault, element=elements[0] if elements else None)
    return replace(question, faults=(mine, *rest))
