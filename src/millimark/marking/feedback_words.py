"""What a pupil is told: each mark in a sentence, what may have happened, what to practise.

The words speak to the pupil and of the drawing, never of the pupil. A person's decision stands
before the machine's reasons: where it differs, the reason is left out.
"""

from __future__ import annotations

from collections.abc import Sequence

from millimark.marking.findings import ElementFinding, Fault, Mark, QuestionMarks
from millimark.marking.mistake_words import MISTAKES
from millimark.marking.summary import ADVICE
from millimark.paper.question import Criterion, Question

GIVEN, NOT_YET, WAITING = "Mark given", "Not yet", "Your teacher decides"
HEADING = {"awarded": GIVEN, "withheld": NOT_YET, "teacher": WAITING}

PRACTICE = {
    "arc-radius": "Rule a line of the asked length, open the compasses to it, and check the "
    "opening against the ruler once more before you draw. Do this for three lengths.",
    "distance": "Mark the distance off from the line at two places, with the protractor at 90°, "
    "then rule through both marks.",
    "compasses-slipped": "Draw one whole circle in a single turn, holding the compasses by the "
    "top. If its ends do not meet, tighten the hinge and draw it again.",
    "needle-off": "Set the needle exactly on a small cross, with some sheets of paper below, and "
    "draw three circles about it.",
    "freehand": "Draw it again with compasses for every arc and a ruler for every straight line.",
    "incomplete": "Carry the line on until it closes or reaches the edge of the frame: every "
    "point that fits belongs to it.",
    "one-side": "Put a finger on the line and walk all the way round it: there are points at "
    "this distance on both sides.",
    "ends-missing": "Draw a line of 5 cm. Find with the ruler some points 2 cm from its end: "
    "they lie on an arc round the end.",
    "squared-ends": "Measure from the end of the line to a square corner: it is further than the "
    "distance asked. Then draw the end with compasses.",
    "dot": "One point fits, but it is not alone: find three more that fit, then draw the line "
    "through all of them.",
    "line-shifted": "Make the two pairs of arcs again and rule exactly through both crossings.",
    "line-turned": "Open the compasses wider, so that the crossings lie far apart: then the "
    "ruler has a sure direction.",
    "no-arcs": "Construct it again and leave every arc on the paper: the arcs show your method.",
    "unequal-arcs": "Draw both arcs of a pair one after the other, without touching the opening.",
    "arcs-too-small": "Open the compasses to clearly more than half of the distance, and draw "
    "both pairs again.",
    "wrong-side": "Choose one point in your shading and try it in every condition of the "
    "question. If one fails, shade the other side.",
    "not-shaded": "Read the last words of the question once more: the answer is an area, shaded.",
    "blank": "Begin with what is certain: mark one point that fits, then another.",
}
PRACTICE |= {code: words.practice for code, words in MISTAKES.items()}
"""Fault -> what to practise, said to the pupil. Common practice, no source."""

_OF_ARCS = ("no-arcs", "unequal-arcs", "arcs-too-small")
_OF_REGION = ("wrong-side", "not-shaded")


def heading(mark: Mark) -> str:
    """Whether the mark is given, in words, with its code."""
    return f"{HEADING[mark.decision]} ({mark.code})"


def subject(mark: Mark) -> str:
    """What the mark is for, said to the pupil."""
    return mark.criterion.replace("the pupil's own", "your own")


def sentence(mark: Mark, criterion: Criterion | None, answer: QuestionMarks, limit: float) -> str:
    """Why: from what was measured, or that a person decided. ``limit`` is in mm."""
    if mark.overruled:
        return _OVERRULED[mark.decision]
    if mark.decision == "teacher":
        return _close(_line_of(criterion, answer), limit)
    if mark.decision == "awarded":
        return mark.reason
    return _not_yet(mark, _line_of(criterion, answer), limit)


_OVERRULED = {
    "awarded": "Your teacher looked at this and gave the mark.",
    "withheld": "Your teacher looked at this: the mark is not earned yet.",
    "teacher": "Your teacher will look at this once more.",
}


def _line_of(criterion: Criterion | None, answer: QuestionMarks) -> ElementFinding | None:
    """The measured line that the mark hangs on; None for other marks."""
    if criterion is None or criterion.kind != "line":
        return None
    return next((e for e in answer.elements if e.element == criterion.subject), None)


