"""Questions for teaching again what went wrong: each fault asks for a kind of drawing, and the
question on which it was made says which of them.

What belongs to which fault is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher

from millimark.bank.shelf import BankQuestion, bank, paper_file

MOST = 6
_EQUAL_ARCS = ("perpendicular bisector", "angle bisector", "perpendicular")
_ROUND = ("round a segment", "round a polygon", "round a line")
_REGIONS = ("region", "region in a triangle", "region in a rectangle", "map region", "plan region")
PRACTISED: dict[str, tuple[str, ...]] = {
    "arc-radius": ("circle",),
    "compasses-slipped": ("circle",),
    "needle-off": ("circle",),
    "distance": _ROUND,
    "incomplete": (),
    "one-side": _ROUND,
    "ends-missing": _ROUND,
    "squared-ends": _ROUND,
    "line-shifted": _EQUAL_ARCS,
    "line-turned": _EQUAL_ARCS,
    "no-arcs": _EQUAL_ARCS,
    "unequal-arcs": _EQUAL_ARCS,
    "arcs-too-small": ("perpendicular bisector",),
    "wrong-side": _REGIONS,
    "not-shaded": _REGIONS,
}
"""Fault -> topics of the bank that practise against it. Where the question's own topic is among
them, or for a fault of no topic (freehand, a dot, not begun), the question's own comes first."""


@dataclass(frozen=True)
class Seen:
    """A fault on one question of a paper: its code, the answers that show it, the question."""

    fault: str
    answers: int
    given: tuple[str, ...]
    ask: tuple[str, ...]


@dataclass(frozen=True)
class Suggestion:
    """A question of the bank, and the fault (of so many answers) that it is chosen for."""

    question: BankQuestion
    fault: str
    answers: int


def suggest(seen: Sequence[Seen], most: int = MOST) -> tuple[Suggestion, ...]:
    """At most ``most`` questions, none twice and none that is the question itself: one for each
    fault, the commonest first, then a second one for each, a level up where there is one.

    Empty where no fault was seen.
    """
    ordered = sorted(seen, key=lambda s: (-s.answers, s.fault, s.ask))
    shelves = [(s, _shelf(s)) for s in ordered]
    used = {_plain(s.given, s.ask, numbers=True) for s in seen}
    found: list[Suggestion] = []
    for _ in range(2):
        for each, shelf in shelves:
            fresh = next((q for q in shelf if _of(q, numbers=True) not in used), None)
            if fresh is not None and len(found) < most:
                used.add(_of(fresh, numbers=True))
                found.append(Suggestion(fresh, each.fault, each.answers))
    return tuple(sorted(found, key=lambda s: (s.question.level, -s.answers, s.question.id)))


def _shelf(seen: Seen) -> list[BankQuestion]:
    """What the bank has against one fault, the nearest to its question first, easy before hard."""
    own = topic_of(seen.given, seen.ask)
    topics = PRACTISED.get(seen.fault, ())
    wanted = (own,) if not topics or own in topics else topics
    plain = _plain(seen.given, seen.ask)
    return sorted(
        (q for q in bank() if q.topic in wanted),
        key=lambda q: (q.level, wanted.index(q.topic), -_alike(plain, _of(q)), q.id),
    )


def topic_of(given: Sequence[str], ask: Sequence[str]) -> str:
    """The bank's topic whose questions read most like this one, letters and numbers aside."""
    plain = _plain(given, ask)
    return max(bank(), key=lambda q: _alike(plain, _of(q))).topic


def paper(title: str, chosen: Sequence[tuple[BankQuestion, str]], page: str = "A4") -> str:
    """A paper file of these questions, each with its advice ("" for none) as a reminder before its
    story."""
    return paper_file(title, [_reminding(question, advice) for question, advice in chosen], page)


def _reminding(question: BankQuestion, advice: str) -> BankQuestion:
    if not advice:
        return question
    reminder = f"Remember: {advice[0].lower()}{advice[1:]}"
    story = f"{reminder} {question.content.get('story', '')}".strip()
    return replace(question, content={**question.content, "story": story})


def _of(question: BankQuestion, numbers: bool = False) -> str:
    content = question.content
    return _plain(_listed(content.get("given")), _listed(content.get("ask")), numbers)


def _listed(value: object) -> list[str]:
    return [str(v) for v in value] if isinstance(value, list) else [str(value)] if value else []


def _plain(given: Sequence[str], ask: Sequence[str], numbers: bool = False) -> str:
    """The sentences without the letters of points, and without numbers unless they are wanted."""
    text = " ".join((*ask, *given))
    text = re.sub(r"\b[A-Z]{1,6}\b", lambda m: "#" * len(m.group()), text)
    return text if numbers else re.sub(r"\d+(\.\d+)?", "0", text)


def _alike(one: str, other: str) -> float:
    return SequenceMatcher(None, one.split(), other.split(), autojunk=False).ratio()