def _close(line: ElementFinding | None, limit: float) -> str:
    """A mark that waits: its value where one was measured near the limit."""
    if line is None or line.worst_mm is None or abs(line.worst_mm - limit) > 1.0:
        return "Measuring alone cannot settle this, so your teacher looks at it."
    return (
        f"Your line is up to {line.worst_mm:.1f} mm from the right place and {limit:g} mm is "
        "allowed: too close to call, so your teacher looks at it."
    )


_NEEDS = "This mark needs "
_PLAIN = {
    "Nothing was drawn.": "Nothing was drawn here. Even a first step can earn a mark.",
    "There are no construction arcs.": "No construction arcs were found. Leave them on the paper: "
    "they show your method.",
    "No shading was found.": "No shading was found: the answer is an area.",
}


def _not_yet(mark: Mark, line: ElementFinding | None, limit: float) -> str:
    """What is still missing, without a hard word."""
    if mark.reason.startswith(_NEEDS):
        needed = mark.reason.removeprefix(_NEEDS).split(" first, and ")[0]
        return f"This mark builds on {needed}, which is not there yet."
    if mark.reason in _PLAIN:
        return _PLAIN[mark.reason]
    if line is not None and not line.found:
        return f"No line was found here yet for the {line.element}."
    if line is not None and line.worst_mm is not None and line.worst_mm > limit:
        return (
            f"Your line is up to {line.worst_mm:.1f} mm from the right place; "
            f"{limit:g} mm is allowed."
        )
    return mark.reason


# --- what may have happened -------------------------------------------------------------
def standing_faults(answer: QuestionMarks, question: Question | None) -> list[Fault]:
    """The faults that still explain a mark that was not given, each code once, in order.

    Without a mark withheld there are none: a cause is told only where it cost something.
    """
    held = [k for k, m in enumerate(answer.marks) if m.decision == "withheld"]
    scheme = question.scheme if question is not None else ()
    lost = [scheme[k] for k in held if k < len(scheme)]
    found: dict[str, Fault] = {}
    for fault in answer.faults if held else ():
        if len(lost) < len(held) or any(_explains(fault, c) for c in lost):
            found.setdefault(fault.fault, fault)
    return list(found.values())


def _explains(fault: Fault, criterion: Criterion) -> bool:
    """Whether a fault can be why this mark was not given."""
    if fault.fault == "blank":
        return True
    if fault.fault in _OF_ARCS:
        return criterion.kind == "evidence"
    if fault.fault in _OF_REGION:
        return criterion.kind == "region"
    return criterion.kind == "line" and fault.element in (None, criterion.subject)


def practice(fault: Fault) -> str:
    """What to practise; "" where there is no advice."""
    return PRACTICE.get(fault.fault) or ADVICE.get(fault.fault, ("", ""))[1]


def without_cause(answer: QuestionMarks, question: Question | None) -> list[str]:
    """What to practise, at most one thing, where marks are not given and no cause stands out; a
    person's decision has no cause that measuring knows."""
    scheme = question.scheme if question is not None else ()
    for criterion, mark in zip(scheme, answer.marks, strict=False):
        if mark.decision == "withheld" and not mark.overruled:
            return [_ANEW.get(criterion.kind, _CHECKED)]
    return []


_CHECKED = "Draw it once more, and check two points far apart with your ruler: both must fit."
_ANEW = {
    "evidence": PRACTICE["no-arcs"],
    "region": PRACTICE["wrong-side"],
}


# --- the sheet's first line ---------------------------------------------------------------
def opening(answers: Sequence[QuestionMarks]) -> str:
    """What went well first, then where to go on."""
    full = [q.question for q in answers if q.out_of and q.awarded == q.out_of]
    some = [q.question for q in answers if 0 < q.awarded < q.out_of]
    rest = [q.question for q in answers if q.awarded < q.out_of and not q.for_teacher]
    if len(full) == len(answers):
        return "Every mark earned: accurate work from beginning to end."
    said = ""
    if full:
        said = f"All marks earned on {_questions(full)}. "
    elif some:
        said = f"A good start on {_questions(some)}. "
    if rest:
        said += f"Work next on {_questions(rest)}: what to practise stands beside the drawing."
    return said.strip() or "Your teacher looks at this sheet with you."


def _questions(numbers: Sequence[str]) -> str:
    if len(numbers) == 1:
        return f"question {numbers[0]}"
    return f"questions {', '.join(numbers[:-1])} and {numbers[-1]}"
